//! A department that is deleted: not before its day, not if it is called off, and
//! then all of it, in one go, with nothing of anybody else's.

use super::sharing::partners;
use super::*;
use pillarbook::domain::role::{Role, Roles};
use pillarbook::domain::visibility::Visibility;
use pillarbook::domain::zone::zones;
use pillarbook::store::{COOLING_OFF, Gone, NewCredential, NewPasskey, PlanSettings};
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{Connection, Row};
use time::Duration;

/// Words that only the leaving department has written.
const MARKS: [&str; 4] = ["Quillwort", "Zephyrine", "Ochrewell", "Brackmoor"];

struct Two {
    held: Empty,
    stays: Actor,
    goes: Actor,
    /// Of the department that stays, with an offer of the one that goes.
    card: CardId,
    /// Of the one that goes.
    going: CardId,
}

/// Two partners; the second has something in every table there is.
async fn two() -> Two {
    let held = empty().await;
    let store = &held.store;
    let stays = member_of(store, "Oakmere").await;
    let department = store.create_department("Saltby", NOW).await.unwrap().id;
    let made = store
        .create_member_with(&department, "Rue Pellow", Roles::all(), NOW)
        .await;
    let goes = made.unwrap().unwrap();
    partners(store, &stays, &goes).await;
    let card = store.create_card(&stays, &details(), NOW).await.unwrap().id;
    let own = [component("f1", "c1", 80.0, 210.0)];
    store
        .add_findings(&stays, &card, None, &own, NOW)
        .await
        .unwrap();
    reach(store, &stays, &card).await;
    let offered = [component("", "", 400.0, 460.0)];
    let offered = store.offer_findings(&goes, &card, &offered, NOW).await;
    offered.unwrap().unwrap();
    let going = everything_of(store, &goes, &stays).await;
    Two {
        held,
        stays,
        goes,
        card,
        going,
    }
}

async fn reach(store: &Store, owner: &Actor, card: &CardId) {
    let set = store
        .set_visibility(owner, card, Visibility::Partners, NOW)
        .await;
    set.unwrap().unwrap();
}

async fn everything_of(store: &Store, goes: &Actor, partner: &Actor) -> CardId {
    let mut named = details();
    named.identify = Some("Quillwort".into());
    let card = store.create_card(goes, &named, NOW).await.unwrap().id;
    reach(store, goes, &card).await;
    let mut noted = component("f1", "c1", 80.0, 210.0);
    noted.note = Some("Zephyrine".into());
    let findings = [noted, bare("f2", Status::Offered)];
    store
        .add_findings(goes, &card, None, &findings, NOW)
        .await
        .unwrap();
    let accept = [to("f2", Status::Accepted, None)];
    store
        .change_status(goes, &card, None, &accept, NOW)
        .await
        .unwrap();
    let word = pillarbook::domain::finding::Resolved {
        by: "Rue Pellow".into(),
        on: date!(2026 - 03 - 05),
    };
    store
        .set_resolved(goes, &card, None, "f2", Some(&word), NOW)
        .await
        .unwrap();
    let guests = [component("", "", 500.0, 520.0)];
    let guest = store.offer_findings(partner, &card, &guests, NOW).await;
    guest.unwrap().unwrap();
    super::annotations::note_with_photos(store, goes, &card, "Ochrewell").await;
    let policy = pillarbook::domain::policy::Policy {
        lean_deg: 12.0,
        ..Default::default()
    };
    store.set_policy(goes, &policy, NOW).await.unwrap();
    let settings = PlanSettings {
        rules_off: ["foot-before-head".to_owned()].into(),
        ..PlanSettings::default()
    };
    store
        .set_plan_settings(goes, None, &settings, NOW)
        .await
        .unwrap();
    let draft = serde_json::json!({"note": "Brackmoor"});
    store
        .keep_draft(goes, &card, "strip", 0, &draft, NOW)
        .await
        .unwrap();
    let new = NewCredential {
        sign_in_name: "rue.pellow".into(),
        password_hash: "$hash".into(),
    };
    store.set_credential(goes, &new, None, NOW).await.unwrap();
    let phone = NewPasskey {
        handle: b"phone".to_vec(),
        label: "Brackmoor phone".into(),
        party: "localhost".into(),
        public_half: "{}".into(),
    };
    store.add_passkey(goes, &phone, NOW).await.unwrap();
    let secrets = ("a session", "a device");
    store
        .begin_session(goes, secrets, "a browser", NOW)
        .await
        .unwrap();
    let until = OffsetDateTime::now_utc() + Duration::days(60);
    let wanted = ("Yard list", Role::Member);
    store
        .make_key(goes, wanted, "a key", until, NOW)
        .await
        .unwrap();
    store
        .make_link(goes, &card, ("a link", "Engine 4"), until, NOW)
        .await
        .unwrap();
    let roles = Roles::from_iter([Role::Member]);
    store
        .invite(goes, ("Dee", &roles), "invited", NOW)
        .await
        .unwrap();
    for what in ["account rue.pellow", "account rue.pellow from 192.0.2.7"] {
        store.note_failure(what, NOW).await.unwrap();
    }
    card
}

