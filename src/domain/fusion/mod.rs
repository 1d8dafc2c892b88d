//! From findings about one component to one place: grouping by car, weighted
//! mean, Birge ratio, disputes.
//!
//! Bounds are rectangular distributions (JCGM 100:2008, 4.3.7): σ = a/√3. When
//! groups scatter more than their σ allow, σ is scaled by the Birge ratio
//! (R. T. Birge, Phys. Rev. 40 (1932) 207); it is never scaled down.

pub mod dispute;
pub mod estimate;
pub mod group;
pub mod located;

pub use dispute::{Disagreement, disagreements};
pub use estimate::{Estimate, fuse};
pub use group::speaking_groups;
pub use located::Located;
