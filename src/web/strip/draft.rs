//! A strip session under way: what was entered so far and not yet saved. It is
//! kept by the store after each entry, so that a flat battery, a reload or a
//! closed page loses nothing.

use crate::domain::body::{FittedBody, Span};
use crate::domain::card::Card;
use crate::domain::finding::{BareReport, ComponentReport, Finding, Place, Report, Source, Status};
use crate::domain::frame::{Point, Side};
use crate::domain::kind::{Bag, Kind};
use crate::web::findings::number::Numbers;
use crate::web::findings::session::Session;
use serde::{Deserialize, Serialize};

/// Entries of one session; a stripped car has some forty.
pub const MOST_ENTRIES: usize = 200;

/// Why a session by hearsay or from a drawing states nothing bare.
pub const BARE_NEEDS_A_LOOK: &str =
    "bare is only what was looked at with the trim off: the session has to be measured or seen";

/// A session and its entries.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Draft {
    pub session: Session,
    pub entries: Vec<Entry>,
}

/// One entry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    pub span: String,
    pub from_mm: f64,
    pub to_mm: f64,
    /// Set where a part lies beside the span: its two ends. Stations are then
    /// the nearest on it.
    #[serde(default)]
    pub points: Option<[Point; 2]>,
    pub stated: Stated,
    /// Set where it is said of the other side of entry so many (from 0), which
    /// nobody looked at.
    pub mirror_of: Option<usize>,
}

/// What an entry states.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stated {
    Part {
        kind: Kind,
        /// The part on the card it is the same as.
        same_as: Option<String>,
        radius_mm: Option<f64>,
        bag: Option<Bag>,
        belt_seat: Option<String>,
        uts_mpa: Option<f64>,
        thickness_mm: Option<f64>,
        layers: Option<u32>,
        #[serde(default)]
        perimeter_mm: Option<f64>,
        #[serde(default)]
        pressure_mpa: Option<f64>,
        #[serde(default)]
        volume_cm3: Option<f64>,
        #[serde(default)]
        gas: Option<String>,
    },
    Bare {
        depth: crate::domain::finding::Depth,
    },
}

/// Why an entry cannot be said of the other side as well.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum MirrorError {
    #[error("there is no such entry")]
    NoEntry,
    #[error("bare is only what was looked at: look at the other side and enter it there")]
    Bare,
    #[error("this is the other side already")]
    Mirrored,
    #[error("the other side is entered already")]
    Twice,
    #[error("this span has no other side")]
    NoOtherSide,
}

impl Draft {
    /// Says an entry of the other side too, as told: nobody looked there.
    pub fn mirror(&mut self, index: usize, body: &FittedBody) -> Result<(), MirrorError> {
        let entry = self.entries.get(index).ok_or(MirrorError::NoEntry)?;
        if entry.mirror_of.is_some() {
            return Err(MirrorError::Mirrored);
        }
        if self.entries.iter().any(|e| e.mirror_of == Some(index)) {
            return Err(MirrorError::Twice);
        }
        let other = entry.mirrored(index, body)?;
        self.entries.push(other);
        Ok(())
    }

    /// Takes the last entry back.
    pub fn undo(&mut self) -> Option<Entry> {
        self.entries.pop()
    }

    pub fn has_bare(&self) -> bool {
        self.entries.iter().any(Entry::is_bare)
    }

    /// The findings as the store takes them: it gives out the numbers.
    pub fn new_findings(&self) -> Vec<Finding> {
        let mut numbers = Numbers::left_to_the_store();
        let finding = |entry: &Entry| entry.finding(&self.session, &mut numbers);
        self.entries.iter().map(finding).collect()
    }

    /// The findings the session stands for, on a card as it is now.
    pub fn findings(&self, card: &Card) -> Vec<Finding> {
        let mut numbers = Numbers::after(&card.findings);
        let finding = |entry: &Entry| entry.finding(&self.session, &mut numbers);
        self.entries.iter().map(finding).collect()
    }

    /// The card as it would be with the session saved; bare findings counted
    /// as confirmed, so that what they would change can be seen.
    pub fn on(&self, card: &Card) -> Card {
        let mut with = card.clone();
        let accepted = |f: Finding| Finding {
            status: Status::Accepted,
            ..f
        };
        with.findings
            .extend(self.findings(card).into_iter().map(accepted));
        with
    }
}

impl Entry {
    pub fn is_bare(&self) -> bool {
        matches!(self.stated, Stated::Bare { .. })
    }

    /// An entry from a statement read from a form. `beside` is the span that a
    /// part by two points lies beside.
    pub fn of(report: Report, new_component: &str, beside: &Span) -> Self {
        match report {
            Report::Bare(bare) => Self {
                span: bare.span,
                from_mm: bare.from_mm,
                to_mm: bare.to_mm,
                points: None,
                stated: Stated::Bare { depth: bare.depth },
                mirror_of: None,
            },
            Report::Component(part) => Self::of_part(part, new_component, beside),
        }
    }

