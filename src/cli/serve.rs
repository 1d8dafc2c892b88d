//! `pillarbook serve`: the service, until it is told to stop.

use super::wait_for;
use crate::config::{LogFormat, ServeConfig};
use crate::store::Store;
use crate::web::server::stop_signal;
use crate::web::{AppState, bind, serve};
use anyhow::Context;
use clap::Args;
use std::io::Write;
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
    let store = Store::open(&config.database.database)
        .await
        .context("the database cannot be opened")?;
    let actor = store.ensure_local(OffsetDateTime::now_utc()).await?;
    tell(&config, &listener.local_addr()?.to_string())?;
    serve(listener, AppState::new(store.clone(), actor), stop_signal()).await?;
    store.close().await;
    Ok(())
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
