//! The audit misses nothing: every method that writes, found in the store's own
//! text, is done once here, and the lines it leaves are the ones listed. It is long
//! as that list is: one row a method, in one place.

use super::{Empty, NOW, bare, card_with, component, details, empty, to};
use pillarbook::domain::annotation::{Standing, Target};
use pillarbook::domain::finding::{Finding, Resolved, Status};
use pillarbook::domain::policy::Policy;
use pillarbook::domain::role::{Role, Roles};
use pillarbook::domain::visibility::Visibility;
use pillarbook::store::{
    ACTIONS, Actor, AuditFilter, CardId, NewAbout, NewCredential, NewPasskey, NewRemark, OnceFor,
    PlanSettings, Store,
};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use time::macros::date;
use time::{Duration, OffsetDateTime};

/// What each method that writes leaves in the audit of those it concerns.
const TOLD: &[(&str, &[&str])] = &[
    ("accept_invitation", &["member-joined"]),
    ("accept_partner", &["partner-accepted"]),
    ("add_findings", &["findings-added"]),
    ("add_passkey", &["passkey-added"]),
    ("adopt", &["card-imported"]),
    ("add_photo", &["photo-added"]),
    ("add_remarks", &["notes-added", "notes-offered"]),
    ("ask_change", &["change-asked"]),
    ("ask_partner", &["partner-asked"]),
    ("ask_to_leave", &["deletion-asked"]),
    ("begin_session", &["signed-in"]),
    ("call_off_leaving", &["deletion-called-off"]),
    ("change_roles", &["roles-set"]),
    ("change_status", &["finding-accepted"]),
    ("correct_finding", &["finding-corrected"]),
    ("create_card", &["card-created"]),
    ("create_member", &["member-added"]),
    ("create_member_with", &["member-added"]),
    ("doubt_passkey", &["passkey-doubted"]),
    ("end_partner", &["partner-ended"]),
    ("end_session", &["signed-out"]),
    ("import_card", &["card-imported"]),
    ("import_card_with", &["card-imported"]),
    ("invite", &["once-link-made"]),
    ("make_key", &["key-made"]),
    ("make_link", &["link-made"]),
    ("offer_findings", &["findings-offered"]),
    ("offer_reset", &["once-link-made"]),
    ("refuse_asked", &["asked-change-refused"]),
    ("remove_passkey", &["passkey-removed"]),
    ("remove_photo", &["photo-removed"]),
    ("reset_password", &["password-reset", "passkeys-ended"]),
    ("review_card", &["card-reviewed"]),
    ("revoke_key", &["key-revoked"]),
    ("revoke_link", &["link-revoked"]),
    ("revoke_once_link", &["once-link-revoked"]),
    ("set_credential", &["password-set"]),
    ("set_left", &["member-left"]),
    ("set_plan_settings", &["plan-settings-set"]),
    ("set_policy", &["policy-set"]),
    ("set_resolved", &["finding-resolved"]),
    ("set_review_days", &["review-days-set"]),
    ("set_up", &["set-up"]),
    ("set_visibility", &["visibility-changed"]),
    (
        "settle_remark",
        &[
            "note-accepted",
            "note-declined",
            "note-hidden",
            "note-reopened",
            "note-resolved",
            "note-shown",
            "note-withdrawn",
        ],
    ),
    ("take_in_archive", &["card-imported", "taken-over"]),
    ("take_over", &["finding-accepted", "taken-over"]),
    ("update_details", &["details-changed"]),
    ("use_passkey", &["passkey-used"]),
];

