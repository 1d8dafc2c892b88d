//! What a new note is about: read from the form, and offered on it.

use super::words::seen;
use crate::domain::annotation::{MOST_LABEL, Picture, Spot, Target, TargetError};
use crate::domain::body::FittedBody;
use crate::domain::card::Card;
use crate::domain::units::Unit;
use crate::domain::vehicle::words;
use crate::web::figures;
use crate::web::findings::{in_words, read::End};
use crate::web::form::Choice;
use crate::web::typed::{Asked, Typed};

words! {
    /// What a note can be about.
    About {
        Card = "card", Station = "station", Place = "place", Arrow = "arrow", Finding = "finding",
    }
}

impl About {
    pub const fn name(self) -> &'static str {
        match self {
            Self::Card => "The whole card",
            Self::Station => "A station",
            Self::Place => "A place on the car",
            Self::Arrow => "An arrow",
            Self::Finding => "A finding",
        }
    }
}

pub const SPAN: Asked<'static> = Asked::new("span", "Pillar, rail or sill");
pub const AT: Asked<'static> = Asked::new("at", "Station");
pub const END: Asked<'static> = Asked::new("end", "Counted from");
pub const VIEW: Asked<'static> = Asked::new("view", "Seen");
/// The place, or where the arrow points.
pub const SPOT: [Asked<'static>; 2] = [
    Asked::new("spot_a", "First measure of the place"),
    Asked::new("spot_b", "Second measure of the place"),
];
/// Where the arrow begins.
pub const TAIL: [Asked<'static>; 2] = [
    Asked::new("tail_a", "First measure of the arrow’s tail"),
    Asked::new("tail_b", "Second measure of the arrow’s tail"),
];
pub const LABEL: Asked<'static> = Asked::new("label", "Label");
pub const FINDING: Asked<'static> = Asked::new("finding", "Finding");

/// Reads it; every fault is beside its field.
pub fn read_about(
    typed: &mut Typed,
    about: About,
    body: &FittedBody,
    card: &Card,
) -> Option<Target> {
    let target = match about {
        About::Card => Target::Card,
        About::Station => read_station(typed, body)?,
        About::Place => {
            let picture = typed.required_word(VIEW, Picture::from_word);
            let at_mm = read_spot(typed, SPOT);
            Target::Place {
                picture: picture?,
                at_mm: at_mm?,
            }
        }
        About::Arrow => read_arrow(typed)?,
        About::Finding => {
            let id = typed.required_text(FINDING, 64, "choose the finding it is about")?;
            Target::Finding(id)
        }
    };
    match target.check(body, &card.findings) {
        Ok(()) => Some(target),
        Err(error) => {
            let field = match &error {
                TargetError::NoSuchSpan { .. } => SPAN,
                TargetError::BeyondSpan { .. } => AT,
                TargetError::NoSuchFinding { .. } => FINDING,
                TargetError::OffPicture => SPOT[0],
                TargetError::NoLength => TAIL[0],
            };
            typed.refuse(field, error.to_string());
            None
        }
    }
}

fn unit() -> Unit {
    figures::first().unit()
}

fn read_station(typed: &mut Typed, body: &FittedBody) -> Option<Target> {
    let span = typed.required_text(SPAN, 64, "choose one");
    let at = match typed.value(AT.name).trim().is_empty() {
        true => {
            typed.refuse(AT, "enter how far from the end it is, for example 300 mm");
            None
        }
        false => typed.required_length(AT, unit()),
    };
    let end = typed.word(END, End::from_word).unwrap_or(End::Foot);
    let (span, at) = (span?, at?);
    let length = body.span(&span).map(|s| s.line.length());
    let at_mm = match (end, length) {
        (End::Head, Some(length)) => length - at,
        _ => at,
    };
    Some(Target::Station { span, at_mm })
}

fn read_spot(typed: &mut Typed, fields: [Asked<'_>; 2]) -> Option<Spot> {
    let [a, b] = fields.map(|field| match typed.value(field.name).trim().is_empty() {
        true => {
            typed.refuse(field, "touch the picture, or enter a length");
            None
        }
        false => signed_length(typed, field),
    });
    Some([a?, b?])
}

/// A length that may be before the axle or left of the middle.
fn signed_length(typed: &mut Typed, field: Asked<'_>) -> Option<f64> {
    let text = typed.value(field.name).trim().to_owned();
    let Some(rest) = text.strip_prefix(['-', '−']) else {
        return typed.required_length(field, unit());
    };
    match crate::domain::units::parse_length(rest, unit()) {
        Ok(mm) => Some(-mm),
        Err(error) => {
            typed.refuse(field, error.to_string());
            None
        }
    }
}

fn read_arrow(typed: &mut Typed) -> Option<Target> {
    let picture = typed.required_word(VIEW, Picture::from_word);
    let to_mm = read_spot(typed, SPOT);
    let from_mm = read_spot(typed, TAIL);
    let ask = "enter a word or two for the drawing";
    let label = typed.required_text(LABEL, MOST_LABEL, ask);
    if label.as_ref().is_some_and(|l| l.contains('\n')) {
        typed.refuse(LABEL, "one line, for the drawing");
        return None;
    }
    Some(Target::Arrow {
        picture: picture?,
        from_mm: from_mm?,
        to_mm: to_mm?,
        label: label?,
    })
}

/// Pictures to choose from.
pub fn pictures() -> Vec<Choice> {
    let choice = |p: &Picture| Choice::new(p.word(), seen(*p));
    Picture::ALL.iter().map(choice).collect()
}

/// Findings to choose from, newest first.
pub fn findings(card: &Card, body: &FittedBody) -> Vec<Choice> {
    let choice = |f: &crate::domain::finding::Finding| {
        Choice::new(f.id.clone(), format!("{}: {}", f.id, in_words(f, body)))
    };
    card.findings.iter().rev().map(choice).collect()
}
