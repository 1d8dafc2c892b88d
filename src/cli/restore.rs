//! `pillarbook restore`: a backup put in place as the database.

use super::check::in_words;
use super::wait_for;
use crate::config::DatabaseConfig;
use crate::store::Store;
use anyhow::Context;
use clap::Args;
use std::path::{Path, PathBuf};

/// Read a backup through and put it in place as the database
///
/// The database's place must be free: move a damaged one away first.
#[derive(Debug, Args)]
pub struct Restore {
    /// The backup
    #[arg(value_name = "PATH")]
    from: PathBuf,
    #[command(flatten)]
    database: DatabaseConfig,
}

impl Restore {
    pub fn run(self) -> anyhow::Result<()> {
        let database = self.database.database;
        let to = Path::new(database.trim_start_matches("sqlite:"));
        let found = wait_for(async {
            Store::restore(&self.from, to)
                .await
                .context("nothing was restored")
        })?;
        println!("{}: {}", to.display(), in_words(&found));
        Ok(())
    }
}