    fn of_part(part: ComponentReport, new_component: &str, beside: &Span) -> Self {
        let (span, stations, points) = match part.place {
            Place::OnSpan {
                span,
                from_mm,
                to_mm,
            } => (span, [from_mm, to_mm], None),
            Place::Points(ends) => {
                let [a, b] = ends.map(|end| beside.line.nearest(end));
                (beside.id.to_string(), [a.min(b), a.max(b)], Some(ends))
            }
        };
        Self {
            span,
            from_mm: stations[0],
            to_mm: stations[1],
            points,
            stated: Stated::Part {
                kind: part.kind,
                same_as: (part.component != new_component).then_some(part.component),
                radius_mm: part.radius_mm,
                bag: part.bag,
                belt_seat: part.belt_seat,
                uts_mpa: part.steel.uts_mpa,
                thickness_mm: part.steel.thickness_mm,
                layers: part.steel.layers,
                perimeter_mm: part.steel.perimeter_mm,
                pressure_mpa: part.gas.pressure_mpa,
                volume_cm3: part.gas.volume_cm3,
                gas: part.gas.gas,
            },
            mirror_of: None,
        }
    }

    fn mirrored(&self, index: usize, body: &FittedBody) -> Result<Self, MirrorError> {
        let here = body.span(&self.span).ok_or(MirrorError::NoOtherSide)?;
        let (span, from_mm, to_mm) = if here.side == Side::Centre {
            let whole = here.line.length();
            (self.span.clone(), whole - self.to_mm, whole - self.from_mm)
        } else {
            (other_side(&self.span), self.from_mm, self.to_mm)
        };
        let stated = self.stated.mirrored()?;
        body.span(&span).ok_or(MirrorError::NoOtherSide)?;
        Ok(Self {
            span,
            from_mm,
            to_mm,
            points: self.points.map(|ends| ends.map(Point::mirrored)),
            stated,
            mirror_of: Some(index),
        })
    }

    fn place(&self) -> Place {
        match self.points {
            Some(ends) => Place::Points(ends),
            None => Place::OnSpan {
                span: self.span.clone(),
                from_mm: self.from_mm,
                to_mm: self.to_mm,
            },
        }
    }

    fn finding(&self, session: &Session, numbers: &mut Numbers) -> Finding {
        let told = self.mirror_of.is_some();
        Finding {
            id: numbers.finding(),
            report: self.report(numbers),
            source: if told { Source::Told } else { session.source },
            within_mm: session.within_mm.filter(|_| !told),
            observed_on: session.observed_on,
            by: Some(session.by.clone()),
            car: session.car.clone().filter(|_| !told),
            observed: session.observed(),
            status: match self.stated {
                Stated::Part { .. } => Status::Accepted,
                Stated::Bare { .. } => Status::Offered,
            },
            note: told.then(|| "said of the other side, which nobody looked at".to_owned()),
            supersedes: None,
            reason: None,
        }
    }

    fn report(&self, numbers: &mut Numbers) -> Report {
        use crate::domain::finding::{Gas, Steel};
        match &self.stated {
            Stated::Bare { depth } => Report::Bare(BareReport {
                span: self.span.clone(),
                from_mm: self.from_mm,
                to_mm: self.to_mm,
                depth: *depth,
                resolved: None,
            }),
            Stated::Part {
                kind,
                same_as,
                radius_mm,
                bag,
                belt_seat,
                uts_mpa,
                thickness_mm,
                layers,
                perimeter_mm,
                pressure_mpa,
                volume_cm3,
                gas,
            } => Report::Component(ComponentReport {
                component: same_as.clone().unwrap_or_else(|| numbers.component()),
                kind: *kind,
                place: self.place(),
                radius_mm: *radius_mm,
                bag: *bag,
                belt_seat: belt_seat.clone(),
                steel: Steel {
                    uts_mpa: *uts_mpa,
                    thickness_mm: *thickness_mm,
                    layers: *layers,
                    perimeter_mm: *perimeter_mm,
                },
                gas: Gas {
                    pressure_mpa: *pressure_mpa,
                    volume_cm3: *volume_cm3,
                    gas: gas.clone(),
                },
            }),
        }
    }
}

impl Stated {
    /// Said of the other side: a part of its own there.
    fn mirrored(&self) -> Result<Self, MirrorError> {
        let mut other = self.clone();
        let Self::Part {
            same_as,
            bag,
            belt_seat,
            ..
        } = &mut other
        else {
            return Err(MirrorError::Bare);
        };
        *same_as = None;
        // Driver and passenger are not each other's mirror image.
        *bag = bag.filter(|b| !matches!(b, Bag::Driver | Bag::Passenger));
        *belt_seat = belt_seat.as_deref().map(other_side);
        Ok(other)
    }
}

/// `b-pillar.left` ↔ `b-pillar.right`, `front-left` ↔ `front-right`.
fn other_side(id: &str) -> String {
    match (id.strip_suffix("left"), id.strip_suffix("right")) {
        (Some(stem), _) => format!("{stem}right"),
        (_, Some(stem)) => format!("{stem}left"),
        _ => id.to_owned(),
    }
}
