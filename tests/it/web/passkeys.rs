//! Passkeys: added with the password, shown at the door instead of it, removed;
//! and what somebody with another's, an old or a copied one would try.

use super::door::{Answered, Door, PASSWORD, Who};
use crate::support::authenticator::Authenticator;
use axum::http::{Method, StatusCode, header};
use pillarbook::secret;
use pillarbook::store::{AuditFilter, MOST_PASSKEYS, PasskeyEntry};
use serde_json::Value;
use time::OffsetDateTime;

const ORIGIN: &str = "http://localhost:8080";
const PARTY: &str = "localhost";

/// The value of an attribute, unescaped as a browser reads it.
fn attribute(page: &str, before: &str) -> String {
    let rest = page.split_once(before);
    let (_, rest) = rest.unwrap_or_else(|| panic!("no {before} in {page}"));
    let value = rest.split_once('"').unwrap().0;
    value.replace("&#34;", "\"").replace("&amp;", "&")
}

/// The question a page puts to the device: by which secret, and what.
pub fn question(page: &Answered) -> (String, Value) {
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    let options = attribute(&page.body, "data-options=\"");
    let ceremony = attribute(&page.body, "name=\"ceremony\" value=\"");
    (ceremony, serde_json::from_str(&options).unwrap())
}

async fn add(door: &Door, who: Who, label: &str, password: &str) -> Answered {
    let fields = [("do", "add"), ("passkey", label), ("own", password)];
    door.post(who, "/account/passkeys", &fields).await
}

async fn made(door: &Door, who: Who, ceremony: &str, answer: &str) -> Answered {
    let fields = [("do", "made"), ("ceremony", ceremony), ("answer", answer)];
    door.post(who, "/account/passkeys", &fields).await
}

/// A device with a passkey of somebody's.
async fn with_passkey(door: &Door, who: Who, seed: u8) -> Authenticator {
    let label = format!("device {seed}");
    let (ceremony, options) = question(&add(door, who, &label, PASSWORD).await);
    let mut device = Authenticator::new(seed);
    let kept = made(door, who, &ceremony, &device.make(&options, ORIGIN)).await;
    assert_eq!(kept.location, "/account#passkeys", "{}", kept.body);
    device
}

async fn held(door: &Door, who: Who) -> Vec<PasskeyEntry> {
    door.store.passkeys(&door.members[&who]).await.unwrap()
}

/// The question of the sign-in page.
async fn ask(door: &Door) -> (String, Value) {
    let asked = door.form("/sign-in/passkey/ask", &[], "").await;
    assert_eq!(asked.status, StatusCode::OK, "{}", asked.body);
    assert_eq!(asked.headers[header::CACHE_CONTROL], "no-store");
    let asked: Value = serde_json::from_str(&asked.body).unwrap();
    (
        asked["ceremony"].as_str().unwrap().to_owned(),
        asked["options"].clone(),
    )
}

async fn show(door: &Door, ceremony: &str, answer: &str) -> Answered {
    let fields = [
        ("next", "/find?q=tarn"),
        ("ceremony", ceremony),
        ("answer", answer),
    ];
    door.form("/sign-in/passkey", &fields, "").await
}

async fn sign_in(door: &Door, device: &mut Authenticator) -> Answered {
    let (ceremony, options) = ask(door).await;
    let answer = device.answer(&options, ORIGIN, PARTY);
    show(door, &ceremony, &answer).await
}

fn is_refused(answer: &Answered, said: &str) {
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.cookies.is_empty(), "{:?}", answer.cookies);
    assert!(answer.body.contains(said), "{said}: {}", answer.body);
}

async fn told(door: &Door, who: Who) -> Vec<String> {
    let member = &door.members[&who];
    let own = AuditFilter {
        member: Some(member.member.clone()),
        ..AuditFilter::default()
    };
    let lines = door.store.audit_of(&member.department, &own, None, 99);
    let lines = lines.await.unwrap().into_iter().map(|line| line.action);
    let mut lines: Vec<String> = lines.filter(|a| a.contains("passkey")).collect();
    lines.reverse();
    lines
}

