//! What waits for a second person or an officer: who is told so, who can ask for
//! it, and who does it.

use super::door::{Door, Who};
use crate::store::{bare, component};
use axum::http::StatusCode;
use pillarbook::domain::finding::{Finding, Status};
use time::OffsetDateTime;

/// A member at work on the door's card.
pub trait Acting {
    async fn record(&self, who: Who, findings: &[Finding]);
    async fn status(&self, finding: &str) -> Status;
    fn finding(&self, id: &str) -> String;
    async fn act(&self, who: Who, finding: &str, fields: &[(&str, &str)]) -> StatusCode;
}

/// A pretensioner entered in the form.
pub const FORM: [(&str, &str); 14] = [
    ("act", "save"),
    ("car", "yard 14"),
    ("by", "Ada Fenn"),
    ("observed_on", "2026-03-04"),
    ("source", "measured"),
    ("unit", "mm"),
    ("span", "b-pillar.left"),
    ("end", "foot"),
    ("what", "part"),
    ("kind", "pretensioner"),
    ("same_as", "c1"),
    ("from", "80"),
    ("to", "210"),
    ("reason", "Tape slipped"),
];

impl Acting for Door {
    async fn record(&self, who: Who, findings: &[Finding]) {
        let now = OffsetDateTime::now_utc();
        let added = self
            .store
            .add_findings(&self.members[&who], &self.card, None, findings, now)
            .await;
        added.unwrap().unwrap();
    }

    async fn status(&self, finding: &str) -> Status {
        let department = &self.members[&Who::Member].department;
        let stored = self.store.card(department, &self.card).await;
        let all = stored.unwrap().unwrap().card.findings;
        all.iter().find(|f| f.id == finding).unwrap().status
    }

    fn finding(&self, id: &str) -> String {
        format!("/cards/{}/findings/{id}", self.card)
    }

    async fn act(&self, who: Who, finding: &str, fields: &[(&str, &str)]) -> StatusCode {
        let department = &self.members[&who].department;
        let revision = self.store.card_revision(department, &self.card).await;
        let revision = revision.unwrap().unwrap_or_default().to_string();
        let mut all = vec![("revision", revision.as_str())];
        all.extend(fields);
        self.post(who, &self.finding(finding), &all).await.status
    }
}

const WITHDRAW: [(&str, &str); 2] = [("act", "withdraw"), ("reason", "Another <i>car</i>")];

#[tokio::test]
async fn a_withdrawal_that_shrinks_is_asked_for_by_a_member_and_done_by_an_officer() {
    let door = Door::new().await;
    door.record(Who::Member, &[component("f1", "c1", 80.0, 210.0)])
        .await;
    let page = door.get(Who::Member, &door.finding("f1")).await.body;
    assert!(page.contains("It waits for an officer of this department who did not record it"));
    assert!(page.contains("shrinks by") && page.contains("Ask an officer"));
    assert!(!page.contains("single-handed"), "there are others");
    assert_eq!(
        door.act(Who::Member, "f1", &[("act", "withdraw")]).await,
        StatusCode::UNPROCESSABLE_ENTITY,
        "it says why"
    );
    assert_eq!(
        door.act(Who::Member, "f1", &WITHDRAW).await,
        StatusCode::SEE_OTHER
    );
    assert_eq!(door.status("f1").await, Status::Accepted, "only asked for");
    assert_eq!(
        door.act(Who::Member, "f1", &WITHDRAW).await,
        StatusCode::PRECONDITION_FAILED,
        "asked for once"
    );

    let waiting = door.get(Who::Officer, "/waiting").await.body;
    assert!(waiting.contains("asks for it to be withdrawn: Another &#60;i&#62;car"));
    assert!(waiting.contains("yours to decide"));
    let waiting = door.get(Who::Member, "/waiting").await.body;
    assert!(!waiting.contains("yours to decide"));
    assert!(
        door.get(Who::Member, "/")
            .await
            .body
            .contains("1 finding waits")
    );
    let other = door.get(Who::Stranger, "/waiting").await.body;
    assert!(other.contains("Nothing waits"), "it is another's");

    assert_eq!(
        door.act(Who::Officer, "f1", &WITHDRAW).await,
        StatusCode::UNPROCESSABLE_ENTITY,
        "the officer looks at what it takes away"
    );
    let mut seen = WITHDRAW.to_vec();
    seen.push(("shrink_seen", "yes"));
    assert_eq!(
        door.act(Who::Officer, "f1", &seen).await,
        StatusCode::SEE_OTHER
    );
    assert_eq!(door.status("f1").await, Status::Withdrawn);
    let waiting = door.get(Who::Officer, "/waiting").await.body;
    assert!(waiting.contains("Nothing waits"));
    assert!(!door.get(Who::Member, "/").await.body.contains("/waiting"));
}

