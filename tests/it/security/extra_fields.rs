//! Fields beyond those of a form, or of a document of the API, change nothing:
//! each form is sent to one county as it is and to another, founded alike, with
//! what an attacker would add, and both books then say the same.

use super::County;
use super::county::{JSON, asked};
use super::pages::{Form, forms};
use crate::contract::EXAMPLE;
use crate::web::door::{Answered, answer};
use axum::http::{Method, header};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// Names of what is kept and of what is decided, with what an attacker would want.
fn extra(county: &County) -> Vec<(&'static str, String)> {
    let (home, stranger) = (&county.home, &county.stranger);
    let department = stranger.chief.actor.department.to_string();
    let member = home.second.actor.member.to_string();
    let plain = [
        ("status", "accepted"),
        ("roles", "keeper"),
        ("role", "keeper"),
        ("role-keeper", "on"),
        ("role-officer", "on"),
        ("revision", "1"),
        ("version", "1"),
        ("reviewed", "yes"),
        ("reviewed_by", "Bo Oakmere"),
        ("visibility", "everyone"),
        ("single_handed", "yes"),
        ("resolved", "yes"),
        ("resolved_by", "Bo Oakmere"),
        ("standing", "accepted"),
        ("supersedes", "f2"),
        ("own", "yes"),
        ("policy", "{}"),
        ("coverage", "0.5"),
        ("made_by", "Bo Oakmere"),
        ("member_name", "Bo Oakmere"),
        ("created_at", "0"),
        ("opened", "7"),
        ("origin", "x"),
    ];
    let mut all: Vec<_> = plain.map(|(name, value)| (name, value.to_owned())).to_vec();
    all.extend(
        ["department", "department_id", "by_department"].map(|name| (name, department.clone())),
    );
    all.extend(["member", "member_id", "actor", "user"].map(|name| (name, member.clone())));
    all.extend(["id", "card", "card_id"].map(|name| (name, stranger.card.to_string())));
    all
}

/// Of these, what is no field of a form.
fn beyond(form: &Form, county: &County) -> Vec<(&'static str, String)> {
    let mut all = extra(county);
    all.retain(|(name, _)| {
        form.fields.iter().all(|f| f.name != *name) && form.keys.iter().all(|(k, _)| k != name)
    });
    all
}

/// Rows without what is drawn or told by the clock: ids that have a name by it,
/// others alike.
async fn told(county: &County) -> BTreeMap<String, Vec<String>> {
    let mut names = BTreeMap::new();
    for (name, crew) in [
        ("home", &county.home),
        ("partner", &county.partner),
        ("stranger", &county.stranger),
    ] {
        for (what, id) in [
            ("department", crew.chief.actor.department.as_str()),
            ("chief", crew.chief.actor.member.as_str()),
            ("second", crew.second.actor.member.as_str()),
            ("card", crew.card.as_str()),
            ("other", crew.other.as_str()),
        ] {
            names.insert(id.to_owned(), format!("{name}'s {what}"));
        }
    }
    let plain = |row: &String| {
        let row = names
            .iter()
            .fold(row.clone(), |row, (id, name)| row.replace(id, name));
        drawn_alike(&row)
    };
    let rows = county.rows().await.0.into_iter();
    rows.filter(|(table, _)| table != "_sqlx_migrations")
        .map(|(table, rows)| {
            let mut rows: Vec<String> = rows.iter().map(plain).collect();
            rows.sort();
            (table, rows)
        })
        .collect()
}

/// Ids, hashes, secrets and times of today as one sign each.
fn drawn_alike(row: &str) -> String {
    let is_word =
        |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '$' | '+' | '/' | '_' | ',');
    let mut out = String::new();
    let mut rest = row;
    while !rest.is_empty() {
        let end = rest.find(|c| !is_word(c)).unwrap_or(rest.len());
        let (word, after) = rest.split_at(end);
        let long = word.len() >= 32 && word.chars().any(|c| c.is_ascii_digit());
        let time =
            word.len() == 13 && word.starts_with('1') && word.bytes().all(|b| b.is_ascii_digit());
        out += if long || time { "#" } else { word };
        let sign = after.chars().next();
        out.extend(sign);
        rest = &after[sign.map_or(0, char::len_utf8)..];
    }
    out
}

fn difference(
    one: &BTreeMap<String, Vec<String>>,
    other: &BTreeMap<String, Vec<String>>,
) -> String {
    let mut said = String::new();
    for (table, rows) in one {
        for row in rows.iter().filter(|row| !other[table].contains(row)) {
            said += &format!("\nas it is: {table}: {row}");
        }
        for row in other[table].iter().filter(|row| !rows.contains(row)) {
            said += &format!("\nwith more: {table}: {row}");
        }
    }
    said
}

/// Ends one's own session, or what others of the forms need.
fn ends(action: &str, (_, value): &(String, String)) -> bool {
    action == "/sign-out"
        || action.starts_with("/sign-in")
        || matches!(value.as_str(), "leave" | "end")
}

