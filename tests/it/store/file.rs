//! The SQLite file: opened again, tampered with, copied and put back.

use super::*;
use pillarbook::store::StoreError;
use sqlx::Connection;
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use std::path::Path;

async fn filled() -> (Empty, Actor, CardId) {
    let held = empty().await;
    let actor = held.store.ensure_local(NOW).await.unwrap();
    let card = held
        .store
        .create_card(&actor, &details(), NOW)
        .await
        .unwrap();
    let findings = [
        component("f1", "c1", 80.0, 210.0),
        bare("b1", Status::Offered),
    ];
    held.store
        .add_findings(&actor, &card.id, None, &findings, NOW)
        .await
        .unwrap();
    (held, actor, card.id)
}

/// Another program at the same file.
pub async fn intrude(path: &Path, statements: &'static [&'static str]) -> Result<(), sqlx::Error> {
    let options = SqliteConnectOptions::new()
        .filename(path)
        .foreign_keys(false);
    let mut connection = SqliteConnection::connect_with(&options).await?;
    for statement in statements {
        sqlx::query(*statement).execute(&mut connection).await?;
    }
    connection.close().await
}

#[tokio::test]
async fn an_opened_again_store_holds_what_it_held() {
    let (held, actor, card) = filled().await;
    let before = held.store.card(&actor.department, &card).await.unwrap();
    held.store.close().await;
    let closed = held.store.card(&actor.department, &card).await;
    assert!(matches!(closed, Err(StoreError::Unavailable(_))));
    assert!(held.store.ping().await.is_err());
    let again = Store::open(&format!("sqlite:{}", held.path.display()))
        .await
        .unwrap();
    again.ping().await.unwrap();
    assert_eq!(again.card(&actor.department, &card).await.unwrap(), before);
    assert_eq!(again.ensure_local(NOW).await.unwrap(), actor);
}

#[tokio::test]
async fn two_programs_may_open_an_empty_file_at_once() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("new.db");
    let path = path.to_str().unwrap();
    let (a, b) = tokio::join!(Store::open(path), Store::open(path));
    assert_eq!(
        a.unwrap().ensure_local(NOW).await.unwrap(),
        b.unwrap().ensure_local(NOW).await.unwrap()
    );
}

#[tokio::test]
async fn a_file_of_a_newer_program_is_refused() {
    let (held, ..) = filled().await;
    held.store.close().await;
    intrude(
        &held.path,
        &["UPDATE _sqlx_migrations SET version = 9999 WHERE version = 5"],
    )
    .await
    .unwrap();
    let refused = Store::open(held.path.to_str().unwrap()).await;
    assert!(matches!(refused, Err(StoreError::Schema(_))));
}

#[tokio::test]
async fn a_row_that_cannot_be_is_corrupt_and_says_where() {
    let cases: [(&'static [&'static str], &str, &str); 5] = [
        (
            &[
                "DROP TRIGGER findings_stay",
                "UPDATE findings SET kind = 'teapot' WHERE id = 'f1'",
            ],
            "findings",
            "kind",
        ),
        (
            &[
                "DROP TRIGGER findings_stay",
                "UPDATE findings SET rest = '{\"new\":1}' WHERE id = 'f1'",
            ],
            "findings",
            "rest",
        ),
        (
            &[
                "DROP TRIGGER findings_stay",
                "UPDATE findings SET observed_on = 'soon'",
            ],
            "findings",
            "observed_on",
        ),
        (
            &[
                "DROP TRIGGER finding_status_stays",
                "UPDATE finding_status SET status = 'fine'",
            ],
            "findings",
            "status",
        ),
        (
            &[
                "DROP TRIGGER card_details_stay",
                "UPDATE card_details SET body_style = 'tank'",
            ],
            "card_details",
            "body_style",
        ),
    ];
    for (statements, in_table, in_column) in cases {
        let (held, actor, card) = filled().await;
        intrude(&held.path, statements).await.unwrap();
        match held.store.card(&actor.department, &card).await {
            Err(StoreError::Corrupt { table, column, .. }) => {
                assert_eq!((table, column), (in_table, in_column));
            }
            other => panic!("{in_table}.{in_column}: {other:?}"),
        }
        held.store.close().await;
        assert!(Store::check(&held.path).await.is_err());
    }
}

