//! Cards from an archive: it is read and checked, what it brings is shown card by
//! card beside what the book has, and only then is it taken in. Until then it
//! waits with the member who sent it.

use super::brings;
use super::page::{ArchivePage, BroughtPage};
use super::photos;
use crate::contract::archive::{self, Archive, ArchiveError, MOST_BYTES};
use crate::domain::role::Deed;
use crate::store::{Incoming, StoreError, WaitingArchive, WaitingError};
use crate::web::error::AppError;
use crate::web::findings::{Seeing, ask_if_shrinking, effect};
use crate::web::no_cut_table::ChangeRow;
use crate::web::state::AppState;
use crate::web::typed::{Asked, LargeFile, LargeUpload, Typed};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use sha2::{Digest, Sha256};
use std::fmt::Write;
use time::OffsetDateTime;
use tokio::io::AsyncSeekExt;

/// Bytes that the address takes: more than an archive may have, so that one that
/// is too large is answered by the page.
pub const BODY_LIMIT_BYTES: usize = (MOST_BYTES + (8 << 20)) as usize;

const FILE: Asked<'static> = Asked::new("file", "The archive");
/// The archive is our own record.
const OWN: Asked<'static> = Asked::new("own", "Our own record");
/// What is in conflict is taken in as well.
const CONFLICTS: &str = "conflicts";

/// Details are not looked at by a second person.
const SEEING: Seeing = Seeing { alone: false };

const MOVED: &str = "A card changed, or another archive was sent, while this was open. Below is what it brings now.";

/// `GET /import`
pub async fn show_archive(state: AppState) -> Result<Response, AppError> {
    match waiting(&state).await? {
        None => Ok(form(&state, Typed::default(), Vec::new())),
        Some(brought) => Ok(preview(&state, &brought, Typed::default(), None)),
    }
}

/// `POST /import`
pub async fn take_archive(state: AppState, upload: LargeUpload) -> Result<Response, AppError> {
    match upload.typed.value("act") {
        "read" => take_in(&state, upload).await,
        "save" => save(&state, upload.typed).await,
        "discard" => {
            state.store.drop_waiting_archive(&state.actor).await?;
            Ok(Redirect::to("/import").into_response())
        }
        _ => Err(AppError::BadRequest(
            "There is no such key; nothing was changed.".to_owned(),
        )),
    }
}

/// An archive that waits, and what it brings to the book as it is now.
pub(super) struct Brought {
    pub sent: WaitingArchive,
    pub archive: Archive,
    pub incoming: Vec<Incoming>,
}

impl Brought {
    /// Stands for what was shown: the archive, and each card of the book it was
    /// compared with.
    pub fn seen(&self) -> String {
        let mut digest = Sha256::new();
        digest.update(self.sent.sent_at.unix_timestamp_nanos().to_be_bytes());
        for one in &self.incoming {
            let revision = one.here.as_ref().map_or(0, |(stored, _)| stored.revision);
            digest.update(revision.to_be_bytes());
        }
        digest
            .finalize()
            .iter()
            .fold(String::new(), |mut hex, byte| {
                write!(hex, "{byte:02x}").expect("a text takes every digit");
                hex
            })
    }
}

/// Reading unpacks and works every card out: not on a thread that answers others.
async fn read(file: std::fs::File) -> Result<Result<Archive, ArchiveError>, AppError> {
    tokio::task::spawn_blocking(move || archive::read_from(file))
        .await
        .map_err(|e| AppError::Internal(Box::new(e)))
}

async fn waiting(state: &AppState) -> Result<Option<Brought>, AppError> {
    let (store, actor) = (&state.store, &state.actor);
    let Some(sent) = store.waiting_archive(actor).await? else {
        return Ok(None);
    };
    let failed = |e: std::io::Error| AppError::Internal(Box::new(e));
    let file = tempfile::tempfile().map_err(failed)?;
    let mut copy = tokio::fs::File::from_std(file.try_clone().map_err(failed)?);
    match store.read_waiting_archive(actor, &sent, &mut copy).await {
        Ok(()) => {}
        Err(WaitingError::Gone) => return Ok(None),
        Err(WaitingError::Store(error)) => return Err(error.into()),
        Err(WaitingError::Io(error)) => return Err(failed(error)),
    }
    // It was read before it was kept; a newer program may read it otherwise.
    let Ok(archive) = read(file).await? else {
        store.drop_waiting_archive(actor).await?;
        return Ok(None);
    };
    let incoming = store.compare_archive(actor, &archive).await?;
    Ok(Some(Brought {
        sent,
        archive,
        incoming,
    }))
}

