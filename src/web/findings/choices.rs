//! What can be chosen when a finding is entered: spans, kinds, bags, seats, and
//! the parts already on the card.

use super::beside::{Across, Along, Plumb, Where};
use super::read::{self, End, What};
use crate::domain::body::FittedBody;
use crate::domain::card::Card;
use crate::domain::finding::{Depth, Place, Report, Source};
use crate::domain::frame::Side;
use crate::domain::kind::{Bag, Kind};
use crate::domain::units::{Unit, length};
use crate::sketch::figures::Range;
use crate::web::figures::short_range;
use crate::web::form::Choice;
use crate::web::say;
use crate::web::typed::{Asked, Typed};
use std::collections::BTreeMap;

/// Choices under one heading.
pub struct Group {
    pub label: &'static str,
    pub choices: Vec<Choice>,
    /// Whether it stands open: one of its choices is taken, or it comes first.
    pub open: bool,
}

/// Everything the fields of an entry offer.
pub struct EntryChoices {
    pub spans: Vec<Group>,
    pub kinds: Vec<Group>,
    pub wheres: Vec<Choice>,
    pub across: Vec<Choice>,
    pub along: Vec<Choice>,
    pub plumb: Vec<Choice>,
    pub bags: Vec<Choice>,
    pub seats: Vec<Choice>,
    pub known: Vec<Choice>,
    pub ends: Vec<Choice>,
    pub whats: Vec<Choice>,
    pub depths: Vec<Choice>,
}

/// Kinds as a member looks for them, the commonest first.
const KINDS: [(&str, &[Kind]); 4] = [
    (
        "Belts and bags",
        &[
            Kind::Pretensioner,
            Kind::Inflator,
            Kind::GasCylinder,
            Kind::Cushion,
            Kind::ControlUnit,
            Kind::CrashSensor,
            Kind::RolloverActuator,
            Kind::ColumnActuator,
            Kind::HoodActuator,
        ],
    ),
    (
        "Body",
        &[
            Kind::Reinforcement,
            Kind::GasStrut,
            Kind::LatchRelease,
            Kind::Magnesium,
            Kind::Composite,
        ],
    ),
    (
        "High voltage",
        &[
            Kind::HvCable,
            Kind::HvPart,
            Kind::HvBattery,
            Kind::HvDisconnect,
            Kind::HvCutoffCharge,
            Kind::Ultracapacitor,
        ],
    ),
    (
        "Batteries and fuel",
        &[
            Kind::Battery12v,
            Kind::CutLoop,
            Kind::Battery48v,
            Kind::FuelLine,
            Kind::FuelTank,
            Kind::FuelGasLine,
            Kind::FuelGasTank,
        ],
    ),
];

impl EntryChoices {
    pub fn of(body: &FittedBody, card: &Card, unit: Unit, typed: &Typed) -> Self {
        let named = |id: &str, name: &str| Choice::new(id, name);
        Self {
            spans: spans(body, unit),
            kinds: kinds(typed),
            wheres: vec![
                named(Where::On.word(), "on it"),
                named(Where::Beside.word(), "beside it"),
            ],
            across: words(Across::ALL, Across::word),
            along: words(Along::ALL, Along::word),
            plumb: words(Plumb::ALL, Plumb::word),
            bags: Bag::ALL
                .iter()
                .map(|b| named(b.word(), &b.word().replace('-', " ")))
                .collect(),
            seats: body
                .style
                .seats
                .iter()
                .map(|s| named(&s.id, &s.name))
                .collect(),
            known: known_parts(body, card),
            ends: vec![
                named(End::Foot.word(), "its foot"),
                named(End::Head.word(), "its head"),
            ],
            whats: vec![
                named(What::Part.word(), "a part"),
                named(What::Bare.word(), "bare"),
            ],
            depths: vec![
                named(Depth::Skin.word(), "skin: near face seen"),
                named(Depth::Through.word(), "through: into the section as well"),
            ],
        }
    }
}

