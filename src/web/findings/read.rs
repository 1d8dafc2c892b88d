//! One statement from what was typed: a part or a bare stretch on a span, or a
//! part beside one.

use super::beside::{WHERE, Where, fill_points, read_points};
use crate::domain::body::FittedBody;
use crate::domain::finding::{BareReport, ComponentReport, Depth, Gas, Place, Report, Steel};
use crate::domain::kind::{Bag, Kind, KindClass};
use crate::domain::units::{Unit, length};
use crate::domain::vehicle::words;
use crate::web::typed::{Asked, Typed};

words! {
    /// The end of a span that stations are taken from.
    End { Foot = "foot", Head = "head" }
}

words! {
    /// What a finding states.
    What { Part = "part", Bare = "bare" }
}

pub const WHAT: Asked<'static> = Asked::new("what", "What was found");
pub const SPAN: Asked<'static> = Asked::new("span", "Span");
pub const END: Asked<'static> = Asked::new("end", "Taken from");
pub const FROM: Asked<'static> = Asked::new("from", "From");
pub const TO: Asked<'static> = Asked::new("to", "To");
pub const KIND: Asked<'static> = Asked::new("kind", "Kind");
pub const ACROSS: Asked<'static> = Asked::new("across", "Thickness across");
pub const BAG: Asked<'static> = Asked::new("bag", "Which bag");
pub const BELT_SEAT: Asked<'static> = Asked::new("belt_seat", "Belt of seat");
pub const SAME_AS: Asked<'static> = Asked::new("same_as", "Same part as");
pub const DEPTH: Asked<'static> = Asked::new("depth", "How deep");
pub const UTS: Asked<'static> = Asked::new("uts_mpa", "Strength, MPa");
pub const LAYERS: Asked<'static> = Asked::new("layers", "Layers");
pub const SHEET: Asked<'static> = Asked::new("sheet", "Sheet thickness");
pub const ROUND: Asked<'static> = Asked::new("perimeter", "Round the section");
pub const PRESSURE: Asked<'static> = Asked::new("pressure_mpa", "Pressure, MPa");
pub const VOLUME: Asked<'static> = Asked::new("volume_cm3", "Volume, cm³");
pub const GAS: Asked<'static> = Asked::new("gas", "Gas");

/// What a member types or chooses of one entry, in the order of the form.
pub const TYPED: [Asked<'static>; 17] = [
    SPAN, WHAT, KIND, END, FROM, TO, ACROSS, DEPTH, BAG, BELT_SEAT, SAME_AS, UTS, LAYERS, SHEET,
    ROUND, PRESSURE, VOLUME,
];

/// How far outside its span a recorded station may lie, mm.
const OUTSIDE_MM: f64 = 100.0;

/// Thickness across that a part may have, mm.
const LEAST_ACROSS_MM: f64 = 1.0;
const MOST_ACROSS_MM: f64 = 1_000.0;

/// A stretch of a span, from its foot, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Stations {
    pub span: String,
    pub from_mm: f64,
    pub to_mm: f64,
}

/// Reads a span with two stations, taken from either end.
pub fn read_stations(typed: &mut Typed, body: &FittedBody, unit: Unit) -> Option<Stations> {
    let id = typed.required_text(SPAN, 64, "choose the pillar, rail or sill");
    let end = typed.word(END, End::from_word).unwrap_or(End::Foot);
    let from = typed.required_length(FROM, unit);
    let to = typed.required_length(TO, unit);
    let id = id?;
    let Some(span) = body.span(&id) else {
        typed.refuse(
            SPAN,
            "this body style has no such span: choose one from the list",
        );
        return None;
    };
    let whole = span.line.length();
    for (asked, mm) in [(FROM, from), (TO, to)] {
        if mm.is_some_and(|mm| !(-OUTSIDE_MM..=whole + OUTSIDE_MM).contains(&mm)) {
            let said = format!(
                "outside the {}, which is {} long: enter 0 to its length",
                span.name,
                length(whole, unit)
            );
            typed.refuse(asked, said);
        }
    }
    let (from, to) = (from?, to?);
    if from > to {
        typed.refuse(
            FROM,
            format!("farther from the {end} than where it ends: swap the two figures"),
        );
    }
    let (from_mm, to_mm) = match end {
        End::Foot => (from, to),
        End::Head => (whole - to, whole - from),
    };
    typed.is_valid().then_some(Stations {
        span: id,
        from_mm,
        to_mm,
    })
}

