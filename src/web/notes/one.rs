//! `/cards/{id}/notes/{note}`: one note, its replies, its photos, and what can be
//! done with each.

use super::new::TEXT;
use super::row::{NoteRow, Viewer};
use super::sent::{Sent, forget, remove_now};
use super::{May, readable, refused};
use crate::domain::annotation::{MOST_PHOTOS, MOST_TEXT, Standing, StandingError};
use crate::domain::role::Roles;
use crate::store::{NewAbout, NewRemark, StoreError, StoredCard};
use crate::web::error::AppError;
use crate::web::own_card::CardHead;
use crate::web::state::AppState;
use crate::web::typed::{Asked, Typed};
use crate::web::variant::{Pairs, value_of};
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::{Path, Query};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

const REASON: Asked<'static> = Asked::new("reason", "Reason");
const MOST_REASON: usize = 400;

#[derive(Template, WebTemplate)]
#[template(path = "notes/one.html")]
struct NotePage {
    head: CardHead,
    may: May,
    row: NoteRow,
    /// Whether it can still be answered.
    open: bool,
    room_for_photos: bool,
    typed: Typed,
    conflict: bool,
    /// A photo was removed whose file is still there.
    file_left: bool,
}

/// `GET /cards/{id}/notes/{note}`
pub async fn show_note(
    state: AppState,
    Path((id, note)): Path<(String, String)>,
    Query(query): Pairs,
) -> Result<Response, AppError> {
    let (stored, may) = readable(&state, &id).await?;
    let page = NotePage {
        file_left: value_of(&query, "file") == Some("left"),
        ..page(&state, &stored, may, &note, Typed::default()).await?
    };
    Ok(page.into_response())
}

async fn page(
    state: &AppState,
    stored: &StoredCard,
    may: May,
    id: &str,
    typed: Typed,
) -> Result<NotePage, AppError> {
    let at_home = stored.department == state.actor.department;
    let nothing = Roles::default();
    let viewer = Viewer {
        own: state.store.own_remarks(&state.actor, &stored.id).await?,
        roles: if at_home {
            &state.actor.roles
        } else {
            &nothing
        },
        at_home,
    };
    let mut all = stored.card.annotations.iter();
    let found = all.find(|a| a.remark(id).is_some());
    let found = found.filter(|a| viewer.sees(&a.note));
    let annotation = found.ok_or(AppError::NotFound("note"))?;
    let over = matches!(
        annotation.note.standing,
        Standing::Declined | Standing::Withdrawn
    );
    Ok(NotePage {
        row: NoteRow::of(annotation, stored, &viewer),
        open: !over,
        room_for_photos: annotation.note.photos.len() < MOST_PHOTOS,
        head: CardHead::of(stored),
        may,
        typed,
        conflict: false,
        file_left: false,
    })
}

/// `POST /cards/{id}/notes/{note}`: answers it, brings it or a reply to stand
/// elsewhere, adds a photo or takes one out.
pub async fn change_note(
    state: AppState,
    Path((id, note)): Path<(String, String)>,
    mut sent: Sent,
) -> Result<Response, AppError> {
    let (stored, may) = readable(&state, &id).await?;
    // Whoever cannot see the note learns nothing by sending to it.
    page(&state, &stored, may, &note, Typed::default()).await?;
    let done = match sent.typed.value("do") {
        "reply" => reply(&state, &stored, &note, &mut sent).await,
        "settle" => settle(&state, &stored, &mut sent.typed).await,
        "photo" => add_photo(&state, &stored, &note, &mut sent).await,
        "remove-photo" => remove_photo(&state, &stored, &mut sent.typed).await,
        _ => {
            let said = "There is no such key; nothing was changed.".to_owned();
            return Err(AppError::BadRequest(said));
        }
    };
    match done {
        Ok(Done::Saved) => Ok(Redirect::to(&format!("/cards/{id}/notes/{note}")).into_response()),
        Ok(Done::FileLeft) => {
            let to = format!("/cards/{id}/notes/{note}?file=left");
            Ok(Redirect::to(&to).into_response())
        }
        Ok(Done::Asked) => {
            let status = sent.typed.status();
            let page = page(&state, &stored, may, &note, sent.typed).await?;
            Ok((status, page).into_response())
        }
        Err(AppError::Store(
            StoreError::Settled { .. } | StoreError::Standing(StandingError::Fixed { .. }),
        )) => {
            let (stored, may) = readable(&state, &id).await?;
            let mut page = page(&state, &stored, may, &note, sent.typed).await?;
            page.conflict = true;
            Ok((StatusCode::PRECONDITION_FAILED, page).into_response())
        }
        Err(other) => Err(other),
    }
}