/// Methods that write and leave no line, with the reason.
const UNTOLD: &[(&str, &str)] = &[
    (
        "count_opening",
        "the link itself counts how often it was opened",
    ),
    (
        "create_department",
        "nobody is in it yet who could have done it",
    ),
    ("drop_draft", "a draft is nobody's record"),
    ("drop_waiting_archive", "what waits is nobody's record"),
    (
        "ensure_local_named",
        "the program makes the first member itself",
    ),
    (
        "forget_failures",
        "counts of failed tries, of no department",
    ),
    (
        "expect_photo_file",
        "a file that no note holds yet is nobody's record",
    ),
    (
        "forget_photo_file",
        "that the photo was removed has its own line",
    ),
    ("keep_draft", "a draft is nobody's record"),
    ("keep_waiting_archive", "what waits is nobody's record"),
    (
        "key_holder",
        "notes when a key was last used, beside the key",
    ),
    ("note_failure", "counts of failed tries, of no department"),
    (
        "offer_department",
        "nobody is in it yet who could have done it",
    ),
    (
        "offer_set_up",
        "the program offers it itself; using it is told",
    ),
    (
        "remove_due",
        "a removed department has no audit; its partners are told, see `leaving`",
    ),
    ("renew_session", "the same session under a new secret"),
    ("session", "notes when a session was last seen, beside it"),
];

/// Every function of the store's text: name, whether it is a public method, body.
fn functions() -> Vec<(String, bool, String)> {
    let mut all = Vec::new();
    read_folder(
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/src/store")),
        &mut all,
    );
    assert!(all.len() > 150, "only {} functions", all.len());
    all
}

fn read_folder(folder: &Path, into: &mut Vec<(String, bool, String)>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            read_folder(&path, into);
        } else {
            let text = std::fs::read_to_string(&path).unwrap();
            for line in text.lines() {
                match line.split_once("fn ") {
                    Some((before, rest)) if before.trim_start().split(' ').all(is_modifier) => {
                        let name = rest.split(['(', '<']).next().unwrap().to_owned();
                        into.push((name, line.starts_with("    pub async fn "), String::new()));
                    }
                    _ => {
                        if let Some((_, _, body)) = into.last_mut() {
                            body.push_str(line.trim());
                        }
                    }
                }
            }
            into.push((String::new(), false, String::new()));
        }
    }
}

fn is_modifier(word: &str) -> bool {
    matches!(
        word,
        "" | "async" | "const" | "pub" | "pub(super)" | "pub(in"
    ) || word.ends_with("super)")
}

/// The public methods that write, by themselves or through another method.
fn writers() -> BTreeSet<String> {
    let functions = functions();
    let begins = [
        "database.write()",
        "Change::begin(",
        "Change::new_card(",
        "Contribution::begin(",
        "begin_as_guest(",
    ];
    let mut writing: BTreeSet<&str> = BTreeSet::new();
    loop {
        let before = writing.len();
        for (name, _, body) in &functions {
            let calls = |other: &&str| {
                body.contains(&format!("self.{other}("))
                    || body.contains(&format!("self.store.{other}("))
            };
            if begins.iter().any(|b| body.contains(b)) || writing.iter().any(calls) {
                writing.insert(name);
            }
        }
        if writing.len() == before {
            break;
        }
    }
    let public = functions.iter().filter(|(_, public, _)| *public);
    public
        .filter(|(name, ..)| writing.contains(name.as_str()))
        .map(|(name, ..)| name.clone())
        .collect()
}

/// A wrapper that does nothing but call one of the methods above.
const WRAPPERS: [&str; 1] = ["ensure_local"];

#[test]
fn every_method_that_writes_is_listed_with_what_it_tells() {
    let told = TOLD.iter().map(|(name, _)| *name);
    let untold = UNTOLD.iter().map(|(name, _)| *name);
    let listed: BTreeSet<String> = told
        .chain(untold)
        .chain(WRAPPERS)
        .map(str::to_owned)
        .collect();
    assert_eq!(writers(), listed);
    for (name, actions) in TOLD {
        for action in *actions {
            let known = ACTIONS.iter().any(|(known, _)| known == action);
            assert!(known, "{name} tells of {action}, which has no words");
        }
    }
}

#[test]
fn every_action_is_named_once() {
    let words: BTreeSet<&str> = ACTIONS.iter().map(|(word, _)| *word).collect();
    let said: BTreeSet<&str> = ACTIONS.iter().map(|(_, said)| *said).collect();
    assert_eq!((words.len(), said.len()), (ACTIONS.len(), ACTIONS.len()));
}