#[tokio::test]
async fn the_database_itself_refuses_to_edit_or_remove_the_record() {
    let (held, actor, _) = filled().await;
    let set = plan_settings::some();
    let set = held.store.set_plan_settings(&actor, None, &set, NOW).await;
    assert_eq!(set.unwrap(), 1);
    for statement in [
        &["UPDATE findings SET to_mm = 90"] as &'static [&'static str],
        &["DELETE FROM findings"],
        &["UPDATE finding_status SET status = 'withdrawn'"],
        &["DELETE FROM finding_status"],
        &["UPDATE card_details SET make = 'x'"],
        &["DELETE FROM card_details"],
        &["DELETE FROM card_revisions"],
        &["UPDATE audit SET action = 'x'"],
        &["DELETE FROM audit"],
        &["UPDATE plan_settings SET rules_off = '[]'"],
        &["DELETE FROM plan_settings"],
    ] {
        assert!(
            intrude(&held.path, statement).await.is_err(),
            "{statement:?}"
        );
    }
}

#[tokio::test]
async fn a_backup_taken_in_use_is_put_back_whole() {
    let (held, actor, card) = filled().await;
    let copy = held.directory.path().join("backup.db");
    let sound = held.store.backup(&copy).await.unwrap();
    assert_eq!(
        (
            sound.departments,
            sound.cards,
            sound.revisions,
            sound.findings
        ),
        (1, 1, 2, 2)
    );
    let then = held.store.card(&actor.department, &card).await.unwrap();
    held.store
        .add_findings(&actor, &card, None, &[component("f3", "c3", 1.0, 2.0)], NOW)
        .await
        .unwrap();

    let back = held.directory.path().join("back.db");
    assert_eq!(Store::restore(&copy, &back).await.unwrap(), sound);
    let restored = Store::open(back.to_str().unwrap()).await.unwrap();
    assert_eq!(restored.card(&actor.department, &card).await.unwrap(), then);
    let more = restored
        .add_findings(&actor, &card, None, &[component("f3", "c3", 1.0, 2.0)], NOW)
        .await;
    assert_eq!(
        more.unwrap().unwrap().revision,
        3,
        "the copy can be worked with"
    );
}

#[tokio::test]
async fn a_backup_or_a_restore_writes_over_nothing() {
    let (held, ..) = filled().await;
    let copy = held.directory.path().join("backup.db");
    held.store.backup(&copy).await.unwrap();
    let bytes = std::fs::read(&copy).unwrap();
    assert!(matches!(
        held.store.backup(&copy).await,
        Err(StoreError::Exists { .. })
    ));
    assert!(matches!(
        Store::restore(&copy, &held.path).await,
        Err(StoreError::Exists { .. })
    ));
    assert_eq!(std::fs::read(&copy).unwrap(), bytes);
}

#[tokio::test]
async fn what_is_no_sound_database_is_not_restored() {
    let directory = tempfile::tempdir().unwrap();
    let (from, to) = (directory.path().join("from"), directory.path().join("to"));
    assert!(matches!(
        Store::check(&from).await,
        Err(StoreError::Unsound { .. })
    ));
    std::fs::write(
        &from,
        "not a database at all, but long enough to be read as one",
    )
    .unwrap();
    assert!(Store::restore(&from, &to).await.is_err());
    assert!(!to.exists());

    let (held, ..) = filled().await;
    let copy = directory.path().join("copy.db");
    held.store.backup(&copy).await.unwrap();
    intrude(
        &copy,
        &[
            "DROP TRIGGER findings_are_kept",
            "DELETE FROM findings WHERE id = 'f1'",
        ],
    )
    .await
    .unwrap();
    assert!(matches!(
        Store::restore(&copy, &to).await,
        Err(StoreError::Unsound { .. })
    ));
    assert!(!to.exists());
}

