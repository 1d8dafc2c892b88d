//! `import`, `export`, `backup`, `restore` and `check --database`.

use super::{run, text};
use crate::contract::EXAMPLE;
use pillarbook::contract::card_file::read;
use pillarbook::domain::finding::Status;
use std::path::Path;

fn import(directory: &Path, more: &[&str]) -> String {
    let arguments = [&["import", "-", "--database", "book.db"], more].concat();
    let done = run(directory, &arguments, EXAMPLE);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    text(&done.stdout).trim().to_owned()
}

#[test]
fn our_own_record_comes_out_as_it_went_in() {
    let directory = tempfile::tempdir().unwrap();
    let id = import(directory.path(), &["--own"]);
    let done = run(
        directory.path(),
        &["export", &id, "--database", "book.db"],
        "",
    );
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let (sent, came) = (
        read(EXAMPLE.as_bytes()).unwrap(),
        read(&done.stdout).unwrap(),
    );
    assert_eq!(came.card.findings, sent.card.findings);
    assert_eq!(came.card.vehicle, sent.card.vehicle);
}

#[test]
fn what_comes_from_outside_is_only_offered() {
    let directory = tempfile::tempdir().unwrap();
    let id = import(directory.path(), &[]);
    let done = run(
        directory.path(),
        &["export", &id, "--database", "book.db"],
        "",
    );
    let card = read(&done.stdout).unwrap().card;
    assert_eq!(card.findings.len(), 3);
    assert!(
        card.findings
            .iter()
            .all(|finding| finding.status == Status::Offered)
    );
}

#[test]
fn one_bad_file_among_several_brings_nothing_in() {
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("good.json"), EXAMPLE).unwrap();
    std::fs::write(
        directory.path().join("bad.json"),
        EXAMPLE.replacen("seen", "guess", 1),
    )
    .unwrap();
    let done = run(
        directory.path(),
        &["import", "good.json", "bad.json", "--database", "book.db"],
        "",
    );
    assert_eq!(done.status.code(), Some(2));
    assert!(
        text(&done.stderr).contains("bad.json: line 8"),
        "{}",
        text(&done.stderr)
    );
    assert!(!directory.path().join("book.db").exists());
}

#[test]
fn every_card_is_written_into_a_directory() {
    let directory = tempfile::tempdir().unwrap();
    let ids = [import(directory.path(), &[]), import(directory.path(), &[])];
    let arguments = ["export", "--all", "-o", "out", "--database", "book.db"];
    let done = run(directory.path(), &arguments, "");
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    for id in ids {
        let written = std::fs::read(directory.path().join(format!("out/{id}.json"))).unwrap();
        assert!(read(&written).is_ok());
    }
}

#[test]
fn a_backup_is_restored_and_holds_the_same_cards() {
    let directory = tempfile::tempdir().unwrap();
    let id = import(directory.path(), &["--own"]);
    let path = directory.path();
    for arguments in [
        vec!["backup", "copy.db", "--database", "book.db"],
        vec!["check", "--database", "copy.db"],
        vec!["restore", "copy.db", "--database", "again.db"],
    ] {
        let done = run(path, &arguments, "");
        assert_eq!(
            done.status.code(),
            Some(0),
            "{arguments:?} {}",
            text(&done.stderr)
        );
        assert!(
            text(&done.stdout).contains("1 cards"),
            "{}",
            text(&done.stdout)
        );
    }
    let export = |database: &str| run(path, &["export", &id, "--database", database], "").stdout;
    assert_eq!(export("again.db"), export("book.db"));
    let over = run(path, &["restore", "copy.db", "--database", "book.db"], "");
    assert_eq!(over.status.code(), Some(1), "nothing is written over");
    assert!(
        text(&over.stderr).contains("already exists"),
        "{}",
        text(&over.stderr)
    );
}

#[test]
fn a_database_that_is_not_there_is_not_made_by_reading_it() {
    let directory = tempfile::tempdir().unwrap();
    for arguments in [
        vec!["export", "some-id", "--database", "none.db"],
        vec!["backup", "copy.db", "--database", "none.db"],
        vec!["check", "--database", "none.db"],
        vec!["restore", "none.db", "--database", "new.db"],
    ] {
        let done = run(directory.path(), &arguments, "");
        assert_eq!(done.status.code(), Some(1), "{arguments:?}");
        assert!(!text(&done.stderr).is_empty());
    }
    assert_eq!(std::fs::read_dir(directory.path()).unwrap().count(), 0);
}

#[test]
fn an_archive_goes_from_one_book_to_another_and_is_known_there_again() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path();
    import(path, &["--own"]);
    let ended = |arguments: &[&str], code: i32| {
        let done = run(path, arguments, "");
        assert_eq!(done.status.code(), Some(code), "{}", text(&done.stderr));
        (text(&done.stdout), text(&done.stderr))
    };
    ended(
        &["export", "--archive", "book.zip", "--database", "book.db"],
        0,
    );
    let (id, said) = ended(
        &["import", "book.zip", "--own", "--database", "other.db"],
        0,
    );
    assert!(said.contains("new card with 3 findings"), "{said}");
    let (came, _) = ended(&["export", id.trim(), "--database", "other.db"], 0);
    let (sent, came) = (
        read(EXAMPLE.as_bytes()).unwrap(),
        read(came.as_bytes()).unwrap(),
    );
    assert_eq!(came.card.findings, sent.card.findings);
    let (again, said) = ended(&["import", "book.zip", "--database", "other.db"], 0);
    assert_eq!(again, id);
    assert!(said.contains("0 new findings"), "{said}");

    let mut bytes = std::fs::read(path.join("book.zip")).unwrap();
    bytes.truncate(bytes.len() / 2);
    std::fs::write(path.join("cut.zip"), bytes).unwrap();
    let (_, said) = ended(&["import", "cut.zip", "--database", "third.db"], 2);
    assert!(
        said.contains("cut.zip: this is no whole ZIP archive"),
        "{said}"
    );
    assert!(!path.join("third.db").exists(), "nothing was begun");
}
