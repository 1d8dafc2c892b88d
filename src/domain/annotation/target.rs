//! What a note is about: the whole card, a station, a place or an arrow on a
//! picture of the car, or a finding.

use crate::domain::body::FittedBody;
use crate::domain::finding::Finding;
use crate::domain::vehicle::words;

words! {
    /// A picture of the car that a note can be put on.
    Picture { Left = "left", Right = "right", Top = "top", Front = "front" }
}

/// A place on a picture, mm in the car's frame along the picture's two axes
/// ([`Picture::axes`]).
pub type Spot = [f64; 2];

impl Picture {
    /// Coordinates a place may have, mm.
    pub const SPOT_MM: std::ops::RangeInclusive<f64> = -10_000.0..=10_000.0;

    /// The two axes in words: from where, and which way.
    pub const fn axes(self) -> [&'static str; 2] {
        match self {
            Self::Left | Self::Right => ["Behind the front axle", "Above the ground"],
            Self::Top => ["Behind the front axle", "Right of the middle"],
            Self::Front => ["Right of the middle", "Above the ground"],
        }
    }
}

/// What a note is about.
#[derive(Debug, Clone, PartialEq)]
pub enum Target {
    Card,
    /// From the span's foot.
    Station {
        span: String,
        at_mm: f64,
    },
    Place {
        picture: Picture,
        at_mm: Spot,
    },
    /// From its tail to its head.
    Arrow {
        picture: Picture,
        from_mm: Spot,
        to_mm: Spot,
        label: String,
    },
    /// A finding, by its id.
    Finding(String),
}

/// Why a note cannot be about that.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TargetError {
    #[error("this body style has no pillar, rail or sill {span}")]
    NoSuchSpan { span: String },
    #[error("the {name} ends at {length_mm:.0} mm from its foot: enter 0 to {length_mm:.0} mm")]
    BeyondSpan { name: String, length_mm: f64 },
    #[error("there is no finding {id} on this card")]
    NoSuchFinding { id: String },
    #[error("that is far off the car: enter -10000 to 10000 mm")]
    OffPicture,
    #[error("the arrow has no length: its head has to be elsewhere than its tail")]
    NoLength,
}

impl Target {
    /// Whether the card has what this is about.
    ///
    /// # Errors
    /// What it lacks.
    pub fn check(&self, body: &FittedBody, findings: &[Finding]) -> Result<(), TargetError> {
        match self {
            Self::Card => Ok(()),
            Self::Station { span, at_mm } => {
                let no_such = || TargetError::NoSuchSpan { span: span.clone() };
                let span = body.span(span).ok_or_else(no_such)?;
                let length_mm = span.line.length();
                match (0.0..=length_mm).contains(at_mm) {
                    true => Ok(()),
                    false => Err(TargetError::BeyondSpan {
                        name: span.name.to_string(),
                        length_mm,
                    }),
                }
            }
            Self::Place { at_mm, .. } => on_picture(*at_mm),
            Self::Arrow { from_mm, to_mm, .. } => {
                on_picture(*from_mm)?;
                on_picture(*to_mm)?;
                match from_mm == to_mm {
                    true => Err(TargetError::NoLength),
                    false => Ok(()),
                }
            }
            Self::Finding(id) => match findings.iter().any(|f| f.id == *id) {
                true => Ok(()),
                false => Err(TargetError::NoSuchFinding { id: id.clone() }),
            },
        }
    }

    /// The picture it is put on, if it is.
    pub fn picture(&self) -> Option<Picture> {
        match self {
            Self::Place { picture, .. } | Self::Arrow { picture, .. } => Some(*picture),
            Self::Card | Self::Station { .. } | Self::Finding(_) => None,
        }
    }
}

fn on_picture(spot: Spot) -> Result<(), TargetError> {
    match spot.iter().all(|mm| Picture::SPOT_MM.contains(mm)) {
        true => Ok(()),
        false => Err(TargetError::OffPicture),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::body::{Measured, StyleId, fit, style};

    fn refused(target: &Target) -> Option<TargetError> {
        let body = fit(style(StyleId::Sedan), &Measured::default()).unwrap();
        target.check(&body, &[]).err()
    }

    #[test]
    fn a_note_is_about_what_the_card_has() {
        let at = |span: &str, at_mm| Target::Station {
            span: span.to_owned(),
            at_mm,
        };
        assert_eq!(refused(&Target::Card), None);
        assert_eq!(refused(&at("b-pillar.left", 0.0)), None);
        let beyond = refused(&at("b-pillar.left", 9_000.0)).unwrap();
        assert!(beyond.to_string().contains("enter 0 to"), "{beyond}");
        assert!(refused(&at("b-pillar.left", f64::NAN)).is_some());
        assert!(refused(&at("q-pillar.left", 10.0)).is_some());
        assert!(refused(&Target::Finding("f1".to_owned())).is_some());
    }

    #[test]
    fn an_arrow_lies_on_the_picture_and_has_a_length() {
        let arrow = |from_mm, to_mm| Target::Arrow {
            picture: Picture::Left,
            from_mm,
            to_mm,
            label: "wiring".to_owned(),
        };
        assert_eq!(refused(&arrow([0.0, 0.0], [900.0, 400.0])), None);
        let same = arrow([5.0, 5.0], [5.0, 5.0]);
        assert_eq!(refused(&same), Some(TargetError::NoLength));
        let off = arrow([0.0, f64::INFINITY], [1.0, 1.0]);
        assert_eq!(refused(&off), Some(TargetError::OffPicture));
    }
}
