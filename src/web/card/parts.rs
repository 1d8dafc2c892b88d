//! The components of a card: what, where, how far to keep off, and every
//! finding about each with who, when, which car, how.

use super::figures::{self, Figure};
use crate::domain::finding::{Finding, Report, Status};
use crate::domain::units::Rounding;
use crate::domain::zone::{Class, Component, ComponentClass};
use crate::web::figures::{amount, short};
use crate::web::reading::Reading;
use crate::web::say;

/// One component on a card.
#[derive(Debug, Clone)]
pub struct PartRow {
    pub id: String,
    pub name: String,
    pub flags: Vec<(&'static str, &'static str)>,
    pub place: String,
    pub place_short: String,
    /// How far to keep off, and of what that is made.
    pub keep_off: String,
    /// The same in few words.
    pub keep_off_short: String,
    /// Spans whose no-cut it gives.
    pub reaches: String,
    /// Disputes, kinds that differ, assumed thickness.
    pub notes: Vec<String>,
    /// The force to shear a reinforcement.
    pub force: Option<Figure>,
    /// The energy of a cylinder's gas, for trainers.
    pub stored_gas: Option<Figure>,
    pub evidence: Vec<Evidence>,
    /// The newest finding in few words, and how many more there are.
    pub newest: String,
}

/// One finding in words.
#[derive(Debug, Clone)]
pub struct Evidence {
    pub id: String,
    pub text: String,
    pub note: Option<String>,
}

/// Those listed first on every card, then the widest keep-out first.
pub fn parts(reading: &Reading) -> Vec<PartRow> {
    let mut all: Vec<&Component> = reading.zones.components.iter().collect();
    all.sort_by(|a, b| {
        let first = |c: &Component| c.kinds.iter().any(|k| k.listed_first());
        let material = |c: &Component| c.class == ComponentClass::Material;
        (first(b), material(a))
            .cmp(&(first(a), material(b)))
            .then(b.keep_out_mm.total_cmp(&a.keep_out_mm))
            .then_with(|| a.id.cmp(&b.id))
    });
    all.into_iter().map(|c| row(reading, c)).collect()
}

/// `Inflator, curtain bag`, with every kind where they differ.
pub fn name(reading: &Reading, component: &Component) -> String {
    let kinds: Vec<String> = component
        .kinds
        .iter()
        .map(|k| k.name().to_owned())
        .collect();
    let kinds = if kinds.is_empty() {
        component.kind.name().to_owned()
    } else {
        kinds.join(" or ")
    };
    let mut name = kinds;
    let reports = component
        .findings
        .iter()
        .filter_map(|id| reading.finding(id));
    let reports: Vec<_> = reports
        .filter_map(|f| match &f.report {
            Report::Component(report) => Some(report),
            Report::Bare(_) => None,
        })
        .collect();
    if let Some(bag) = reports.iter().find_map(|r| r.bag) {
        name.push_str(&format!(", {} bag", bag.word().replace('-', " ")));
    }
    if let Some(seat) = reports.iter().find_map(|r| r.belt_seat.as_ref()) {
        name.push_str(&format!(", {} seat", seat.replace('-', " ")));
    }
    say::sentence(&name)
}

fn row(reading: &Reading, c: &Component) -> PartRow {
    let mut flags = Vec::new();
    if c.disputed {
        flags.push(("DISPUTED", "double"));
    }
    if c.offered {
        flags.push(("OFFERED", "dashed"));
    } else if c.single_source {
        flags.push(("ONE SOURCE", "thin"));
    }
    PartRow {
        id: c.id.to_string(),
        name: name(reading, c),
        flags,
        place: say::place(&c.place, &reading.body),
        place_short: say::place_short(&c.place, &reading.body),
        keep_off: keep_off(c),
        keep_off_short: keep_off_short(c),
        reaches: reaches(reading, c),
        notes: notes(c),
        force: figures::force(reading, c),
        stored_gas: figures::stored_gas(reading, c),
        evidence: c
            .findings
            .iter()
            .filter_map(|id| reading.finding(id))
            .filter(|f| f.acts())
            .map(evidence)
            .collect(),
        newest: newest(reading, c),
    }
}

/// The newest finding that acts on a component, and how many more there are.
pub fn newest(reading: &Reading, c: &Component) -> String {
    let acting = c
        .findings
        .iter()
        .filter_map(|id| reading.finding(id))
        .filter(|f| f.acts());
    let mut all: Vec<&Finding> = acting.collect();
    all.sort_by_key(|f| (f.observed_on, f.id.as_str()));
    let Some(newest) = all.pop() else {
        return String::new();
    };
    let more = match all.len() {
        0 => String::new(),
        n => format!(", and {n} more"),
    };
    format!("{}{}{more}", say::evidence_short(newest), offered(newest))
}

/// How much of the keep-out is uncertainty, mm, rounded up.
pub fn widened_mm(c: &Component) -> f64 {
    (c.k * c.sigma_mm - 1e-6).ceil()
}

/// A figure with its unit, rounded up.
fn up(mm: f64) -> String {
    short(mm - 1e-6, Rounding::Up)
}

fn keep_off(c: &Component) -> String {
    let thickness = if c.radius_assumed {
        "assumed half thickness"
    } else {
        "half thickness"
    };
    let widened = widened_mm(c);
    let grown = c
        .grown_mm
        .map(|g| format!(", and {} more where it meets a span", up(g)))
        .unwrap_or_default();
    match c.clearance_mm {
        Some(clearance) => format!(
            "Keep off by {}: {thickness} {}, clearance {}, widened by {}{grown}.",
            up(c.keep_out_mm),
            amount(c.radius_mm),
            amount(clearance),
            up(widened)
        ),
        None => format!("Marked hard, widened by {}{grown}.", up(widened)),
    }
}

fn keep_off_short(c: &Component) -> String {
    let widened = widened_mm(c);
    match c.clearance_mm {
        Some(_) => format!(
            "keep off {}, widened by {}",
            up(c.keep_out_mm),
            amount(widened)
        ),
        None => format!("marked hard, widened by {}", up(widened)),
    }
}

fn reaches(reading: &Reading, c: &Component) -> String {
    let touches = |s: &crate::domain::zone::SpanZones| {
        s.stretches.iter().any(|t| {
            (t.class == Class::NoCut && t.because.contains(&c.id)) || t.material.contains(&c.id)
        })
    };
    let spans = reading.zones.spans.iter().filter(|s| touches(s));
    let names: Vec<String> = spans.map(|s| s.name.to_string()).collect();
    say::list(&names)
}

fn notes(c: &Component) -> Vec<String> {
    let mut notes: Vec<String> = c
        .disagree
        .iter()
        .map(|d| {
            format!(
                "{} and {} differ by {}: they cannot both be right, so each keeps its own no-cut.",
                d.a,
                d.b,
                short(d.mm, Rounding::Nearest)
            )
        })
        .collect();
    if c.kinds.len() > 1 {
        notes.push("The kind is reported differently: all count.".to_owned());
    }
    if !c.offered && c.keep_outs.iter().any(|k| k.offered) {
        notes.push(
            "An offered finding adds its own no-cut until somebody accepts or declines it."
                .to_owned(),
        );
    }
    notes
}

/// A finding about a component, with where it stands when that is not accepted.
fn evidence(finding: &Finding) -> Evidence {
    Evidence {
        id: finding.id.clone(),
        text: format!("{}{}", say::evidence(finding), offered(finding)),
        note: finding.note.clone(),
    }
}

fn offered(finding: &Finding) -> &'static str {
    match finding.status {
        Status::Offered => ", offered",
        _ => "",
    }
}