async fn take_in(state: &AppState, upload: LargeUpload) -> Result<Response, AppError> {
    let mut typed = upload.typed;
    let Some(LargeFile {
        name, bytes, file, ..
    }) = upload.file
    else {
        typed.refuse(FILE, "choose an archive, a file that ends in .zip");
        return Ok(form(state, typed, Vec::new()));
    };
    let failed = |e: std::io::Error| AppError::Internal(Box::new(e));
    let mut file = file;
    let copy = file.try_clone().await.map_err(failed)?.into_std().await;
    let archive = match bytes > MOST_BYTES {
        true => Err(ArchiveError::TooLarge { bytes }),
        false => read(copy).await?,
    };
    if let Err(error) = archive {
        let mut lines = error.lines();
        typed.refuse(FILE, lines.remove(0));
        return Ok(form(state, typed, lines));
    }
    file.rewind().await.map_err(failed)?;
    let now = OffsetDateTime::now_utc();
    let kept = state
        .store
        .keep_waiting_archive(&state.actor, &name, &mut file, now);
    match kept.await {
        Ok(()) => Ok(Redirect::to("/import").into_response()),
        Err(WaitingError::Store(error)) => Err(error.into()),
        Err(other) => Err(AppError::Internal(Box::new(other))),
    }
}

async fn save(state: &AppState, mut typed: Typed) -> Result<Response, AppError> {
    let Some(mut brought) = waiting(state).await? else {
        typed.refuse(
            FILE,
            "nothing waits: it was taken in or discarded in another window",
        );
        let mut response = form(state, typed, Vec::new());
        *response.status_mut() = StatusCode::PRECONDITION_FAILED;
        return Ok(response);
    };
    if typed.value("seen") != brought.seen() {
        return Ok(moved(state, &brought));
    }
    for (place, one) in brought.incoming.iter_mut().enumerate() {
        if let Some((_, difference)) = &one.here {
            one.take = brings::chosen(&typed, place, &difference.details);
        }
    }
    let own = typed.chosen(OWN.name, "yes");
    if own && !state.actor.roles.may(Deed::Decide) {
        typed.refuse(
            OWN,
            "this takes an officer: without it, findings come as offers",
        );
    }
    let conflicts = typed.chosen(CONFLICTS, "yes");
    let misfit = brought
        .incoming
        .iter()
        .find_map(|one| one.misfit(conflicts));
    if let Some(said) = misfit {
        typed.refuse(Asked::new("cards", "The cards"), said);
    }
    if typed.is_valid() {
        ask_if_shrinking(&mut typed, &taken_away(&brought, conflicts), SEEING);
    }
    if !typed.is_valid() {
        return Ok(preview(state, &brought, typed, None));
    }
    // Photos of a whole book take minutes. What was begun is brought to its end, also
    // where nobody waits for it any more.
    let recording = record(state.clone(), brought, (own, conflicts));
    let recorded = tokio::spawn(recording).await;
    recorded.map_err(|e| AppError::Internal(Box::new(e)))?
}

/// What the details that are taken over take away.
fn taken_away(brought: &Brought, conflicts: bool) -> Vec<ChangeRow> {
    let with_details = brought.incoming.iter();
    let with_details = with_details.filter(|one| !one.take.details.is_empty());
    with_details
        .filter_map(|one| {
            let (stored, _) = one.here.as_ref()?;
            effect(&stored.card, &one.after(conflicts)?).ok()
        })
        .flatten()
        .collect()
}

async fn record(
    state: AppState,
    mut brought: Brought,
    how: (bool, bool),
) -> Result<Response, AppError> {
    let state = &state;
    let (store, actor) = (&state.store, &state.actor);
    let archive = &brought.archive;
    let kept = photos::bring((store, &state.photos), archive, &mut brought.incoming).await?;
    let what = (archive, brought.incoming.as_slice());
    let now = OffsetDateTime::now_utc();
    let taken = store.take_in_archive(actor, what, how, &kept, now).await;
    if taken.is_err() {
        photos::forget((store, &state.photos), &kept).await;
    }
    match taken {
        Ok(taken) => {
            store.drop_waiting_archive(actor).await?;
            let next = match taken.as_slice() {
                [one] => format!("/cards/{}", one.card),
                _ => "/".to_owned(),
            };
            Ok(Redirect::to(&next).into_response())
        }
        // A card moved on, or the same archive was taken in by another.
        Err(StoreError::Conflict { .. } | StoreError::Duplicate { .. }) => {
            match waiting(state).await? {
                Some(brought) => Ok(moved(state, &brought)),
                None => Ok(Redirect::to("/import").into_response()),
            }
        }
        Err(other) => Err(other.into()),
    }
}

/// Shows what it brings now; nothing was taken in.
fn moved(state: &AppState, brought: &Brought) -> Response {
    let mut response = preview(state, brought, Typed::default(), Some(MOVED));
    *response.status_mut() = StatusCode::PRECONDITION_FAILED;
    response
}

/// The page that asks for an archive, with what is wrong with the one sent.
fn form(state: &AppState, typed: Typed, more: Vec<String>) -> Response {
    let page = ArchivePage {
        more,
        may_send: state.actor.roles.may(Deed::Keep),
        typed,
    };
    (page.typed.status(), page).into_response()
}

fn preview(
    state: &AppState,
    brought: &Brought,
    typed: Typed,
    moved: Option<&'static str>,
) -> Response {
    let page = BroughtPage::new(brought, state.actor.roles.may(Deed::Decide), typed, moved);
    (page.typed.status(), page).into_response()
}
