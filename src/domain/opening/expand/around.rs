//! What goes with a step: trim off where it cuts or presses, the cut ends
//! covered, and the medic's word where a person may be moved or let go.

use super::added::added;
use super::fill::Words;
use crate::domain::opening::ask::{Ask, Trapped};
use crate::domain::opening::step::Step;
use crate::domain::opening::template::{Act, ContactKind, On, SpanForm, StepForm};

/// Taking trim off at every place of a step that lies behind some and has not
/// been exposed before; `exposed` remembers.
pub fn exposing(form: &StepForm, exposed: &mut Vec<On>) -> Vec<Step> {
    let cut = (form.act == Act::Cut).then(|| (id_of(form).to_owned(), form.on.clone()));
    let pressed = form
        .contacts
        .iter()
        .enumerate()
        .filter(|(_, c)| matches!(c.kind, ContactKind::SpreaderTip | ContactKind::RamFoot))
        .map(|(i, c)| (format!("{}-{}", form.id, i + 1), On::Span(c.span.clone())));
    let mut steps = Vec::new();
    for (of, on) in cut.into_iter().chain(pressed) {
        let Some(trim) = trim_at(&on) else { continue };
        if exposed.iter().any(|e| same_place(e, &on)) {
            continue;
        }
        let words = Words::default().with("of", of).with("trim", trim);
        let mut step = added().step("expose", &words);
        step.form.on = on.clone();
        exposed.push(on);
        steps.push(step);
    }
    steps
}

/// Covering what a cut leaves.
pub fn covering(form: &StepForm) -> Option<Step> {
    (form.act == Act::Cut).then(|| {
        let mut step = added().step("cover-sharps", &Words::default().with("of", id_of(form)));
        step.form.on = form.on.clone();
        step
    })
}

/// Whether the medic says go before it.
pub fn gated(form: &StepForm, ask: &Ask) -> bool {
    let moves_people = matches!(form.act, Act::SeverBelt | Act::Displace | Act::Lift);
    let lets_go = matches!(form.act, Act::Spread | Act::Ram) && ask.trapped == Trapped::Pinned;
    form.gate || moves_people || lets_go
}

/// `part-b-foot` → `b-foot`.
fn id_of(form: &StepForm) -> &str {
    form.id.strip_prefix("part-").unwrap_or(&form.id)
}

fn trim_at(on: &On) -> Option<&'static str> {
    match on {
        On::Span(form) => added().trim_of(&form.id),
        On::Panel(_) => Some(&added().panel_trim),
        On::Nothing | On::Part(_) => None,
    }
}

fn same_place(a: &On, b: &On) -> bool {
    let place = |form: &SpanForm| (form.id.clone(), form.at);
    match (a, b) {
        (On::Span(a), On::Span(b)) => place(a) == place(b),
        _ => a == b,
    }
}
