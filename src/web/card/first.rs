//! What comes first on a card: power, drive and high voltage, glass, doors.
//! What nobody has recorded is said, with how to treat it.

use crate::domain::body::{BPillar, Hinge};
use crate::domain::card::{Glass, PowerSource};
use crate::domain::kind::Kind;
use crate::domain::vehicle::Drive;
use crate::domain::zone::Component;
use crate::web::reading::Reading;
use crate::web::say;

/// A name and what is known of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    pub name: String,
    pub text: String,
    /// Nobody has recorded it.
    pub unknown: bool,
}

/// The boxes at the head of a card.
#[derive(Debug, Clone)]
pub struct First {
    pub power: Vec<Line>,
    pub hold: Line,
    pub drive: Line,
    pub high_voltage: Vec<Line>,
    pub glass: Vec<Line>,
    pub doors: Vec<Line>,
}

impl Line {
    fn known(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            text: text.into(),
            unknown: false,
        }
    }

    fn unknown(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            text: text.into(),
            unknown: true,
        }
    }
}

impl First {
    pub fn of(reading: &Reading) -> Self {
        Self {
            power: power(reading),
            hold: hold(reading),
            drive: drive(reading),
            high_voltage: high_voltage(reading),
            glass: glass(reading),
            doors: doors(reading),
        }
    }
}

/// The source of power in words.
pub const fn power_name(what: PowerSource) -> &'static str {
    match what {
        PowerSource::Main12v => "12 V",
        PowerSource::Second12v => "Second 12 V",
        PowerSource::HighVoltage => "High voltage",
        PowerSource::FortyEightVolt => "48 V",
        PowerSource::KeyAway => "Key",
        PowerSource::ChargerOut => "Charger",
    }
}

/// Battery, cut loop and latch first, then the card's own steps, then what is
/// not recorded.
fn power(reading: &Reading) -> Vec<Line> {
    let mut lines: Vec<Line> = reading
        .zones
        .components
        .iter()
        .filter(|c| c.kinds.iter().any(|k| k.listed_first()))
        .map(|c| found(reading, c))
        .collect();
    for step in &reading.card.power_off {
        let text = [step.where_.trim(), step.how.trim()];
        let text: Vec<&str> = text.into_iter().filter(|t| !t.is_empty()).collect();
        lines.push(Line::known(power_name(step.what), text.join(". ")));
    }
    let recorded = |what| reading.card.power_off.iter().any(|p| p.what == what);
    let drives = [reading.card.vehicle.drive, reading.vehicle().drive];
    let expected = |what| match what {
        PowerSource::Main12v | PowerSource::Second12v => true,
        // Of the card's own car as well as of the variant asked for.
        PowerSource::HighVoltage => drives.iter().any(|d| d.is_none_or(has_high_voltage)),
        _ => false,
    };
    let missing = PowerSource::ALL
        .iter()
        .filter(|w| expected(**w) && !recorded(**w));
    lines.extend(
        missing.map(|w| Line::unknown(power_name(*w), "unknown: not recorded on this card")),
    );
    lines
}

fn found(reading: &Reading, component: &Component) -> Line {
    let mut text = say::place(&component.place, &reading.body);
    if component.offered {
        text.push_str(" (OFFERED, not accepted)");
    } else if component.disputed {
        text.push_str(" (DISPUTED)");
    } else if component.single_source {
        text.push_str(" (one source)");
    }
    let notes = component
        .findings
        .iter()
        .filter_map(|id| reading.finding(id));
    for note in notes.filter(|f| f.acts()).filter_map(|f| f.note.as_deref()) {
        text.push_str(&format!(". “{note}”"));
    }
    Line::known(say::sentence(component.kind.name()), text)
}

fn hold(reading: &Reading) -> Line {
    match reading.card.vehicle.hold_time_s {
        Some(seconds) => Line::known(
            "Hold time",
            format!("{seconds} s from the last isolation; after it still keep clear"),
        ),
        None => Line::unknown("Hold time", "unknown: treat as live"),
    }
}

const fn has_high_voltage(drive: Drive) -> bool {
    matches!(drive, Drive::Hybrid | Drive::Battery | Drive::Hydrogen)
}

