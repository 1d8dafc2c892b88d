//! `pillarbook backup`: a copy of the database, read through.

use super::check::in_words;
use super::wait_for;
use crate::config::DatabaseConfig;
use crate::store::Store;
use anyhow::{Context, bail};
use clap::Args;
use std::path::{Path, PathBuf};

/// Copy the database into a new file, while the service runs, and read it through
///
/// Photos lie beside the database, where `serve --photos` says: copy that folder too.
#[derive(Debug, Args)]
pub struct Backup {
    /// Where the copy goes; nothing is ever written over
    #[arg(value_name = "PATH")]
    to: PathBuf,
    #[command(flatten)]
    database: DatabaseConfig,
}

impl Backup {
    pub fn run(self) -> anyhow::Result<()> {
        let database = &self.database.database;
        if !Path::new(database.trim_start_matches("sqlite:")).exists() {
            bail!("there is no database at {database}");
        }
        let found = wait_for(async {
            let store = Store::open(database)
                .await
                .context("the database cannot be opened")?;
            let found = store.backup(&self.to).await;
            store.close().await;
            found.context("no backup was made")
        })?;
        println!("{}: {}", self.to.display(), in_words(&found));
        println!("photos lie beside the database: copy their folder as well");
        Ok(())
    }
}
