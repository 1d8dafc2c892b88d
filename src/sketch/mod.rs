//! A card as a scene, and the scene as SVG or PNG.
