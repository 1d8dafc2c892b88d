//! What is printed of a component, and what it warns about.

use super::blade::BladeSpan;
use super::component::Assessed;
use super::keep_out::{Body, Volume};
use super::result::{Component, ComponentClass, Disagreement, ExpectedHere, KeepOut, Warning};
use super::say;
use crate::domain::body::Expectation;
use crate::domain::finding::{Place, Status};
use crate::domain::kind::{Bag, Kind, KindClass};

/// The component as printed, figures unrounded.
pub fn component(c: &Assessed, spans: &[BladeSpan]) -> Component {
    let lead = c.leading();
    let offered = c.only_offered();
    let report = lead.finding.filter(|_| offered).map(|i| c.reports[i].1);
    let kinds = || c.kinds.iter();
    let class = if kinds().any(|k| k.class() == KindClass::NoCut) {
        ComponentClass::NoCut
    } else {
        ComponentClass::Material
    };
    let assumed = |kind: Kind| kind.default_radius_mm() > 0.0;
    Component {
        id: c.id.clone(),
        kind: report.map_or(c.kind, |r| r.kind),
        kinds: c.kinds.clone(),
        class,
        clearance_mm: lead.clearance_mm,
        place: place(&lead.body, spans),
        ends_mm: lead.body.ends(),
        radius_mm: lead.radius_mm,
        radius_assumed: report.map_or(c.radius_assumed, |r| {
            r.radius_mm.is_none() && assumed(r.kind)
        }),
        sigma_mm: lead.sigma_mm,
        k: lead.k,
        keep_out_mm: lead.keep_out_mm(),
        grown_mm: lead.grown_mm,
        findings: c.reports.iter().map(|r| r.0.finding.id.clone()).collect(),
        groups: c.agreement.groups,
        single_source: single_source(c),
        chi2: c.agreement.chi2,
        dof: c.agreement.dof,
        birge: c.agreement.birge,
        disputed: !c.disagree.is_empty(),
        disagree: disagreements(c),
        offered,
        keep_outs: c.volumes.iter().map(|v| keep_out(c, v, spans)).collect(),
    }
}

/// An expectation in force here.
pub fn expected_here(e: &Expectation) -> ExpectedHere {
    ExpectedHere {
        id: e.id.clone(),
        text: e.text.clone(),
        source: e.source.clone(),
    }
}

/// What a reader must know of a component before trusting its zone.
pub fn warnings(c: &Assessed) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if !c.disagree.is_empty() {
        let mut ids: Vec<String> = disagreements(c)
            .into_iter()
            .flat_map(|d| [d.a, d.b])
            .collect();
        ids.sort();
        ids.dedup();
        warnings.push(say::disputed(&c.id, ids));
    }
    if c.kinds.len() > 1 {
        warnings.push(say::kinds_differ(&c.id, &c.kinds, c.kind));
    }
    if c.radius_assumed {
        warnings.push(say::radius_assumed(&c.id, c.leading().radius_mm));
    }
    if single_source(c) {
        warnings.push(say::single_source(&c.id));
    }
    warnings
}

/// One group; of an only-offered component, one offer.
fn single_source(c: &Assessed) -> bool {
    if c.only_offered() {
        c.reports.len() == 1
    } else {
        c.agreement.groups == 1
    }
}

fn disagreements(c: &Assessed) -> Vec<Disagreement> {
    let id = |i: usize| c.reports[i].0.finding.id.clone();
    c.disagree
        .iter()
        .map(|d| Disagreement {
            a: id(d.a),
            b: id(d.b),
            mm: d.mm,
        })
        .collect()
}

fn place(body: &Body, spans: &[BladeSpan]) -> Place {
    match body.on_span {
        Some(on) => Place::OnSpan {
            span: spans[on.span].span.id.to_string(),
            from_mm: on.from,
            to_mm: on.to,
        },
        None => Place::Points(body.ends()),
    }
}

fn keep_out(c: &Assessed, v: &Volume, spans: &[BladeSpan]) -> KeepOut {
    KeepOut {
        finding: c.finding_id(v).map(str::to_owned),
        offered: v.offered,
        place: place(&v.body, spans),
        ends_mm: v.body.ends(),
        radius_mm: v.radius_mm,
        sigma_mm: v.sigma_mm,
        keep_out_mm: v.keep_out_mm(),
        grown_mm: v.grown_mm,
    }
}

/// Bags whose inflator or cylinder this component is, by accepted findings.
pub fn inflator_bags(c: &Assessed) -> Vec<Bag> {
    let is_gas = |k: Kind| matches!(k, Kind::Inflator | Kind::GasCylinder);
    c.reports
        .iter()
        .filter(|(l, r)| l.finding.status == Status::Accepted && is_gas(r.kind))
        .filter_map(|(_, r)| r.bag)
        .collect()
}

/// The bags a component of nothing but bag fabric may belong to; `None` when it
/// is anything else, or when a finding does not name its bag. One that another
/// names does not stand in for it: an offer could name it, and take a no-cut away.
pub fn cushion_bags(c: &Assessed) -> Option<Vec<Bag>> {
    let no_cut = || {
        c.reports
            .iter()
            .filter(|(_, r)| r.kind.class() == KindClass::NoCut)
    };
    let only_fabric = no_cut().count() > 0 && no_cut().all(|(_, r)| r.kind == Kind::Cushion);
    let bags: Option<Vec<Bag>> = no_cut().map(|(_, r)| r.bag).collect();
    bags.filter(|_| only_fabric)
}