/// Asks on a day that makes the deletion due by now, or in so many days.
async fn ask(two: &Two, due_in: Duration) {
    let asked = OffsetDateTime::now_utc() + due_in - COOLING_OFF;
    let leaving = two.held.store.ask_to_leave(&two.goes, asked).await.unwrap();
    assert_eq!(leaving.due_at, asked + COOLING_OFF);
}

async fn remove(two: &Two) -> Vec<Gone> {
    let now = OffsetDateTime::now_utc();
    two.held.store.remove_due(now).await.unwrap()
}

async fn connection(two: &Two) -> SqliteConnection {
    let options = SqliteConnectOptions::new()
        .filename(&two.held.path)
        .foreign_keys(false);
    SqliteConnection::connect_with(&options).await.unwrap()
}

/// Rows by table that hold this text in any column, whole.
async fn rows_with(two: &Two, text: &str) -> BTreeMap<String, i64> {
    let mut connection = connection(two).await;
    let tables: Vec<(String,)> = sqlx::query_as(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE '\\_%' ESCAPE '\\'
             AND name NOT LIKE 'sqlite%'",
    )
    .fetch_all(&mut connection)
    .await
    .unwrap();
    let mut all = BTreeMap::new();
    for (table,) in tables {
        let columns = sqlx::query(sqlx::AssertSqlSafe(format!("PRAGMA table_info({table})")))
            .fetch_all(&mut connection)
            .await
            .unwrap();
        let columns: Vec<String> = columns.iter().map(|c| c.get("name")).collect();
        let statement = format!(
            "SELECT COUNT(*) FROM {table} WHERE $1 IN ({})",
            columns.join(", ")
        );
        let (rows,): (i64,) = sqlx::query_as(sqlx::AssertSqlSafe(statement))
            .bind(text)
            .fetch_one(&mut connection)
            .await
            .unwrap();
        if rows > 0 {
            all.insert(table, rows);
        }
    }
    all
}

/// The zones of the card that stays, as bytes, and its findings.
async fn answer(two: &Two) -> (String, Vec<Finding>) {
    let stored = two.held.store.card(&two.stays.department, &two.card).await;
    let card = stored.unwrap().unwrap().card;
    let zones = zones(&card, &Variant::default()).unwrap();
    (format!("{zones:?}"), card.findings)
}

#[tokio::test]
async fn when_its_day_has_come_nothing_of_it_is_left_and_nothing_of_others_is_touched() {
    let two = &two().await;
    let store = &two.held.store;
    let own = two.goes.department.as_str();
    let before = answer(two).await;
    assert_eq!(before.1.len(), 2, "with what the leaving one offered");
    let had = rows_with(two, own).await;
    for table in [
        "findings",
        "audit",
        "sessions",
        "api_keys",
        "share_links",
        "drafts",
        "once_links",
        "photos",
        "annotations",
        "policies",
        "plan_settings",
        "guests",
        "partnerships",
        "card_visibility",
        "finding_resolutions",
        "credentials",
        "member_roles",
    ] {
        assert!(had.contains_key(table), "the test fills {table}: {had:?}");
    }
    ask(two, Duration::hours(-1)).await;
    let gone = remove(two).await;
    assert_eq!(gone.len(), 1);
    let one = &gone[0];
    assert_eq!(
        (one.name.as_str(), one.members, one.cards),
        ("Saltby", 1, 1)
    );
    assert_eq!(one.findings, 3);
    assert_eq!(store.gone().await.unwrap().len(), 1);
    assert_eq!(remove(two).await, [], "once");

    assert_eq!(
        rows_with(two, own).await,
        BTreeMap::from([("departments_gone".to_owned(), 1)])
    );
    assert_eq!(rows_with(two, two.going.as_str()).await, BTreeMap::new());
    assert_eq!(
        rows_with(two, two.goes.member.as_str()).await,
        BTreeMap::new()
    );
    assert!(
        store
            .failures("account rue.pellow")
            .await
            .unwrap()
            .is_none()
    );
    let here = store.failures("account rue.pellow from 192.0.2.7").await;
    assert!(here.unwrap().is_none());
    assert_eq!(answer(two).await, before);

    // The one who offered stays named, and is nobody of this department.
    let people = store.people(&two.stays).await.unwrap();
    assert!(people.iter().all(|p| !p.name.contains("Rue")), "{people:?}");
    let audit = store.audit(&two.stays.department, None, 9).await.unwrap();
    assert_eq!(audit[0].action, "partner-gone");
    assert_eq!(audit[0].member_name, "Rue Pellow (Saltby)");
    assert!(audit.iter().any(|l| l.action == "findings-added"));
    let partners = store.partnerships(&two.stays.department).await.unwrap();
    assert_eq!(partners, []);
    sound(two).await;
}

