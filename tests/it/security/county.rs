//! Three departments behind one door: one's own, its partner, and a stranger.
//! Each has two cards with everything on them that has an address or an id.

use crate::photo::made;
use crate::store::{bare, component, details, sharing::partners};
use crate::web::door::{Answered, PASSWORD, answer};
use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request, header};
use pillarbook::domain::finding::{Finding, Status};
use pillarbook::domain::role::{Role, Roles};
use pillarbook::domain::visibility::Visibility;
use pillarbook::secret;
use pillarbook::store::{Actor, CardId, NewCredential, NewPasskey, Store};
use pillarbook::web::sign_in::Doorkeeper;
use pillarbook::web::{Service, router};
use std::path::PathBuf;
use time::{Duration, OffsetDateTime};

pub const FORM: &str = "application/x-www-form-urlencoded";
pub const JSON: &str = "application/json";

/// Somebody who is signed in.
pub struct Person {
    pub actor: Actor,
    pub session: String,
}

/// A department, with what a test asks for by name.
pub struct Crew {
    /// Has every role.
    pub chief: Person,
    /// An officer, who decides on what the chief wrote.
    pub second: Person,
    /// Shared with partners, but the stranger's.
    pub card: CardId,
    /// Nobody else's to read; it has more findings and notes than the other.
    pub other: CardId,
    /// The photo on the first note of each.
    pub photo: String,
    pub other_photo: String,
    pub link: String,
    pub invitation: String,
    pub reset: String,
}

/// One card of a department, and the last of what is on it.
#[derive(Clone, Copy)]
pub struct Place<'a> {
    pub crew: &'a Crew,
    pub card: &'a CardId,
    pub finding: &'a str,
    pub note: &'a str,
    pub photo: &'a str,
}

impl Crew {
    pub fn place(&self) -> Place<'_> {
        Place {
            crew: self,
            card: &self.card,
            finding: "f1",
            note: "n1",
            photo: &self.photo,
        }
    }

    /// On the larger card: numbers that the other card does not have.
    pub fn other_place(&self) -> Place<'_> {
        Place {
            crew: self,
            card: &self.other,
            finding: "f6",
            note: "n3",
            photo: &self.other_photo,
        }
    }
}

pub struct County {
    pub router: Router,
    pub store: Store,
    pub path: PathBuf,
    pub home: Crew,
    pub partner: Crew,
    pub stranger: Crew,
    _directory: tempfile::TempDir,
}

impl County {
    pub async fn new() -> Self {
        Self::beside("Larkfield").await
    }

    /// With a partner, and people of it, of this name.
    pub async fn beside(name: &str) -> Self {
        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("pillarbook.db");
        let store = Store::open(path.to_str().unwrap()).await.unwrap();
        let door = Doorkeeper::hasty();
        let hash = door.hash(PASSWORD).await.unwrap();
        let service = Service {
            door,
            ..Service::new(store.clone())
        };
        let router = router(service);
        let ground = Ground {
            router: &router,
            store: &store,
            hash: &hash,
        };
        let home = ground.crew("Oakmere").await;
        let partner = ground.crew(name).await;
        let stranger = ground.crew("Saltby").await;
        partners(&store, &home.chief.actor, &partner.chief.actor).await;
        for crew in [&home, &partner] {
            let (keeper, now) = (&crew.chief.actor, OffsetDateTime::now_utc());
            let set = store.set_visibility(keeper, &crew.card, Visibility::Partners, now);
            set.await.unwrap().unwrap();
        }
        let county = Self {
            router,
            store,
            path,
            home,
            partner,
            stranger,
            _directory: directory,
        };
        county.offer().await;
        county
    }

    /// What the partner offers to the card it reads.
    async fn offer(&self) {
        let offered = Finding {
            status: Status::Offered,
            ..component("", "c1", 90.0, 240.0)
        };
        let (by, now) = (&self.partner.chief, OffsetDateTime::now_utc());
        let card = &self.home.card;
        let done = self
            .store
            .offer_findings(&by.actor, card, &[offered], now)
            .await;
        done.unwrap().unwrap();
        let note = [("about", "card"), ("text", "The sill sounds hollow.")];
        self.post(by, &format!("/cards/{card}/notes/new"), &note)
            .await
            .expect(303);
    }