fn words<T: Copy>(all: &[T], word: fn(T) -> &'static str) -> Vec<Choice> {
    let choice = |value: &T| Choice::new(word(*value), word(*value));
    all.iter().map(choice).collect()
}

fn spans(body: &FittedBody, unit: Unit) -> Vec<Group> {
    let sides = [
        (Side::Left, "Left"),
        (Side::Right, "Right"),
        (Side::Centre, "Across and middle"),
    ];
    let group = |(side, label): (Side, &'static str)| Group {
        label,
        open: true,
        choices: body
            .spans
            .iter()
            .filter(|s| s.side == side)
            .map(|s| {
                let long = length(s.line.length(), unit);
                Choice::new(s.id.clone(), format!("{}, {long} long", s.name))
            })
            .collect(),
    };
    sides.into_iter().map(group).collect()
}

fn kinds(typed: &Typed) -> Vec<Group> {
    let taken = typed.value(read::KIND.name);
    let mut groups: Vec<Group> = KINDS
        .iter()
        .map(|(label, kinds)| Group {
            label,
            open: kinds.iter().any(|k| k.word() == taken),
            choices: kinds
                .iter()
                .map(|k| Choice::new(k.word(), k.name()))
                .collect(),
        })
        .collect();
    if !groups.iter().any(|g| g.open) {
        groups[0].open = true;
    }
    groups
}

/// The card's parts by id, each with its kind and the spans it was found on.
fn known_parts(body: &FittedBody, card: &Card) -> Vec<Choice> {
    let mut parts: BTreeMap<&str, String> = BTreeMap::new();
    for finding in card.findings.iter().filter(|f| f.acts()) {
        if let Report::Component(part) = &finding.report {
            let place = match &part.place {
                Place::OnSpan {
                    span,
                    from_mm,
                    to_mm,
                } => format!("{span}, {}", short_range(Range::outward(*from_mm, *to_mm))),
                place @ Place::Points(_) => say::place_short(place, body),
            };
            parts
                .entry(&part.component)
                .or_insert_with(|| format!("{}: {}, {place}", part.component, part.kind.name()));
        }
    }
    let choice = |(id, label)| Choice::new(id, label);
    parts.into_iter().map(choice).collect()
}

/// Folds of the form that stand open: something in them is typed or at fault.
pub struct Folds {
    pub bag: bool,
    pub belt: bool,
    pub gas: bool,
    pub steel: bool,
    pub same: bool,
}

impl Folds {
    pub fn of(typed: &Typed) -> Self {
        let used = |all: &[Asked<'_>]| {
            let mut all = all.iter();
            all.any(|f| !typed.value(f.name).is_empty() || typed.fault(f.name).is_some())
        };
        Self {
            bag: used(&[read::BAG]),
            belt: used(&[read::BELT_SEAT]),
            gas: used(&[read::PRESSURE, read::VOLUME, read::GAS]),
            steel: used(&[read::UTS, read::SHEET, read::LAYERS, read::ROUND]),
            same: used(&[read::SAME_AS]),
        }
    }
}

/// The attribute of a kind's key that says what is asked of it, so that the
/// page shows no more.
pub fn asks(kind: &Choice) -> Asks {
    Asks(Kind::from_word(&kind.value).map_or(Vec::new(), read::asked_of))
}

/// Written as ` data-asks="bag gas"`: our own words alone.
pub struct Asks(Vec<&'static str>);

impl std::fmt::Display for Asks {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, " data-asks=\"{}\"", self.0.join(" "))
    }
}

impl askama::filters::HtmlSafe for Asks {}

/// Sources of a finding with what each means.
pub fn sources() -> Vec<Choice> {
    let choice = |s: &Source| {
        let bound = s.bound_mm();
        Choice::new(s.word(), format!("{s}: {} (±{bound:.0} mm)", s.meaning()))
    };
    Source::ALL.iter().map(choice).collect()
}
