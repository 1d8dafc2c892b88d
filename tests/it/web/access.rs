//! Who gets what: every address for every kind of visitor, from the one table,
//! and that the table has a row for every address there is.

use super::door::{Door, Who};
use axum::http::{Method, StatusCode};
use pillarbook::domain::role::{Deed, Role};
use pillarbook::web::who::access::TABLE;
use pillarbook::web::who::{Needs, needs};
use std::collections::BTreeSet;

/// Addresses as they stand in the router's own text, and those the API describes.
async fn addresses() -> BTreeSet<String> {
    let text = include_str!("../../../src/web/routes.rs");
    let quoted = text.split('"').skip(1).step_by(2);
    let mut all: BTreeSet<String> = quoted
        .filter(|s| s.starts_with('/'))
        .map(str::to_owned)
        .collect();
    let door = Door::new().await;
    let description = door.get(Who::Anonymous, "/api/v1/openapi.json").await;
    let description: serde_json::Value = serde_json::from_str(&description.body).unwrap();
    let paths = description["paths"].as_object().unwrap();
    all.extend(paths.keys().cloned());
    all.insert("/api/v1/openapi.json".to_owned());
    all
}

#[tokio::test]
async fn every_address_has_one_row_and_every_row_an_address() {
    let rows: Vec<&str> = TABLE.iter().map(|(pattern, ..)| *pattern).collect();
    let distinct: BTreeSet<String> = rows.iter().map(|r| (*r).to_owned()).collect();
    assert_eq!(rows.len(), distinct.len(), "a row twice");
    assert_eq!(distinct, addresses().await);
    assert_eq!(needs(&Method::GET, "/not/there"), None);
}

/// What the rules say, apart from the code that enforces them.
fn expected(who: Who, path: &str, needs: Needs) -> Option<StatusCode> {
    let for_programs = path.starts_with("/api/") || path == "/metrics";
    let nobody = (needs != Needs::Nothing).then_some(StatusCode::SEE_OTHER);
    let roles: &[Role] = match who {
        Who::Anonymous => return nobody,
        // No page opens with a key.
        Who::Program(_) if !for_programs => return nobody,
        Who::Program(role) => &[role],
        Who::Member => &[Role::Member],
        Who::Officer => &[Role::Officer],
        Who::Trainer => &[Role::Trainer],
        Who::Keeper => &[Role::Keeper],
        Who::Stranger => Role::ALL,
        Who::NoRole => &[],
    };
    let enough = match needs {
        Needs::Nothing | Needs::SignIn => true,
        Needs::Deed(Deed::Record) => {
            roles.contains(&Role::Member) || roles.contains(&Role::Officer)
        }
        Needs::Deed(Deed::Decide) => roles.contains(&Role::Officer),
        Needs::Deed(Deed::Teach) => {
            roles.contains(&Role::Trainer) || roles.contains(&Role::Officer)
        }
        Needs::Deed(Deed::Keep) => roles.contains(&Role::Keeper),
        Needs::Deed(Deed::Oversee) => {
            roles.contains(&Role::Officer) || roles.contains(&Role::Keeper)
        }
    };
    (!enough).then_some(StatusCode::FORBIDDEN)
}

#[tokio::test]
async fn each_visitor_gets_at_each_address_what_the_table_says_and_nobody_a_failure() {
    let door = Door::new().await;
    for (pattern, read, send) in TABLE {
        let path = door.address(pattern);
        let sends = [Method::POST, Method::PUT];
        let asked = std::iter::once((Method::GET, *read))
            .chain(sends.into_iter().filter_map(|m| send.map(|s| (m, s))));
        for (method, needs) in asked {
            // Signing out ends the visitor of the rows that follow.
            if *pattern == "/sign-out" {
                continue;
            }
            for who in Who::ALL {
                let answer = door.ask(who, method.clone(), &path).await;
                let said = format!("{who:?} {method} {path}: {}", answer.status);
                assert!(!answer.status.is_server_error(), "{said}");
                let for_api = path.starts_with("/api/");
                match expected(who, &path, needs) {
                    Some(StatusCode::SEE_OTHER) if for_api => {
                        assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{said}");
                    }
                    Some(StatusCode::SEE_OTHER) => {
                        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{said}");
                        assert!(answer.location.starts_with("/sign-in"), "{said}");
                    }
                    Some(refused) => assert_eq!(answer.status, refused, "{said}"),
                    None => {
                        let refused = [StatusCode::UNAUTHORIZED, StatusCode::FORBIDDEN];
                        assert!(!refused.contains(&answer.status), "{said}");
                        assert!(!answer.location.starts_with("/sign-in"), "{said}");
                    }
                }
                // Of another department's card nobody learns that it is there.
                if who == Who::Stranger && pattern.contains("/cards/{id}") {
                    let nowhere =
                        path.replace(door.card.as_str(), "01890000-0000-7000-8000-000000000000");
                    let same = door.ask(who, method.clone(), &nowhere).await;
                    assert_eq!(answer.status, same.status, "{said}");
                    assert!(!answer.status.is_success(), "{said}");
                }
            }
        }
    }
}
