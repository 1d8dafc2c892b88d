//! `pillarbook check`: whether a card file or a database can be relied on.

use super::input::{self, Refused};
use super::wait_for;
use crate::contract::zones_of_file;
use crate::domain::vehicle::Variant;
use crate::domain::zone::Zones;
use crate::store::{Sound, Store};
use anyhow::Context;
use clap::Args;
use std::path::PathBuf;

/// Read a card file through and say everything that is wrong with it
///
/// Also fits its measurements, computes its zones and lists their warnings.
/// Changes nothing. With --database a database file or a backup is read
/// through instead, every revision of every card.
#[derive(Debug, Args)]
pub struct Check {
    /// The card file; - reads standard input
    #[arg(value_name = "CARD.json", required_unless_present = "database")]
    card: Option<PathBuf>,
    /// A database file or a backup
    #[arg(long, value_name = "PATH", conflicts_with = "card")]
    database: Option<PathBuf>,
}

impl Check {
    pub fn run(self) -> anyhow::Result<()> {
        if let Some(database) = self.database {
            let found = wait_for(async { Ok(Store::check(&database).await?) })
                .with_context(|| format!("{} was read", database.display()))?;
            println!("{}: {}", database.display(), in_words(&found));
            return Ok(());
        }
        let card = self.card.expect("clap asks for the card or the database");
        let text = input::read(&card)?;
        let answer = zones_of_file(&text, &Variant::default())
            .map_err(|error| Refused::invalid(&card, error))?;
        input::tell_ignored(&card, &answer.read.ignored);
        tell(&answer.zones, answer.read.card.findings.len());
        Ok(())
    }
}

fn tell(zones: &Zones, findings: usize) {
    println!(
        "The file can be read: {} findings on {} components, {} spans.",
        findings,
        zones.components.len(),
        zones.spans.len(),
    );
    for warning in &zones.warnings {
        println!("{}: {}", warning.code, warning.text);
    }
}

/// What a database was found to hold, for people.
pub fn in_words(found: &Sound) -> String {
    format!(
        "sound; {} departments, {} cards, {} revisions, {} findings",
        found.departments, found.cards, found.revisions, found.findings,
    )
}
