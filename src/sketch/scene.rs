//! The neutral scene between the zones and the writers: marks, words, links.
//! User units: 360 across a phone, y down.

use super::mark::Mark;
use super::text::Face;
use kurbo::{BezPath, Point, Rect};

/// What one drawing holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    pub width: f64,
    pub height: f64,
    /// The drawing in a few words.
    pub title: String,
    /// What it shows, in words, for a reader who cannot see it.
    pub desc: String,
    /// Its own words say what it shows: inside a page they are read as text, and
    /// the description is left out.
    pub readable: bool,
    pub items: Vec<Item>,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    Shape(Shape),
    Text(Text),
    Link(Link),
    Axis(Axis),
}

/// A mark in the drawing. Consecutive shapes of one mark become one path.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    pub mark: Mark,
    pub form: Form,
    /// Stroke width where it is a measure and not part of the mark.
    pub width: Option<f64>,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    Rect(Rect),
    /// Straight pieces; closed or open.
    Line {
        points: Vec<Point>,
        closed: bool,
    },
    Curve(BezPath),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// One line of words; `at` is on the baseline.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    pub at: Point,
    pub anchor: Anchor,
    pub face: Face,
    pub words: String,
}

/// What a touch opens.
#[derive(Debug, Clone, PartialEq)]
pub struct Link {
    pub href: String,
    pub label: String,
    /// Where a touch counts; at least as large as what is drawn.
    pub target: Rect,
    pub items: Vec<Item>,
}

/// A span's centreline as it is drawn, with the station of each point: not
/// drawn, but there for a touch. Written inside pages alone.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    pub span: String,
    pub name: String,
    pub points: Vec<Point>,
    /// From the foot, mm, one a point.
    pub stations_mm: Vec<f64>,
}

impl Text {
    /// The box the words take.
    pub fn bounds(&self) -> Rect {
        let width = self.face.width(&self.words);
        let x = match self.anchor {
            Anchor::Start => self.at.x,
            Anchor::Middle => self.at.x - width / 2.0,
            Anchor::End => self.at.x - width,
        };
        Rect::new(
            x,
            self.at.y - self.face.ascent(),
            x + width,
            self.at.y + self.face.descent(),
        )
    }
}

/// Collects items in the order they are drawn.
#[derive(Debug, Default)]
pub struct Pen {
    pub items: Vec<Item>,
}

impl Pen {
    pub fn form(&mut self, mark: Mark, form: Form) {
        self.items.push(Item::Shape(Shape {
            mark,
            form,
            width: None,
        }));
    }

    pub fn rect(&mut self, mark: Mark, rect: Rect) {
        self.form(mark, Form::Rect(rect));
    }

    pub fn line(&mut self, mark: Mark, points: &[(f64, f64)]) {
        let points = points.iter().map(|p| Point::from(*p)).collect();
        self.form(
            mark,
            Form::Line {
                points,
                closed: false,
            },
        );
    }

    /// A line as wide as a measure.
    pub fn stroke(&mut self, mark: Mark, points: Vec<Point>, width: f64) {
        let form = Form::Line {
            points,
            closed: false,
        };
        self.items.push(Item::Shape(Shape {
            mark,
            form,
            width: Some(width),
        }));
    }

    pub fn axis(&mut self, axis: Axis) {
        self.items.push(Item::Axis(axis));
    }

    pub fn text(&mut self, face: Face, anchor: Anchor, at: (f64, f64), words: impl Into<String>) {
        let (at, words) = (Point::from(at), words.into());
        if !words.is_empty() {
            self.items.push(Item::Text(Text {
                at,
                anchor,
                face,
                words,
            }));
        }
    }

    /// Lines below one another from a first baseline; returns the next baseline.
    pub fn lines(&mut self, face: Face, anchor: Anchor, at: (f64, f64), lines: &[String]) -> f64 {
        let (x, mut y) = at;
        for line in lines {
            self.text(face, anchor, (x, y), line.as_str());
            y += face.leading();
        }
        y
    }
}

impl Scene {
    /// Every text in drawing order, inside links too.
    pub fn texts(&self) -> Vec<&Text> {
        let mut all = Vec::new();
        collect(&self.items, &mut |item| {
            if let Item::Text(text) = item {
                all.push(text);
            }
        });
        all
    }

    /// Every shape in drawing order, inside links too.
    pub fn shapes(&self) -> Vec<&Shape> {
        let mut all = Vec::new();
        collect(&self.items, &mut |item| {
            if let Item::Shape(shape) = item {
                all.push(shape);
            }
        });
        all
    }

    /// The scene on whole units, which is shorter to write. A rectangle that
    /// would lose its extent keeps its place: no stretch may vanish.
    pub fn snapped(&self) -> Self {
        let items = self.items.iter().map(snapped).collect();
        Self {
            items,
            ..self.clone()
        }
    }

    /// Where the spans are drawn; none unless the drawing is to be touched.
    pub fn axes(&self) -> impl Iterator<Item = &Axis> {
        self.items.iter().filter_map(|item| match item {
            Item::Axis(axis) => Some(axis),
            _ => None,
        })
    }

    pub fn has_links(&self) -> bool {
        self.items.iter().any(|i| matches!(i, Item::Link(_)))
    }
}

fn collect<'a>(items: &'a [Item], see: &mut impl FnMut(&'a Item)) {
    for item in items {
        see(item);
        if let Item::Link(link) = item {
            collect(&link.items, see);
        }
    }
}

fn snapped(item: &Item) -> Item {
    let form = |form: &Form| match form {
        Form::Rect(r) if r.round().area() > 0.0 => Form::Rect(r.round()),
        Form::Line { points, closed } => Form::Line {
            points: points.iter().map(|p| p.round()).collect(),
            closed: *closed,
        },
        other => other.clone(),
    };
    match item {
        Item::Axis(_) => item.clone(),
        Item::Shape(s) => Item::Shape(Shape {
            form: form(&s.form),
            ..s.clone()
        }),
        Item::Text(t) => Item::Text(Text {
            at: t.at.round(),
            ..t.clone()
        }),
        Item::Link(l) => Item::Link(Link {
            target: l.target.round(),
            items: l.items.iter().map(snapped).collect(),
            ..l.clone()
        }),
    }
}
