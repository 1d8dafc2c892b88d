//! Notes as they lie in the tables.

use super::super::Store;
use super::super::contract::*;
use super::super::database::Connection;
use super::super::error::StoreError;
use super::super::rows::At;
use crate::domain::annotation::{
    Annotation, Photo, Picture, Remark, Settled, Spot, Standing, Target,
};
use std::collections::{BTreeMap, BTreeSet};

#[derive(Debug, sqlx::FromRow)]
struct RemarkRow {
    id: String,
    reply_to: Option<String>,
    target: String,
    span: Option<String>,
    at_mm: Option<f64>,
    picture: Option<String>,
    spots: Option<String>,
    label: Option<String>,
    finding_id: Option<String>,
    text: String,
    by_name: Option<String>,
    by_department: Option<String>,
    written_on: String,
    standing: String,
    reason: Option<String>,
    settled_by: Option<String>,
    settled_on: Option<String>,
}

impl RemarkRow {
    fn target(&self) -> Result<Target, StoreError> {
        let at = self.at();
        let picture = || {
            let word = self.picture.as_deref().unwrap_or_default();
            at.word("picture", word, Picture::from_word)
        };
        let spots = || at.json::<Vec<Spot>>("spots", self.spots.as_deref().unwrap_or_default());
        let text = |column, value: &Option<String>| value.clone().ok_or_else(|| at.corrupt(column));
        Ok(match self.target.as_str() {
            "card" => Target::Card,
            "station" => Target::Station {
                span: text("span", &self.span)?,
                at_mm: self.at_mm.ok_or_else(|| at.corrupt("at_mm"))?,
            },
            "place" => match spots()?.as_slice() {
                &[at_mm] => Target::Place {
                    picture: picture()?,
                    at_mm,
                },
                _ => return Err(at.corrupt("spots")),
            },
            "arrow" => match spots()?.as_slice() {
                &[from_mm, to_mm] => Target::Arrow {
                    picture: picture()?,
                    from_mm,
                    to_mm,
                    label: text("label", &self.label)?,
                },
                _ => return Err(at.corrupt("spots")),
            },
            "finding" => Target::Finding(text("finding_id", &self.finding_id)?),
            _ => return Err(at.corrupt("target")),
        })
    }

    fn at(&self) -> At<'_> {
        At {
            table: "annotations",
            id: &self.id,
        }
    }

    fn remark(self, photos: Vec<Photo>) -> Result<Remark, StoreError> {
        let at = self.at();
        let settled = match (self.settled_by.as_ref(), self.settled_on.as_ref()) {
            (Some(by), Some(on)) => Some(Settled {
                by: by.clone(),
                on: at.date("settled_on", on)?,
                reason: self.reason.clone(),
            }),
            _ => None,
        };
        Ok(Remark {
            standing: at.word("standing", &self.standing, Standing::from_word)?,
            on: at.date("written_on", &self.written_on)?,
            settled,
            photos,
            id: self.id,
            text: self.text,
            by: self.by_name,
            department: self.by_department,
        })
    }
}

/// Every note that was on the card at a revision, in the order they came, each
/// as it stood then. Photos that were taken out are on none.
pub(in crate::store) async fn read_annotations(
    connection: &mut Connection,
    owner: &DepartmentId,
    card: &CardId,
    revision: Revision,
) -> Result<Vec<Annotation>, StoreError> {
    let rows: Vec<RemarkRow> = sqlx::query_as(
        "SELECT a.id, a.reply_to, a.target, a.span, a.at_mm, a.picture, a.spots, a.label,
                a.finding_id, a.text, a.by_name, a.by_department, a.written_on,
                s.standing, s.reason, s.settled_by, s.settled_on
         FROM annotations a
         JOIN annotation_standing s ON s.card_id = a.card_id AND s.annotation_id = a.id
          AND s.revision = (SELECT MAX(l.revision) FROM annotation_standing l
                            WHERE l.card_id = a.card_id AND l.annotation_id = a.id AND l.revision <= $3)
         WHERE a.department_id = $1 AND a.card_id = $2 AND a.revision <= $3
         ORDER BY a.revision, a.position",
    )
    .bind(owner.as_str())
    .bind(card.as_str())
    .bind(revision)
    .fetch_all(&mut *connection)
    .await?;
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let mut photos = read_photos(connection, owner, card, revision).await?;
    let mut annotations: Vec<Annotation> = Vec::new();
    for row in rows {
        let own = photos.remove(&row.id).unwrap_or_default();
        let Some(noted) = row.reply_to.clone() else {
            annotations.push(Annotation {
                target: row.target()?,
                note: row.remark(own)?,
                replies: Vec::new(),
            });
            continue;
        };
        let note = annotations.iter_mut().find(|a| a.note.id == noted);
        let note = note.ok_or_else(|| row.at().corrupt("reply_to"))?;
        note.replies.push(row.remark(own)?);
    }
    Ok(annotations)
}

/// Its remark, name, alt, width, height and hash.
type PhotoRow = (String, String, String, i64, i64, Option<String>);