/// Reads the whole statement. `new_component` is the id a part gets that is
/// not the same as one on the card already; `known` are those that are.
pub fn read_report(
    typed: &mut Typed,
    body: &FittedBody,
    unit: Unit,
    new_component: &str,
    known: &[&str],
) -> Option<Report> {
    match typed.required_word(WHAT, What::from_word) {
        None => {
            read_place(typed, body, unit);
            None
        }
        Some(What::Bare) => {
            let stations = read_stations(typed, body, unit);
            read_bare(typed, stations)
        }
        Some(What::Part) => read_part(typed, body, unit, new_component, known),
    }
}

fn read_bare(typed: &mut Typed, stations: Option<Stations>) -> Option<Report> {
    let depth = typed.required_word(DEPTH, Depth::from_word);
    let (stations, depth) = (stations?, depth?);
    Some(Report::Bare(BareReport {
        span: stations.span,
        from_mm: stations.from_mm,
        to_mm: stations.to_mm,
        depth,
        resolved: None,
    }))
}

fn read_part(
    typed: &mut Typed,
    body: &FittedBody,
    unit: Unit,
    new_component: &str,
    known: &[&str],
) -> Option<Report> {
    let place = read_place(typed, body, unit);
    let kind = typed.required_word(KIND, Kind::from_word);
    let radius_mm = read_radius(typed, unit);
    let bag = asks(kind, Kind::is_of_a_bag).then(|| typed.word(BAG, Bag::from_word));
    let seat = asks(kind, Kind::is_of_a_belt).then(|| read_seat(typed, body));
    let same_as = typed.text(SAME_AS, 64);
    if same_as.as_deref().is_some_and(|id| !known.contains(&id)) {
        typed.refuse(
            SAME_AS,
            "there is no such part on this card: choose one from the list",
        );
    }
    let steel = read_steel(typed, unit, kind);
    let gas = read_gas(typed, kind);
    let (place, kind) = (place?, kind?);
    typed
        .is_valid()
        .then_some(Report::Component(ComponentReport {
            component: same_as.unwrap_or_else(|| new_component.to_owned()),
            kind,
            place,
            radius_mm,
            bag: bag.flatten(),
            belt_seat: seat.flatten(),
            steel,
            gas,
        }))
}

/// Whether a field is asked for a kind; before one is chosen, every field is.
fn asks(kind: Option<Kind>, of: fn(Kind) -> bool) -> bool {
    kind.is_none_or(of)
}

fn read_place(typed: &mut Typed, body: &FittedBody, unit: Unit) -> Option<Place> {
    if typed.word(WHERE, Where::from_word) == Some(Where::Beside) {
        return read_points(typed, body, unit).map(Place::Points);
    }
    let Stations {
        span,
        from_mm,
        to_mm,
    } = read_stations(typed, body, unit)?;
    Some(Place::OnSpan {
        span,
        from_mm,
        to_mm,
    })
}

/// Half of the thickness across.
fn read_radius(typed: &mut Typed, unit: Unit) -> Option<f64> {
    let across = typed.length(ACROSS, unit)?;
    if !(LEAST_ACROSS_MM..=MOST_ACROSS_MM).contains(&across) {
        let said = format!(
            "{} across is no part of a car: enter {LEAST_ACROSS_MM} to {MOST_ACROSS_MM} mm, or leave it empty",
            length(across, unit)
        );
        typed.refuse(ACROSS, said);
        return None;
    }
    Some(across / 2.0)
}

fn read_seat(typed: &mut Typed, body: &FittedBody) -> Option<String> {
    let seat = typed.text(BELT_SEAT, 64)?;
    if !body.style.seats.iter().any(|s| s.id == seat) {
        typed.refuse(
            BELT_SEAT,
            "this body style has no such seat: choose one from the list",
        );
        return None;
    }
    Some(seat)
}

fn read_steel(typed: &mut Typed, unit: Unit, kind: Option<Kind>) -> Steel {
    if !asks(kind, is_material) {
        return Steel::default();
    }
    Steel {
        uts_mpa: typed.number(UTS, Steel::UTS_MPA, "MPa"),
        thickness_mm: typed.length_within(SHEET, Steel::THICKNESS_MM, unit),
        layers: typed
            .whole(LAYERS, Steel::LAYERS)
            .and_then(|n| u32::try_from(n).ok()),
        perimeter_mm: typed.length_within(ROUND, Steel::PERIMETER_MM, unit),
    }
}

