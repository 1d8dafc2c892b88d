//! `/cards/{id}/notes`: every note of a card, what is open first.

use super::row::{NoteRow, Viewer};
use super::{May, readable};
use crate::domain::annotation::Standing;
use crate::domain::role::Roles;
use crate::web::error::AppError;
use crate::web::own_card::CardHead;
use crate::web::state::AppState;
use askama::Template;
use askama_web::WebTemplate;
use axum::extract::Path;
use axum::response::{IntoResponse, Response};

#[derive(Template, WebTemplate)]
#[template(path = "notes/list.html")]
struct NotesPage {
    head: CardHead,
    /// Name of the department whose card it is, where that is another's.
    of: Option<String>,
    may: May,
    /// Open and offered; newest first.
    open: Vec<NoteRow>,
    /// The rest, folded.
    folded: [(&'static str, Vec<NoteRow>); 2],
}

/// `GET /cards/{id}/notes`
pub async fn list_notes(state: AppState, Path(id): Path<String>) -> Result<Response, AppError> {
    let (stored, may) = readable(&state, &id).await?;
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
    let rows = |wanted: &[Standing]| -> Vec<NoteRow> {
        let newest = stored.card.annotations.iter().rev();
        newest
            .filter(|a| wanted.contains(&a.note.standing) && viewer.sees(&a.note))
            .map(|a| NoteRow::of(a, &stored, &viewer))
            .collect()
    };
    let aside = [Standing::Hidden, Standing::Declined, Standing::Withdrawn];
    let page = NotesPage {
        open: rows(&[Standing::Open, Standing::Offered]),
        folded: [
            ("Resolved", rows(&[Standing::Resolved])),
            ("Hidden, declined and withdrawn", rows(&aside)),
        ],
        head: CardHead::of(&stored),
        of: (!at_home).then(|| stored.department_name.clone()),
        may,
    };
    Ok(page.into_response())
}
