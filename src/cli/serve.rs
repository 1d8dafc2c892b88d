//! `pillarbook serve`: the service, until it is told to stop.

use super::wait_for;
use crate::config::{LogFormat, ServeConfig};
use crate::demo;
use crate::store::{Actor, Store};
use crate::web::server::stop_signal;
use crate::web::{AppState, bind, serve};
use anyhow::Context;
use clap::Args;
use std::io::Write;
use tempfile::TempDir;
use time::OffsetDateTime;
use tracing_subscriber::EnvFilter;

/// Serve pages and the API on this machine
///
/// Until members sign in, one local member acts for one local department, and
/// only addresses of this machine itself are accepted.
#[derive(Debug, Args)]
pub struct Serve {
    #[command(flatten)]
    config: ServeConfig,
}

impl Serve {
    pub fn run(self) -> anyhow::Result<()> {
        start_log(&self.config)?;
        wait_for(serve_until_stopped(self.config))
    }
}

fn start_log(config: &ServeConfig) -> anyhow::Result<()> {
    let filter = EnvFilter::try_new(&config.log)
        .with_context(|| format!("--log {:?} is no log filter", config.log))?;
    let log = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr);
    match config.log_format {
        LogFormat::Text => log.init(),
        LogFormat::Json => log.json().init(),
    }
    Ok(())
}

async fn serve_until_stopped(config: ServeConfig) -> anyhow::Result<()> {
    // The address first: a refused one must not leave a database behind.
    let listener = bind(config.listen).await?;
    let now = OffsetDateTime::now_utc();
    // Kept until the end: the demo's file goes with its directory.
    let (store, actor, _directory) = if config.demo {
        let (store, actor, directory) = open_demo(now).await?;
        (store, actor, Some(directory))
    } else {
        let store = Store::open(&config.database.database)
            .await
            .context("the database cannot be opened")?;
        let actor = store.ensure_local(now).await?;
        (store, actor, None)
    };
    tell(&config, &listener.local_addr()?.to_string())?;
    serve(listener, AppState::new(store.clone(), actor), stop_signal()).await?;
    store.close().await;
    Ok(())
}

/// A temporary database with the invented county in it.
async fn open_demo(now: OffsetDateTime) -> anyhow::Result<(Store, Actor, TempDir)> {
    let directory = tempfile::Builder::new()
        .prefix("pillarbook-demo-")
        .tempdir()
        .context("no temporary directory can be made")?;
    let path = directory.path().join("demo.db");
    let store = Store::open(&path.to_string_lossy())
        .await
        .context("the temporary database cannot be opened")?;
    let actor = demo::fill(&store, now).await?;
    Ok((store, actor, directory))
}

/// Says where the service is and what it runs with. The address is the first
/// line, so that a script that asked for any free port can read it.
fn tell(config: &ServeConfig, address: &str) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "Pillarbook answers at http://{address}/")?;
    writeln!(out, "{config}")?;
    writeln!(out, "Stop it with Ctrl-C.")?;
    out.flush()
}