fn drive(reading: &Reading) -> Line {
    let own = reading.card.vehicle.drive;
    match reading.vehicle().drive {
        Some(drive) if own.is_some_and(|own| own != drive) => {
            let own = own.map_or("unknown", say::drive);
            let text = format!(
                "{}, as asked for; the card’s own car is {own}",
                say::drive(drive)
            );
            Line::known("Drive", text)
        }
        Some(drive) if own.is_none() => {
            let text = format!(
                "{}, as asked for; not recorded on this card",
                say::drive(drive)
            );
            Line::known("Drive", text)
        }
        Some(drive) => Line::known("Drive", say::drive(drive)),
        None => Line::unknown("Drive", "unknown: treat as battery electric"),
    }
}

/// What carries high voltage or fuel, by kind, with where; figures stand with
/// the parts. Or that nothing of it was found.
fn high_voltage(reading: &Reading) -> Vec<Line> {
    let carries = |c: &&Component| {
        c.kinds.iter().any(|k| {
            use Kind::*;
            matches!(
                k,
                HvCable
                    | HvPart
                    | HvDisconnect
                    | HvBattery
                    | HvCutoffCharge
                    | Battery48v
                    | Ultracapacitor
                    | FuelGasTank
                    | FuelGasLine
                    | FuelTank
                    | FuelLine
            )
        })
    };
    let mut kinds: Vec<(Kind, Vec<String>)> = Vec::new();
    for c in reading.zones.components.iter().filter(carries) {
        let place = say::part_of_car(&c.place, &reading.body);
        match kinds.iter_mut().find(|(kind, _)| *kind == c.kind) {
            Some((_, places)) if places.contains(&place) => {}
            Some((_, places)) => places.push(place),
            None => kinds.push((c.kind, vec![place])),
        }
    }
    let mut lines: Vec<Line> = kinds
        .into_iter()
        .map(|(kind, places)| {
            Line::known(say::sentence(kind.name()), say::list(&say::pairs(&places)))
        })
        .collect();
    if lines.is_empty() {
        let text = "no finding: nobody has recorded where cables, packs, tanks or lines run";
        lines.push(Line::unknown("High voltage and fuel", text));
    }
    lines
}

/// Panes grouped by what they are made of.
fn glass(reading: &Reading) -> Vec<Line> {
    let of = |wanted: Glass| -> Vec<String> {
        let made_of = |id: &str| {
            reading
                .card
                .glass
                .get(id)
                .copied()
                .unwrap_or(Glass::Unknown)
        };
        let panes = reading.body.style.panes.iter();
        panes
            .filter(|p| made_of(&p.id) == wanted)
            .map(|p| p.name.to_lowercase())
            .collect()
    };
    let mut lines = Vec::new();
    for (wanted, name) in [
        (Glass::Laminated, "Laminated"),
        (Glass::Tempered, "Tempered"),
    ] {
        let panes = of(wanted);
        if !panes.is_empty() {
            lines.push(Line::known(name, say::list(&say::pairs(&panes))));
        }
    }
    let unknown = of(Glass::Unknown);
    if !unknown.is_empty() {
        let text = format!(
            "{}. Treat as laminated for the tool, as tempered for covering the patient",
            say::list(&say::pairs(&unknown))
        );
        lines.push(Line::unknown("Unknown", text));
    }
    lines
}

fn doors(reading: &Reading) -> Vec<Line> {
    let style = reading.body.style;
    let mut lines = Vec::new();
    for (hinge, name) in [
        (Hinge::Front, "Hinged at the front"),
        (Hinge::Rear, "Hinged at the rear"),
        (Hinge::Sliding, "Sliding"),
        (Hinge::Top, "Hinged at the top"),
        (Hinge::Side, "Hinged at the outer edge"),
    ] {
        let doors = style.doors.iter().filter(|d| d.hinge == hinge);
        let doors: Vec<String> = doors.map(|d| d.name.to_lowercase()).collect();
        if !doors.is_empty() {
            lines.push(Line::known(name, say::list(&say::pairs(&doors))));
        }
    }
    let pillar = match style.b_pillar {
        BPillar::Fixed => "stands in the body",
        BPillar::InDoor => "is part of the door",
        BPillar::None => "none",
    };
    lines.push(Line::known("B-pillar", pillar));
    lines
}