/// Two departments that are looked at, and what each step left in their audits.
struct Watched<'a> {
    store: &'a Store,
    of: [Actor; 2],
    seen: [BTreeSet<String>; 2],
    told: BTreeMap<&'static str, BTreeSet<String>>,
}

impl Watched<'_> {
    async fn after(&mut self, method: &'static str) {
        let mut new = BTreeSet::new();
        for (of, seen) in self.of.iter().zip(&mut self.seen) {
            let lines = self.store.audit(&of.department, None, 9_999).await.unwrap();
            for line in lines {
                if seen.insert(line.id) {
                    new.insert(line.action);
                }
            }
        }
        self.told.entry(method).or_default().extend(new);
    }
}

fn credential(name: &str) -> NewCredential {
    NewCredential {
        sign_in_name: name.to_owned(),
        password_hash: "$argon2id$v=19$m=8,t=1,p=1$c2FsdHNhbHQ$aGFzaGhhc2g".to_owned(),
    }
}

#[tokio::test]
async fn every_write_leaves_its_line_and_no_other_in_the_audit() {
    let Empty { store, .. } = &empty().await;
    let owner = store.ensure_local(NOW).await.unwrap();
    let department = store.create_department("Saltby", NOW).await.unwrap();
    let made = store
        .create_member_with(&department.id, "Bo Lark", Roles::all(), NOW)
        .await;
    let other = made.unwrap().unwrap();
    let mut watched = Watched {
        store,
        of: [owner.clone(), other.clone()],
        seen: Default::default(),
        told: BTreeMap::new(),
    };
    watched.after("create_member_with").await;
    let card = on_cards(&mut watched, &owner).await;
    // Not before: who is alone confirms single-handed.
    store
        .create_member(&owner.department, "Cy Dunn", NOW)
        .await
        .unwrap();
    watched.after("create_member").await;
    on_sharing(&mut watched, &owner, &other, &card).await;
    on_accounts(&mut watched, &owner).await;
    on_passkeys(&mut watched, &owner).await;
    on_settings(&mut watched, &owner).await;
    let expected: BTreeMap<&str, BTreeSet<String>> = TOLD
        .iter()
        .map(|(name, actions)| (*name, actions.iter().map(ToString::to_string).collect()))
        .collect();
    assert_eq!(watched.told, expected);
}

async fn on_cards(watched: &mut Watched<'_>, owner: &Actor) -> CardId {
    let store = watched.store;
    let card = store.create_card(owner, &details(), NOW).await.unwrap().id;
    watched.after("create_card").await;
    let findings = [component("f1", "c1", 1.0, 2.0), bare("f2", Status::Offered)];
    store
        .add_findings(owner, &card, None, &findings, NOW)
        .await
        .unwrap();
    watched.after("add_findings").await;
    let changes = [to("f2", Status::Accepted, None)];
    store
        .change_status(owner, &card, None, &changes, NOW)
        .await
        .unwrap();
    watched.after("change_status").await;
    let asked = to("f1", Status::Withdrawn, Some("Another car"));
    store.ask_change(owner, &card, &asked, NOW).await.unwrap();
    watched.after("ask_change").await;
    store
        .refuse_asked(owner, &card, "f1", "It is this car", NOW)
        .await
        .unwrap();
    watched.after("refuse_asked").await;
    let revision = store.card_revision(&owner.department, &card).await.unwrap();
    store
        .review_card(owner, &card, revision.unwrap(), None, NOW)
        .await
        .unwrap();
    watched.after("review_card").await;
    store.set_review_days(owner, 90, NOW).await.unwrap();
    watched.after("set_review_days").await;
    let word = Resolved {
        by: "Ada Fenn".into(),
        on: date!(2026 - 03 - 05),
    };
    store
        .set_resolved(owner, &card, None, "f2", Some(&word), NOW)
        .await
        .unwrap();
    watched.after("set_resolved").await;
    let better: Finding = component("", "c1", 3.0, 4.0);
    store
        .correct_finding(owner, &card, None, "f1", better, NOW)
        .await
        .unwrap();
    watched.after("correct_finding").await;
    let read = store.card(&owner.department, &card).await.unwrap().unwrap();
    let mut changed = details();
    changed.identify = None;
    store
        .update_details(owner, &card, read.revision, &changed, NOW)
        .await
        .unwrap();
    watched.after("update_details").await;
    store
        .import_card(owner, read.card.clone(), NOW)
        .await
        .unwrap();
    watched.after("import_card").await;
    store
        .import_card_with(owner, read.card, &BTreeSet::new(), NOW)
        .await
        .unwrap();
    watched.after("import_card_with").await;
    on_archives(watched, owner, &card).await;
    card
}