/// The whole file still passes its own check, and its copy.
async fn sound(two: &Two) {
    let copy = two.held.directory.path().join("copy.db");
    two.held.store.backup(&copy).await.unwrap();
}

#[tokio::test]
async fn nothing_of_it_can_be_read_in_the_files_or_opened_by_what_it_gave_out() {
    let two = &two().await;
    let store = &two.held.store;
    let files = || {
        let folder = std::fs::read_dir(two.held.directory.path()).unwrap();
        let bytes = folder.map(|f| std::fs::read(f.unwrap().path()).unwrap());
        bytes.flatten().collect::<Vec<u8>>()
    };
    let holds = |bytes: &[u8], mark: &str| bytes.windows(mark.len()).any(|w| w == mark.as_bytes());
    for mark in MARKS {
        assert!(holds(&files(), mark), "{mark} was written");
    }
    ask(two, Duration::hours(-1)).await;
    remove(two).await;
    for mark in MARKS {
        assert!(!holds(&files(), mark), "{mark} can still be read");
    }
    let now = OffsetDateTime::now_utc();
    assert!(store.session("a session", now).await.unwrap().is_none());
    assert!(store.key_holder("a key", now).await.unwrap().is_none());
    assert!(store.linked_card("a link", now).await.unwrap().is_none());
    assert!(store.invitation("invited", NOW).await.unwrap().is_none());
    assert!(store.credential("rue.pellow").await.unwrap().is_none());
    let read = store.card(&two.stays.department, &two.going).await;
    assert!(read.unwrap().is_none());
    let left = store
        .photo_files_left(OffsetDateTime::now_utc())
        .await
        .unwrap();
    assert!(!left.is_empty(), "the files of its photos are still to go");
    for name in left {
        store.forget_photo_file(&name).await.unwrap();
    }
    assert!(
        store
            .photo_files_left(OffsetDateTime::now_utc())
            .await
            .unwrap()
            .is_empty()
    );
}

#[tokio::test]
async fn the_name_is_free_again_and_the_sign_in_name_too() {
    let two = &two().await;
    let store = &two.held.store;
    let taken = store.create_department("Saltby", NOW).await;
    assert!(taken.is_err());
    ask(two, Duration::hours(-1)).await;
    remove(two).await;
    let again = member_of(store, "Saltby").await;
    let new = NewCredential {
        sign_in_name: "rue.pellow".into(),
        password_hash: "$hash".into(),
    };
    store.set_credential(&again, &new, None, NOW).await.unwrap();
    let cards = store.all_summaries(&again.department).await.unwrap();
    assert_eq!(cards, []);
    partners(store, &two.stays, &again).await;
}

#[tokio::test]
async fn before_its_day_it_stays_as_it_is_and_any_keeper_calls_it_off() {
    let two = &two().await;
    let store = &two.held.store;
    assert_eq!(store.leaving(&two.goes.department).await.unwrap(), None);
    ask(two, Duration::hours(1)).await;
    let asked = store.leaving(&two.goes.department).await.unwrap().unwrap();
    assert_eq!(asked.asked_by, "Rue Pellow");
    let later = OffsetDateTime::now_utc() + Duration::days(9);
    let again = store.ask_to_leave(&two.goes, later).await.unwrap();
    assert_eq!(again.due_at, asked.due_at, "asked again, the day stays");
    assert_eq!(remove(two).await, []);
    // Not even a program whose clock runs ahead of the database's removes it.
    assert_eq!(store.remove_due(later).await.unwrap(), []);
    let card = store.card(&two.goes.department, &two.going).await.unwrap();
    assert!(card.is_some());
    let partners = store.partnerships(&two.stays.department).await.unwrap();
    assert_eq!(
        partners[0].leaves_at,
        Some(asked.due_at),
        "partners are told"
    );

    let second = store
        .create_member_with(&two.goes.department, "Bo Lark", Roles::all(), NOW)
        .await;
    let second = second.unwrap().unwrap();
    store.call_off_leaving(&second, NOW).await.unwrap().unwrap();
    assert_eq!(store.leaving(&two.goes.department).await.unwrap(), None);
    let nothing = store.call_off_leaving(&second, NOW).await.unwrap();
    assert!(nothing.is_none());
    assert_eq!(store.remove_due(later + COOLING_OFF).await.unwrap(), []);
}

