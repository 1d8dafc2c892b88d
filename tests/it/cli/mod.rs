//! The built program, as it is run from a shell.

mod card_commands;
mod database_commands;
mod log;
mod planning;
mod serving;
mod sketching;

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// The program with an environment of its own, in a directory of its own.
pub fn program(directory: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pillarbook"));
    for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("PILLARBOOK_")) {
        command.env_remove(name);
    }
    command.current_dir(directory);
    command
}

/// Runs the program with some text on its standard input.
pub fn run(directory: &Path, arguments: &[&str], input: &str) -> Output {
    let mut child = program(directory)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that refuses its arguments does not read what is sent to it.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

pub fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}