/// A new card, and a new finding of the owner's own.
async fn on_archives(watched: &mut Watched<'_>, owner: &Actor, card: &CardId) {
    use pillarbook::contract::archive::{Archive, read, write};
    let store = watched.store;
    let sent = |contents| -> Archive { read(&write(&contents).unwrap()).unwrap() };
    let contents = store.archive(&owner.department, Some(card), NOW).await;
    let mut contents = contents.unwrap().unwrap();
    contents.cards[0]
        .card
        .findings
        .push(component("f9", "c9", 5.0, 6.0));
    let mut other = contents.clone();
    other.origin.department = "elsewhere".to_owned();
    for archive in [sent(contents), sent(other)] {
        let incoming = store.compare_archive(owner, &archive).await.unwrap();
        store
            .take_in_archive(
                owner,
                (&archive, &incoming),
                (false, false),
                &Default::default(),
                NOW,
            )
            .await
            .unwrap();
    }
    watched.after("take_in_archive").await;
}

async fn on_notes(watched: &mut Watched<'_>, owner: &Actor, other: &Actor, card: &CardId) {
    let store = watched.store;
    let note = || {
        [NewRemark {
            about: NewAbout::Note(Target::Card),
            text: "Seen".into(),
            photos: Vec::new(),
        }]
    };
    for by in [owner, other, other] {
        let written = store.add_remarks(by, card, None, &note(), NOW).await;
        written.unwrap().unwrap();
        watched.after("add_remarks").await;
    }
    for (id, to) in [
        ("n1", Standing::Resolved),
        ("n1", Standing::Open),
        ("n1", Standing::Hidden),
        ("n1", Standing::Open),
        ("n1", Standing::Withdrawn),
        ("n2", Standing::Open),
        ("n3", Standing::Declined),
    ] {
        let to = (to, Some("because"));
        let settled = store.settle_remark(owner, card, id, to, NOW).await;
        settled.unwrap().unwrap();
        watched.after("settle_remark").await;
    }
    let photo = super::annotations::photo("aa");
    let added = store.add_photo(owner, card, "n2", &photo, NOW).await;
    added.unwrap().unwrap();
    watched.after("add_photo").await;
    let taken = store.remove_photo(owner, card, ("aa", "a face"), NOW).await;
    taken.unwrap().unwrap();
    watched.after("remove_photo").await;
}

async fn on_sharing(watched: &mut Watched<'_>, owner: &Actor, other: &Actor, card: &CardId) {
    let store = watched.store;
    store
        .ask_partner(owner, &other.department, NOW)
        .await
        .unwrap();
    watched.after("ask_partner").await;
    store
        .accept_partner(other, &owner.department, NOW)
        .await
        .unwrap();
    watched.after("accept_partner").await;
    store
        .set_visibility(owner, card, Visibility::Partners, NOW)
        .await
        .unwrap();
    watched.after("set_visibility").await;
    let offered = [component("", "", 5.0, 6.0)];
    store
        .offer_findings(other, card, &offered, NOW)
        .await
        .unwrap()
        .unwrap();
    watched.after("offer_findings").await;
    let copy = store.adopt(other, card, NOW).await.unwrap().unwrap();
    watched.after("adopt").await;
    let newer = [component("f90", "c90", 7.0, 8.0)];
    store
        .add_findings(owner, card, None, &newer, NOW)
        .await
        .unwrap();
    watched.after("add_findings").await;
    let picked = BTreeSet::from(["f90".to_owned()]);
    store
        .take_over(
            other,
            &copy.id,
            (copy.revision, &picked, &pillarbook::store::Take::default()),
            NOW,
        )
        .await
        .unwrap();
    watched.after("take_over").await;
    on_notes(watched, owner, other, card).await;
    store
        .end_partner(owner, &other.department, NOW)
        .await
        .unwrap();
    watched.after("end_partner").await;
    let until = NOW + Duration::days(7);
    let link = store
        .make_link(owner, card, ("a secret", "Engine 4"), until, NOW)
        .await;
    watched.after("make_link").await;
    store
        .revoke_link(owner, card, &link.unwrap().unwrap(), NOW)
        .await
        .unwrap();
    watched.after("revoke_link").await;
}

