//! What members of the county noted beside a card, and what became of it. All
//! of it is invented.

use super::{Crew, DemoError};
use crate::domain::annotation::{Picture, Standing, Target};
use crate::store::{Actor, CardId, NewAbout, NewRemark, Store, StoreError};
use time::OffsetDateTime;
use time::macros::datetime;

/// The card they stand beside: the first of the list.
pub(super) const NOTED: &str = "corvel-tarn-2019";

/// Something a member did with a note.
enum Step {
    Note(Target),
    Reply(&'static str),
    Settle(&'static str, Standing),
}

/// By whom, when, what, and in which words.
type Line = (&'static str, OffsetDateTime, Step, &'static str);

fn lines() -> [Line; 7] {
    let station = Target::Station {
        span: "b-pillar.left".to_owned(),
        at_mm: 420.0,
    };
    let arrow = Target::Arrow {
        picture: Picture::Left,
        from_mm: [2_150.0, 820.0],
        to_mm: [1_700.0, 470.0],
        label: "harness".to_owned(),
    };
    let place = Target::Place {
        picture: Picture::Top,
        at_mm: [3_560.0, 420.0],
    };
    [
        (
            "Wil Carden",
            datetime!(2026-10-02 17:40 UTC),
            Step::Note(station),
            "The lower trim clip breaks when it is pulled straight off: push it down first, then out.",
        ),
        (
            "Marek Ashby",
            datetime!(2026-10-03 08:15 UTC),
            Step::Reply("n1"),
            "Same on the second car in the yard.",
        ),
        (
            "Ines Tolland",
            datetime!(2026-10-03 09:05 UTC),
            Step::Note(place),
            "Boot floor panel is held by two turn screws; a coin opens them. The battery is under it.",
        ),
        (
            "Rue Pellow",
            datetime!(2026-10-09 16:20 UTC),
            Step::Note(arrow),
            "On ours a thick harness ran from here to the rocker. We did not strip the sill to see where it goes.",
        ),
        (
            "Dana Birchall",
            datetime!(2026-10-11 10:00 UTC),
            Step::Note(Target::Card),
            "Is the 2023 facelift covered by this card?",
        ),
        (
            "Marek Ashby",
            datetime!(2026-10-12 07:30 UTC),
            Step::Settle("n5", Standing::Open),
            "",
        ),
        (
            "Marek Ashby",
            datetime!(2026-10-12 07:35 UTC),
            Step::Settle("n5", Standing::Resolved),
            "Up to model year 2023, see the years on the card.",
        ),
    ]
}

/// Writes them beside the card, its partners being partners already.
pub(super) async fn write(store: &Store, crews: &[Crew], card: &CardId) -> Result<(), DemoError> {
    let members = || crews.iter().flat_map(|crew| &crew.members);
    for (by, at, step, text) in lines() {
        let named = |member: &&Actor| member.member_name == by;
        let actor = members().find(named).ok_or_else(|| DemoError::Stranger {
            name: NOTED,
            who: by.to_owned(),
        })?;
        let about = match step {
            Step::Note(target) => NewAbout::Note(target),
            Step::Reply(to) => NewAbout::Reply(to.to_owned()),
            Step::Settle(id, to) => {
                let reason = Some(text).filter(|t| !t.is_empty());
                let done = store
                    .settle_remark(actor, card, id, (to, reason), at)
                    .await?;
                done.ok_or_else(|| StoreError::NoSuchRemark { id: id.to_owned() })?;
                continue;
            }
        };
        let new = [NewRemark {
            about,
            text: text.to_owned(),
            photos: Vec::new(),
        }];
        let written = store.add_remarks(actor, card, None, &new, at).await?;
        written.ok_or_else(|| DemoError::Stranger {
            name: NOTED,
            who: by.to_owned(),
        })?;
    }
    Ok(())
}
