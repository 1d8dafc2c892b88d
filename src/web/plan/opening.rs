//! The openings of a plan: the short list, and the one that is open.

use super::address::Address;
use super::drawing;
use super::picture::{Picture, pictures};
use super::step::StepView;
use super::words;
use crate::domain::opening::{Plan, PlannedOpening};
use crate::web::reading::Reading;
use crate::web::say;
use crate::web::typed::Typed;

/// One opening in the list.
pub struct OpeningRow {
    pub href: String,
    pub name: String,
    pub side: &'static str,
    pub status: &'static str,
    pub edge: &'static str,
    /// `3 cuts · 1 look first · 2 unknowns`
    pub facts: String,
    pub preferred: bool,
    pub immediate: bool,
    pub suits: bool,
    pub here: bool,
}

/// The open one, step by step.
pub struct OpenView {
    pub row: OpeningRow,
    pub reasons: Vec<String>,
    pub steps: Vec<StepView>,
    /// Ids of the steps as they stand, for a step to be moved.
    pub order: String,
    /// The address with this opening named, carried by its forms.
    pub ask: String,
    /// An own order is shown, and the way back.
    pub own_order: Option<String>,
    pub broken: usize,
    /// What every force estimate in it takes for granted; paper says it once.
    pub granted: Vec<&'static str>,
    /// The side frame; of an opening with no side, both.
    pub frames: Vec<String>,
    pub pictures: Vec<Picture>,
    /// How paper holds them: a step a row, or two columns of steps where there are many.
    pub print: &'static str,
}

/// Id and side, as an address names an opening.
pub fn key(opening: &PlannedOpening) -> String {
    match words::side(opening.side) {
        "" => opening.id.clone(),
        side => format!("{}.{side}", opening.id),
    }
}

impl OpeningRow {
    pub fn of(opening: &PlannedOpening, n: usize, address: &Address, here: &str) -> Self {
        let key = key(opening);
        let own = address.without("order").without("keep-");
        Self {
            href: own.with("open", &key).href() + "#open",
            name: opening.name.clone(),
            side: words::side(opening.side),
            status: opening
                .status
                .map_or(PlannedOpening::NOTHING_TOUCHED, words::status),
            edge: opening.status.map_or("thin", words::status_edge),
            facts: facts(opening),
            preferred: n == 0,
            immediate: opening.immediate,
            suits: opening.suits,
            here: key == here,
        }
    }
}

fn facts(opening: &PlannedOpening) -> String {
    let mut facts = vec![match opening.cuts {
        0 => "no cut".to_owned(),
        n => say::count(n, "cut", "cuts"),
    }];
    let more = [
        (opening.blocked, "blocked", "blocked"),
        (
            opening.likely_occupied,
            "likely occupied",
            "likely occupied",
        ),
        (opening.looks, "place to look first", "places to look first"),
        (opening.unknowns, "unknown", "unknowns"),
    ];
    let more = more.into_iter().filter(|(n, ..)| *n > 0);
    facts.extend(more.map(|(n, one, many)| say::count(n, one, many)));
    facts.join(" · ")
}

/// Each reason once, in their order.
fn once(reasons: &[String]) -> Vec<String> {
    let first = |(at, said): &(usize, &String)| !reasons[..*at].contains(said);
    let all = reasons.iter().enumerate().filter(first);
    all.map(|(_, said)| said.clone()).collect()
}

/// The rows in the plan's order; of a plan with none, none is open.
pub fn rows(plan: &Plan, address: &Address, here: &str) -> Vec<OpeningRow> {
    let all = plan.openings.iter().enumerate();
    all.map(|(n, o)| OpeningRow::of(o, n, address, here))
        .collect()
}

/// The opening the address names, or else the preferred one.
pub fn opened<'a>(plan: &'a Plan, address: &Address) -> Option<&'a PlannedOpening> {
    let wanted = address.value("open");
    let named = plan
        .openings
        .iter()
        .find(|o| Some(key(o).as_str()) == wanted);
    named.or(plan.openings.first())
}

fn granted(steps: &[StepView]) -> Vec<&'static str> {
    let tools = steps.iter().filter_map(|s| s.tool.as_ref());
    let estimated = tools
        .map(|t| &t.granted)
        .find(|granted| !granted.is_empty());
    estimated.cloned().unwrap_or_default()
}

impl OpenView {
    pub fn of(
        reading: &Reading,
        plan: &Plan,
        opening: &PlannedOpening,
        address: &Address,
        look: Option<&Typed>,
    ) -> Self {
        let key = key(opening);
        let own = address.with("open", &key);
        let works = drawing::works(opening, &plan.ask.looks);
        let mut steps: Vec<StepView> = opening
            .steps
            .iter()
            .map(|s| StepView::of(reading, s, &opening.flags, &works, (look, &own)))
            .collect();
        for at in 1..steps.len() {
            steps[at].exit_same = steps[at].exit_now == steps[at - 1].exit_now;
            let (before, own) = steps.split_at(at);
            let first = before.iter().find(|s| s.says_the_same(&own[0]));
            let n = first.map(|s| s.n);
            steps[at].as_step = n;
        }
        let ids: Vec<&str> = opening.steps.iter().map(|s| s.id.as_str()).collect();
        let n = plan.openings.iter().position(|o| o == opening).unwrap_or(0);
        Self {
            row: OpeningRow::of(opening, n, address, &key),
            reasons: once(&opening.reasons),
            order: ids.join(","),
            ask: own.query(),
            own_order: plan
                .ask
                .order
                .is_some()
                .then(|| own.without("order").without("keep-").href() + "#open"),
            broken: opening.flags.len(),
            granted: granted(&steps),
            frames: drawing::frames(reading, opening, &works),
            pictures: pictures(opening, address),
            print: match steps.len() {
                0..=20 => "paper-rows",
                21..=23 => "paper-columns",
                _ => "paper-columns paper-close",
            },
            steps,
        }
    }
}