async fn on_accounts(watched: &mut Watched<'_>, owner: &Actor) {
    let store = watched.store;
    store.offer_set_up("set up", NOW).await.unwrap().unwrap();
    let names = ("Oakmere", "Ada Fenn");
    store
        .set_up("set up", names, &credential("ada"), NOW)
        .await
        .unwrap()
        .unwrap();
    watched.after("set_up").await;
    store
        .set_credential(owner, &credential("ada.fenn"), None, NOW)
        .await
        .unwrap();
    watched.after("set_credential").await;
    let session = store
        .begin_session(owner, ("one", "two"), "a browser", NOW)
        .await
        .unwrap();
    watched.after("begin_session").await;
    store
        .end_session(owner, &session, NOW)
        .await
        .unwrap()
        .unwrap();
    watched.after("end_session").await;
    let roles = Roles::from_iter([Role::Member]);
    store
        .invite(owner, ("Dee", &roles), "invited", NOW)
        .await
        .unwrap();
    watched.after("invite").await;
    let dee = store
        .accept_invitation("invited", "Dee Hale", &credential("dee"), NOW)
        .await;
    let dee = dee.unwrap().unwrap();
    watched.after("accept_invitation").await;
    let phone = passkey("of Dee");
    store.add_passkey(&dee, &phone, NOW).await.unwrap();
    watched.after("add_passkey").await;
    store
        .offer_reset(owner, &dee.member, "forgotten", NOW)
        .await
        .unwrap()
        .unwrap();
    watched.after("offer_reset").await;
    store
        .reset_password("forgotten", "$new", NOW)
        .await
        .unwrap()
        .unwrap();
    watched.after("reset_password").await;
    store
        .change_roles(owner, &dee.member, &Roles::all(), NOW)
        .await
        .unwrap();
    watched.after("change_roles").await;
    store
        .set_left(owner, &dee.member, true, NOW)
        .await
        .unwrap()
        .unwrap();
    watched.after("set_left").await;
    store
        .invite(owner, ("Eve", &roles), "taken back", NOW)
        .await
        .unwrap();
    watched.after("invite").await;
    let links = store.once_links(owner, NOW).await.unwrap();
    let open = links
        .iter()
        .find(|l| l.purpose == OnceFor::Invitation)
        .unwrap();
    store
        .revoke_once_link(owner, &open.id, NOW)
        .await
        .unwrap()
        .unwrap();
    watched.after("revoke_once_link").await;
    let until = NOW + Duration::days(7);
    let key = store
        .make_key(owner, ("Yard list", Role::Member), "a key", until, NOW)
        .await;
    watched.after("make_key").await;
    store
        .revoke_key(owner, &key.unwrap(), NOW)
        .await
        .unwrap()
        .unwrap();
    watched.after("revoke_key").await;
}

fn passkey(name: &str) -> NewPasskey {
    NewPasskey {
        handle: name.as_bytes().to_vec(),
        label: name.to_owned(),
        party: "localhost".to_owned(),
        public_half: "{}".to_owned(),
    }
}

