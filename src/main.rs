//! The program: reads the command line and leaves with the command's exit code.

use clap::Parser;
use pillarbook::cli::Cli;
use std::process::ExitCode;

fn main() -> ExitCode {
    pillarbook::cli::run(Cli::parse())
}