fn read_gas(typed: &mut Typed, kind: Option<Kind>) -> Gas {
    if !asks(kind, Kind::holds_gas) {
        return Gas::default();
    }
    Gas {
        pressure_mpa: typed.number(PRESSURE, Gas::PRESSURE_MPA, "MPa"),
        volume_cm3: typed.number(VOLUME, Gas::VOLUME_CM3, "cm³"),
        gas: typed.text(GAS, 80),
    }
}

fn is_material(kind: Kind) -> bool {
    kind.class() == KindClass::Material
}

/// What is asked of a kind besides its place, as the page marks its keys.
pub fn asked_of(kind: Kind) -> Vec<&'static str> {
    let all = [
        ("bag", kind.is_of_a_bag()),
        ("belt", kind.is_of_a_belt()),
        ("gas", kind.holds_gas()),
        ("steel", is_material(kind)),
    ];
    let asked = all.into_iter().filter(|(_, asked)| *asked);
    asked.map(|(what, _)| what).collect()
}

/// Refuses a correction of a part by a bare stretch, and the other way round.
pub fn refuse_unlike(typed: &mut Typed, new: &Report, old: &Report) {
    if matches!(new, Report::Bare(_)) != matches!(old, Report::Bare(_)) {
        typed.refuse(
            WHAT,
            "a part is corrected by a part and a bare stretch by a bare stretch: withdraw the old finding with a reason, and enter this as a new one",
        );
    }
}

/// What is not asked of a kind stays as the older finding has it.
pub fn keep_unasked(new: &mut ComponentReport, old: &ComponentReport) {
    if new.kind != old.kind {
        return;
    }
    if !new.kind.is_of_a_bag() {
        new.bag = old.bag;
    }
    if !new.kind.is_of_a_belt() {
        new.belt_seat.clone_from(&old.belt_seat);
    }
    if !new.kind.holds_gas() {
        new.gas.clone_from(&old.gas);
    }
    if !is_material(new.kind) {
        new.steel.clone_from(&old.steel);
    }
}

/// Puts a statement back into a form, in the member's unit.
pub fn fill_report(typed: &mut Typed, report: &Report, body: &FittedBody, unit: Unit) {
    use crate::domain::units::entry_text;
    let mut station = |span: &str, from: f64, to: f64| {
        typed.put(SPAN.name, span);
        typed.put(END.name, End::Foot.word());
        typed.put(FROM.name, entry_text(from, unit));
        typed.put(TO.name, entry_text(to, unit));
    };
    match report {
        Report::Bare(bare) => {
            station(&bare.span, bare.from_mm, bare.to_mm);
            typed.put(WHAT.name, What::Bare.word());
            typed.put(DEPTH.name, bare.depth.word());
        }
        Report::Component(part) => {
            match &part.place {
                Place::OnSpan {
                    span,
                    from_mm,
                    to_mm,
                } => {
                    station(span, *from_mm, *to_mm);
                    typed.put(WHERE.name, Where::On.word());
                }
                Place::Points(points) => fill_points(typed, points, body, unit),
            }
            typed.put(WHAT.name, What::Part.word());
            typed.put(KIND.name, part.kind.word());
            typed.put(SAME_AS.name, part.component.clone());
            let texts = [
                (ACROSS, part.radius_mm.map(|r| entry_text(2.0 * r, unit))),
                (BAG, part.bag.map(|b| b.to_string())),
                (BELT_SEAT, part.belt_seat.clone()),
                (UTS, part.steel.uts_mpa.map(|v| v.to_string())),
                (LAYERS, part.steel.layers.map(|v| v.to_string())),
                (SHEET, part.steel.thickness_mm.map(|v| entry_text(v, unit))),
                (ROUND, part.steel.perimeter_mm.map(|v| entry_text(v, unit))),
                (PRESSURE, part.gas.pressure_mpa.map(|v| v.to_string())),
                (VOLUME, part.gas.volume_cm3.map(|v| v.to_string())),
                (GAS, part.gas.gas.clone()),
            ];
            for (asked, text) in texts {
                typed.put(asked.name, text.unwrap_or_default());
            }
        }
    }
}