#[tokio::test]
async fn an_officer_refuses_what_was_asked_for_and_a_member_cannot() {
    let door = Door::new().await;
    door.record(Who::Member, &[component("f1", "c1", 80.0, 210.0)])
        .await;
    door.act(Who::Member, "f1", &WITHDRAW).await;
    let refuse = [("act", "refuse"), ("reason", "It is this car")];
    let by_member = door.act(Who::Member, "f1", &refuse).await;
    assert_eq!(by_member, StatusCode::FORBIDDEN);
    let unsaid = door.act(Who::Officer, "f1", &[("act", "refuse")]).await;
    assert_eq!(unsaid, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        door.act(Who::Officer, "f1", &refuse).await,
        StatusCode::SEE_OTHER
    );
    assert_eq!(door.status("f1").await, Status::Accepted);
    let again = door.act(Who::Member, "f1", &WITHDRAW).await;
    assert_eq!(again, StatusCode::SEE_OTHER, "it can be asked for again");
}

#[tokio::test]
async fn a_bare_finding_is_confirmed_by_somebody_else_on_pages_and_over_the_api() {
    let door = Door::new().await;
    door.record(Who::Member, &[bare("f1", Status::Offered)])
        .await;
    assert_eq!(
        door.act(Who::Member, "f1", &[("act", "accept")]).await,
        StatusCode::FORBIDDEN
    );
    let waiting = door.get(Who::Member, "/waiting").await.body;
    assert!(waiting.contains("waits for a second person"));
    let path = format!("/api/v1/cards/{}/findings/f1/status", door.card);
    for role in pillarbook::domain::role::Role::ALL {
        let by_program = door.send_status(Who::Program(*role), &path).await;
        assert_eq!(by_program, StatusCode::FORBIDDEN, "{role}");
    }
    assert_eq!(door.status("f1").await, Status::Offered);
    assert_eq!(
        door.act(Who::Officer, "f1", &[("act", "accept")]).await,
        StatusCode::SEE_OTHER
    );
    assert_eq!(door.status("f1").await, Status::Accepted);
}

#[tokio::test]
async fn a_correction_that_shrinks_says_that_it_waits_and_is_accepted_by_an_officer() {
    let door = Door::new().await;
    door.record(Who::Member, &[component("f1", "c1", 80.0, 500.0)])
        .await;
    let mut preview = FORM.to_vec();
    preview[0].1 = "preview";
    preview.push(("revision", "2"));
    let path = format!("{}/correct", door.finding("f1"));
    let shown = door.post(Who::Member, &path, &preview).await.body;
    assert!(shown.contains("so it is offered") && !shown.contains("shrink_seen\" value"));
    let mut save = preview;
    save[0].1 = "save";
    let saved = door.post(Who::Member, &path, &save).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.body);
    assert_eq!(door.status("f1").await, Status::Accepted);
    assert_eq!(door.status("f2").await, Status::Offered);
    let page = door.get(Who::Officer, &door.finding("f2")).await.body;
    assert!(page.contains("shrinks by") && page.contains("I have looked at what it takes away."));
    let accept = [("act", "accept"), ("shrink_seen", "yes")];
    assert_eq!(
        door.act(Who::Officer, "f2", &accept).await,
        StatusCode::SEE_OTHER
    );
    assert_eq!(door.status("f1").await, Status::Superseded);
}
