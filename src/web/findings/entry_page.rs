//! The page on which one finding is entered or corrected.

use super::choices::EntryChoices;
use crate::domain::body::FittedBody;
use crate::domain::card::Card;
use crate::domain::finding::Finding;
use crate::domain::units::Unit;
use crate::sketch::{self, Options};
use crate::store::StoredCard;
use crate::web::error::AppError;
use crate::web::no_cut_table::ChangeRow;
use crate::web::own_card::{CardHead, Footing, zones_of};
use crate::web::typed::Typed;
use askama::Template;
use askama_web::WebTemplate;
use axum::response::{IntoResponse, Response};

#[derive(Template, WebTemplate)]
#[template(path = "findings/entry_page.html")]
pub struct EntryPage {
    pub head: CardHead,
    /// Whether any dimension of this car was measured.
    pub fitted: bool,
    pub typed: Typed,
    pub choices: EntryChoices,
    /// The partner whose card it is offered to.
    pub offers_to: Option<String>,
    /// The finding that is corrected, in words.
    pub corrected: Option<(String, String)>,
    pub unit: &'static str,
    pub preview: Option<Preview>,
    /// The span as it is now, to touch stations on.
    pub ruler: Option<String>,
    pub defs: String,
    pub conflict: bool,
}

pub struct Preview {
    /// The tick by which a member says they saw what it takes away.
    pub tick: Option<&'static str>,
    /// Whether the correction is offered and waits for an officer.
    pub waits: bool,
    pub rows: Vec<ChangeRow>,
    pub ruler: Option<String>,
    pub warnings: Vec<String>,
}

impl EntryPage {
    pub fn new(
        (stored, footing): (&StoredCard, Footing),
        body: &FittedBody,
        typed: Typed,
        old: Option<&Finding>,
    ) -> Self {
        let unit = Unit::from_word(typed.value("unit")).unwrap_or(Unit::Mm);
        let head = CardHead::of(stored);
        let options = head.on_a_drawing(body.fitted);
        Self {
            choices: EntryChoices::of(body, &stored.card, unit, &typed),
            corrected: old.map(|f| (f.id.clone(), super::in_words(f, body))),
            unit: unit.word(),
            preview: None,
            ruler: ruler_of(&stored.card, typed.value("span"), &options),
            defs: sketch::svg::inline_defs(),
            conflict: false,
            offers_to: (footing == Footing::Partner).then(|| stored.department_name.clone()),
            fitted: body.fitted,
            head,
            typed,
        }
    }

    pub fn again(
        card: (&StoredCard, Footing),
        body: &FittedBody,
        typed: Typed,
        old: Option<&Finding>,
    ) -> Response {
        let page = Self::new(card, body, typed, old);
        (page.typed.status(), page).into_response()
    }

    pub fn previewed(
        &self,
        before: &Card,
        after: &Card,
        rows: Vec<ChangeRow>,
    ) -> Result<Preview, AppError> {
        let options = self.head.on_a_drawing(self.fitted);
        let known = zones_of(before)?.warnings;
        let zones = zones_of(after)?;
        let fresh = zones
            .warnings
            .iter()
            .filter(|w| !known.iter().any(|k| k.text == w.text));
        Ok(Preview {
            tick: None,
            waits: false,
            rows,
            warnings: fresh.map(|w| w.text.clone()).collect(),
            ruler: ruler_of(after, self.typed.value("span"), &options),
        })
    }
}

fn ruler_of(card: &Card, span: &str, options: &Options) -> Option<String> {
    let zones = zones_of(card).ok()?;
    let span = zones.spans.iter().find(|s| s.id == span)?;
    let options = Options {
        touch: true,
        ..options.clone()
    };
    let scene = sketch::ruler(&zones, span, &options);
    Some(sketch::svg::write_inline(&scene))
}
