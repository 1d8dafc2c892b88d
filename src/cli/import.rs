//! `pillarbook import`: card files into the database.

use super::input::{self, Refused};
use super::wait_for;
use crate::config::DatabaseConfig;
use crate::contract::zones_of_file;
use crate::domain::card::Card;
use crate::domain::finding::{Finding, Status};
use crate::domain::vehicle::Variant;
use crate::store::Store;
use anyhow::Context;
use clap::Args;
use std::path::PathBuf;
use time::OffsetDateTime;

/// Bring card files into the database, each as a new card
///
/// Every file is checked before any is brought in. The department's own policy
/// stays in force, whatever policy a file carries. Findings from outside are
/// offered, not accepted, until somebody here accepts them; with --own the
/// files are this department's own record and every finding keeps its status.
#[derive(Debug, Args)]
pub struct Import {
    /// The card files; - reads standard input
    #[arg(value_name = "CARD.json", required = true)]
    cards: Vec<PathBuf>,
    /// The files are our own record: findings keep their status
    #[arg(long)]
    own: bool,
    #[command(flatten)]
    database: DatabaseConfig,
}

impl Import {
    pub fn run(self) -> anyhow::Result<()> {
        let mut cards = Vec::with_capacity(self.cards.len());
        for path in &self.cards {
            let text = input::read(path)?;
            let answer = zones_of_file(&text, &Variant::default())
                .map_err(|error| Refused::invalid(path, error))?;
            input::tell_ignored(path, &answer.read.ignored);
            if answer.read.has_policy {
                eprintln!("{}: note: its policy is not taken over", path.display());
            }
            let card = answer.read.card;
            cards.push(if self.own { card } else { as_offered(card) });
        }
        wait_for(bring_in(cards, &self.database.database))
    }
}

/// A card from outside: what it calls accepted is an offer here.
fn as_offered(mut card: Card) -> Card {
    let offered = |finding: Finding| match finding.status {
        Status::Accepted | Status::Offered => finding.as_offered(),
        Status::Declined | Status::Superseded | Status::Withdrawn => finding,
    };
    card.findings = card.findings.into_iter().map(offered).collect();
    card
}

async fn bring_in(cards: Vec<Card>, database: &str) -> anyhow::Result<()> {
    let store = Store::open(database)
        .await
        .context("the database cannot be opened")?;
    let now = OffsetDateTime::now_utc();
    let actor = store.ensure_local(now).await?;
    for card in cards {
        let stored = store.import_card(&actor, card, now).await?;
        println!("{}", stored.id);
    }
    store.close().await;
    Ok(())
}
