//! Notes and replies written. A member of the card's department notes; a
//! partner's member who may read the card offers, as a guest.

use super::super::Store;
use super::super::change::Change;
use super::super::contract::*;
use super::super::error::{StoreError, or_taken};
use super::super::rows::{json_text, millis};
use super::super::sharing::begin_as_guest;
use super::super::sharing::name_of;
use super::contract::{NewAbout, NewRemark, Written};
use super::photos::insert_photo;
use crate::domain::annotation::{
    Annotation, MOST_PHOTOS, MOST_REMARKS, Remark, Settled, Standing, Target,
};
use crate::domain::numbers::FreeNumbers;
use serde_json::json;
use std::collections::BTreeSet;
use time::OffsetDateTime;

/// A change of a card by somebody who may note on it.
pub(super) struct Contribution<'a> {
    pub change: Change<'a>,
    /// Whether they belong to a partner.
    is_guest: bool,
    /// Their name and their department's, as the note is signed.
    by: String,
    department: String,
}

impl<'a> Contribution<'a> {
    /// `None` where the actor neither owns the card nor, as a partner's member,
    /// may read it.
    pub(super) async fn begin(
        store: &'a Store,
        actor: &'a Actor,
        card: &CardId,
        expected: Option<Revision>,
        now: OffsetDateTime,
    ) -> Result<Option<Self>, StoreError> {
        let own = Change::begin(store, actor, card, expected, now).await?;
        let is_guest = own.is_none();
        let change = match own {
            Some(change) => Some(change),
            None => begin_as_guest(store, actor, card, expected, now).await?,
        };
        let Some(mut change) = change else {
            return Ok(None);
        };
        let department = name_of(&mut change.tx, &actor.department).await?;
        Ok(Some(Self {
            change,
            is_guest,
            by: actor.member_name.clone(),
            department: department.unwrap_or_default(),
        }))
    }

    fn remark(&self, id: String, new: &NewRemark) -> Remark {
        Remark {
            id,
            text: new.text.clone(),
            by: Some(self.by.clone()),
            department: Some(self.department.clone()),
            on: self.change.now.date(),
            standing: match self.is_guest {
                true => Standing::Offered,
                false => Standing::Open,
            },
            settled: None,
            photos: new.photos.clone(),
        }
    }
}

impl Store {
    /// Writes notes and replies, all of them or none, under the card's next free
    /// numbers (`n1`, `n2` …). A partner's are offered. `None` where there is no
    /// such card to write on.
    pub async fn add_remarks(
        &self,
        actor: &Actor,
        card: &CardId,
        expected: Option<Revision>,
        new: &[NewRemark],
        now: OffsetDateTime,
    ) -> Result<Option<Written>, StoreError> {
        let contribution = Contribution::begin(self, actor, card, expected, now).await?;
        let Some(mut adding) = contribution else {
            return Ok(None);
        };
        let before = adding.change.card().await?;
        let known = &before.card.annotations;
        let count = known.iter().flat_map(Annotation::remarks).count() + new.len();
        if count > MOST_REMARKS {
            return Err(StoreError::TooMany {
                what: "notes and replies on one card",
                most: MOST_REMARKS,
            });
        }
        let mut ids = Vec::new();
        let mut numbers = free_numbers(known);
        for (position, one) in new.iter().enumerate() {
            let remark = adding.remark(numbers.next_id(), one);
            let about = match &one.about {
                NewAbout::Note(target) => RowAbout::Note(target),
                NewAbout::Reply(id) => RowAbout::Reply(answerable(known, id)?),
            };
            insert_remark(&mut adding.change, position, about, &remark).await?;
            ids.push(remark.id);
        }
        let summary = in_words(new, &ids, adding.is_guest);
        let detail = json!({"notes": ids});
        let action = match adding.is_guest {
            true => "notes-offered",
            false => "notes-added",
        };
        let card = adding.change.finish(&summary, action, detail).await?;
        Ok(Some(Written { ids, card }))
    }
}

fn in_words(new: &[NewRemark], ids: &[String], offered: bool) -> String {
    let done = if offered { "offered" } else { "added" };
    match (new, ids) {
        ([one], [id]) => match &one.about {
            NewAbout::Note(_) => format!("note {id} {done}"),
            NewAbout::Reply(to) => format!("reply {id} to note {to} {done}"),
        },
        _ => format!("{} notes {done}", ids.len()),
    }
}

/// The note of that id, if it can still be answered.
fn answerable<'a>(known: &'a [Annotation], id: &str) -> Result<&'a str, StoreError> {
    let note = known.iter().find(|a| a.note.id == id);
    let note = note.ok_or_else(|| StoreError::NoSuchRemark { id: id.to_owned() })?;
    match note.note.standing {
        Standing::Declined | Standing::Withdrawn => Err(StoreError::Settled {
            id: id.to_owned(),
            standing: note.note.standing,
        }),
        _ => Ok(&note.note.id),
    }
}

pub(super) fn free_numbers(known: &[Annotation]) -> FreeNumbers {
    let mut numbers = FreeNumbers::of('n');
    let remarks = known.iter().flat_map(Annotation::remarks);
    remarks.for_each(|remark| numbers.take(&remark.id));
    numbers
}