/// Every table there is or will be: none that carries a department is forgotten,
/// and none keeps its rows from a removal whose day has come.
#[tokio::test]
async fn every_table_that_carries_a_department_is_removed_from_and_lets_go() {
    let held = empty().await;
    let options = SqliteConnectOptions::new().filename(&held.path);
    let mut connection = SqliteConnection::connect_with(&options).await.unwrap();
    let carrying: Vec<(String,)> = sqlx::query_as(
        "SELECT DISTINCT s.name FROM sqlite_schema s JOIN pragma_table_info(s.name) c
         WHERE s.type = 'table' AND c.name = 'department_id' AND s.name <> 'departments_going'",
    )
    .fetch_all(&mut connection)
    .await
    .unwrap();
    assert!(carrying.len() > 20, "{carrying:?}");
    let owned = include_str!("../../../src/store/leaving/removal.rs");
    for (table,) in carrying {
        let listed = format!("(\"{table}\", OWN)");
        assert!(owned.contains(&listed), "{table} is not in OWNED");
    }
    let kept: Vec<(String, String)> = sqlx::query_as(
        "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'
            AND sql LIKE '%BEFORE DELETE%' AND tbl_name <> 'departments_gone'",
    )
    .fetch_all(&mut connection)
    .await
    .unwrap();
    for (trigger, sql) in kept {
        assert!(sql.contains("departments_due"), "{trigger} never lets go");
    }
}

/// A statement of another program at the same file.
async fn refuses(two: &Two, statement: String) {
    let done = sqlx::query(sqlx::AssertSqlSafe(statement.clone()))
        .execute(&mut connection(two).await)
        .await;
    assert!(done.is_err(), "{statement}");
}

#[tokio::test]
async fn the_database_lets_go_of_nothing_but_a_department_whose_day_has_come() {
    let two = &two().await;
    let kept: Vec<(String, String)> = sqlx::query_as(
        "SELECT name, tbl_name FROM sqlite_schema
         WHERE type = 'trigger' AND sql LIKE '%BEFORE DELETE%' AND tbl_name <> 'departments_gone'",
    )
    .fetch_all(&mut connection(two).await)
    .await
    .unwrap();
    assert!(kept.len() >= 9, "{kept:?}");
    // Whether nothing is asked, or asked and not due, or due for another.
    for due_in in [None, Some(Duration::hours(1)), Some(Duration::hours(-1))] {
        if let Some(due_in) = due_in {
            two.held
                .store
                .call_off_leaving(&two.goes, NOW)
                .await
                .unwrap();
            ask(two, due_in).await;
        }
        let due = due_in.is_some_and(Duration::is_negative);
        for (_, table) in &kept {
            let column = match table.as_str() {
                "departments" => "id",
                _ => "department_id",
            };
            let whose = if due { &two.stays } else { &two.goes };
            let rows = rows_with(two, whose.department.as_str()).await;
            if rows.contains_key(table) {
                let all = format!("DELETE FROM {table}");
                let own = format!("{all} WHERE {column} = '{}'", whose.department);
                refuses(two, all).await;
                refuses(two, own).await;
            }
        }
        refuses(two, "UPDATE findings SET to_mm = 90".to_owned()).await;
        refuses(two, "UPDATE audit SET action = 'x'".to_owned()).await;
    }
    refuses(
        two,
        "UPDATE departments_going SET due_at = 0, asked_at = -2592000000".to_owned(),
    )
    .await;
    let (stays, member) = (&two.stays.department, &two.stays.member);
    let soon = OffsetDateTime::now_utc().unix_timestamp() * 1_000;
    let hurried =
        format!("INSERT INTO departments_going VALUES ('{stays}', '{member}', {soon}, {soon})");
    refuses(two, hurried).await;
    remove(two).await;
    refuses(two, "DELETE FROM departments_gone".to_owned()).await;
    refuses(two, "UPDATE departments_gone SET name = ''".to_owned()).await;
}

#[tokio::test]
async fn restoring_an_older_backup_brings_it_back() {
    let two = &two().await;
    let copy = two.held.directory.path().join("before.db");
    two.held.store.backup(&copy).await.unwrap();
    ask(two, Duration::hours(-1)).await;
    remove(two).await;
    let back = two.held.directory.path().join("back.db");
    Store::restore(&copy, &back).await.unwrap();
    let store = Store::open(back.to_str().unwrap()).await.unwrap();
    let card = store.card(&two.goes.department, &two.going).await.unwrap();
    assert!(card.is_some());
}
