//! The warnings in words, each written once.

use super::locate::LocatedBare;
use super::result::{Warning, WarningCode};
use crate::domain::body::Span;
use crate::domain::kind::Kind;

fn warning(code: WarningCode, text: String, ids: Vec<String>, span: Option<&str>) -> Warning {
    Warning {
        code,
        text,
        ids,
        span: span.map(str::to_owned),
    }
}

/// The nearest whole millimetre, as `{:.0}` writes it and in less time.
fn whole(mm: f64) -> i64 {
    mm.round_ties_even() as i64
}

pub fn station_clamped(finding: &str, span: &Span, length: f64) -> Warning {
    let text = format!(
        "A station of {finding} lies outside the {}; read as its end (0 or {} mm).",
        span.name,
        whole(length)
    );
    warning(
        WarningCode::StationClamped,
        text,
        vec![finding.to_owned()],
        Some(&span.id),
    )
}

pub fn disputed(component: &str, findings: Vec<String>) -> Warning {
    let text = format!(
        "Findings on {component} cannot all be right ({}); every one keeps its own no-cut zone \
         until one is superseded or withdrawn.",
        findings.join(", ")
    );
    let mut ids = vec![component.to_owned()];
    ids.extend(findings);
    warning(WarningCode::Disputed, text, ids, None)
}

pub fn kinds_differ(component: &str, kinds: &[Kind], printed: Kind) -> Warning {
    let names: Vec<_> = kinds.iter().map(|k| k.name()).collect();
    let text = format!(
        "{component} is reported as {}; all count, the clearance is that of {}.",
        names.join(" and "),
        printed.name()
    );
    warning(
        WarningCode::KindsDiffer,
        text,
        vec![component.to_owned()],
        None,
    )
}

pub fn radius_assumed(component: &str, radius_mm: f64) -> Warning {
    let text = format!(
        "Nobody measured the thickness of {component}; {} mm either side of its middle is \
         assumed.",
        whole(radius_mm)
    );
    warning(
        WarningCode::RadiusAssumed,
        text,
        vec![component.to_owned()],
        None,
    )
}

pub fn single_source(component: &str) -> Warning {
    let text = format!("{component} rests on one car or one source only.");
    warning(
        WarningCode::SingleSource,
        text,
        vec![component.to_owned()],
        None,
    )
}

pub fn variant_differs(bare: &LocatedBare) -> Warning {
    let id = &bare.finding.id;
    let text = format!("{id} was seen on another variant; it counts for nothing here.");
    warning(
        WarningCode::VariantDiffers,
        text,
        vec![id.clone()],
        Some(&bare.report.span),
    )
}

pub fn contradiction(bare: &LocatedBare, components: Vec<String>) -> Warning {
    let id = &bare.finding.id;
    let text = format!(
        "{id} says bare where {} may be; it counts for nothing until an officer resolves it.",
        components.join(", ")
    );
    let mut ids = vec![id.clone()];
    ids.extend(components);
    warning(
        WarningCode::Contradiction,
        text,
        ids,
        Some(&bare.report.span),
    )
}

pub fn review_overdue(bare: Vec<String>) -> Warning {
    let text = format!(
        "A review of this card is overdue: what was seen bare ({}) counts for nothing until an \
         officer has looked the card over again.",
        bare.join(", ")
    );
    warning(WarningCode::ReviewOverdue, text, bare, None)
}

pub fn counts_for_nothing(bare: &LocatedBare) -> Warning {
    let id = &bare.finding.id;
    let text = format!("{id} is too short for how well it was measured; nothing of it is left.");
    warning(
        WarningCode::CountsForNothing,
        text,
        vec![id.clone()],
        Some(&bare.report.span),
    )
}