/// The notes of a card that is brought in, as its file has them. Of photos only
/// those whose bytes were `brought` along: a name in a file alone opens nothing.
pub(in crate::store) async fn insert_brought(
    change: &mut Change<'_>,
    annotations: &[Annotation],
    brought: &BTreeSet<String>,
) -> Result<(), StoreError> {
    let mut position = 0;
    for annotation in annotations {
        let note = &annotation.note.id;
        for (nth, remark) in annotation.remarks().enumerate() {
            let about = match nth {
                0 => RowAbout::Note(&annotation.target),
                _ => RowAbout::Reply(note),
            };
            let mut remark = remark.clone();
            remark.photos.retain(|p| brought.contains(&p.name));
            insert_remark(change, position, about, &remark).await?;
            position += 1;
        }
    }
    Ok(())
}

/// What a row is about.
#[derive(Clone, Copy)]
pub(super) enum RowAbout<'a> {
    Note(&'a Target),
    Reply(&'a str),
}

/// The columns of a target.
#[derive(Default)]
struct TargetRow<'a> {
    target: &'static str,
    reply_to: Option<&'a str>,
    span: Option<&'a str>,
    at_mm: Option<f64>,
    picture: Option<&'static str>,
    spots: Option<String>,
    label: Option<&'a str>,
    finding: Option<&'a str>,
}

impl<'a> From<RowAbout<'a>> for TargetRow<'a> {
    fn from(about: RowAbout<'a>) -> Self {
        let of = |target| Self {
            target,
            ..Self::default()
        };
        match about {
            RowAbout::Reply(to) => Self {
                reply_to: Some(to),
                ..of("reply")
            },
            RowAbout::Note(Target::Card) => of("card"),
            RowAbout::Note(Target::Station { span, at_mm }) => Self {
                span: Some(span),
                at_mm: Some(*at_mm),
                ..of("station")
            },
            RowAbout::Note(Target::Place { picture, at_mm }) => Self {
                picture: Some(picture.word()),
                spots: Some(json_text(&[at_mm])),
                ..of("place")
            },
            RowAbout::Note(Target::Arrow {
                picture,
                from_mm,
                to_mm,
                label,
            }) => Self {
                picture: Some(picture.word()),
                spots: Some(json_text(&[from_mm, to_mm])),
                label: Some(label),
                ..of("arrow")
            },
            RowAbout::Note(Target::Finding(id)) => Self {
                finding: Some(id),
                ..of("finding")
            },
        }
    }
}

pub(super) async fn insert_remark(
    change: &mut Change<'_>,
    position: usize,
    about: RowAbout<'_>,
    remark: &Remark,
) -> Result<(), StoreError> {
    if remark.photos.len() > MOST_PHOTOS {
        return Err(StoreError::TooMany {
            what: "photos of one note",
            most: MOST_PHOTOS,
        });
    }
    let row = TargetRow::from(about);
    let position = i64::try_from(position).expect("no list in memory is longer than 64 bits");
    sqlx::query(
        "INSERT INTO annotations (department_id, card_id, id, revision, position, reply_to, target,
             span, at_mm, picture, spots, label, finding_id, text, by_name, by_department,
             written_on, member_id, recorded_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18,
             $19)",
    )
    .bind(change.actor.department.as_str())
    .bind(change.card.as_str())
    .bind(remark.id.as_str())
    .bind(change.revision)
    .bind(position)
    .bind(row.reply_to)
    .bind(row.target)
    .bind(row.span)
    .bind(row.at_mm)
    .bind(row.picture)
    .bind(row.spots)
    .bind(row.label)
    .bind(row.finding)
    .bind(remark.text.as_str())
    .bind(remark.by.as_deref())
    .bind(remark.department.as_deref())
    .bind(remark.on.to_string())
    .bind(change.actor.member.as_str())
    .bind(millis(change.now))
    .execute(&mut *change.tx)
    .await
    .map_err(or_taken(&remark.id))?;
    insert_standing(change, &remark.id, remark.standing, remark.settled.as_ref()).await?;
    for photo in &remark.photos {
        insert_photo(change, &remark.id, photo).await?;
    }
    Ok(())
}

/// A line of where a remark stands, under the change's revision.
pub(super) async fn insert_standing(
    change: &mut Change<'_>,
    id: &str,
    standing: Standing,
    settled: Option<&Settled>,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO annotation_standing (department_id, card_id, annotation_id, revision, standing,
             reason, settled_by, settled_on, member_id)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
    )
    .bind(change.actor.department.as_str())
    .bind(change.card.as_str())
    .bind(id)
    .bind(change.revision)
    .bind(standing.word())
    .bind(settled.and_then(|s| s.reason.as_deref()))
    .bind(settled.map(|s| s.by.as_str()))
    .bind(settled.map(|s| s.on.to_string()))
    .bind(change.actor.member.as_str())
    .execute(&mut *change.tx)
    .await
    .map_err(or_taken(id))?;
    Ok(())
}
