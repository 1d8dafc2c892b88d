//! The car of one ask: its fitted body, its zones and the room on each span with
//! the crew's looks laid over them; what a component id stands for.

use super::PlanError;
use crate::domain::body::{FittedBody, Span, fit, style};
use crate::domain::card::{Card, Glass, PowerSource};
use crate::domain::finding::{Finding, Report, Steel};
use crate::domain::kind::Kind;
use crate::domain::opening::ask::{Ask, Isolated};
use crate::domain::opening::place::Wish;
use crate::domain::opening::result::Placement;
use crate::domain::opening::room::{HighVoltage, Room, is_floor};
use crate::domain::opening::steel;
use crate::domain::policy::CushionPolicy;
use crate::domain::vehicle::Drive;
use crate::domain::zone::{ComponentClass, ZoneError, Zones, zones_on};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// A card fitted and zoned for an ask.
#[derive(Debug)]
pub struct Scene {
    pub body: FittedBody,
    pub zones: Zones,
    /// The car's drive as far as card and ask know it.
    pub drive: Option<Drive>,
    /// What is known of each material component's steel; `None` for magnesium
    /// and composites, of which no shear estimate is made.
    steel: BTreeMap<String, Option<Steel>>,
    glass: BTreeMap<String, Glass>,
    /// Each bare finding in words.
    seen: BTreeMap<String, String>,
}

impl Scene {
    /// # Errors
    /// The card has no zones.
    pub fn new(card: &Card, ask: &Ask) -> Result<Self, PlanError> {
        let body = fit(style(card.vehicle.body_style), &card.measured).map_err(ZoneError::Fit)?;
        let zones = zones_on(&body, &cautious(card, ask), &ask.variant)?;
        let steel = steel_of(card, &zones);
        let seen = card.findings.iter().map(|f| (f.id.clone(), seen_words(f)));
        Ok(Self {
            drive: ask.variant.drive.or(card.vehicle.drive),
            body,
            zones,
            steel,
            glass: card.glass.clone(),
            seen: seen.collect(),
        })
    }

    /// The rooms of every span, by its id.
    pub fn rooms(&self, ask: &Ask) -> BTreeMap<&str, Room<'_>> {
        let spans = self.body.spans.iter().zip(&self.zones.spans);
        spans
            .map(|(span, here)| {
                let room = Room::new(here, span, &ask.looks, &self.zones.policy);
                let room = room.closed_until_confirmed(&self.high_voltage(span));
                (&*span.id, room)
            })
            .collect()
    }

    /// Where high-voltage parts are expected on a span of this car.
    fn high_voltage(&self, span: &Span) -> Vec<HighVoltage<'_>> {
        let length = span.line.length();
        let expected = self.body.style.expectations.iter();
        expected
            .filter(|e| e.span == span.id && self.expects_high_voltage(&e.id))
            .map(|e| HighVoltage {
                expectation: &e.id,
                from_mm: e.from_share * length,
                to_mm: e.to_share * length,
            })
            .collect()
    }

    /// Whether an id is of an expectation in force that a high-voltage part is there.
    fn expects_high_voltage(&self, id: &str) -> bool {
        id.starts_with("hv-") && self.zones.expectations.iter().any(|e| e.id == id)
    }

    /// Whether a high-voltage part is recorded or expected in a place's way.
    pub fn holds_high_voltage(&self, place: &Placement) -> bool {
        let recorded = |id: &String| {
            let mut parts = self.zones.components.iter();
            parts.any(|c| {
                c.id == *id && c.kinds.iter().chain([&c.kind]).any(|k| k.is_high_voltage())
            })
        };
        place.by.iter().any(recorded) || self.reaches_high_voltage(place)
    }

    /// Whether a high-voltage part is expected in a place's way.
    fn reaches_high_voltage(&self, place: &Placement) -> bool {
        place.by.iter().any(|id| self.expects_high_voltage(id))
    }

    /// What would open a place that is closed because nobody has confirmed it.
    pub fn would_confirm(&self, place: &Placement) -> Option<&'static str> {
        match (self.reaches_high_voltage(place), self.drive) {
            (true, None) => Some(
                "nobody has seen it bare, and the drive is unknown: a look that finds bare metal \
                 there, or a drive known to have no such part, would change this",
            ),
            (true, Some(_)) => Some(
                "nobody has seen it bare: a look that finds bare metal there would change this",
            ),
            (false, _) if is_floor(&place.span) => {
                Some("an unconfirmed floor: a look that finds bare metal there would change this")
            }
            (false, _) => None,
        }
    }

    /// Whether all of these ids are folded bag fabric, and there are some.
    pub fn fabric_only(&self, ids: &[String]) -> bool {
        let is_fabric = |id: &String| {
            let component = self.zones.components.iter().find(|c| *c.id == **id);
            component.is_some_and(|c| {
                c.kind == Kind::Cushion && c.kinds.iter().all(|k| *k == Kind::Cushion)
            })
        };
        !ids.is_empty() && ids.iter().all(is_fabric)
    }

    /// What a pane is made of.
    pub fn glass(&self, pane: &str) -> Glass {
        self.glass.get(pane).copied().unwrap_or(Glass::Unknown)
    }

    /// Who saw the metal bare, when and how: of a finding's id, or of a look.
    pub fn seen_words(&self, id: &str) -> String {
        let of_finding = self.seen.get(id).cloned();
        of_finding.unwrap_or_else(|| format!("seen bare by a {id}, now"))
    }

    /// An id in words: a component's kind, an expectation's text, else itself.
    pub fn words(&self, id: &str) -> String {
        let zones = &self.zones;
        if let Some(component) = zones.components.iter().find(|c| *c.id == *id) {
            return format!("{} ({id})", component.kind.name());
        }
        let expected = zones.expectations.iter().find(|e| *e.id == *id);
        expected.map_or_else(|| id.to_owned(), |e| format!("expected: {}", e.text))
    }

    /// The steel that a blade of this wish touches at a station.
    pub fn steel_at<'a>(
        &'a self,
        room: &'a Room,
        wish: &Wish,
        station: f64,
    ) -> impl Iterator<Item = Option<&'a Steel>> {
        let touched = room.touched(station, &wish.width);
        self.known_steel(touched.flat_map(|s| &s.material).map(|id| &**id))
    }

    /// The steel anywhere in a wish's range.
    pub fn steel_in_range<'a>(
        &'a self,
        room: &'a Room,
        wish: &Wish,
    ) -> impl Iterator<Item = Option<&'a Steel>> {
        let [from, to] = wish.range_mm;
        let within = room.between(from, to);
        self.known_steel(within.flat_map(|s| &s.material).map(|id| &**id))
    }

    fn known_steel<'a>(
        &'a self,
        ids: impl Iterator<Item = &'a str>,
    ) -> impl Iterator<Item = Option<&'a Steel>> {
        let ids: std::collections::BTreeSet<&str> = ids.collect();
        ids.into_iter()
            .map(|id| self.steel.get(id).and_then(Option::as_ref))
    }
}

