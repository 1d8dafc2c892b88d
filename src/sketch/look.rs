//! Colours by role, in three looks, and the style sheet made of them. Colour is
//! never the only sign, and there is no green: green reads as go.

use super::mark::Mark;
use super::text::Face;
use crate::domain::vehicle::words;
use std::fmt::Write;

words! {
    /// Where a drawing is seen. Print is black on white, for paper and copies of it.
    Look { Light = "light", Dark = "dark", Print = "print" }
}

#[expect(
    clippy::derivable_impls,
    reason = "the words macro declares the variants"
)]
impl Default for Look {
    fn default() -> Self {
        Self::Light
    }
}

/// What a colour stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    Paper,
    Ink,
    Soft,
    Hairline,
    NoCut,
    NoCutGround,
    Expected,
    ExpectedGround,
    Unseen,
    UnseenGround,
    Bare,
    Gap,
    Glass,
}

impl Role {
    pub const ALL: [Self; 13] = [
        Self::Paper,
        Self::Ink,
        Self::Soft,
        Self::Hairline,
        Self::NoCut,
        Self::NoCutGround,
        Self::Expected,
        Self::ExpectedGround,
        Self::Unseen,
        Self::UnseenGround,
        Self::Bare,
        Self::Gap,
        Self::Glass,
    ];

    /// Name of its custom property on a page.
    const fn property(self) -> &'static str {
        match self {
            Self::Paper => "--k-paper",
            Self::Ink => "--k-ink",
            Self::Soft => "--k-soft",
            Self::Hairline => "--k-hair",
            Self::NoCut => "--k-no",
            Self::NoCutGround => "--k-nog",
            Self::Expected => "--k-exp",
            Self::ExpectedGround => "--k-expg",
            Self::Unseen => "--k-un",
            Self::UnseenGround => "--k-ung",
            Self::Bare => "--k-bare",
            Self::Gap => "--k-gap",
            Self::Glass => "--k-glass",
        }
    }
}

impl Look {
    pub const fn colour(self, role: Role) -> &'static str {
        let [light, dark, print] = match role {
            Role::Paper => ["#FBFAF6", "#14181C", "#FFFFFF"],
            Role::Ink => ["#1C2126", "#F1EFE9", "#000000"],
            Role::Soft => ["#59626B", "#A9B3BC", "#333333"],
            Role::Hairline => ["#7E868E", "#76818B", "#555555"],
            Role::NoCut => ["#8A1538", "#FF9DB4", "#000000"],
            Role::NoCutGround => ["#F3D9DF", "#43131F", "#FFFFFF"],
            Role::Expected => ["#7A5200", "#F2C265", "#000000"],
            Role::ExpectedGround => ["#F6E7C6", "#382A0C", "#FFFFFF"],
            Role::Unseen => ["#5B6670", "#B3BDC6", "#000000"],
            Role::UnseenGround => ["#E4E7EA", "#272E35", "#FFFFFF"],
            Role::Bare => ["#FFFFFF", "#0B0E11", "#FFFFFF"],
            Role::Gap => ["#1F4E79", "#8DC1F2", "#000000"],
            Role::Glass => ["#E9EEF1", "#1F2830", "#FFFFFF"],
        };
        match self {
            Self::Light => light,
            Self::Dark => dark,
            Self::Print => print,
        }
    }

    /// The style sheet of a drawing that stands alone, paper included.
    pub fn style_sheet(self) -> String {
        let rules = rules("", |role| self.colour(role).to_owned());
        format!("{rules}.bg{{fill:{}}}", self.colour(Role::Paper))
    }
}

/// The style sheet of drawings inside a page: the same classes under `.k`, the
/// colours as custom properties that follow the reader's scheme and the printer.
pub fn page_style_sheet() -> String {
    let mut css = String::new();
    for (open, look, close) in [
        (":root{", Look::Light, "}\n"),
        (
            "@media(prefers-color-scheme:dark){:root{",
            Look::Dark,
            "}}\n",
        ),
        ("@media print{:root{", Look::Print, "}}\n"),
    ] {
        css.push_str(open);
        for role in Role::ALL {
            write!(css, "{}:{};", role.property(), look.colour(role)).expect("strings take text");
        }
        css.push_str(close);
    }
    css + &rules(".k ", |role| format!("var({})", role.property()))
}

