//! Resident memory of `serve --demo`, as the kernel counts it: before any
//! request, and after every card of the demo was asked for.

use anyhow::{Context, ensure};
use serde_json::Value;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;

/// Mebibytes idle and after all cards, and how many cards those were.
pub struct Resident {
    pub idle_mib: f64,
    pub used_mib: f64,
    pub cards: usize,
}

/// Starts a server of its own on a free port of this machine, asks, stops it.
pub fn of_demo() -> anyhow::Result<Resident> {
    let server = Server::start()?;
    let idle_mib = server.resident_mib()?;
    let list: Value = serde_json::from_slice(&server.get("/api/v1/cards?limit=100")?)?;
    let cards = list["cards"].as_array().context("a list of cards")?;
    for card in cards {
        let id = card["id"].as_str().context("a card's id")?;
        server.get(&format!("/cards/{id}"))?;
    }
    Ok(Resident {
        idle_mib,
        used_mib: server.resident_mib()?,
        cards: cards.len(),
    })
}

struct Server {
    process: Child,
    address: String,
    /// Kept open: the server ends when what it says at its start cannot be written.
    said: BufReader<ChildStdout>,
}

impl Server {
    fn start() -> anyhow::Result<Self> {
        let mut process = Command::new(env!("CARGO_BIN_EXE_pillarbook"))
            .args(["serve", "--demo", "--listen", "127.0.0.1:0"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()?;
        let out = process.stdout.take().context("standard output is piped")?;
        let mut server = Self {
            process,
            address: String::new(),
            said: BufReader::new(out),
        };
        let mut first = String::new();
        server.said.read_line(&mut first)?;
        let address = first.trim().rsplit_once("http://").map(|(_, a)| a);
        let address = address.with_context(|| format!("no address in {first:?}"))?;
        server.address = address.trim_end_matches('/').to_owned();
        server.get("/healthz")?;
        Ok(server)
    }

    /// The body of a page; the connection is closed after it.
    fn get(&self, path: &str) -> anyhow::Result<Vec<u8>> {
        let mut stream = TcpStream::connect(&self.address)?;
        stream.set_read_timeout(Some(Duration::from_secs(20)))?;
        let host = &self.address;
        write!(
            stream,
            "GET {path} HTTP/1.0\r\nHost: {host}\r\nAccept-Encoding: br\r\n\r\n"
        )?;
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer)?;
        let body = answer.windows(4).position(|w| w == b"\r\n\r\n");
        let body = body.context("an answer has a head")? + 4;
        let head = String::from_utf8_lossy(&answer[..body]);
        ensure!(head.contains(" 200 "), "{path}: {head}");
        Ok(answer.split_off(body))
    }

    fn resident_mib(&self) -> anyhow::Result<f64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.process.id()))?;
        let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:"));
        let kib = line.and_then(|l| l.trim().strip_suffix(" kB"));
        Ok(kib.context("VmRSS in kB")?.parse::<f64>()? / 1024.0)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // Asked to stop, it takes its temporary database with it.
        let asked = Command::new("kill")
            .arg(self.process.id().to_string())
            .status();
        if !asked.is_ok_and(|status| status.success()) {
            let _ = self.process.kill();
        }
        let _ = self.process.wait();
    }
}