#[tokio::test]
async fn a_passkey_is_added_with_the_password_signs_in_and_is_removed_with_the_password() {
    let door = &Door::new().await;
    let refused = add(door, Who::Officer, "own phone", "not the password").await;
    is_refused(&refused, "this is not your password");
    assert!(refused.body.contains("own phone"), "what was typed stays");
    let page = add(door, Who::Officer, "own phone", PASSWORD).await;
    assert_eq!(page.headers[header::CACHE_CONTROL], "no-store");
    let (ceremony, options) = question(&page);
    assert_eq!(options["rp"]["id"], PARTY);
    let wanted = &options["authenticatorSelection"];
    assert_eq!(wanted["residentKey"], "required");
    assert_eq!(wanted["userVerification"], "required");
    let mut device = Authenticator::new(7);
    let kept = made(
        door,
        Who::Officer,
        &ceremony,
        &device.make(&options, ORIGIN),
    )
    .await;
    assert_eq!(kept.location, "/account#passkeys", "{}", kept.body);

    let planted = secret::draw();
    let (ceremony, options) = ask(door).await;
    let answer = device.answer(&options, ORIGIN, PARTY);
    let fields = [
        ("next", "/find?q=tarn"),
        ("ceremony", ceremony.as_str()),
        ("answer", &answer),
    ];
    let cookie = format!("session={planted}");
    let inside = door.form("/sign-in/passkey", &fields, &cookie).await;
    assert_eq!(inside.location, "/find?q=tarn", "{}", inside.body);
    let session = inside.cookie("session").unwrap();
    assert_ne!(session, planted, "a session planted beforehand");
    let cookie = format!("session={session}");
    let account = door
        .send(Method::GET, "/account", "text/plain", "", Some(&cookie))
        .await;
    for part in ["Officer Fenn", "own phone", "last used"] {
        assert!(account.body.contains(part), "{part}: {}", account.body);
    }

    let id = held(door, Who::Officer).await[0].id.to_string();
    let own = format!("own-{id}");
    let remove = async |password: &str| {
        let fields = [
            ("do", "remove"),
            ("passkey-id", id.as_str()),
            (own.as_str(), password),
        ];
        door.post(Who::Officer, "/account/passkeys", &fields).await
    };
    is_refused(
        &remove("not the password").await,
        "this is not your password",
    );
    assert_eq!(held(door, Who::Officer).await.len(), 1);
    assert_eq!(remove(PASSWORD).await.location, "/account#passkeys");
    assert_eq!(remove(PASSWORD).await.status, StatusCode::NOT_FOUND);
    is_refused(
        &sign_in(door, &mut device).await,
        "not known here, or no more",
    );
    let lines = ["passkey-added", "passkey-used", "passkey-removed"];
    assert_eq!(told(door, Who::Officer).await, lines);
}

#[tokio::test]
async fn each_question_is_answered_once_and_not_by_an_answer_to_another() {
    let door = &Door::new().await;
    let mut device = with_passkey(door, Who::Member, 1).await;
    let (ceremony, options) = ask(door).await;
    let answer = device.answer(&options, ORIGIN, PARTY);
    let first = show(door, &ceremony, &answer).await;
    assert_eq!(first.status, StatusCode::SEE_OTHER, "{}", first.body);
    is_refused(&show(door, &ceremony, &answer).await, "sent twice");
    // The same answer to a question that is open.
    let (later, _) = ask(door).await;
    is_refused(&show(door, &later, &answer).await, "not known here");
    is_refused(&show(door, "never asked", &answer).await, "sent twice");
    for nonsense in ["", "{}", "null", "[1]", "{\"id\":1}"] {
        let (ceremony, _) = ask(door).await;
        is_refused(&show(door, &ceremony, nonsense).await, "try again");
    }

    let (ceremony, options) = question(&add(door, Who::Member, "second", PASSWORD).await);
    let answer = Authenticator::new(2).make(&options, ORIGIN);
    let kept = made(door, Who::Member, &ceremony, &answer).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER);
    is_refused(
        &made(door, Who::Member, &ceremony, &answer).await,
        "begin again",
    );
    for nonsense in ["", "{}", "null"] {
        let (ceremony, _) = question(&add(door, Who::Member, "third", PASSWORD).await);
        let answer = made(door, Who::Member, &ceremony, nonsense).await;
        is_refused(&answer, "does not belong to what it was asked");
    }
    assert_eq!(held(door, Who::Member).await.len(), 2);
}

