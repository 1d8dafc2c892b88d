//! `pillarbook export`: cards of the database as card files, or as one archive.

use super::{input, wait_for};
use crate::config::{DatabaseConfig, photos_place};
use crate::contract::card_file;
use crate::store::{Actor, CardId, PhotoFiles, Store, StoredCard};
use crate::web::archive::photos;
use anyhow::{Context, bail};
use clap::Args;
use std::path::{Path, PathBuf};
use time::OffsetDateTime;

/// Write a card, or every card, as card files or as one archive
#[derive(Debug, Args)]
pub struct Export {
    /// The card's id, as its address shows it
    #[arg(value_name = "CARD", required_unless_present_any = ["all", "archive"])]
    card: Option<String>,
    /// Every card of the department, each as CARD.json in a directory
    #[arg(long, conflicts_with = "card", requires = "output")]
    all: bool,
    /// One archive of the card, or of every card of the department
    #[arg(long, value_name = "FILE.zip", conflicts_with_all = ["all", "output"])]
    archive: Option<PathBuf>,
    /// The file to write, or with --all the directory; - is standard output
    #[arg(short, long, value_name = "PATH")]
    output: Option<PathBuf>,
    /// Where photos are kept; left out, beside the database
    #[arg(long, env = "PILLARBOOK_PHOTOS", value_name = "PLACE")]
    photos: Option<String>,
    #[command(flatten)]
    database: DatabaseConfig,
}

impl Export {
    pub fn run(self) -> anyhow::Result<()> {
        wait_for(async {
            let database = &self.database.database;
            if !Path::new(database.trim_start_matches("sqlite:")).exists() {
                bail!("there is no database at {database}");
            }
            let store = Store::open(database)
                .await
                .context("the database cannot be opened")?;
            let actor = store.ensure_local(OffsetDateTime::now_utc()).await?;
            let output = self.output.unwrap_or_else(|| PathBuf::from("-"));
            if let Some(file) = &self.archive {
                let place = photos_place(self.photos.as_deref(), database);
                let photo_files = PhotoFiles::at(&place).context("photos cannot be read")?;
                let of = (&actor, self.card.as_deref());
                write_archive(&store, &photo_files, of, file).await?;
                store.close().await;
                return Ok(());
            }
            match &self.card {
                Some(id) => write_one(&store, &actor, id, &output).await?,
                None => write_all(&store, &actor, &output).await?,
            }
            store.close().await;
            Ok(())
        })
    }
}

async fn read_card(store: &Store, actor: &Actor, id: &CardId) -> anyhow::Result<StoredCard> {
    let card = store.card(&actor.department, id).await?;
    card.with_context(|| format!("there is no card {id}"))
}

async fn write_one(store: &Store, actor: &Actor, id: &str, output: &Path) -> anyhow::Result<()> {
    let stored = read_card(store, actor, &CardId::new(id)).await?;
    input::write(output, card_file::write(&stored.card).as_bytes())
}

async fn write_archive(
    store: &Store,
    photo_files: &PhotoFiles,
    (actor, card): (&Actor, Option<&str>),
    file: &Path,
) -> anyhow::Result<()> {
    let card = card.map(CardId::new);
    let now = OffsetDateTime::now_utc();
    let contents = store.archive(&actor.department, card.as_ref(), now).await?;
    let contents = contents.context("there is no such card")?;
    let count = contents.cards.len();
    let packed = photos::pack(photo_files, contents).await;
    input::write_from(file, &mut packed.context("the archive cannot be written")?)?;
    if !input::is_standard(file) {
        println!("{count} cards written to {}", file.display());
    }
    Ok(())
}

async fn write_all(store: &Store, actor: &Actor, directory: &Path) -> anyhow::Result<()> {
    if input::is_standard(directory) {
        bail!("--all writes files: give a directory with --output");
    }
    std::fs::create_dir_all(directory)
        .with_context(|| format!("{} cannot be made", directory.display()))?;
    let mut written = 0;
    for summary in store.all_summaries(&actor.department).await? {
        if summary.department != actor.department {
            continue;
        }
        let stored = read_card(store, actor, &summary.id).await?;
        let path = directory.join(format!("{}.json", summary.id));
        input::write(&path, card_file::write(&stored.card).as_bytes())?;
        written += 1;
    }
    println!("{written} cards written to {}", directory.display());
    Ok(())
}