fn seen_words(finding: &Finding) -> String {
    let by = finding.by.as_deref().unwrap_or("a member");
    let car = finding
        .car
        .as_deref()
        .map_or(String::new(), |car| format!(", car “{car}”"));
    let (on, how) = (finding.observed_on, finding.source.meaning());
    format!("seen bare by {by}, {on}{car}: {how}; look before the blade closes")
}

/// The card as a plan reads it. Folded bags count as `no-cut` until the 12 V
/// supply is off, whatever the policy. Where the drive is unknown, every drive's
/// expectations are in force already, and what was seen bare on a car known to
/// have one does not count: else not knowing could look better than knowing.
fn cautious<'a>(card: &'a Card, ask: &Ask) -> Cow<'a, Card> {
    let mut card = Cow::Borrowed(card);
    let isolated = ask.isolation.get(&PowerSource::Main12v);
    let off = isolated.is_some_and(|i| i.state == Isolated::Yes);
    if !off && card.policy.cushion == CushionPolicy::Expected {
        card.to_mut().policy.cushion = CushionPolicy::NoCut;
    }
    let drive = ask.variant.drive.or(card.vehicle.drive);
    let of_one_drive =
        |f: &Finding| matches!(f.report, Report::Bare(_)) && f.observed.drive.is_some();
    if drive.is_none() && card.findings.iter().any(of_one_drive) {
        card.to_mut().findings.retain(|f| !of_one_drive(f));
    }
    card
}

fn steel_of(card: &Card, zones: &Zones) -> BTreeMap<String, Option<Steel>> {
    let reported = |component: &str| {
        card.findings
            .iter()
            .filter(|f| f.acts())
            .filter_map(move |f| match &f.report {
                Report::Component(r) if r.component == component => Some(&r.steel),
                _ => None,
            })
            .collect::<Vec<_>>()
    };
    let materials = zones.components.iter().filter(|c| {
        c.class == ComponentClass::Material
            || c.kinds.iter().any(|k| k.default_clearance_mm().is_none())
    });
    materials
        .map(|c| {
            let is_steel = c.kind == Kind::Reinforcement || c.kinds.contains(&Kind::Reinforcement);
            let steel = is_steel.then(|| steel::largest(reported(&c.id)));
            (c.id.to_string(), steel)
        })
        .collect()
}
