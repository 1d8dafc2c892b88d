//! The page of a plan: what was asked, what may still be live, the openings, the
//! open one step by step.

use super::address::Address;
use super::asked::{LookRow, echo, looks};
use super::opening::{OpenView, OpeningRow, key, opened, rows};
use super::restraint::{BagRoom, RestraintBox, bag_rooms, sources};
use super::words;
use crate::domain::kind::Kind;
use crate::domain::opening::plan::way;
use crate::domain::opening::{Ask, Plan};
use crate::sketch::svg;
use crate::web::form::Choice;
use crate::web::reading::Reading;
use crate::web::say;
use crate::web::variant::Shown;
use askama::Template;
use time::OffsetDateTime;

/// A plan as a crew reads it.
#[derive(Template)]
#[template(path = "plan/plan.html")]
pub struct PlanPage {
    pub title: String,
    pub href: String,
    pub page: String,
    pub stand: String,
    pub generic: bool,
    pub fitted: bool,
    pub shown: Shown,
    /// What was asked, defaults and all, in words.
    pub asked: Vec<(&'static str, String)>,
    pub heading: String,
    /// The form with everything that was answered.
    pub change: String,
    /// The address, carried by forms that are about no opening.
    pub ask: String,
    pub restraints: RestraintBox,
    /// The preferred one, the immediate one, and the one that is open.
    pub leading: Vec<OpeningRow>,
    pub others: Vec<OpeningRow>,
    pub open: Option<OpenView>,
    pub looks: Vec<LookRow>,
    pub kinds: Vec<Choice>,
    pub bags: Vec<BagRoom>,
    /// Where their distances are from, each once.
    pub bag_sources: String,
    pub not_offered: Vec<(String, String)>,
    pub wrong: Vec<String>,
    pub defs: String,
    pub at: String,
}

impl PlanPage {
    /// Of a plan on a card that is the department's own or not, as of now; the
    /// open one is put in by who knows what was typed.
    pub fn of(
        (reading, plan): (&Reading, &Plan),
        address: &Address,
        (own, now): (bool, OffsetDateTime),
    ) -> Self {
        let opening = opened(plan, address);
        let here = opening.map(key).unwrap_or_default();
        let all = rows(plan, address, &here);
        let (leading, others): (Vec<_>, Vec<_>) = all
            .into_iter()
            .partition(|r| r.preferred || r.immediate || r.here);
        let bags = bag_rooms(reading, plan);
        Self {
            title: reading.title(),
            href: reading.subject.href(),
            page: address.page().to_owned(),
            stand: words::stand(reading),
            generic: reading.is_generic(),
            fitted: reading.body.fitted,
            shown: Shown::of(reading, "/plan"),
            asked: echo(reading, &plan.ask),
            heading: heading(reading, &plan.ask),
            change: address.href() + "&change=1",
            ask: address.query(),
            restraints: RestraintBox::of(plan),
            leading,
            others,
            open: None,
            looks: looks(reading, &plan.ask, own),
            kinds: Kind::ALL
                .iter()
                .map(|k| Choice::new(k.word(), k.name()))
                .collect(),
            bag_sources: sources(&bags),
            bags,
            not_offered: plan
                .not_offered
                .iter()
                .map(|o| (way(&o.name, o.side), o.because.clone()))
                .collect(),
            wrong: Vec::new(),
            defs: svg::inline_defs(),
            at: say::moment(now),
        }
    }
}

/// `Front seat, left: gentle`
fn heading(reading: &Reading, ask: &Ask) -> String {
    let seats = reading.body.style.seats.iter();
    let seats: Vec<String> = seats
        .filter(|s| ask.seats.contains(&s.id))
        .map(|s| s.name.to_lowercase())
        .collect();
    format!(
        "{}: {}",
        say::sentence(&say::list(&seats)),
        words::care(ask.care).to_lowercase()
    )
}