#[tokio::test]
async fn a_passkey_lets_in_its_own_member_and_nobody_else() {
    let door = &Door::new().await;
    let mut device = with_passkey(door, Who::Member, 1).await;
    let keeper = with_passkey(door, Who::Keeper, 2).await;
    // Says it is the keeper's; says it is the keeper's passkey.
    let mut as_keeper = device.clone();
    as_keeper.user = keeper.user.clone();
    is_refused(&sign_in(door, &mut as_keeper).await, "not known here");
    as_keeper.handle = keeper.handle.clone();
    is_refused(&sign_in(door, &mut as_keeper).await, "not known here");
    let mut nobody = device.clone();
    nobody.user = Vec::new();
    is_refused(&sign_in(door, &mut nobody).await, "not known here");

    // A question put to one member is not answered by another, nor elsewhere.
    let (ceremony, options) = question(&add(door, Who::Member, "mine", PASSWORD).await);
    let answer = Authenticator::new(3).make(&options, ORIGIN);
    is_refused(
        &made(door, Who::Officer, &ceremony, &answer).await,
        "begin again",
    );
    assert!(held(door, Who::Officer).await.is_empty());
    // Nor is a passkey kept for two.
    let (ceremony, options) = question(&add(door, Who::Officer, "hers", PASSWORD).await);
    let answer = Authenticator::new(2).make(&options, ORIGIN);
    is_refused(
        &made(door, Who::Officer, &ceremony, &answer).await,
        "kept here already",
    );
    // Nor removed by another.
    let id = held(door, Who::Keeper).await[0].id.to_string();
    let own = format!("own-{id}");
    let fields = [
        ("do", "remove"),
        ("passkey-id", id.as_str()),
        (own.as_str(), PASSWORD),
    ];
    let other = door.post(Who::Member, "/account/passkeys", &fields).await;
    assert_eq!(other.status, StatusCode::NOT_FOUND);
    assert_eq!(held(door, Who::Keeper).await.len(), 1);
    assert_eq!(
        sign_in(door, &mut device).await.status,
        StatusCode::SEE_OTHER
    );
}

#[tokio::test]
async fn what_was_signed_for_another_site_or_without_asking_who_is_refused() {
    let door = &Door::new().await;
    let mut device = with_passkey(door, Who::Member, 1).await;
    for (origin, party) in [
        ("http://localhost:9090", PARTY),
        ("https://evil.example", PARTY),
        ("http://localhost.evil.example:8080", PARTY),
        (ORIGIN, "evil.example"),
    ] {
        let (ceremony, options) = ask(door).await;
        let answer = device.answer(&options, origin, party);
        is_refused(&show(door, &ceremony, &answer).await, "not known here");
    }
    device.verified = false;
    is_refused(&sign_in(door, &mut device).await, "not known here");
    // Failed tries make the member wait, with a password too: another adds one.
    for (origin, verified) in [("http://localhost:9090", true), (ORIGIN, false)] {
        let (ceremony, options) = question(&add(door, Who::Officer, "other", PASSWORD).await);
        let mut other = Authenticator::new(2);
        other.verified = verified;
        let answer = made(door, Who::Officer, &ceremony, &other.make(&options, origin)).await;
        is_refused(&answer, "does not belong to what it was asked");
    }
    let (ceremony, mut options) = question(&add(door, Who::Officer, "other", PASSWORD).await);
    options["rp"]["id"] = "evil.example".into();
    let answer = Authenticator::new(2).make(&options, ORIGIN);
    is_refused(
        &made(door, Who::Officer, &ceremony, &answer).await,
        "begin again",
    );
}

#[tokio::test]
async fn a_counter_that_goes_back_is_told_and_ends_the_passkey() {
    let door = &Door::new().await;
    let mut device = with_passkey(door, Who::Trainer, 1).await;
    let mut copy = device.clone();
    for _ in 0..3 {
        assert_eq!(
            sign_in(door, &mut device).await.status,
            StatusCode::SEE_OTHER
        );
    }
    is_refused(&sign_in(door, &mut copy).await, "there may be a copy of it");
    // Neither of the two is believed any more.
    is_refused(
        &sign_in(door, &mut device).await,
        "there may be a copy of it",
    );
    let account = door.get(Who::Trainer, "/account").await;
    assert!(
        account.body.contains("Not accepted since"),
        "{}",
        account.body
    );
    let lines = told(door, Who::Trainer).await;
    assert!(lines.ends_with(&["passkey-doubted".into(), "passkey-doubted".into()]));
    // One that counts nothing (a passkey kept on several devices) stays.
    let mut many = Authenticator::new(2);
    many.counts = false;
    let (ceremony, options) = question(&add(door, Who::Trainer, "many", PASSWORD).await);
    made(door, Who::Trainer, &ceremony, &many.make(&options, ORIGIN)).await;
    for _ in 0..3 {
        let inside = sign_in(door, &mut many).await;
        assert_eq!(inside.status, StatusCode::SEE_OTHER, "{}", inside.body);
    }
}

