//! The command line, one file a command.
//!
//! Exit codes: 0 done; 1 it failed; 2 what was given cannot be read or accepted,
//! with the line and the field of each fault on standard error.

mod ask;
mod backup;
mod check;
mod department;
mod export;
mod import;
mod input;
mod plan;
mod restore;
mod serve;
mod sketch;
mod variant;
mod zones;

use clap::{Parser, Subcommand};
use input::Refused;
use std::process::ExitCode;

/// Where restraint-system parts sit behind a vehicle's trim, and where along
/// each pillar, rail and sill a blade may and may not go.
#[derive(Debug, Parser)]
#[command(name = "pillarbook", version, after_help = CAUTION)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
}

const CAUTION: &str = "\
Zones are measured on undamaged cars; crash damage moves parts. Nothing recorded \
is not the same as nothing there. Expose and look before every cut; local \
procedures and the officer's judgement come first.";

#[derive(Debug, Subcommand)]
enum Command {
    Serve(serve::Serve),
    Zones(zones::ZonesCommand),
    // Boxed: an ask has many options.
    Plan(Box<plan::PlanCommand>),
    Sketch(sketch::SketchCommand),
    Check(check::Check),
    Import(import::Import),
    Export(export::Export),
    Department(department::Department),
    Backup(backup::Backup),
    Restore(restore::Restore),
}

/// Runs a command and answers its exit code; what went wrong is on standard
/// error by then.
pub fn run(cli: Cli) -> ExitCode {
    let done = match cli.command {
        Command::Serve(command) => command.run(),
        Command::Zones(command) => command.run(),
        Command::Plan(command) => command.run(),
        Command::Sketch(command) => command.run(),
        Command::Check(command) => command.run(),
        Command::Import(command) => command.run(),
        Command::Export(command) => command.run(),
        Command::Department(command) => command.run(),
        Command::Backup(command) => command.run(),
        Command::Restore(command) => command.run(),
    };
    let Err(error) = done else {
        return ExitCode::SUCCESS;
    };
    if let Some(refused) = error.downcast_ref::<Refused>() {
        eprintln!("{refused}");
        return ExitCode::from(2);
    }
    eprintln!("pillarbook: {error:#}");
    ExitCode::FAILURE
}

/// Runs a command that waits for the database or for requests.
fn wait_for<T>(work: impl Future<Output = anyhow::Result<T>>) -> anyhow::Result<T> {
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()?
        .block_on(work)
}
