//! `serve`: where it listens, what it prints, and that its zones are the bytes
//! that `zones` prints.

use super::{program, run, text};
use crate::contract::EXAMPLE;
use pillarbook::domain::role::Roles;
use pillarbook::store::{COOLING_OFF, Store};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Stdio};
use std::time::Duration;
use time::OffsetDateTime;

/// A running service, ended when dropped.
pub struct Serving {
    child: Child,
    address: String,
    pub printed: String,
}

impl Serving {
    pub fn start(directory: &Path) -> Self {
        let mut child = program(directory)
            .args(["serve", "--listen", "127.0.0.1:0", "--database", "book.db"])
            .args(["--log", "trace"])
            .stdout(Stdio::piped())
            .stderr(std::fs::File::create(directory.join("log.txt")).unwrap())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let first = lines.next().unwrap().unwrap();
        let address = first
            .split("http://")
            .nth(1)
            .unwrap()
            .trim_end_matches('/')
            .to_owned();
        let rest = lines
            .map_while(Result::ok)
            .take_while(|line| !line.starts_with("Stop"));
        let printed = rest.collect::<Vec<_>>().join("\n");
        Self {
            child,
            address,
            printed,
        }
    }

    fn post_json(&self, path: &str, body: &str) -> (String, Vec<u8>) {
        self.post(path, "application/json", body)
    }

    pub fn post_form(&self, path: &str, fields: &[(&str, &str)]) -> (String, Vec<u8>) {
        let body = form_urlencoded::Serializer::new(String::new())
            .extend_pairs(fields)
            .finish();
        self.post(path, "application/x-www-form-urlencoded", &body)
    }

    /// A `POST` over the socket; head and body of the answer.
    pub fn post(&self, path: &str, kind: &str, body: &str) -> (String, Vec<u8>) {
        let kind = format!("Content-Type: {kind}\r\n");
        self.send("POST", path, &kind, body)
    }

    /// The name it is asked under: one that passkeys can belong to.
    pub fn host(&self) -> String {
        self.address.replace("127.0.0.1", "localhost")
    }

    /// One request over the socket with these further lines in its head.
    pub fn send(&self, method: &str, path: &str, lines: &str, body: &str) -> (String, Vec<u8>) {
        let mut stream = TcpStream::connect(&self.address).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(10)))
            .unwrap();
        let length = body.len();
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: {}\r\n{lines}\
             Content-Length: {length}\r\nConnection: close\r\n\r\n{body}",
            self.host(),
        )
        .unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        let end = answer.windows(4).position(|w| w == b"\r\n\r\n").unwrap();
        (text(&answer[..end]), answer[end + 4..].to_vec())
    }
}

impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn the_service_and_the_command_give_the_same_bytes_for_the_same_file() {
    let directory = tempfile::tempdir().unwrap();
    let serving = Serving::start(directory.path());
    let (head, body) = serving.post_json("/api/v1/zones", EXAMPLE);
    assert!(head.starts_with("HTTP/1.1 200"), "{head}");
    let printed = run(directory.path(), &["zones", "-"], EXAMPLE).stdout;
    assert!(!printed.is_empty());
    assert_eq!(text(&body), text(&printed));
}

#[test]
fn what_the_service_runs_with_is_printed_at_its_start() {
    let directory = tempfile::tempdir().unwrap();
    let serving = Serving::start(directory.path());
    for said in [
        "listen ",
        "database   book.db",
        "photos     book-photos",
        "demo       no",
        "log ",
    ] {
        assert!(
            serving.printed.contains(said),
            "{said} is missing from:\n{}",
            serving.printed
        );
    }
}

#[test]
fn an_address_that_others_can_reach_is_refused_and_leaves_nothing_behind() {
    let directory = tempfile::tempdir().unwrap();
    for address in ["0.0.0.0:0", "[::]:0", "192.0.2.1:8080"] {
        let done = run(directory.path(), &["serve", "--listen", address], "");
        assert_eq!(done.status.code(), Some(1), "{address}");
        assert!(
            text(&done.stderr).contains("this machine only"),
            "{}",
            text(&done.stderr)
        );
    }
    let done = run(directory.path(), &["serve", "--listen", "everywhere"], "");
    assert_eq!(done.status.code(), Some(2));
    assert_eq!(std::fs::read_dir(directory.path()).unwrap().count(), 0);
}