fn rules(prefix: &str, colour: impl Fn(Role) -> String) -> String {
    let mut css = String::new();
    let mut rule = |class: &str, body: String| {
        writeln!(css, "{prefix}.{class}{{{body}}}").expect("strings take text");
    };
    for face in Face::ALL {
        rule(face_class(face), face_rule(face, &colour));
    }
    rule("m", "text-anchor:middle".into());
    rule("r", "text-anchor:end".into());
    for mark in Mark::ALL_PLAIN {
        rule(mark.class(), mark_rule(mark, &colour));
    }
    for (class, role) in [
        ("gn", Role::NoCutGround),
        ("ge", Role::ExpectedGround),
        ("gu", Role::UnseenGround),
    ] {
        rule(class, format!("fill:{}", colour(role)));
    }
    for (class, role, width) in [("ln", Role::NoCut, "1.4"), ("lu", Role::Unseen, "1.4")] {
        rule(
            class,
            format!("fill:none;stroke:{};stroke-width:{width}", colour(role)),
        );
    }
    rule(
        "le",
        format!(
            "fill:none;stroke:{};stroke-width:3;stroke-linecap:round",
            colour(Role::Expected)
        ),
    );
    rule("x", "fill:none;pointer-events:all".into());
    css
}

/// Class of a face.
pub const fn face_class(face: Face) -> &'static str {
    match face {
        Face::Name => "N",
        Face::Word => "W",
        Face::Figure => "F",
        Face::GapFigure => "G",
        Face::Note => "O",
        Face::Small => "S",
        Face::Cell => "C",
    }
}

fn face_rule(face: Face, colour: &impl Fn(Role) -> String) -> String {
    let role = match face {
        Face::GapFigure => Role::Gap,
        Face::Small => Role::Soft,
        _ => Role::Ink,
    };
    let weight = if face.bold() { ";font-weight:700" } else { "" };
    format!("font-size:{}px;fill:{}{weight}", face.size(), colour(role))
}

/// A line with round ends and joins, its width an attribute.
const ROUND: &str = "fill:none;stroke-linecap:round;stroke-linejoin:round";

