//! Cards from an archive: from the file to the cards of the book.

use super::site::{Answer, Site, details};
use axum::http::StatusCode;
use pillarbook::contract::archive::{self, Contents};
use pillarbook::domain::annotation::{Standing, Target};
use pillarbook::domain::finding::{
    ComponentReport, Finding, Gas, Place, Report, Source, Status, Steel,
};
use pillarbook::domain::kind::Kind;
use pillarbook::domain::role::{Role, Roles};
use pillarbook::domain::vehicle::Variant;
use pillarbook::store::{Actor, CardId, NewAbout, NewRemark};
use pillarbook::web::Service;
use time::OffsetDateTime;
use time::macros::date;

fn part(id: &str, from_mm: f64) -> Finding {
    Finding {
        id: id.to_owned(),
        report: Report::Component(ComponentReport {
            component: String::new(),
            kind: Kind::Inflator,
            place: Place::OnSpan {
                span: "b-pillar.left".to_owned(),
                from_mm,
                to_mm: from_mm + 60.0,
            },
            radius_mm: None,
            bag: None,
            belt_seat: None,
            steel: Steel::default(),
            gas: Gas::default(),
        }),
        source: Source::Measured,
        within_mm: None,
        observed_on: date!(2026 - 03 - 04),
        by: Some("Rue Pellow".to_owned()),
        car: Some("yard 3".to_owned()),
        observed: Variant::default(),
        status: Status::Accepted,
        note: None,
        supersedes: None,
        reason: None,
    }
}

/// Another department with one card of one part.
async fn sender(site: &Site) -> (Actor, CardId) {
    let now = OffsetDateTime::now_utc();
    let department = site.store.create_department("Saltby", now).await.unwrap();
    let made = site
        .store
        .create_member_with(&department.id, "Rue Pellow", Roles::all(), now)
        .await;
    let sender = made.unwrap().unwrap();
    let card = site
        .store
        .create_card(&sender, &details(), now)
        .await
        .unwrap()
        .id;
    add(site, &sender, &card, &[part("", 100.0)]).await;
    (sender, card)
}

async fn add(site: &Site, actor: &Actor, card: &CardId, findings: &[Finding]) {
    let now = OffsetDateTime::now_utc();
    let added = site
        .store
        .add_findings(actor, card, None, findings, now)
        .await;
    added.unwrap().unwrap();
}

async fn contents(site: &Site, of: &Actor) -> Contents {
    let now = OffsetDateTime::now_utc();
    let made = site.store.archive(&of.department, None, now).await;
    made.unwrap().unwrap()
}

async fn send(site: &Site, contents: &Contents) -> Answer {
    let bytes = archive::write(contents).unwrap();
    let file = Some(("cards.zip", bytes.as_slice()));
    site.upload("/import", &[("act", "read")], file).await
}

async fn save(site: &Site, page: &Answer, more: &[(&str, &str)]) -> Answer {
    let seen = page.value("seen");
    let fields = [&[("act", "save"), ("seen", seen.as_str())], more].concat();
    site.post("/import", &fields).await
}

async fn findings(site: &Site, address: &str) -> Vec<Finding> {
    let card = CardId::new(address.trim_start_matches("/cards/"));
    let read = site.store.card(&site.actor.department, &card).await;
    read.unwrap().unwrap().card.findings
}

#[tokio::test]
async fn what_an_archive_brings_is_shown_before_it_is_taken_in_as_offers() {
    let site = Site::new().await;
    let (sender, _) = sender(&site).await;
    let sent = send(&site, &contents(&site, &sender).await).await;
    assert_eq!(
        (sent.status, sent.location.as_str()),
        (StatusCode::SEE_OTHER, "/import")
    );
    let page = site.get("/import").await;
    let said = page.text("main");
    for words in [
        "Saltby",
        "Nothing is taken in yet",
        "not signed",
        "1 findings of parts, 0 bare",
    ] {
        assert!(said.contains(words), "{words} is not in {said}");
    }
    let own = site
        .store
        .all_summaries(&site.actor.department)
        .await
        .unwrap();
    assert_eq!(own.len(), 1, "nothing is taken in yet");
    let saved = save(&site, &page, &[]).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let all = findings(&site, &saved.location).await;
    assert_eq!((all.len(), all[0].status), (1, Status::Offered));
    let again = save(&site, &page, &[]).await;
    assert_eq!(
        again.status,
        StatusCode::PRECONDITION_FAILED,
        "nothing waits any more"
    );
}