    /// An address of a pattern, with what a department has in each place.
    pub fn address(&self, pattern: &str, place: &Place<'_>) -> String {
        let crew = place.crew;
        let mut address = pattern.to_owned();
        while let Some((start, rest)) = address.clone().split_once('{') {
            let (name, rest) = rest.split_once('}').unwrap();
            let stands = match name {
                "id" if start.contains("body-styles") => "sedan",
                "id" => place.card.as_str(),
                "finding" => place.finding,
                "note" => place.note,
                "name" if start.contains("/static") => "app.css",
                "name" => place.photo,
                "revision" => "1",
                "view" => "left",
                "span" => "b-pillar.left",
                "vin" => "1M8GDM9AXKP042788",
                "secret" if start.contains("/shared") => &crew.link,
                "secret" if start.contains("/invitations") => &crew.invitation,
                "secret" if start.contains("/resets") => &crew.reset,
                "secret" => "not-a-secret",
                new => panic!("say here what stands in {{{new}}} of {pattern}"),
            };
            address = format!("{start}{stands}{rest}");
        }
        address
    }

    pub async fn get(&self, who: &Person, path: &str) -> Answered {
        self.send(Some(who), Method::GET, path, FORM, "").await
    }

    /// A form sent as somebody.
    pub async fn post(&self, who: &Person, path: &str, fields: &[(&str, &str)]) -> Answered {
        let body = encoded(fields);
        self.send(Some(who), Method::POST, path, FORM, body).await
    }

    pub async fn send(
        &self,
        who: Option<&Person>,
        method: Method,
        path: &str,
        kind: &str,
        body: impl Into<Body>,
    ) -> Answered {
        let request = asked(who, method, path).header(header::CONTENT_TYPE, kind);
        answer(&self.router, request.body(body.into()).unwrap()).await
    }
}

/// A request from a page of our own.
pub fn asked(who: Option<&Person>, method: Method, path: &str) -> axum::http::request::Builder {
    let request = Request::builder()
        .method(method)
        .uri(path)
        .header(header::HOST, "localhost:8080")
        .header(header::ORIGIN, "http://localhost:8080");
    match who {
        Some(who) => request.header(header::COOKIE, format!("session={}", who.session)),
        None => request,
    }
}

pub fn encoded<T: AsRef<str>>(fields: &[(T, T)]) -> String {
    let mut body = form_urlencoded::Serializer::new(String::new());
    for (name, value) in fields {
        body.append_pair(name.as_ref(), value.as_ref());
    }
    body.finish()
}

impl Answered {
    /// The same, of this status.
    #[track_caller]
    pub fn expect(self, status: u16) -> Self {
        assert_eq!(self.status.as_u16(), status, "{}", self.body);
        self
    }
}

/// Where departments are founded.
struct Ground<'a> {
    router: &'a Router,
    store: &'a Store,
    hash: &'a str,
}

