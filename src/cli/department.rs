//! `pillarbook department`: one more department on this server.

use super::wait_for;
use crate::config::{DatabaseConfig, PublicUrl};
use crate::store::Store;
use crate::web::set_up;
use anyhow::Context;
use clap::Args;
use time::OffsetDateTime;

/// Make one more department and print the link that makes its first keeper
///
/// The link works once, within a day. Each department keeps its own book.
#[derive(Debug, Args)]
pub struct Department {
    /// What neighbours know it as
    name: String,
    #[command(flatten)]
    database: DatabaseConfig,
    /// The https address the service is reached under; without it the link is a path
    #[arg(long, env = "PILLARBOOK_PUBLIC_URL", value_name = "URL")]
    public_url: Option<PublicUrl>,
}

impl Department {
    pub fn run(self) -> anyhow::Result<()> {
        let name = self.name.trim().to_owned();
        anyhow::ensure!(
            (1..=80).contains(&name.chars().count()) && !name.chars().any(char::is_control),
            "NAME: 1 to 80 characters are accepted"
        );
        let path = wait_for(async {
            let store = Store::open(&self.database.database)
                .await
                .context("the database cannot be opened")?;
            let now = OffsetDateTime::now_utc();
            let path = set_up::offer_department(&store, &name, now).await?;
            store.close().await;
            Ok(path)
        })?;
        let before = self.public_url.map(|url| url.to_string());
        println!("{}{path}", before.unwrap_or_default());
        Ok(())
    }
}
