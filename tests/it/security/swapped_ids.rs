//! Ids of others in every place that takes one: in addresses, from the one table,
//! and in what the forms send, from the pages. Nobody learns that they are there,
//! and nothing changes.

use super::county::{FORM, JSON};
use super::pages::{Form, forms, is_html, shape};
use super::{County, Place};
use axum::http::{Method, StatusCode};
use pillarbook::web::who::access::TABLE;
use std::collections::{BTreeMap, BTreeSet};

const NOWHERE: &str = "01890000-0000-7000-8000-000000000000";

/// Ways to ask at a row of the table: reading, and sending where it takes that.
fn ways(pattern: &str, sends: bool) -> Vec<(Method, &'static str, &'static str)> {
    let (kind, body) = match pattern.starts_with("/api/") {
        true => (JSON, "{}"),
        false => (FORM, ""),
    };
    let mut ways = vec![(Method::GET, FORM, "")];
    if sends {
        ways.extend([Method::POST, Method::PUT].map(|method| (method, kind, body)));
    }
    ways
}

#[tokio::test]
async fn at_no_address_is_there_a_card_of_another_department() {
    let county = &County::new().await;
    let before = county.rows().await;
    let (home, mut asked) = (&county.home, 0);
    for (pattern, _, send) in TABLE.iter().filter(|(p, ..)| p.contains("/cards/{id}")) {
        let strangers = county.stranger.place();
        let own_below = Place {
            card: &county.stranger.card,
            ..home.place()
        };
        let kept_back = county.partner.other_place();
        for place in [strangers, own_below, kept_back] {
            let path = county.address(pattern, &place);
            for (method, kind, body) in ways(pattern, send.is_some()) {
                let who = Some(&home.chief);
                let answer = county.send(who, method.clone(), &path, kind, body).await;
                let nowhere = path.replace(place.card.as_str(), NOWHERE);
                let same = county.send(who, method.clone(), &nowhere, kind, body).await;
                let said = format!("{method} {pattern}: {}", answer.body);
                assert_eq!(answer.status, same.status, "{said}");
                let not_here = [StatusCode::NOT_FOUND, StatusCode::METHOD_NOT_ALLOWED];
                let cannot_be_read = method != Method::GET && pattern.starts_with("/api/");
                assert!(
                    not_here.contains(&answer.status)
                        || cannot_be_read && answer.status.is_client_error(),
                    "{said}"
                );
                asked += 1;
            }
        }
    }
    assert!(asked > 150, "{asked}");
    let after = county.rows().await;
    assert_eq!(before, after, "{}", before.difference(&after));
}

#[tokio::test]
async fn below_one_s_own_card_is_nothing_of_another_card() {
    let county = &County::new().await;
    let before = county.rows().await;
    let own = county.home.place();
    let others = [
        county.home.other_place(),
        county.partner.other_place(),
        county.stranger.other_place(),
    ];
    let mut asked = BTreeSet::new();
    for (pattern, _, send) in TABLE {
        let below = ["{finding}", "{note}", "{name}"]
            .iter()
            .any(|id| pattern.contains(id));
        if !(below && pattern.contains("/cards/{id}")) {
            continue;
        }
        let there = county.address(pattern, &county.home.other_place());
        let reads = county.get(&county.home.chief, &there).await.status;
        for other in &others {
            let path = county.address(
                pattern,
                &Place {
                    card: own.card,
                    crew: own.crew,
                    ..*other
                },
            );
            for (method, kind, body) in ways(pattern, send.is_some()) {
                let who = Some(&county.home.chief);
                let answer = county.send(who, method.clone(), &path, kind, body).await;
                let said = format!("{method} {pattern}: {} {}", answer.status, answer.body);
                assert!(answer.status.is_client_error(), "{said}");
                if method == Method::GET && reads.is_success() {
                    assert_eq!(answer.status, StatusCode::NOT_FOUND, "{said}");
                }
                if method == Method::POST && !pattern.starts_with("/api/") {
                    assert_eq!(answer.status, StatusCode::NOT_FOUND, "{said}");
                }
            }
        }
        if reads.is_success() {
            asked.insert(*pattern);
        }
    }
    assert!(asked.len() >= 5, "{asked:?}");
    let after = county.rows().await;
    assert_eq!(before, after, "{}", before.difference(&after));
}

/// Whether a value of a form stands for something in the book.
fn is_id(value: &str) -> bool {
    let hex = |c: u8| c.is_ascii_hexdigit() || c == b'-';
    let number = |rest: &str| !rest.is_empty() && rest.bytes().all(|b| b.is_ascii_digit());
    value.len() >= 32 && value.bytes().all(hex)
        || value.strip_prefix(['f', 'n', 'c']).is_some_and(number)
}

/// The ids that fields of forms hold, by the form's address, its key and field.
type Ids = BTreeMap<(String, String), BTreeSet<String>>;

fn ids(forms: &[Form]) -> Ids {
    let mut ids = Ids::new();
    for form in forms {
        for field in &form.fields {
            let values = field.choices.iter().chain([&field.value]);
            for value in values.filter(|value| is_id(value)) {
                let at = (shape(&form.action), field.name.clone());
                ids.entry(at).or_default().insert(value.clone());
            }
        }
    }
    ids
}

async fn forms_of(county: &County, place: &Place<'_>) -> Vec<Form> {
    let pages = county.pages(&place.crew.chief, place).await;
    let pages = pages.iter().filter(|(_, page)| is_html(page));
    pages
        .flat_map(|(path, page)| forms(path, &page.body))
        .collect()
}

#[tokio::test]
async fn no_form_takes_an_id_of_another_department_or_of_another_card() {
    let county = &County::new().await;
    let own = forms_of(county, &county.home.place()).await;
    let mut others = Ids::new();
    for place in [
        county.stranger.place(),
        county.partner.other_place(),
        county.home.other_place(),
    ] {
        for (at, ids) in ids(&forms_of(county, &place).await) {
            others.entry(at).or_default().extend(ids);
        }
    }
    let known = ids(&own);
    let before = county.rows().await;
    let mut tried = BTreeSet::new();
    for form in &own {
        for field in &form.fields {
            let at = (shape(&form.action), field.name.clone());
            // What another page holds and no page of one's own card does.
            let none = BTreeSet::new();
            let foreign = others.get(&at).unwrap_or(&none);
            let foreign = foreign.difference(known.get(&at).unwrap_or(&none));
            for id in foreign {
                for key in &form.keys {
                    let mut sent = form.sent(key);
                    sent.retain(|(name, _)| *name != field.name);
                    sent.push((field.name.clone(), id.clone()));
                    let pairs: Vec<_> =
                        sent.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
                    let answer = county.post(&county.home.chief, &form.action, &pairs).await;
                    let said = format!("{pairs:?} to {}: {}", form.action, answer.body);
                    assert!(answer.status.is_client_error(), "{} {said}", answer.status);
                    let after = county.rows().await;
                    assert_eq!(before, after, "{said} {}", before.difference(&after));
                    tried.insert(field.name.clone());
                }
            }
        }
    }
    for field in [
        "key",
        "link",
        "member",
        "passkey-id",
        "session",
        "id",
        "photo_name",
        "department",
    ] {
        assert!(tried.contains(field), "no form with {field}: {tried:?}");
    }
}