#[tokio::test]
async fn a_later_archive_shows_new_known_and_what_is_in_conflict_side_by_side() {
    let site = Site::new().await;
    let (sender, card) = sender(&site).await;
    send(&site, &contents(&site, &sender).await).await;
    let made = save(&site, &site.get("/import").await, &[]).await.location;
    let here = CardId::new(made.trim_start_matches("/cards/"));
    add(&site, &site.actor, &here, &[part("", 700.0)]).await;
    add(&site, &sender, &card, &[part("", 300.0), part("", 500.0)]).await;

    send(&site, &contents(&site, &sender).await).await;
    let page = site.get("/import").await;
    let said = page.text(".brought");
    assert!(said.contains("1 findings known already"), "{said}");
    let conflict = page.text(".conflict");
    assert!(
        conflict.contains("700 mm") && conflict.contains("300 mm"),
        "{conflict}"
    );
    for twice in ["from_mm", "place from"] {
        assert!(!said.contains(twice), "said by the sentences: {said}");
    }
    assert!(
        page.text(".changes").contains("grows by"),
        "what the offers do is shown"
    );
    let left_out = save(&site, &page, &[]).await;
    assert_eq!(left_out.location, made);
    assert_eq!(findings(&site, &made).await.len(), 3);

    send(&site, &contents(&site, &sender).await).await;
    save(&site, &site.get("/import").await, &[("conflicts", "yes")]).await;
    let all = findings(&site, &made).await;
    assert_eq!(all.len(), 4);
    let accepted = all.iter().filter(|f| f.status == Status::Accepted);
    assert_eq!(accepted.count(), 1, "only what was found here");
    send(&site, &contents(&site, &sender).await).await;
    let same = site.get("/import").await;
    assert!(same.text("details").contains("brings nothing to: 1"));
}

#[tokio::test]
async fn what_was_shown_is_what_is_taken_in() {
    let site = Site::new().await;
    let (sender, card) = sender(&site).await;
    send(&site, &contents(&site, &sender).await).await;
    let made = save(&site, &site.get("/import").await, &[]).await.location;
    add(&site, &sender, &card, &[part("", 300.0)]).await;
    send(&site, &contents(&site, &sender).await).await;
    let page = site.get("/import").await;
    let here = CardId::new(made.trim_start_matches("/cards/"));
    add(&site, &site.actor, &here, &[part("", 700.0)]).await;
    let refused = save(&site, &page, &[]).await;
    assert_eq!(refused.status, StatusCode::PRECONDITION_FAILED);
    assert!(refused.text(".errors").contains("A card changed"));
    assert_eq!(findings(&site, &made).await.len(), 2);
    assert_eq!(refused.count(".conflict"), 1, "it is in conflict now");
}