/// A photo's row, with the remark it hangs on.
fn photo_of(
    (remark, name, alt, width, height, sha256): PhotoRow,
) -> Result<(String, Photo), StoreError> {
    let at = At {
        table: "photos",
        id: &name,
    };
    let photo = Photo {
        alt,
        width_px: at.whole("width_px", width)?,
        height_px: at.whole("height_px", height)?,
        sha256,
        name: name.clone(),
    };
    Ok((remark, photo))
}

/// Photos by the remark they hang on.
async fn read_photos(
    connection: &mut Connection,
    owner: &DepartmentId,
    card: &CardId,
    revision: Revision,
) -> Result<BTreeMap<String, Vec<Photo>>, StoreError> {
    let rows: Vec<PhotoRow> = sqlx::query_as(
        "SELECT p.annotation_id, p.name, p.alt, p.width_px, p.height_px, p.sha256 FROM photos p
         WHERE p.department_id = $1 AND p.card_id = $2 AND p.revision <= $3
           AND p.name NOT IN (SELECT x.name FROM photo_removals x)
         ORDER BY p.revision, p.name",
    )
    .bind(owner.as_str())
    .bind(card.as_str())
    .bind(revision)
    .fetch_all(connection)
    .await?;
    let mut photos: BTreeMap<String, Vec<Photo>> = BTreeMap::new();
    for (remark, photo) in rows
        .into_iter()
        .map(photo_of)
        .collect::<Result<Vec<_>, _>>()?
    {
        photos.entry(remark).or_default().push(photo);
    }
    Ok(photos)
}

impl Store {
    /// Photos that were taken out of an own card, by the remark they hung on.
    pub(in crate::store) async fn photos_taken_out(
        &self,
        department: &DepartmentId,
        card: &CardId,
    ) -> Result<Vec<(String, Photo)>, StoreError> {
        let rows: Vec<PhotoRow> = sqlx::query_as(
            "SELECT p.annotation_id, p.name, p.alt, p.width_px, p.height_px, p.sha256
             FROM photos p
             WHERE p.department_id = $1 AND p.card_id = $2
               AND p.name IN (SELECT x.name FROM photo_removals x)
             ORDER BY p.revision, p.name",
        )
        .bind(department.as_str())
        .bind(card.as_str())
        .fetch_all(self.database.readers())
        .await?;
        rows.into_iter().map(photo_of).collect()
    }

    /// Whether a photo is there for who asks for it by its card and name: of
    /// their own department's card; or of one they may read, on a remark that is
    /// for all or that they wrote themselves, to a note of that kind.
    pub async fn has_photo(
        &self,
        actor: &Actor,
        card: &CardId,
        name: &str,
    ) -> Result<bool, StoreError> {
        let row: Option<(i64,)> = sqlx::query_as(
            "SELECT 1 FROM photos p
             WHERE (p.department_id = $1 OR p.card_id IN
                    (SELECT r.card_id FROM readable_cards r WHERE r.reader_id = $1))
               AND p.card_id = $2 AND p.name = $3
               AND p.name NOT IN (SELECT x.name FROM photo_removals x)
               AND (p.department_id = $1 OR NOT EXISTS (
                   SELECT 1 FROM annotations a
                   JOIN annotations k ON k.card_id = a.card_id AND k.id IN (a.id, a.reply_to)
                   JOIN annotation_standing s ON s.card_id = k.card_id AND s.annotation_id = k.id
                    AND s.revision = (SELECT MAX(l.revision) FROM annotation_standing l
                                      WHERE l.card_id = k.card_id AND l.annotation_id = k.id)
                   WHERE a.card_id = p.card_id AND a.id = p.annotation_id
                     AND s.standing NOT IN ('open', 'offered', 'resolved')
                     AND k.member_id NOT IN (SELECT g.member_id FROM guests g
                                             WHERE g.home_member_id = $4)))",
        )
        .bind(actor.department.as_str())
        .bind(card.as_str())
        .bind(name)
        .bind(actor.member.as_str())
        .fetch_optional(self.database.readers())
        .await?;
        Ok(row.is_some())
    }

    /// Ids of the remarks on a card that the actor wrote, as a member of its
    /// department or as a guest.
    pub async fn own_remarks(
        &self,
        actor: &Actor,
        card: &CardId,
    ) -> Result<BTreeSet<String>, StoreError> {
        let rows: Vec<(String,)> = sqlx::query_as(
            "SELECT a.id FROM annotations a
             WHERE (a.department_id = $1 OR a.card_id IN
                    (SELECT r.card_id FROM readable_cards r WHERE r.reader_id = $1))
               AND a.card_id = $2
               AND (a.member_id = $3 OR a.member_id IN
                    (SELECT g.member_id FROM guests g WHERE g.home_member_id = $3))",
        )
        .bind(actor.department.as_str())
        .bind(card.as_str())
        .bind(actor.member.as_str())
        .fetch_all(self.database.readers())
        .await?;
        Ok(rows.into_iter().map(|(id,)| id).collect())
    }
}