#[test]
fn a_setting_can_come_from_the_environment_and_a_flag_wins() {
    let directory = tempfile::tempdir().unwrap();
    let done = program(directory.path())
        .args(["serve"])
        .env("PILLARBOOK_LISTEN", "0.0.0.0:1")
        .output()
        .unwrap();
    assert!(
        text(&done.stderr).contains("0.0.0.0:1"),
        "{}",
        text(&done.stderr)
    );
    let done = program(directory.path())
        .args(["serve", "--listen", "192.0.2.1:2"])
        .env("PILLARBOOK_LISTEN", "0.0.0.0:1")
        .output()
        .unwrap();
    assert!(
        text(&done.stderr).contains("192.0.2.1:2"),
        "{}",
        text(&done.stderr)
    );
}

#[test]
fn the_demo_lets_everybody_in_and_so_is_never_public() {
    let directory = tempfile::tempdir().unwrap();
    let public = [
        "serve",
        "--demo",
        "--public-url",
        "https://book.example.test",
    ];
    let done = run(directory.path(), &public, "");
    assert_eq!(done.status.code(), Some(1));
    assert!(
        text(&done.stderr).contains("this machine only"),
        "{}",
        text(&done.stderr)
    );
    let plain = ["serve", "--public-url", "http://book.example.test"];
    let done = run(directory.path(), &plain, "");
    assert_eq!(done.status.code(), Some(2), "passwords take TLS");
    assert_eq!(std::fs::read_dir(directory.path()).unwrap().count(), 0);
}

#[test]
fn one_more_department_gets_a_link_of_its_own_that_the_first_ones_leaves_alone() {
    let directory = tempfile::tempdir().unwrap();
    let make = ["department", "Saltby Harbour", "--database", "book.db"];
    let done = run(directory.path(), &make, "");
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let link = text(&done.stdout).trim().to_owned();
    let again = run(directory.path(), &make, "");
    assert_eq!(again.status.code(), Some(1));
    assert!(text(&again.stderr).contains("already taken"));
    // The start makes a link of the first department's own.
    let serving = Serving::start(directory.path());
    let password = "hinge copper ladle moss";
    let fields = [
        ("department", "Saltby Harbour"),
        ("member", "Rue Pellow"),
        ("name", "rue"),
        ("password", password),
        ("again", password),
    ];
    let (head, _) = serving.post_form(&link, &fields);
    assert!(head.starts_with("HTTP/1.1 303"), "{head}");
    let (head, _) = serving.post_form(&link, &fields);
    assert!(head.starts_with("HTTP/1.1 404"), "it works once: {head}");
    assert!(serving.printed.contains("/set-up/"), "{}", serving.printed);
}

#[tokio::test]
async fn a_department_whose_day_has_come_is_gone_as_soon_as_the_service_starts() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("book.db");
    let store = Store::open(path.to_str().unwrap()).await.unwrap();
    let now = OffsetDateTime::now_utc();
    let department = store.create_department("Saltby", now).await.unwrap().id;
    let keeper = store.create_member_with(&department, "Rue Pellow", Roles::all(), now);
    let keeper = keeper.await.unwrap().unwrap();
    store
        .ask_to_leave(&keeper, now - COOLING_OFF)
        .await
        .unwrap();
    let stays = store.create_department("Oakmere", now).await.unwrap().id;
    store.close().await;

    let serving = Serving::start(directory.path());
    let store = Store::open(path.to_str().unwrap()).await.unwrap();
    assert!(store.departments(&department).await.unwrap().is_empty());
    assert_eq!(store.departments(&stays).await.unwrap().len(), 1);
    assert_eq!(store.gone().await.unwrap()[0].name, "Saltby");
    let log = std::fs::read_to_string(directory.path().join("log.txt")).unwrap();
    assert!(
        log.contains("department deleted") && !log.contains("Saltby"),
        "{log}"
    );
    drop(serving);
}
