//! The program: reads the command line and leaves with the command's exit code.

use clap::Parser;
use pillarbook::cli::Cli;
use std::process::ExitCode;

/// Zones are many small vectors and texts; this allocator serves them faster.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    pillarbook::cli::run(Cli::parse())
}
