//! `/cards/{id}/notes/new`: a note is written. What it is about is chosen first;
//! a place is touched on the picture, with or without scripts: the browser sends
//! where the picture was touched, as it does for any image that is a button.

use super::about::{self, About, read_about};
use super::sent::{Sent, forget};
use super::{May, readable, refused};
use crate::domain::annotation::{MOST_TEXT, Picture, Spot};
use crate::domain::body::{FittedBody, fit, style};
use crate::domain::vehicle::Variant;
use crate::store::{NewAbout, NewRemark, StoreError, StoredCard};
use crate::web::drawing::spot_touched;
use crate::web::error::AppError;
use crate::web::figures;
use crate::web::findings::choices::EntryChoices;
use crate::web::form::Choice;
use crate::web::own_card::CardHead;
use crate::web::reading::Reading;
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use crate::web::variant::Pairs;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{Path, Query};
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

pub const TEXT: Asked<'static> = Asked::new("text", "Note");
/// Width the touched picture is shown at, CSS pixels: a phone's.
const TOUCHED_PX: f64 = 320.0;
/// Width of every drawing, user units.
const DRAWING_UNITS: f64 = 360.0;

#[derive(Template, WebTemplate)]
#[template(path = "notes/new.html")]
struct NewNotePage {
    head: CardHead,
    may: May,
    about: About,
    typed: Typed,
    /// The unit of a bare figure.
    unit: &'static str,
    choices: EntryChoices,
    pictures: Vec<Choice>,
    findings: Vec<Choice>,
    /// The two measures of a place on the picture chosen.
    axes: [&'static str; 2],
    touch: Option<Touch>,
    /// A file was chosen, which has to be chosen again.
    file_lost: bool,
}

/// The picture to be touched.
struct Touch {
    picture: Picture,
    src: String,
    /// Which end of an arrow the next touch is.
    asks: &'static str,
    tail: bool,
    /// What is known already goes along.
    kept: Vec<(&'static str, String)>,
}

/// `GET /cards/{id}/notes/new`
pub async fn new_note(
    state: AppState,
    Path(id): Path<String>,
    Query(query): Pairs,
) -> Result<Response, AppError> {
    let (stored, may) = writable(&state, &id).await?;
    let body = body_of(&stored)?;
    let mut typed = Typed::sent(query);
    let about = About::from_word(typed.value("about")).unwrap_or(About::Card);
    if matches!(about, About::Place | About::Arrow) && typed.value(about::VIEW.name).is_empty() {
        typed.put(about::VIEW.name, Picture::Left.word());
    }
    put_touched(&mut typed, &stored)?;
    Ok(page(&stored, &body, (may, about), typed, false).into_response())
}

/// Who may not write on a card is told so where they may read it.
async fn writable(state: &AppState, id: &str) -> Result<(StoredCard, May), AppError> {
    match readable(state, id).await? {
        (_, May::Read) => Err(AppError::Takes(
            "a partner of the card’s department, or a member",
        )),
        found => Ok(found),
    }
}

fn body_of(stored: &StoredCard) -> Result<FittedBody, AppError> {
    fit(style(stored.card.vehicle.body_style), &stored.card.measured)
        .map_err(|e| AppError::CannotCompute(e.to_string()))
}

/// Puts a touch on the picture into the fields of its place.
fn put_touched(typed: &mut Typed, stored: &StoredCard) -> Result<(), AppError> {
    let at = |name| typed.value(name).parse::<f64>().ok();
    let (Some(x), Some(y)) = (at("touch.x"), at("touch.y")) else {
        return Ok(());
    };
    // Pressed by a key instead of touched: nothing is meant.
    if (x, y) == (0.0, 0.0) {
        return Ok(());
    }
    let Some(picture) = Picture::from_word(typed.value(about::VIEW.name)) else {
        return Ok(());
    };
    let reading = Reading::of_card(stored.clone(), Variant::default())?;
    let scale = DRAWING_UNITS / TOUCHED_PX;
    let spot = spot_touched(&reading, picture, (x * scale, y * scale));
    let fields = match typed.value("end_touched") {
        "tail" => about::TAIL,
        _ => about::SPOT,
    };
    for (field, mm) in fields.iter().zip(spot.unwrap_or_default()) {
        typed.put(field.name, format!("{mm:.0} mm"));
    }
    Ok(())
}

/// The place that the fields name already, whole mm.
fn typed_spot(typed: &Typed, fields: [Asked<'_>; 2]) -> Option<Spot> {
    let mm = |field: Asked<'_>| {
        let text = typed.value(field.name).trim();
        let (sign, rest) = match text.strip_prefix(['-', '−']) {
            Some(rest) => (-1.0, rest),
            None => (1.0, text),
        };
        let mm = crate::domain::units::parse_length(rest, figures::first().unit()).ok()?;
        Some(sign * mm).filter(|mm| Picture::SPOT_MM.contains(mm))
    };
    Some([mm(fields[0])?, mm(fields[1])?])
}

fn touch(stored: &StoredCard, about: About, typed: &Typed) -> Option<Touch> {
    if !matches!(about, About::Place | About::Arrow) {
        return None;
    }
    let picture = Picture::from_word(typed.value(about::VIEW.name))?;
    let pin = typed_spot(typed, about::SPOT);
    let tail = typed_spot(typed, about::TAIL).filter(|_| about == About::Arrow);
    let mut src = format!("/cards/{}/sketch.svg?view={picture}", stored.id);
    for (name, spot) in [("pin", pin), ("tail", tail)] {
        if let Some([a, b]) = spot {
            src.push_str(&format!("&{name}={a:.0},{b:.0}"));
        }
    }
    let at_tail = about == About::Arrow && pin.is_some();
    let names = [about::SPOT, about::TAIL].concat();
    let mut kept: Vec<(&'static str, String)> = names
        .iter()
        .map(|field| (field.name, typed.value(field.name).to_owned()))
        .collect();
    kept.push(("about", about.word().to_owned()));
    kept.push((about::VIEW.name, picture.word().to_owned()));
    kept.push((about::LABEL.name, typed.value(about::LABEL.name).to_owned()));
    kept.retain(|(_, value)| !value.is_empty());
    Some(Touch {
        picture,
        src,
        asks: match (about, at_tail) {
            (About::Arrow, true) => "Touch where the arrow begins.",
            (About::Arrow, false) => "Touch where the arrow points.",
            _ => "Touch the place.",
        },
        tail: at_tail,
        kept,
    })
}

fn page(
    stored: &StoredCard,
    body: &FittedBody,
    (may, about): (May, About),
    typed: Typed,
    file_lost: bool,
) -> NewNotePage {
    let unit = figures::first().unit();
    let picture = Picture::from_word(typed.value(about::VIEW.name));
    NewNotePage {
        head: CardHead::of(stored),
        may,
        about,
        unit: unit.word(),
        choices: EntryChoices::of(body, &stored.card, unit, &typed),
        pictures: about::pictures(),
        findings: about::findings(&stored.card, body),
        axes: picture.unwrap_or(Picture::Left).axes(),
        touch: touch(stored, about, &typed),
        typed,
        file_lost,
    }
}

/// `POST /cards/{id}/notes/new`
pub async fn create_note(
    state: AppState,
    Path(id): Path<String>,
    mut sent: Sent,
) -> Result<Response, AppError> {
    let (stored, may) = writable(&state, &id).await?;
    let body = body_of(&stored)?;
    let typed = &mut sent.typed;
    let about = About::from_word(typed.value("about"));
    if about.is_none() {
        let words: Vec<&str> = About::ALL.iter().map(|a| a.word()).collect();
        let said = format!("about: accepted are {}.", words.join(", "));
        return Err(AppError::BadRequest(said));
    }
    let about = about.unwrap_or(About::Card);
    let target = read_about(typed, about, &body, &stored.card);
    let text = typed.required_text(TEXT, MOST_TEXT, "write the note");
    let brought = sent.photo().await?;
    let (Some(target), Some(text), true) = (target, text, sent.typed.is_valid()) else {
        let lost = sent.has_file();
        let status = sent.typed.status();
        let page = page(&stored, &body, (may, about), sent.typed, lost);
        return Ok((status, page).into_response());
    };
    let photo = match brought {
        Some(brought) => Some(brought.keep(&state).await?),
        None => None,
    };
    let new = [NewRemark {
        about: NewAbout::Note(target),
        text,
        photos: photo.iter().cloned().collect(),
    }];
    let now = OffsetDateTime::now_utc();
    let written = state
        .store
        .add_remarks(&state.actor, &stored.id, None, &new, now);
    match written.await {
        Ok(Some(written)) => {
            let note = written.ids.join("");
            Ok(Redirect::to(&format!("/cards/{id}/notes/{note}")).into_response())
        }
        other => {
            forget(&state, photo.as_ref()).await;
            Err(other.map_or_else(told, |_| AppError::NotFound("card")))
        }
    }
}

fn told(error: StoreError) -> AppError {
    refused(error)
}