async fn on_passkeys(watched: &mut Watched<'_>, owner: &Actor) {
    let store = watched.store;
    let id = store.add_passkey(owner, &passkey("phone"), NOW).await;
    watched.after("add_passkey").await;
    let known = store.passkey(b"phone").await.unwrap().unwrap();
    store.use_passkey(&known, "{}", NOW).await.unwrap().unwrap();
    watched.after("use_passkey").await;
    store.doubt_passkey(&known, NOW).await.unwrap();
    watched.after("doubt_passkey").await;
    let gone = store.remove_passkey(owner, &id.unwrap(), NOW).await;
    gone.unwrap().unwrap();
    watched.after("remove_passkey").await;
}

async fn on_settings(watched: &mut Watched<'_>, owner: &Actor) {
    let store = watched.store;
    store.ask_to_leave(owner, NOW).await.unwrap();
    watched.after("ask_to_leave").await;
    store.call_off_leaving(owner, NOW).await.unwrap().unwrap();
    watched.after("call_off_leaving").await;
    let policy = Policy {
        lean_deg: 12.0,
        ..Policy::default()
    };
    store.set_policy(owner, &policy, NOW).await.unwrap();
    watched.after("set_policy").await;
    let settings = PlanSettings {
        rules_off: BTreeSet::from(["foot-before-head".to_owned()]),
        ..PlanSettings::default()
    };
    store
        .set_plan_settings(owner, None, &settings, NOW)
        .await
        .unwrap();
    watched.after("set_plan_settings").await;
}

#[tokio::test]
async fn the_audit_is_narrowed_by_card_person_action_and_time_and_paged_by_time() {
    let Empty { store, .. } = &empty().await;
    let (owner, card) = card_with(store, &[component("f1", "c1", 1.0, 2.0)]).await;
    let second = store.create_member(&owner.department, "Bo Lark", NOW).await;
    let second = second.unwrap().unwrap();
    let day = |n: i64| NOW + Duration::days(n);
    let later = store
        .create_card(&second, &details(), day(9))
        .await
        .unwrap()
        .id;
    // Written down afterwards, with the day on which it was done.
    store.create_card(&owner, &details(), day(4)).await.unwrap();
    let of = async |filter: AuditFilter| {
        let lines = store.audit_of(&owner.department, &filter, None, 99).await;
        let told = |l: pillarbook::store::AuditEntry| (l.action, l.at);
        lines.unwrap().into_iter().map(told).collect::<Vec<_>>()
    };
    let all = of(AuditFilter::default()).await;
    let times: Vec<OffsetDateTime> = all.iter().map(|(_, at)| *at).collect();
    assert!(times.is_sorted_by(|a, b| a >= b), "{times:?}");
    let by = AuditFilter {
        member: Some(second.member.clone()),
        ..AuditFilter::default()
    };
    assert_eq!(of(by.clone()).await.len(), 2, "was added, made a card");
    let on = AuditFilter {
        card: Some(later),
        ..by.clone()
    };
    assert_eq!(of(on).await, [("card-created".to_owned(), day(9))]);
    let on = AuditFilter {
        card: Some(card),
        ..AuditFilter::default()
    };
    assert_eq!(of(on).await.len(), 2);
    let made = AuditFilter {
        action: Some("card-created".into()),
        from: Some(day(1)),
        before: Some(day(9)),
        ..AuditFilter::default()
    };
    assert_eq!(of(made).await, [("card-created".to_owned(), day(4))]);

    // Page by page it is the same, nothing twice and nothing left out.
    let (mut paged, mut after) = (Vec::new(), None::<String>);
    while let [line] = store
        .audit(&owner.department, after.as_deref(), 1)
        .await
        .unwrap()
        .as_slice()
    {
        paged.push((line.action.clone(), line.at));
        after = Some(line.id.clone());
    }
    assert_eq!(paged, all);
    let stranger = super::member_of(store, "Saltby").await;
    let from_elsewhere = store.audit(&stranger.department, after.as_deref(), 9).await;
    assert_eq!(
        from_elsewhere.unwrap(),
        [],
        "a line of another department leads nowhere"
    );
}