impl Ground<'_> {
    async fn crew(&self, name: &str) -> Crew {
        let now = OffsetDateTime::now_utc();
        let department = self.store.create_department(name, now).await.unwrap().id;
        let chief = self.person(&department, "Ada", name, Role::ALL).await;
        let second = self.person(&department, "Bo", name, &[Role::Officer]).await;
        let (card, photo) = self.card(&chief, 1).await;
        let (other, other_photo) = self.card(&chief, 3).await;
        let (by, until) = (&chief.actor, now + Duration::days(1));
        let [link, key, invitation, reset] = [(); 4].map(|()| secret::draw());
        let store = self.store;
        for (card, secret) in [(&card, &link), (&other, &secret::draw())] {
            let made = store.make_link(by, card, (secret, "Engine 4"), until, now);
            made.await.unwrap().unwrap();
        }
        let wanted = ("Yard list", Role::Member);
        store.make_key(by, wanted, &key, until, now).await.unwrap();
        let phone = NewPasskey {
            handle: format!("phone of {key}").into_bytes(),
            label: "Own phone".to_owned(),
            party: "localhost".to_owned(),
            public_half: "{}".to_owned(),
        };
        store.add_passkey(by, &phone, now).await.unwrap();
        let offer = ("Di Holt", &Roles::from_iter([Role::Member]));
        store.invite(by, offer, &invitation, now).await.unwrap();
        let reset_of = store.offer_reset(by, &second.actor.member, &reset, now);
        reset_of.await.unwrap().unwrap();
        Crew {
            chief,
            second,
            card,
            other,
            photo,
            other_photo,
            link,
            invitation,
            reset,
        }
    }

    async fn person(
        &self,
        department: &pillarbook::store::DepartmentId,
        first: &str,
        last: &str,
        roles: &[Role],
    ) -> Person {
        let now = OffsetDateTime::now_utc();
        let name = format!("{first} {last}");
        let roles = roles.iter().copied().collect();
        let made = self
            .store
            .create_member_with(department, &name, roles, now)
            .await;
        let actor = made.unwrap().unwrap();
        let new = NewCredential {
            sign_in_name: name.replace(' ', ".").to_lowercase(),
            password_hash: self.hash.to_owned(),
        };
        self.store
            .set_credential(&actor, &new, None, now)
            .await
            .unwrap();
        let [session, elsewhere, device] = [(); 3].map(|()| secret::draw());
        for (secret, agent) in [(&session, "a test"), (&elsewhere, "a phone")] {
            let begun = self
                .store
                .begin_session(&actor, (secret, &device), agent, now);
            begun.await.unwrap();
        }
        Person { actor, session }
    }

    /// A card with two findings and one note times `size`, a photo, a table that
    /// waits, a strip that was begun, and a change that was asked for.
    async fn card(&self, by: &Person, size: usize) -> (CardId, String) {
        let now = OffsetDateTime::now_utc();
        let made = self.store.create_card(&by.actor, &details(), now).await;
        let card = made.unwrap().id;
        let findings: Vec<Finding> = (0..size)
            .flat_map(|n| {
                let from = 80.0 + 15.0 * n as f64;
                let part = component("", &format!("c{}", n + 1), from, from + 100.0);
                [part, bare("", Status::Offered)]
            })
            .collect();
        let added = self
            .store
            .add_findings(&by.actor, &card, None, &findings, now)
            .await;
        added.unwrap().unwrap();
        for nth in 0..size {
            self.note(by, &card, nth).await;
        }
        let at = |rest: &str| format!("/cards/{card}{rest}");
        let begun = [
            ("act", "begin"),
            ("car", "yard 15"),
            ("by", "Ada Fenn"),
            ("observed_on", "2026-03-04"),
            ("source", "measured"),
            ("unit", "mm"),
        ];
        self.post(by, &at("/strip"), FORM, encoded(&begun))
            .await
            .expect(303);
        let asked = [
            ("revision", ""),
            ("act", "withdraw"),
            ("reason", "Another car"),
        ];
        let revision = self.store.card_revision(&by.actor.department, &card).await;
        let revision = revision.unwrap().unwrap().to_string();
        let mut asked = asked.to_vec();
        asked[0].1 = &revision;
        self.post(by, &at("/findings/f1"), FORM, encoded(&asked))
            .await
            .expect(303);
        let stored = self.store.card(&by.actor.department, &card).await;
        let stored = stored.unwrap().unwrap().card;
        (card, stored.annotations[0].note.photos[0].name.clone())
    }

    async fn note(&self, by: &Person, card: &CardId, nth: usize) {
        let fields = [
            ("about", "station"),
            ("span", "b-pillar.left"),
            ("at", "120"),
            ("end", "foot"),
            ("text", "Foam behind the trim."),
            ("alt", "The trim off"),
        ];
        let photo = made::jpeg(64, 48 + nth as u32, 1);
        let body = multipart(&fields, Some(("photo", "trim.jpg", &photo)));
        let path = format!("/cards/{card}/notes/new");
        self.post(by, &path, MULTIPART, body).await.expect(303);
    }

    async fn post(&self, by: &Person, path: &str, kind: &str, body: impl Into<Body>) -> Answered {
        let request = asked(Some(by), Method::POST, path).header(header::CONTENT_TYPE, kind);
        answer(self.router, request.body(body.into()).unwrap()).await
    }
}

pub const MULTIPART: &str = "multipart/form-data; boundary=edge";

/// A form with a file, as a browser sends it (RFC 7578): in a name, quotes and
/// line ends are escaped (WHATWG HTML, multipart form data).
pub fn multipart<T: AsRef<str>>(fields: &[(T, T)], file: Option<(&str, &str, &[u8])>) -> Vec<u8> {
    let plain = |name: &str| {
        name.replace('\r', "%0D")
            .replace('\n', "%0A")
            .replace('"', "%22")
    };
    let mut body = Vec::new();
    for (name, value) in fields {
        let (name, value) = (plain(name.as_ref()), value.as_ref());
        let part =
            format!("--edge\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n");
        body.extend_from_slice(part.as_bytes());
    }
    if let Some((field, name, bytes)) = file {
        let head = format!(
            "--edge\r\nContent-Disposition: form-data; name=\"{field}\"; filename=\"{}\"\r\n\
             Content-Type: image/jpeg\r\n\r\n",
            plain(name)
        );
        body.extend_from_slice(head.as_bytes());
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n");
    }
    body.extend_from_slice(b"--edge--\r\n");
    body
}