#[tokio::test]
async fn only_an_officer_takes_a_record_in_as_our_own() {
    let site = Site::new().await;
    let (sender, _) = sender(&site).await;
    let archive = contents(&site, &sender).await;
    let now = OffsetDateTime::now_utc();
    let roles = Roles::from_iter([Role::Member]);
    let made = site
        .store
        .create_member_with(&site.actor.department, "Cy Dunn", roles, now)
        .await;
    let member = made.unwrap().unwrap();
    let site = site.served_as(|store| Service::walk_in(store, member.clone()));
    send(&site, &archive).await;
    let page = site.get("/import").await;
    assert_eq!(page.count("[name=own]"), 0, "it is not offered");
    let refused = save(&site, &page, &[("own", "yes")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let own = site
        .store
        .all_summaries(&site.actor.department)
        .await
        .unwrap();
    assert_eq!(own.len(), 1);
}

#[tokio::test]
async fn an_officer_s_own_record_keeps_how_it_stood() {
    let site = Site::new().await;
    let (sender, _) = sender(&site).await;
    send(&site, &contents(&site, &sender).await).await;
    let page = site.get("/import").await;
    assert_eq!(page.count("[name=own]"), 1);
    let saved = save(&site, &page, &[("own", "yes")]).await;
    assert_eq!(
        findings(&site, &saved.location).await[0].status,
        Status::Accepted
    );
}

#[tokio::test]
async fn what_is_no_archive_is_said_beside_its_field_and_changes_nothing() {
    let site = Site::new().await;
    let (sender, _) = sender(&site).await;
    let bytes = archive::write(&contents(&site, &sender).await).unwrap();
    let read = [("act", "read")];
    for (file, said) in [
        (None, "choose an archive"),
        (Some(b"hello".as_slice()), "no whole ZIP archive"),
        (Some(&bytes[..bytes.len() / 2]), "no whole ZIP archive"),
    ] {
        let answer = site
            .upload("/import", &read, file.map(|f| ("a.zip", f)))
            .await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(
            answer.fault("file").contains(said),
            "{}",
            answer.fault("file")
        );
    }
    let mut hostile = contents(&site, &sender).await;
    hostile.cards[0].card.vehicle.make = Some("x".repeat(400));
    let answer = send(&site, &hostile).await;
    assert!(answer.text(".sheet-faults").contains("vehicle.make"));
    assert_eq!(
        site.get("/import").await.count("[name=seen]"),
        0,
        "nothing waits"
    );
    let nonsense = site.post("/import", &[("act", "drop")]).await;
    assert_eq!(nonsense.status, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn markup_in_an_archive_stays_text() {
    let site = Site::new().await;
    let (sender, _) = sender(&site).await;
    let mut hostile = contents(&site, &sender).await;
    let markup = "<img src=x onerror=alert(1)>";
    hostile.origin.name = markup.to_owned();
    hostile.cards[0].card.vehicle.make = Some(markup.to_owned());
    send(&site, &hostile).await;
    let page = site.get("/import").await;
    assert!(page.text("main").contains(markup));
    assert_eq!(page.count("[onerror], img[src=x]"), 0);
}

#[tokio::test]
async fn one_s_own_cards_are_sent_as_an_archive_and_nobody_else_s() {
    let site = Site::new().await;
    let (_, others) = sender(&site).await;
    for path in ["/export".to_owned(), site.at("/export.zip")] {
        let bytes = site.bytes(&path).await;
        let read = archive::read(&bytes).unwrap();
        let ids: Vec<&str> = read.cards.iter().map(|c| c.id.as_str()).collect();
        assert_eq!(ids, [site.card.as_str()], "{path}");
    }
    let refused = site.get(&format!("/cards/{others}/export.zip")).await;
    assert_eq!(refused.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn notes_and_details_of_a_known_card_are_shown_and_taken_over_as_chosen() {
    let site = Site::new().await;
    let (sender, card) = sender(&site).await;
    send(&site, &contents(&site, &sender).await).await;
    let made = save(&site, &site.get("/import").await, &[]).await.location;
    let here = CardId::new(made.trim_start_matches("/cards/"));
    let now = OffsetDateTime::now_utc();
    let note = [NewRemark {
        about: NewAbout::Note(Target::Card),
        text: "Clips break <b>when cold</b>".to_owned(),
        photos: Vec::new(),
    }];
    let written = site.store.add_remarks(&sender, &card, None, &note, now);
    let revision = written.await.unwrap().unwrap().card.revision;
    let mut theirs = details();
    theirs.measured.height_mm = Some(1_390.0);
    theirs.identify = Some("Two lamps".to_owned());
    let updated = site
        .store
        .update_details(&sender, &card, revision, &theirs, now);
    updated.await.unwrap();

    send(&site, &contents(&site, &sender).await).await;
    let page = site.get("/import").await;
    let said = page.text(".brought");
    for words in [
        "Clips break <b>when cold</b>",
        "Rue Pellow, Saltby",
        "height mm",
        "1390",
        "Two lamps",
    ] {
        assert!(said.contains(words), "{words} is not in {said}");
    }
    let taking = [("part-0-measured", "yes"), ("leave-notes-0", "yes")];
    let asked = save(&site, &page, &taking).await;
    assert_eq!(
        asked.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "it takes no-cut away"
    );
    assert!(
        asked.text(".errors").contains("takes no-cut away"),
        "{}",
        asked.text(".errors")
    );
    assert_eq!(
        asked.count("[name=part-0-measured][checked]"),
        1,
        "what was ticked stays"
    );
    assert_eq!(asked.count("[name=leave-notes-0][checked]"), 1);
    let seen = [&taking[..], &[("shrink_seen", "yes")]].concat();
    assert_eq!(save(&site, &asked, &seen).await.location, made);
    let read = site.store.card(&site.actor.department, &here).await;
    let read = read.unwrap().unwrap().card;
    assert_eq!(read.measured, theirs.measured);
    assert_eq!(
        (read.identify, read.annotations.len()),
        (None, 0),
        "not chosen"
    );

    send(&site, &contents(&site, &sender).await).await;
    let page = site.get("/import").await;
    assert_eq!(
        page.count("[name=part-0-measured]"),
        0,
        "it is the same now"
    );
    save(&site, &page, &[]).await;
    let read = site.store.card(&site.actor.department, &here).await;
    let notes = read.unwrap().unwrap().card.annotations;
    assert_eq!(
        (notes.len(), notes[0].note.standing),
        (1, Standing::Offered)
    );
}