#[tokio::test]
async fn no_field_beyond_those_of_a_form_changes_anything() {
    let (plain, attacked) = (&County::new().await, &County::new().await);
    let as_founded = (told(plain).await, told(attacked).await);
    assert_eq!(
        as_founded.0,
        as_founded.1,
        "{}",
        difference(&as_founded.0, &as_founded.1)
    );
    let (mut sent, mut changed) = (0, BTreeSet::new());
    let pages = [
        plain.pages(&plain.home.chief, &plain.home.place()).await,
        attacked
            .pages(&attacked.home.chief, &attacked.home.place())
            .await,
    ];
    let [ones, others] = pages.map(|pages| {
        let all = pages
            .iter()
            .flat_map(|(path, page)| forms(path, &page.body));
        all.collect::<Vec<_>>()
    });
    assert_eq!(ones.len(), others.len());
    // Ids sort alike, so that the pages come in the same order.
    for (one, other) in ones.iter().zip(&others) {
        assert_eq!(one.keys, other.keys);
        for (at, key) in one.keys.iter().enumerate() {
            if ends(&one.action, key) {
                continue;
            }
            let before = told(plain).await;
            let words = "Di Holt";
            let mut usual = plain.fill(&plain.home.chief, one, key, words).await;
            let usual = usual.pop().unwrap();
            let (who, more) = (&attacked.home.chief, beyond(other, attacked));
            let mut with = attacked
                .fill_beside(who, other, &other.keys[at], (words, &more))
                .await;
            let with = with.pop().unwrap();
            let said = format!("{} {key:?}", one.action);
            assert_eq!(usual.status, with.status, "{said}: {}", with.body);
            let (usual, with) = (told(plain).await, told(attacked).await);
            assert_eq!(usual, with, "{said}: {}", difference(&usual, &with));
            sent += 1;
            if before != usual {
                changed.insert(said);
            }
        }
    }
    assert!(sent > 60 && changed.len() > 20, "{sent} {changed:#?}");
}

/// A document with one more field in each of its objects that has none so called.
fn with_one_more(document: &Value, name: &str, value: &str) -> Value {
    let mut document = document.clone();
    match &mut document {
        Value::Array(items) => {
            for item in items {
                *item = with_one_more(item, name, value);
            }
        }
        Value::Object(fields) => {
            for item in fields.values_mut() {
                *item = with_one_more(item, name, value);
            }
            fields.entry(name).or_insert(json!(value));
        }
        _ => {}
    }
    document
}

/// What the API takes: method, address and document.
async fn documents(county: &County) -> Vec<(Method, String, Value)> {
    let mut card: Value = serde_json::from_str(EXAMPLE).unwrap();
    // Objects whose fields are names of places or kinds take no other.
    for map in ["/measured/landmarks", "/policy/clearance_mm", "/glass"] {
        *card.pointer_mut(map).unwrap() = Value::Null;
    }
    let mut finding = card["findings"][1].clone();
    for numbered in ["id", "component"] {
        finding.as_object_mut().unwrap().remove(numbered);
    }
    let at = |rest: &str| format!("/api/v1/cards/{}{rest}", county.home.card);
    let details = county.get(&county.home.chief, &at("/details")).await;
    let mut details: Value = serde_json::from_str(&details.expect(200).body).unwrap();
    *details.pointer_mut("/measured/landmarks").unwrap() = Value::Null;
    *details.pointer_mut("/glass").unwrap() = Value::Null;
    let note = json!({"at": {"span": "b-pillar.left", "at_mm": 300}, "text": "x"});
    let withdrawn = json!({"status": "withdrawn", "reason": "Another car"});
    let department = |rest: &str| format!("/api/v1/department/{rest}");
    vec![
        (Method::POST, "/api/v1/cards".to_owned(), card.clone()),
        (
            Method::POST,
            at("/findings"),
            json!({"findings": [finding]}),
        ),
        (
            Method::POST,
            at("/annotations"),
            json!({"annotations": [note]}),
        ),
        (Method::PUT, at("/details"), details),
        (
            Method::PUT,
            department("openings"),
            json!({"openings": [], "rules_off": []}),
        ),
        (Method::PUT, department("tools"), json!({"tools": []})),
        (Method::POST, at("/findings/f2/status"), withdrawn),
    ]
}

async fn sent(county: &County, (method, path, document): (Method, &str, &Value)) -> Answered {
    let request = asked(Some(&county.home.chief), method, path)
        .header(header::CONTENT_TYPE, JSON)
        .header(header::IF_MATCH, "*")
        .body(document.to_string().into())
        .unwrap();
    answer(&county.router, request).await
}

#[tokio::test]
async fn no_field_beyond_those_of_a_document_of_the_api_changes_anything() {
    let (plain, attacked) = (&County::new().await, &County::new().await);
    let both = documents(plain)
        .await
        .into_iter()
        .zip(documents(attacked).await);
    // Fields of a finding or a note in a card file; who may send what in them is
    // for the tests of keys and notes.
    let own = ["id", "status", "standing", "supersedes", "department"];
    let (mut refused, mut passed_over) = (0, BTreeSet::new());
    for ((method, path, document), (_, other, others)) in both {
        for (county, path, document) in [(plain, &path, &document), (attacked, &other, &others)] {
            let taken = sent(county, (method.clone(), path, document)).await;
            assert!(taken.status.is_success(), "{path}: {}", taken.body);
        }
        for (name, value) in extra(attacked) {
            if own.contains(&name) {
                continue;
            }
            let more = with_one_more(&others, name, &value);
            let with = sent(attacked, (method.clone(), &other, &more)).await;
            let said = format!("{method} {path} {name}: {} {}", with.status, with.body);
            if with.status.is_client_error() {
                refused += 1;
            } else {
                let usual = sent(plain, (method.clone(), &path, &document)).await;
                assert_eq!(usual.status, with.status, "{said}");
                passed_over.insert(path.clone());
            }
            let (usual, with) = (told(plain).await, told(attacked).await);
            assert_eq!(usual, with, "{said}: {}", difference(&usual, &with));
        }
    }
    assert!(
        refused > 0 && passed_over.len() >= 6,
        "{refused} {passed_over:?}"
    );
}