fn mark_rule(mark: Mark, colour: &impl Fn(Role) -> String) -> String {
    let line = |role: Role, width: &str, more: &str| {
        format!(
            "fill:none;stroke:{};stroke-width:{width}{more}",
            colour(role)
        )
    };
    let area = |fill: Role, stroke: Role, width: &str, more: &str| {
        format!(
            "fill:{};stroke:{};stroke-width:{width}{more}",
            colour(fill),
            colour(stroke)
        )
    };
    match mark {
        Mark::Part => format!("fill:{}", colour(Role::NoCut)),
        Mark::Bare => format!("fill:{}", colour(Role::Bare)),
        Mark::Edge => line(Role::Ink, "2", ""),
        Mark::EdgeThin | Mark::EdgeDouble => line(Role::Ink, "1.3", ""),
        Mark::EdgeOffered => line(Role::Ink, "2.2", ";stroke-dasharray:5 3"),
        Mark::Gap => line(Role::Gap, "2.4", ""),
        Mark::GapUnseen => line(Role::Gap, "1.8", ";stroke-dasharray:5 3"),
        Mark::GapExpected => line(Role::Gap, "2", ";stroke-dasharray:2 2.5"),
        Mark::Hard => line(Role::Ink, "4", ";stroke-dasharray:3 2"),
        Mark::Tick => line(Role::Hairline, "1.3", ""),
        Mark::Arrow => line(Role::Ink, "1.8", ""),
        Mark::Ink => format!("fill:{}", colour(Role::Ink)),
        Mark::Paper => area(Role::Paper, Role::Ink, "1.3", ""),
        Mark::Body => area(Role::Bare, Role::Ink, "2.2", ";stroke-linejoin:round"),
        Mark::BodyDashed => area(
            Role::Bare,
            Role::Ink,
            "2.2",
            ";stroke-linejoin:round;stroke-dasharray:7 4",
        ),
        Mark::EdgeDashed => line(
            Role::Ink,
            "2.2",
            ";stroke-linejoin:round;stroke-dasharray:7 4",
        ),
        Mark::Glass => area(Role::Glass, Role::Soft, "1.3", ";stroke-linejoin:round"),
        Mark::Shut => line(Role::Soft, "1.3", ""),
        Mark::Fitting => line(Role::Soft, "1.6", ";stroke-linejoin:round"),
        Mark::Detail => line(Role::Hairline, "1.3", ""),
        // The classes of a hatch's ground and lines are written by themselves.
        Mark::Fill(_) | Mark::Ground(_) | Mark::Ruling(_) => String::new(),
        Mark::Swathe(_) => ROUND.into(),
        Mark::Span(_) => "fill:none;stroke-linejoin:round".into(),
        Mark::SwathePart => format!("{ROUND};stroke:{}", colour(Role::NoCut)),
        Mark::SwatheEdge | Mark::Foot => format!("{ROUND};stroke:{}", colour(Role::Ink)),
        Mark::Leader => line(Role::Ink, "1.3", ""),
        Mark::Room => line(
            Role::Ink,
            "2.2",
            ";stroke-linecap:round;stroke-dasharray:.1 4.6",
        ),
        Mark::SpanPart => format!(
            "fill:none;stroke:{};stroke-linejoin:round",
            colour(Role::NoCut)
        ),
        Mark::SpanEdge => format!(
            "fill:none;stroke:{};stroke-linejoin:round",
            colour(Role::Ink)
        ),
        Mark::SpanBare => format!(
            "fill:none;stroke:{};stroke-linejoin:round",
            colour(Role::Bare)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.2 relative luminance.
    fn luminance(hex: &str) -> f64 {
        let channel = |i: usize| {
            let c = f64::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap()) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn the_formula_gives_the_known_ends() {
        assert!((contrast("#000000", "#FFFFFF") - 21.0).abs() < 1e-9);
        assert!((contrast("#777777", "#FFFFFF") - 4.48).abs() < 0.01);
    }

    #[test]
    fn words_have_four_and_a_half_to_one_and_marks_three_to_one() {
        for look in Look::ALL {
            for (front, ground, least) in [
                (Role::Ink, Role::Paper, 7.0),
                (Role::Soft, Role::Paper, 4.5),
                (Role::Gap, Role::Paper, 4.5),
                (Role::Hairline, Role::Paper, 3.0),
                (Role::NoCut, Role::NoCutGround, 4.5),
                (Role::NoCut, Role::Paper, 4.5),
                (Role::Expected, Role::ExpectedGround, 4.5),
                (Role::Unseen, Role::UnseenGround, 4.5),
                (Role::Ink, Role::Bare, 7.0),
                (Role::Ink, Role::Glass, 7.0),
                (Role::Soft, Role::Glass, 4.5),
                (Role::Soft, Role::Bare, 4.5),
                (Role::Hairline, Role::Bare, 3.0),
            ] {
                let ratio = contrast(look.colour(front), look.colour(ground));
                assert!(
                    ratio >= least,
                    "{look:?}: {front:?} on {ground:?} is {ratio:.2}"
                );
            }
        }
    }

    #[test]
    fn no_role_is_green() {
        for look in Look::ALL {
            for role in Role::ALL {
                let hex = look.colour(role);
                let [r, g, b] =
                    [1, 3, 5].map(|i| i16::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap()));
                assert!(g <= r.max(b) + 6, "{look:?} {role:?} {hex} leans to green");
            }
        }
    }
}
