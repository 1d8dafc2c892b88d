//! Notes, replies and photos that come to a card from another book.

use super::super::change::Change;
use super::super::error::StoreError;
use super::photos::insert_photo;
use super::write::{RowAbout, free_numbers, insert_remark};
use crate::contract::archive::Brought;
use crate::domain::annotation::{Annotation, MOST_REMARKS, Remark};
use std::collections::BTreeSet;

/// What was written.
#[derive(Debug, Default)]
pub(in crate::store) struct More {
    /// Numbers of the notes and replies.
    pub ids: Vec<String>,
    pub remarks: usize,
    pub photos: usize,
}

/// Writes them beside those that are `known`, under the card's next free numbers.
/// Of photos only those whose bytes were `brought` along.
pub(in crate::store) async fn insert_more(
    change: &mut Change<'_>,
    known: &[Annotation],
    all: &Brought,
    brought: &BTreeSet<String>,
) -> Result<More, StoreError> {
    let new = all.notes.iter().flat_map(Annotation::remarks).count() + all.replies.len();
    let count = known.iter().flat_map(Annotation::remarks).count() + new;
    if count > MOST_REMARKS {
        return Err(StoreError::TooMany {
            what: "notes and replies on one card",
            most: MOST_REMARKS,
        });
    }
    let (mut numbers, mut done) = (free_numbers(known), More::default());
    for noted in &all.notes {
        let note = numbered(&noted.note, numbers.next_id(), brought);
        done.insert(change, RowAbout::Note(&noted.target), &note)
            .await?;
        for reply in &noted.replies {
            let reply = numbered(reply, numbers.next_id(), brought);
            done.insert(change, RowAbout::Reply(&note.id), &reply)
                .await?;
        }
    }
    for (to, reply) in &all.replies {
        let reply = numbered(reply, numbers.next_id(), brought);
        done.insert(change, RowAbout::Reply(to), &reply).await?;
    }
    let hung = all.photos.iter().filter(|(_, p)| brought.contains(&p.name));
    for (remark, photo) in hung {
        insert_photo(change, remark, photo).await?;
        done.photos += 1;
    }
    Ok(done)
}

fn numbered(remark: &Remark, id: String, brought: &BTreeSet<String>) -> Remark {
    let mut remark = Remark {
        id,
        ..remark.clone()
    };
    remark.photos.retain(|p| brought.contains(&p.name));
    remark
}

impl More {
    async fn insert(
        &mut self,
        change: &mut Change<'_>,
        about: RowAbout<'_>,
        remark: &Remark,
    ) -> Result<(), StoreError> {
        insert_remark(change, self.remarks, about, remark).await?;
        self.ids.push(remark.id.clone());
        self.photos += remark.photos.len();
        self.remarks += 1;
        Ok(())
    }
}
