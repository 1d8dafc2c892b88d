//! What is drawn, by its meaning: each mark has one class in the style sheet,
//! and the hatches have one pattern each. Our own marks, no standard's.

use super::look::Role;

/// A hatch pattern. `id` is its `<pattern>`'s.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hatch {
    Clearance,
    Widening,
    Expected,
    Unseen,
}

impl Hatch {
    pub const ALL: [Self; 4] = [
        Self::Clearance,
        Self::Widening,
        Self::Expected,
        Self::Unseen,
    ];

    pub const fn id(self) -> &'static str {
        match self {
            Self::Clearance => "hc",
            Self::Widening => "hw",
            Self::Expected => "he",
            Self::Unseen => "hu",
        }
    }

    /// The classes of its ground and of its lines.
    pub const fn classes(self) -> (&'static str, &'static str) {
        match self {
            Self::Clearance | Self::Widening => ("gn", "ln"),
            Self::Expected => ("ge", "le"),
            Self::Unseen => ("gu", "lu"),
        }
    }

    /// The roles of its lines and of its ground.
    pub const fn roles(self) -> (Role, Role) {
        match self {
            Self::Clearance | Self::Widening => (Role::NoCut, Role::NoCutGround),
            Self::Expected => (Role::Expected, Role::ExpectedGround),
            Self::Unseen => (Role::Unseen, Role::UnseenGround),
        }
    }

    /// The pattern as SVG; `fill` and `line` are its classes.
    pub fn pattern(self) -> &'static str {
        match self {
            Self::Clearance => {
                "<pattern id=\"hc\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><path class=\"gn\" d=\"M0 0h5v5h-5z\"/><path class=\"ln\" d=\"M0 1h5M1 0v5\"/></pattern>"
            }
            Self::Widening => {
                "<pattern id=\"hw\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><path class=\"gn\" d=\"M0 0h7v7h-7z\"/><path class=\"ln\" d=\"M0 3h7\"/></pattern>"
            }
            Self::Expected => {
                "<pattern id=\"he\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\"><path class=\"ge\" d=\"M0 0h7v7h-7z\"/><path class=\"le\" d=\"M2 2h0M5.5 5.5h0\"/></pattern>"
            }
            Self::Unseen => {
                "<pattern id=\"hu\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\"><path class=\"gu\" d=\"M0 0h5v5h-5z\"/><path class=\"lu\" d=\"M1.5 0v5\"/></pattern>"
            }
        }
    }
}

/// Everything a shape can mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// The part itself, solid.
    Part,
    /// An area in a hatch.
    Fill(Hatch),
    /// The ground of a hatch that is drawn as lines.
    Ground(Hatch),
    /// Its lines or dots.
    Ruling(Hatch),
    /// Seen bare: blank and outlined. Never green.
    Bare,
    /// The outline of a bar, and of a zone that rests on several findings.
    Edge,
    /// A zone that rests on one finding.
    EdgeThin,
    /// A zone that findings dispute; drawn twice.
    EdgeDouble,
    /// A zone that is only offered.
    EdgeOffered,
    /// Bracket of a gap where metal was seen bare.
    Gap,
    /// Bracket of a gap where nobody has looked.
    GapUnseen,
    /// Bracket of a gap where something is likely.
    GapExpected,
    /// Hard material beside a bar.
    Hard,
    /// Ticks, leaders, hairlines.
    Tick,
    /// Arrows and scale bars.
    Arrow,
    /// A filled sign in ink: arrow heads, dots.
    Ink,
    /// Ground of a sign that carries words.
    Paper,
    /// The car's silhouette.
    Body,
    /// The silhouette of a car nobody has looked at.
    BodyDashed,
    /// Its edge alone, over what is drawn on it.
    EdgeDashed,
    Glass,
    /// Shut lines.
    Shut,
    /// Tyres, seats, steering wheel.
    Fitting,
    /// Creases, lamps, handles.
    Detail,
    /// A keep-out as a line with round ends, in a hatch.
    Swathe(Hatch),
    /// The edge of a keep-out's line.
    SwatheEdge,
    /// The foot of a span, the place of a part: a dot.
    Foot,
    /// From a number to what it names.
    Leader,
    /// The part itself as a line with round ends.
    SwathePart,
    /// Ground of a span drawn along its centreline, wider than its hatch.
    SpanEdge,
    /// A stretch of a span along its centreline, in a hatch.
    Span(Hatch),
    /// A bare stretch of a span along its centreline.
    SpanBare,
    /// A no-cut stretch's part band along its centreline.
    SpanPart,
    /// The edge of the room to keep from a bag.
    Room,
}

impl Mark {
    pub const ALL_PLAIN: [Self; 31] = [
        Self::Room,
        Self::Part,
        Self::Bare,
        Self::Edge,
        Self::EdgeThin,
        Self::EdgeDouble,
        Self::EdgeOffered,
        Self::Gap,
        Self::GapUnseen,
        Self::GapExpected,
        Self::Hard,
        Self::Tick,
        Self::Arrow,
        Self::Ink,
        Self::Paper,
        Self::Body,
        Self::BodyDashed,
        Self::EdgeDashed,
        Self::Glass,
        Self::Shut,
        Self::Fitting,
        Self::Detail,
        Self::SwatheEdge,
        Self::Foot,
        Self::Leader,
        Self::SwathePart,
        Self::SpanEdge,
        Self::SpanBare,
        Self::SpanPart,
        Self::Swathe(Hatch::Clearance),
        Self::Span(Hatch::Clearance),
    ];

    /// Its class; hatched fills have none, their paint is an attribute, because
    /// a `url(#…)` in a separate style sheet would look there for the pattern.
    pub const fn class(self) -> &'static str {
        match self {
            Self::Part => "p",
            Self::Fill(_) => "",
            Self::Ground(hatch) => hatch.classes().0,
            Self::Ruling(hatch) => hatch.classes().1,
            Self::Bare => "b",
            Self::Edge => "k",
            Self::EdgeThin => "kt",
            Self::EdgeDouble => "kd",
            Self::EdgeOffered => "ko",
            Self::Gap => "g",
            Self::GapUnseen => "gs",
            Self::GapExpected => "gx",
            Self::Hard => "h",
            Self::Tick => "t",
            Self::Arrow => "a",
            Self::Ink => "i",
            Self::Paper => "w",
            Self::Body => "o",
            Self::BodyDashed => "od",
            Self::EdgeDashed => "oe",
            Self::Glass => "q",
            Self::Shut => "s",
            Self::Fitting => "f",
            Self::Detail => "d",
            Self::Swathe(_) => "z",
            Self::Span(_) => "zs",
            Self::SwathePart => "zp",
            Self::SpanPart => "zq",
            Self::SpanEdge => "zk",
            Self::SwatheEdge => "ze",
            Self::Foot => "zf",
            Self::Leader => "l",
            Self::SpanBare => "zb",
            Self::Room => "rm",
        }
    }

    /// The hatch it is painted with, and whether as a stroke.
    pub const fn hatch(self) -> Option<(Hatch, bool)> {
        match self {
            Self::Fill(hatch) => Some((hatch, false)),
            Self::Swathe(hatch) | Self::Span(hatch) => Some((hatch, true)),
            _ => None,
        }
    }
}
