//! A card with its zones worked out: what every page about a car is made of.
//! The generic card of a body style is read the same way, with nothing found.

use super::error::AppError;
use super::page_cache::{Kept, PageKey};
use super::say;
use super::state::AppState;
use super::{figures, leaving};
use crate::contract::variant::query_of_variant;
use crate::domain::body::{self, FittedBody, StyleId};
use crate::domain::card::Card;
use crate::domain::finding::Finding;
use crate::domain::role::Deed;
use crate::domain::vehicle::{Variant, Vehicle};
use crate::domain::zone::{self, Component, Zones};
use crate::store::{Actor, CardId, DepartmentId, Revision, RevisionEntry, StoredCard};
use axum::http::HeaderMap;
use axum::response::Response;
use std::collections::BTreeSet;
use time::Date;

/// Which car a page is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Subject {
    Card(CardId),
    /// Nobody has looked at this car: the body style alone.
    Style(StyleId),
}

/// Where the card stands that a page shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    pub department: DepartmentId,
    pub department_name: String,
    pub revision: Revision,
    pub date: Date,
    /// Whether an officer has looked it over, in words.
    pub review: String,
}

/// A card, its body and its zones.
#[derive(Debug)]
pub struct Reading {
    pub subject: Subject,
    /// `None` for a body style.
    pub stand: Option<Stand>,
    pub card: Card,
    /// The variant asked for; nothing is known of it where none was.
    pub variant: Variant,
    /// The same in words; `None` for the card's own car.
    pub said_variant: Option<String>,
    pub body: FittedBody,
    pub zones: Zones,
    /// Newest first, down from the one read; none of a body style.
    pub revisions: Vec<RevisionEntry>,
    /// Whether who reads may record on it.
    pub can_record: bool,
}

impl Subject {
    /// Address of its main page; the others stand below it.
    pub fn href(&self) -> String {
        match self {
            Self::Card(id) => format!("/cards/{id}"),
            Self::Style(id) => format!("/body-styles/{id}"),
        }
    }

    /// The subject at `/body-styles/{word}`.
    pub fn style(word: &str) -> Result<Self, AppError> {
        StyleId::from_word(word)
            .map(Self::Style)
            .ok_or(AppError::NotFound("body style"))
    }

    /// The revision its pages show now.
    pub async fn revision(&self, state: &AppState) -> Result<Revision, AppError> {
        match self {
            Self::Style(_) => Ok(0),
            Self::Card(id) => state
                .store
                .card_revision(&state.actor.department, id)
                .await?
                .ok_or(AppError::NotFound("card")),
        }
    }

    /// Whether its review is overdue by its days.
    pub async fn is_review_late(&self, state: &AppState) -> Result<bool, AppError> {
        match self {
            Self::Style(_) => Ok(false),
            Self::Card(id) => {
                let department = &state.actor.department;
                Ok(state.store.is_review_late(department, id).await?)
            }
        }
    }

    /// Reads it as it stood at a revision, for the variant asked for.
    pub async fn read(
        &self,
        state: &AppState,
        revision: Revision,
        variant: Variant,
    ) -> Result<Reading, AppError> {
        match self {
            Self::Style(id) => Reading::of_style(*id, variant),
            Self::Card(id) => {
                let stored = state
                    .store
                    .card_at(&state.actor.department, id, revision)
                    .await?
                    .ok_or(AppError::NotFound("revision of this card"))?;
                let revisions = state.store.revisions(&state.actor.department, id).await?;
                let mut reading = Reading::of_card(stored, variant)?;
                reading.revisions = revisions;
                reading.revisions.retain(|r| r.revision <= revision);
                Ok(reading)
            }
        }
    }

