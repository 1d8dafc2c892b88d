//! `pillarbook import`: card files and archives into the database.

use super::input::{self, Refused};
use super::wait_for;
use crate::config::{DatabaseConfig, photos_place};
use crate::contract::archive::{self, Archive};
use crate::contract::zones_of_file;
use crate::domain::card::Card;
use crate::domain::vehicle::Variant;
use crate::store::{PhotoFiles, Store, TakenIn};
use crate::web::archive::photos;
use anyhow::{Context, bail};
use clap::Args;
use std::path::{Path, PathBuf};
use time::OffsetDateTime;

/// Bring card files or archives into the database
///
/// Every file is checked before any is brought in. A card file becomes a new
/// card; of an archive (FILE.zip), cards that an earlier archive brought are known
/// again and only their new findings are taken. The department's own policy stays
/// in force, whatever policy a file carries. Findings from outside are offered, not
/// accepted, until somebody here accepts them; with --own the files are this
/// department's own record and every finding of a new card keeps its status.
#[derive(Debug, Args)]
pub struct Import {
    /// The card files or archives; - reads a card file from standard input
    #[arg(value_name = "CARD.json|FILE.zip", required = true)]
    files: Vec<PathBuf>,
    /// The files are our own record: findings of new cards keep their status
    #[arg(long)]
    own: bool,
    /// Where photos are kept; left out, beside the database
    #[arg(long, env = "PILLARBOOK_PHOTOS", value_name = "PLACE")]
    photos: Option<String>,
    #[command(flatten)]
    database: DatabaseConfig,
}

/// One file, read and checked.
enum Brought {
    Card(Box<Card>),
    Archive(Box<Archive>),
}

impl Import {
    pub fn run(self) -> anyhow::Result<()> {
        let read = self.files.iter().map(|path| self.read(path));
        let brought = read.collect::<anyhow::Result<Vec<Brought>>>()?;
        let database = &self.database.database;
        let place = photos_place(self.photos.as_deref(), database);
        wait_for(bring_in(brought, self.own, database, &place))
    }

    fn read(&self, path: &Path) -> anyhow::Result<Brought> {
        if input::is_archive(path) {
            let file = input::open_archive(path)?;
            let archive = archive::read_from(file).map_err(|e| Refused::archive(path, &e))?;
            return Ok(Brought::Archive(Box::new(archive)));
        }
        let text = input::read(path)?;
        let answer = zones_of_file(&text, &Variant::default())
            .map_err(|error| Refused::invalid(path, error))?;
        input::tell_ignored(path, &answer.read.ignored);
        if answer.read.has_policy {
            eprintln!("{}: note: its policy is not taken over", path.display());
        }
        let card = archive::as_new(&answer.read.card, self.own);
        Ok(Brought::Card(Box::new(card)))
    }
}

async fn bring_in(
    brought: Vec<Brought>,
    own: bool,
    database: &str,
    place: &str,
) -> anyhow::Result<()> {
    let store = Store::open(database)
        .await
        .context("the database cannot be opened")?;
    let now = OffsetDateTime::now_utc();
    let actor = store.ensure_local(now).await?;
    for one in brought {
        match one {
            Brought::Card(card) => {
                let stored = store.import_card(&actor, *card, now).await?;
                println!("{}", stored.id);
            }
            Brought::Archive(archive) => {
                let mut incoming = store.compare_archive(&actor, &archive).await?;
                if let Some(said) = incoming.iter().find_map(|one| one.misfit(false)) {
                    bail!("the archive does not go onto what is here: {said}");
                }
                let photo_files = PhotoFiles::at(place).context("photos cannot be kept")?;
                let kept = photos::bring((&store, &photo_files), &archive, &mut incoming).await?;
                let taken = store
                    .take_in_archive(&actor, (&archive, &incoming), (own, false), &kept, now)
                    .await;
                if taken.is_err() {
                    photos::forget((&store, &photo_files), &kept).await;
                }
                taken?.iter().for_each(tell);
            }
        }
    }
    store.close().await;
    Ok(())
}

fn tell(taken: &TakenIn) {
    println!("{}", taken.card);
    let (card, findings) = (&taken.card, taken.findings);
    match taken.new_card {
        true => eprintln!("{card}: new card with {findings} findings"),
        false => eprintln!("{card}: known; {findings} new findings offered"),
    }
    if taken.notes + taken.photos > 0 {
        let (notes, photos) = (taken.notes, taken.photos);
        eprintln!("{card}: {notes} notes and replies, {photos} photos");
    }
    if taken.left_out > 0 {
        eprintln!(
            "{card}: note: {} findings and notes have no place here and were left out",
            taken.left_out
        );
    }
}
