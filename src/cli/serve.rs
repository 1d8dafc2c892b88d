//! `pillarbook serve`: the service, until it is told to stop.

use super::wait_for;
use crate::config::{LogFormat, ServeConfig};
use crate::demo;
use crate::store::{Actor, PhotoFiles, Store};
use crate::web::server::stop_signal;
use crate::web::sign_in::ReadyAccount;
use crate::web::site::Site;
use crate::web::{Service, bind, leaving, serve, set_up};
use anyhow::Context;
use clap::Args;
use std::io::Write;
use std::sync::Arc;
use tempfile::TempDir;
use time::OffsetDateTime;
use tracing_subscriber::EnvFilter;
use tracing_subscriber::filter::filter_fn;
use tracing_subscriber::layer::SubscriberExt;
use tracing_subscriber::util::SubscriberInitExt;

/// Serve pages and the API on this machine
///
/// The first start prints a link that makes the first keeper. Others reach it
/// through a program that ends TLS; without --public-url only addresses of this
/// machine itself are accepted.
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
    let discreet = filter_fn(|told| !tells_secrets(told));
    match config.log_format {
        LogFormat::Text => log.finish().with(discreet).init(),
        LogFormat::Json => log.json().finish().with(discreet).init(),
    }
    Ok(())
}

/// The library of passkeys writes out open questions and their answers where it is
/// asked to be talkative: never here, whatever the filter says.
fn tells_secrets(told: &tracing::Metadata<'_>) -> bool {
    told.target().starts_with("webauthn_rs") && *told.level() > tracing::Level::WARN
}

async fn serve_until_stopped(config: ServeConfig) -> anyhow::Result<()> {
    // The address first: a refused one must not leave a database behind.
    anyhow::ensure!(
        !config.demo || config.public_url.is_none(),
        "the demo lets everybody in: it answers on this machine only, leave --public-url out"
    );
    let site = Site::new(config.public_url.clone(), &config.trusted_proxy);
    let listener = bind(config.listen, &site).await?;
    let now = OffsetDateTime::now_utc();
    // Kept until the end: the demo's file goes with its directory.
    let (service, set_up, _directory) = if config.demo {
        let (store, actor, directory) = open_demo(now).await?;
        let service = Service {
            ready: ready_accounts(),
            photos: demo_photos(&directory)?,
            ..Service::walk_in(store, actor)
        };
        (service, None, Some(directory))
    } else {
        let store = Store::open(&config.database.database)
            .await
            .context("the database cannot be opened")?;
        let photos = PhotoFiles::at(&config.photos_place()).context("photos cannot be kept")?;
        // Before anybody is asked in: the first department may be gone.
        leaving::sweep_departments(&store).await;
        let set_up = set_up::offer(&store, now).await?;
        let service = Service {
            photos,
            ..Service::new(store)
        };
        (service, set_up, None)
    };
    let service = service.at(site);
    let address = listener.local_addr()?.to_string();
    tell(&config, &address, set_up.as_deref())?;
    let (store, photos) = (service.store.clone(), service.photos.clone());
    let served = serve(listener, service, stop_signal());
    leaving::sweep_beside(&store, &photos, served).await?;
    store.close().await;
    Ok(())
}

/// The demo's accounts as the sign-in page shows them.
fn ready_accounts() -> Arc<[ReadyAccount]> {
    let shown = |account: &demo::ReadyAccount| ReadyAccount {
        sign_in_name: account.sign_in_name,
        password: demo::READY_PASSWORD,
        member: account.member,
        department: account.department,
        roles: account.roles_in_words(),
    };
    demo::READY_ACCOUNTS.iter().map(shown).collect()
}

/// The demo's photos lie with its database, and go with it.
fn demo_photos(directory: &TempDir) -> anyhow::Result<PhotoFiles> {
    let place = directory.path().join("photos");
    PhotoFiles::at(&place.to_string_lossy()).context("photos cannot be kept")
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
/// line, so that a script that asked for any free port can read it. The set-up
/// link goes to the terminal alone, never to the log.
fn tell(config: &ServeConfig, address: &str, set_up: Option<&str>) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "Pillarbook answers at http://{address}/")?;
    writeln!(out, "{config}")?;
    if let Some(path) = set_up {
        writeln!(
            out,
            "Nobody can sign in yet. Open this link once, within a day:"
        )?;
        match &config.public_url {
            Some(url) => writeln!(out, "{url}{path}")?,
            None => writeln!(out, "http://{address}{path}")?,
        }
    }
    writeln!(out, "Stop it with Ctrl-C.")?;
    out.flush()
}
