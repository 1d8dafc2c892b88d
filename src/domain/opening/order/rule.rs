//! Order rules as data: which steps come before which others, why, and where
//! that is from.

use crate::domain::opening::step::Step;
use crate::domain::opening::template::{Act, At, On};
use crate::domain::policy::{BPillarFirst, Policy};
use crate::domain::vehicle::words;
use serde::Deserialize;
use std::collections::BTreeSet;
use std::sync::LazyLock;

words! {
    /// What two steps must have in common for a rule to bind them.
    Share {
        /* the same place on the same span */
        Place = "place",
        /* the same span */
        Span = "span",
        /* the pane that one manages stands beside what the other works on */
        Pane = "pane",
        /* a span that carries the belt of one is moved by the other */
        Moved = "moved",
    }
}

words! {
    /// Which end of its span a cut is nearer to.
    End { Foot = "foot", Head = "head" }
}

/// Which steps a rule speaks of. What is left out does not matter.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Selector {
    pub acts: Vec<Act>,
    /// Ids; one that ends in `*` takes every id that begins so.
    pub ids: Vec<String>,
    pub not_ids: Vec<String>,
    /// Beginnings of span ids.
    pub spans: Vec<String>,
    pub end: Option<End>,
    /// Something the step asks to be so before it.
    pub asks: Option<String>,
    /// Whether it moves a span.
    pub moves_something: bool,
}

/// A rule about the order of steps.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rule {
    pub id: String,
    pub first: Selector,
    pub then: Selector,
    /// `None`: any two steps.
    #[serde(default)]
    pub share: Option<Share>,
    /// Binds only the last of the steps that `then` takes, in whatever order they are.
    #[serde(default)]
    pub then_last: bool,
    /// In force only under this policy for the B-pillar.
    #[serde(default)]
    pub school: Option<BPillarFirst>,
    pub because: String,
    /// Where it is from, or "common practice, no source".
    pub source: String,
    /// Whether a department may switch it off.
    pub switchable: bool,
}

/// Every rule there is.
pub fn all() -> &'static [Rule] {
    static RULES: LazyLock<Vec<Rule>> = LazyLock::new(|| {
        serde_json::from_str(include_str!("rules.json"))
            .unwrap_or_else(|e| unreachable!("the order rules are part of the program: {e}"))
    });
    &RULES
}

/// A rule that no department may switch off, and was asked to be off; its id.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the rule “{0}” cannot be switched off")]
pub struct NotSwitchable(pub String);

/// The rules in force for a department's plans.
#[derive(Debug, Clone)]
pub struct Rules(Vec<&'static Rule>);

impl Rules {
    /// Those of the department's school that it has not switched off.
    ///
    /// # Errors
    /// A rule asked off that cannot be switched off.
    pub fn in_force(
        policy: &Policy,
        switched_off: &BTreeSet<String>,
    ) -> Result<Self, NotSwitchable> {
        let asked_off = |rule: &&Rule| switched_off.contains(&rule.id);
        if let Some(rule) = all().iter().find(|r| asked_off(r) && !r.switchable) {
            return Err(NotSwitchable(rule.id.clone()));
        }
        let of_school = |rule: &&Rule| rule.school.is_none_or(|s| s == policy.b_pillar_first);
        let on = |rule: &&Rule| of_school(rule) && !asked_off(rule);
        Ok(Self(all().iter().filter(on).collect()))
    }

    /// Other rules than the program's, all of them in force.
    pub fn of(rules: &'static [Rule]) -> Self {
        Self(rules.iter().collect())
    }

    /// Each rule in force.
    pub fn iter(&self) -> impl Iterator<Item = &'static Rule> + '_ {
        self.0.iter().copied()
    }
}

impl Rule {
    /// Whether the rule wants `first` done before `then`.
    pub fn binds(&self, first: &Step, then: &Step) -> bool {
        first.form.id != then.form.id
            && self.first.takes(first)
            && self.then.takes(then)
            && self.share.is_none_or(|share| share.holds(first, then))
    }
}

impl Selector {
    /// Whether the selector takes a step.
    pub fn takes(&self, step: &Step) -> bool {
        let form = &step.form;
        let named = |ids: &[String]| ids.iter().any(|id| matches(id, &form.id));
        (self.acts.is_empty() || self.acts.contains(&form.act))
            && (self.ids.is_empty() || named(&self.ids))
            && !named(&self.not_ids)
            && (self.spans.is_empty() || self.takes_span(step))
            && self.end.is_none_or(|end| end_of(step) == Some(end))
            && self
                .asks
                .as_ref()
                .is_none_or(|fact| form.before.contains(fact))
            && (!self.moves_something || !form.moves.is_empty())
    }

    fn takes_span(&self, step: &Step) -> bool {
        span_of(step).is_some_and(|span| self.spans.iter().any(|s| span.starts_with(s.as_str())))
    }
}

fn matches(pattern: &str, id: &str) -> bool {
    match pattern.strip_suffix('*') {
        Some(beginning) => id.starts_with(beginning),
        None => pattern == id,
    }
}

fn span_of(step: &Step) -> Option<&str> {
    match &step.form.on {
        On::Span(form) => Some(&form.id),
        _ => None,
    }
}

/// The end of its span that a step is nearer to: by where it was placed, else by
/// its form.
fn end_of(step: &Step) -> Option<End> {
    let On::Span(form) = &step.form.on else {
        return None;
    };
    if let (Some(station), Some(length)) = (step.station_mm, step.span_mm) {
        let nearer_foot = station < length / 2.0;
        return Some(if nearer_foot { End::Foot } else { End::Head });
    }
    Some(match form.at {
        At::FromFoot { .. } => End::Foot,
        At::FromHead { .. } => End::Head,
        At::Share { at, .. } if at < 0.5 => End::Foot,
        At::Share { .. } => End::Head,
    })
}

impl Share {
    fn holds(self, first: &Step, then: &Step) -> bool {
        match self {
            Self::Place => share_a_place(first, then),
            Self::Span => span_of(first).is_some() && span_of(first) == span_of(then),
            Self::Pane => match &first.form.on {
                On::Part(pane) => then.form.beside.contains(pane),
                _ => false,
            },
            Self::Moved => first
                .belt_spans
                .iter()
                .any(|span| then.form.moves.contains(span)),
        }
    }
}

/// Whether both are done at one place of one span: as their forms say it, so that
/// it does not depend on where the cut had to go. A contact place counts too.
fn share_a_place(first: &Step, then: &Step) -> bool {
    let places = |step: &Step| {
        let own = match &step.form.on {
            On::Span(form) => Some((form.id.clone(), form.at)),
            _ => None,
        };
        let pressed = step
            .form
            .contacts
            .iter()
            .map(|c| (c.span.id.clone(), c.span.at));
        own.into_iter().chain(pressed).collect::<Vec<_>>()
    };
    let of_then = places(then);
    places(first).iter().any(|p| of_then.contains(p))
}