#[tokio::test]
async fn a_new_password_by_a_keepers_link_and_leaving_end_every_passkey() {
    let door = &Door::new().await;
    let now = OffsetDateTime::now_utc();
    let (keeper, member) = (&door.members[&Who::Keeper], &door.members[&Who::Member]);
    let mut device = with_passkey(door, Who::Member, 1).await;
    let secret = secret::draw();
    let link = door.store.offer_reset(keeper, &member.member, &secret, now);
    link.await.unwrap().unwrap();
    assert_eq!(
        sign_in(door, &mut device).await.status,
        StatusCode::SEE_OTHER
    );
    let new = "barrel quarry thistle oar";
    let fields = [("password", new), ("again", new)];
    let reset = door.form(&format!("/resets/{secret}"), &fields, "").await;
    assert_eq!(reset.status, StatusCode::SEE_OTHER, "{}", reset.body);
    is_refused(&sign_in(door, &mut device).await, "not known here");
    assert!(
        told(door, Who::Member)
            .await
            .contains(&"passkeys-ended".to_owned())
    );

    let mut device = with_passkey(door, Who::Officer, 2).await;
    let officer = &door.members[&Who::Officer].member;
    for left in [true, false] {
        let set = door.store.set_left(keeper, officer, left, now).await;
        set.unwrap().unwrap();
        is_refused(&sign_in(door, &mut device).await, "not known here");
    }
    assert!(held(door, Who::Officer).await.is_empty());
}

#[tokio::test]
async fn guessing_with_a_passkey_is_slowed_down_as_with_a_password() {
    let door = &Door::new().await;
    let mut device = with_passkey(door, Who::Member, 1).await;
    let mut thief = device.clone();
    thief.verified = false;
    let mut waits = 0;
    for _ in 0..8 {
        let answer = sign_in(door, &mut thief).await;
        waits += usize::from(answer.status == StatusCode::TOO_MANY_REQUESTS);
    }
    assert!(waits >= 2, "{waits}");
    let right = sign_in(door, &mut device).await;
    assert_eq!(right.status, StatusCode::TOO_MANY_REQUESTS);
    // Of nobody known, on the address alone: no crew waits for a stranger's tries.
    for seed in 10..40 {
        is_refused(
            &sign_in(door, &mut Authenticator::new(seed)).await,
            "not known",
        );
    }
    let name = [("name", "officer.fenn"), ("password", PASSWORD)];
    let officer = door.form("/sign-in", &name, "").await;
    assert_eq!(officer.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn eight_are_kept_at_most_each_under_a_name_of_its_own() {
    let door = &Door::new().await;
    for seed in 1..MOST_PASSKEYS {
        with_passkey(door, Who::Member, u8::try_from(seed).unwrap()).await;
    }
    is_refused(
        &add(door, Who::Member, "device 1", PASSWORD).await,
        "choose another",
    );
    // Begun in two windows at once, the ninth is refused all the same.
    let (last, options) = question(&add(door, Who::Member, "eighth", PASSWORD).await);
    let known = options["excludeCredentials"].as_array().unwrap();
    assert_eq!(known.len(), MOST_PASSKEYS - 1, "the device is told of all");
    let eighth = Authenticator::new(98).make(&options, ORIGIN);
    let (late, options) = question(&add(door, Who::Member, "ninth", PASSWORD).await);
    let ninth = Authenticator::new(99).make(&options, ORIGIN);
    let kept = made(door, Who::Member, &last, &eighth).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.body);
    is_refused(
        &made(door, Who::Member, &late, &ninth).await,
        "8 are kept at most",
    );
    let page = door.get(Who::Member, "/account").await;
    assert!(page.body.contains("8 are kept at most"), "{}", page.body);
    // Nor is a device asked for one more.
    let asked = add(door, Who::Member, "tenth", PASSWORD).await;
    is_refused(&asked, "8 are kept at most");
    for nameless in ["", "  ", &"x".repeat(81)] {
        is_refused(&add(door, Who::Member, nameless, PASSWORD).await, "1 to 80");
    }
    assert_eq!(held(door, Who::Member).await.len(), MOST_PASSKEYS);
}

#[tokio::test]
async fn no_export_holds_a_passkey() {
    let door = &Door::new().await;
    let device = with_passkey(door, Who::Keeper, 1).await;
    let hex: String = device.handle.iter().map(|b| format!("{b:02x}")).collect();
    let public_half = {
        let known = door.store.passkey(&device.handle).await.unwrap();
        known.unwrap().public_half
    };
    let audit = door.get(Who::Keeper, "/audit.csv").await;
    assert!(audit.body.contains("added a passkey"), "{}", audit.body);
    let cards = door.get(Who::Keeper, "/export").await;
    for sent in [&audit, &cards] {
        assert_eq!(sent.status, StatusCode::OK);
        let text = String::from_utf8_lossy(&sent.bytes);
        assert!(!text.contains(&hex) && !text.contains(&public_half));
    }
}
