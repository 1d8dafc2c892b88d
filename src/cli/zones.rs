//! `pillarbook zones CARD.json`: the zones of a card file as JSON.

use super::input::{self, Refused};
use super::variant::VariantArgs;
use crate::contract::{ZonesFile, zones_of_file};
use crate::domain::vehicle::Variant;
use clap::Args;
use std::path::{Path, PathBuf};

/// Work out the zones of a card file and print them as JSON
///
/// The same bytes as POST /api/v1/zones answers for the same file. A file that
/// cannot be accepted ends with exit code 2 and one line for each invalid field.
#[derive(Debug, Args)]
pub struct ZonesCommand {
    /// The card file; - reads standard input
    #[arg(value_name = "CARD.json")]
    card: PathBuf,
    #[command(flatten)]
    variant: VariantArgs,
}

impl ZonesCommand {
    pub fn run(self) -> anyhow::Result<()> {
        let text = input::read(&self.card)?;
        let answer = zones_of_file(&text, &Variant::from(&self.variant))
            .map_err(|error| Refused::invalid(&self.card, error))?;
        input::tell_ignored(&self.card, &answer.read.ignored);
        input::write(
            Path::new("-"),
            ZonesFile::from(&answer.zones).to_json().as_bytes(),
        )
    }
}