/// What became of what was sent.
enum Done {
    Saved,
    /// Saved, but for a photo's file that is still there.
    FileLeft,
    /// Something is wrong with it, said beside its field.
    Asked,
}

/// Whether the store wrote.
fn saved<T>(done: Result<Option<T>, StoreError>) -> Result<Done, AppError> {
    match done {
        Ok(Some(_)) => Ok(Done::Saved),
        Ok(None) => Err(AppError::NotFound("card to write on")),
        Err(error) => Err(refused(error)),
    }
}

async fn reply(
    state: &AppState,
    stored: &StoredCard,
    note: &str,
    sent: &mut Sent,
) -> Result<Done, AppError> {
    let text = sent.typed.required_text(TEXT, MOST_TEXT, "write the reply");
    let brought = sent.photo().await?;
    let (Some(text), true) = (text, sent.typed.is_valid()) else {
        return Ok(Done::Asked);
    };
    let photo = match brought {
        Some(brought) => Some(brought.keep(state).await?),
        None => None,
    };
    let new = [NewRemark {
        about: NewAbout::Reply(note.to_owned()),
        text,
        photos: photo.iter().cloned().collect(),
    }];
    let now = OffsetDateTime::now_utc();
    let written = state
        .store
        .add_remarks(&state.actor, &stored.id, None, &new, now);
    let done = saved(written.await);
    if done.is_err() {
        forget(state, photo.as_ref()).await;
    }
    done
}

async fn settle(
    state: &AppState,
    stored: &StoredCard,
    typed: &mut Typed,
) -> Result<Done, AppError> {
    let to = Standing::from_word(typed.value("to"));
    let to = to.ok_or_else(|| AppError::BadRequest("There is no such standing.".to_owned()))?;
    let reason = typed.text(REASON, MOST_REASON);
    if to.needs_reason() && reason.is_none() {
        typed.refuse(REASON, "say why, for whoever reads the record");
    }
    if !typed.is_valid() {
        return Ok(Done::Asked);
    }
    let id = typed.value("id").to_owned();
    let now = OffsetDateTime::now_utc();
    let to = (to, reason.as_deref());
    let settled = state
        .store
        .settle_remark(&state.actor, &stored.id, &id, to, now);
    saved(settled.await)
}

async fn add_photo(
    state: &AppState,
    stored: &StoredCard,
    note: &str,
    sent: &mut Sent,
) -> Result<Done, AppError> {
    let brought = sent.photo().await?;
    if brought.is_none() && sent.typed.is_valid() {
        sent.typed.refuse(super::sent::PHOTO, "choose a photo");
    }
    let (Some(brought), true) = (brought, sent.typed.is_valid()) else {
        return Ok(Done::Asked);
    };
    let photo = brought.keep(state).await?;
    let now = OffsetDateTime::now_utc();
    let added = state
        .store
        .add_photo(&state.actor, &stored.id, note, &photo, now);
    let done = saved(added.await);
    if done.is_err() {
        forget(state, Some(&photo)).await;
    }
    done
}

async fn remove_photo(
    state: &AppState,
    stored: &StoredCard,
    typed: &mut Typed,
) -> Result<Done, AppError> {
    let reason = typed.required_text(REASON, MOST_REASON, "say why it is removed");
    let Some(reason) = reason else {
        return Ok(Done::Asked);
    };
    let name = typed.value("photo_name").to_owned();
    let now = OffsetDateTime::now_utc();
    let which = (name.as_str(), reason.as_str());
    let removed = state
        .store
        .remove_photo(&state.actor, &stored.id, which, now);
    saved(removed.await)?;
    // It shows nowhere any more; whether its file is gone as well is said.
    Ok(match remove_now(&state.store, &state.photos, &name).await {
        true => Done::Saved,
        false => Done::FileLeft,
    })
}