    /// Answers with one page of it for the variant asked for, kept by revision
    /// and variant; `page` names the page and whatever else of the query
    /// changes it.
    pub async fn answer<F>(
        self,
        state: &AppState,
        asked: &HeaderMap,
        (page, variant): (String, Variant),
        make: F,
    ) -> Result<Response, AppError>
    where
        F: FnOnce(&Reading) -> Result<Kept, AppError> + Send + 'static,
    {
        let revision = self.revision(state).await?;
        let card = match &self {
            Self::Card(id) => id.clone(),
            Self::Style(id) => CardId::new(format!("style {id}")),
        };
        // The one thing that changes without a revision.
        let late = match self.is_review_late(state).await? {
            true => "late",
            false => "",
        };
        let first = figures::first();
        let key = PageKey {
            card,
            revision,
            page: format!(
                "{page}?{} {first} {} {:?} {late}",
                query_of_variant(&variant),
                recorder(&state.actor),
                leaving::day()
            ),
        };
        let for_making = state.clone();
        let making = async move {
            let mut reading = self.read(&for_making, revision, variant).await?;
            let actor = &for_making.actor;
            reading.can_record = actor.roles.may(Deed::Record) && reading.is_of(&actor.department);
            let make = move || figures::within(first, || make(&reading));
            tokio::task::spawn_blocking(leaving::carried(make))
                .await
                .map_err(|e| AppError::Internal(Box::new(e)))?
        };
        state.pages.answer(key, asked, making).await
    }
}

/// Pages differ by whether one may record on a card: in one's own department,
/// with a role for it.
fn recorder(actor: &Actor) -> &str {
    match actor.roles.may(Deed::Record) {
        true => actor.department.as_str(),
        false => "reads",
    }
}

impl Reading {
    /// A stored card with its zones for the variant asked for.
    pub fn of_card(stored: StoredCard, variant: Variant) -> Result<Self, AppError> {
        let stand = Stand {
            department: stored.department,
            department_name: stored.department_name,
            revision: stored.revision,
            date: stored.updated_at.date(),
            review: say::review(&stored.review, stored.card.review_overdue),
        };
        Self::new(Subject::Card(stored.id), Some(stand), stored.card, variant)
    }

    /// The generic card of a body style.
    pub fn of_style(id: StyleId, variant: Variant) -> Result<Self, AppError> {
        Self::new(Subject::Style(id), None, generic_card(id), variant)
    }

    fn new(
        subject: Subject,
        stand: Option<Stand>,
        card: Card,
        variant: Variant,
    ) -> Result<Self, AppError> {
        let body = body::fit(body::style(card.vehicle.body_style), &card.measured)
            .map_err(|e| AppError::CannotCompute(sentence_of(&e)))?;
        let mut zones = zone::zones_on(&body, &card, &variant)
            .map_err(|e| AppError::CannotCompute(sentence_of(&e)))?;
        // Whose side is the driver's follows the variant on every drawing.
        zones.vehicle = card.vehicle.as_variant(&variant);
        Ok(Self {
            subject,
            stand,
            card,
            said_variant: (variant != Variant::default()).then(|| say::variant(&variant)),
            variant,
            body,
            zones,
            revisions: Vec::new(),
            can_record: false,
        })
    }

    pub fn title(&self) -> String {
        match &self.subject {
            Subject::Card(_) => say::title(&self.card.vehicle),
            Subject::Style(_) => format!("Generic {}", self.body.style.name),
        }
    }

    /// The vehicle in the variant asked for.
    pub fn vehicle(&self) -> &Vehicle {
        &self.zones.vehicle
    }

    /// An address below its main page, for the same variant.
    pub fn link(&self, below: &str) -> String {
        let query = query_of_variant(&self.variant);
        let join = match (query.is_empty(), below.contains('?')) {
            (true, _) => "",
            (false, true) => "&",
            (false, false) => "?",
        };
        format!("{}{below}{join}{query}", self.subject.href())
    }

    pub fn is_generic(&self) -> bool {
        self.stand.is_none()
    }

    /// Whether it is this department's card: another's is read only.
    pub fn is_of(&self, department: &DepartmentId) -> bool {
        let stand = self.stand.as_ref();
        stand.is_some_and(|s| s.department == *department)
    }

    pub fn component(&self, id: &str) -> Option<&Component> {
        self.zones.components.iter().find(|c| c.id == id)
    }

    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.card.findings.iter().find(|f| f.id == id)
    }

    /// Labels of the cars looked at, by findings that act.
    pub fn cars(&self) -> BTreeSet<&str> {
        let acting = self.card.findings.iter().filter(|f| f.acts());
        acting.filter_map(|f| f.car.as_deref()).collect()
    }
}

fn sentence_of(error: &dyn std::error::Error) -> String {
    format!("The zones of this card cannot be worked out: {error}.")
}

/// A card of a body style on which nothing was found.
fn generic_card(body_style: StyleId) -> Card {
    Card::unrecorded(Vehicle::of_style(body_style))
}