/// A database as an older program left it.
const VERSION_7: &str = include_str!("version_7.sql");

#[tokio::test]
async fn a_backup_of_an_older_program_is_brought_up_to_date_as_it_is_put_back() {
    let directory = tempfile::tempdir().unwrap();
    let copy = directory.path().join("backup.db");
    make(&copy, VERSION_7).await.unwrap();
    let bytes = std::fs::read(&copy).unwrap();
    let why = Store::check(&copy).await.unwrap_err().to_string();
    assert!(why.contains("version 7, older than "), "{why}");

    let back = directory.path().join("back.db");
    let sound = Store::restore(&copy, &back).await.unwrap();
    assert_eq!(
        std::fs::read(&copy).unwrap(),
        bytes,
        "the backup is as it was"
    );
    assert_eq!(Store::check(&back).await.unwrap(), sound);
    let store = Store::open(back.to_str().unwrap()).await.unwrap();
    let actor = store.ensure_local(NOW).await.unwrap();
    let cards = store.all_summaries(&actor.department).await.unwrap();
    assert_eq!(cards.len(), 1);
    let card = store.card(&actor.department, &cards[0].id).await.unwrap();
    let card = card.unwrap();
    assert_eq!(card.card.findings.len(), 2);
    assert_eq!(status_of(&card.card.findings, "f1"), Status::Accepted);
    let notes: Vec<&str> = card
        .card
        .annotations
        .iter()
        .map(|a| a.note.text.as_str())
        .collect();
    assert_eq!(
        notes,
        ["Harness runs low here.", "a line", "7"],
        "word for word"
    );
    let settings = store.plan_settings(&actor.department).await.unwrap();
    assert_eq!(settings, (0, pillarbook::store::PlanSettings::default()));

    // The neighbour that could read every card still can, as a partner.
    let others = store.other_departments(&actor.department).await.unwrap();
    assert_eq!(others.len(), 1);
    let read = store.card(&others[0].id, &card.id).await.unwrap();
    assert_eq!(read, Some(card));
}

async fn make(path: &Path, text: &'static str) -> Result<(), sqlx::Error> {
    let options = SqliteConnectOptions::new()
        .filename(path)
        .create_if_missing(true)
        // A dump names tables before it makes them.
        .foreign_keys(false);
    let mut connection = SqliteConnection::connect_with(&options).await?;
    sqlx::raw_sql(text).execute(&mut connection).await?;
    connection.close().await
}

#[tokio::test]
async fn a_backup_of_a_newer_or_of_another_program_is_not_put_back() {
    let (held, ..) = filled().await;
    let changed: [&'static [&'static str]; 2] = [
        &["UPDATE _sqlx_migrations SET version = 9999 WHERE version = 5"],
        &["DROP TABLE _sqlx_migrations"],
    ];
    for (n, statements) in changed.into_iter().enumerate() {
        let copy = held.directory.path().join(format!("backup-{n}.db"));
        held.store.backup(&copy).await.unwrap();
        intrude(&copy, statements).await.unwrap();
        let back = held.directory.path().join(format!("back-{n}.db"));
        assert!(matches!(
            Store::restore(&copy, &back).await,
            Err(StoreError::Unsound { .. })
        ));
        assert!(!back.exists());
    }
}

#[tokio::test]
async fn only_a_file_is_a_place_for_a_store() {
    for address in [
        "",
        ":memory:",
        "sqlite::memory:",
        "postgres://localhost/pillarbook",
    ] {
        assert!(
            matches!(Store::open(address).await, Err(StoreError::Address { .. })),
            "{address}"
        );
    }
    let refused = Store::open("/no/such/directory/p.db").await;
    assert!(matches!(refused, Err(StoreError::Unavailable(_))));
}
