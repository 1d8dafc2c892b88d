//! A service whose members sign in, with one of each role, a member of another
//! department, and a way to ask as each of them.

use super::site::details;
use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use http_body_util::BodyExt;
use pillarbook::domain::role::{Role, Roles};
use pillarbook::secret;
use pillarbook::store::{Actor, CardId, NewCredential, PhotoFiles, Store};
use pillarbook::web::sign_in::Doorkeeper;
use pillarbook::web::site::Site;
use pillarbook::web::{Service, router};
use std::collections::BTreeMap;
use time::OffsetDateTime;
use tower::ServiceExt;

/// Kinds of visitors.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    Anonymous,
    Member,
    Officer,
    Trainer,
    Keeper,
    /// Signed in, with no role left.
    NoRole,
    /// Everything in another department, nothing in this one.
    Stranger,
    /// A program with a key of one role.
    Program(Role),
}

impl Who {
    pub const ALL: [Self; 11] = [
        Self::Anonymous,
        Self::Member,
        Self::Officer,
        Self::Trainer,
        Self::Keeper,
        Self::NoRole,
        Self::Stranger,
        Self::Program(Role::Member),
        Self::Program(Role::Officer),
        Self::Program(Role::Trainer),
        Self::Program(Role::Keeper),
    ];
}

/// An answer with what a test looks at.
pub struct Answered {
    pub status: StatusCode,
    pub location: String,
    /// Each `Set-Cookie`, whole.
    pub cookies: Vec<String>,
    pub body: String,
    pub headers: HeaderMap,
    /// The body as it came.
    pub bytes: Bytes,
}

impl Answered {
    /// The value a cookie was set to.
    pub fn cookie(&self, name: &str) -> Option<&str> {
        self.cookies.iter().find_map(|c| {
            let (key, rest) = c.split_once('=')?;
            (key == name).then(|| rest.split(';').next().unwrap_or_default())
        })
    }
}

pub struct Door {
    router: Router,
    pub store: Store,
    pub card: CardId,
    pub members: BTreeMap<Who, Actor>,
    sessions: BTreeMap<Who, String>,
    keys: BTreeMap<Who, String>,
    _directory: tempfile::TempDir,
}

pub const PASSWORD: &str = "hinge copper ladle moss";

impl Door {
    pub async fn new() -> Self {
        Self::with(PhotoFiles::in_memory(), Site::default()).await
    }

    /// The same, with photos in that place.
    pub async fn with_photos(photos: PhotoFiles) -> Self {
        Self::with(photos, Site::default()).await
    }

    /// The same, reached there.
    pub async fn at(site: Site) -> Self {
        Self::with(PhotoFiles::in_memory(), site).await
    }

    async fn with(photos: PhotoFiles, site: Site) -> Self {
        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("pillarbook.db");
        let store = Store::open(path.to_str().unwrap()).await.unwrap();
        let service = Service {
            door: Doorkeeper::hasty(),
            photos,
            ..Service::new(store.clone())
        }
        .at(site);
        let now = OffsetDateTime::now_utc();
        let local = store.ensure_local(now).await.unwrap();
        let other = store.create_department("Saltby", now).await.unwrap();
        let mut members = BTreeMap::new();
        for (who, department, roles) in [
            (Who::Member, &local.department, &[Role::Member][..]),
            (Who::Officer, &local.department, &[Role::Officer]),
            (Who::Trainer, &local.department, &[Role::Trainer]),
            (Who::Keeper, &local.department, &[Role::Keeper]),
            (Who::NoRole, &local.department, &[]),
            (Who::Stranger, &other.id, Role::ALL),
        ] {
            let roles: Roles = roles.iter().copied().collect();
            let name = format!("{who:?} Fenn");
            let made = store
                .create_member_with(department, &name, roles, now)
                .await;
            members.insert(who, made.unwrap().unwrap());
        }
        let mut sessions = BTreeMap::new();
        for (who, member) in &members {
            let new = NewCredential {
                sign_in_name: format!("{who:?}.fenn"),
                password_hash: service.door.hash(PASSWORD).await.unwrap(),
            };
            store.set_credential(member, &new, None, now).await.unwrap();
            let (secret, device) = (secret::draw(), secret::draw());
            let secrets = (secret.as_str(), device.as_str());
            store
                .begin_session(member, secrets, "a test", now)
                .await
                .unwrap();
            sessions.insert(*who, secret);
        }
        let mut keys = BTreeMap::new();
        for role in Role::ALL {
            let (secret, until) = (secret::draw(), now + time::Duration::days(1));
            let wanted = (role.word(), *role);
            store
                .make_key(&members[&Who::Keeper], wanted, &secret, until, now)
                .await
                .unwrap();
            keys.insert(Who::Program(*role), secret);
        }
        let card = store
            .create_card(&members[&Who::Member], &details(), now)
            .await;
        Self {
            router: router(service),
            card: card.unwrap().id,
            store,
            members,
            sessions,
            keys,
            _directory: directory,
        }
    }

    /// An address of a pattern: the card, and something that is no more than well
    /// formed for what else it names.
    pub fn address(&self, pattern: &str) -> String {
        let id = match pattern.starts_with("/body-styles") || pattern.contains("/v1/body-styles") {
            true => "sedan",
            false => self.card.as_str(),
        };
        pattern
            .replace("{id}", id)
            .replace("{view}", "left")
            .replace("{span}", "b-pillar.left")
            .replace("{finding}", "f1")
            .replace("{note}", "n1")
            .replace("{revision}", "1")
            .replace("{vin}", "1M8GDM9AXKP042788")
            .replace("{name}", "app.css")
            .replace("{secret}", "not-a-secret")
    }

    pub async fn get(&self, who: Who, path: &str) -> Answered {
        self.ask(who, Method::GET, path).await
    }

    /// Asks with an empty body of the right kind.
    pub async fn ask(&self, who: Who, method: Method, path: &str) -> Answered {
        let for_api = path.starts_with("/api/");
        let (kind, body) = match for_api {
            true => ("application/json", "{}"),
            false => ("application/x-www-form-urlencoded", ""),
        };
        let session = self.sessions.get(&who).map(|s| format!("session={s}"));
        match self.keys.get(&who) {
            Some(key) => {
                let key = format!("Bearer {key}");
                let with = [(header::AUTHORIZATION, key.as_str())];
                self.send_with(method, path, kind, body, &with).await
            }
            None => {
                self.send(method, path, kind, body, session.as_deref())
                    .await
            }
        }
    }

    /// Asks as a program for a finding to be accepted.
    pub async fn send_status(&self, who: Who, path: &str) -> StatusCode {
        let key = format!("Bearer {}", self.keys[&who]);
        let with = [
            (header::AUTHORIZATION, key.as_str()),
            (header::IF_MATCH, "*"),
        ];
        let body = r#"{"status": "accepted"}"#;
        self.send_with(Method::POST, path, "application/json", body, &with)
            .await
            .status
    }

    /// A form, with these cookies.
    pub async fn form(&self, path: &str, fields: &[(&str, &str)], cookies: &str) -> Answered {
        let body = serde_html_form(fields);
        let kind = "application/x-www-form-urlencoded";
        self.send(Method::POST, path, kind, &body, Some(cookies))
            .await
    }

    /// A body of some kind sent as somebody with a session.
    pub async fn send_as(
        &self,
        who: Who,
        method: Method,
        path: &str,
        kind: &str,
        body: &str,
    ) -> Answered {
        let session = format!("session={}", self.sessions[&who]);
        self.send(method, path, kind, body, Some(&session)).await
    }

    /// The cookie of somebody's session.
    pub fn cookie(&self, who: Who) -> String {
        format!("session={}", self.sessions[&who])
    }

    /// A form sent as somebody.
    pub async fn post(&self, who: Who, path: &str, fields: &[(&str, &str)]) -> Answered {
        let session = format!("session={}", self.sessions[&who]);
        self.form(path, fields, &session).await
    }

    pub async fn send(
        &self,
        method: Method,
        path: &str,
        kind: &str,
        body: &str,
        cookies: Option<&str>,
    ) -> Answered {
        let with = cookies.map(|c| (header::COOKIE, c));
        self.send_with(method, path, kind, body, with.as_slice())
            .await
    }

    /// A request with these headers beside what every one has.
    pub async fn send_with(
        &self,
        method: Method,
        path: &str,
        kind: &str,
        body: &str,
        with: &[(header::HeaderName, &str)],
    ) -> Answered {
        let mut request = Request::builder()
            .method(method)
            .uri(path)
            .header(header::HOST, "localhost:8080")
            .header(header::ORIGIN, "http://localhost:8080")
            .header(header::CONTENT_TYPE, kind);
        for (name, value) in with {
            request = request.header(name, *value);
        }
        let request = request.body(Body::from(body.to_owned())).unwrap();
        self.answer(request).await
    }

    /// A request with these headers and no others.
    pub async fn send_to(
        &self,
        method: Method,
        path: &str,
        (kind, body): (&str, &str),
        with: &[(header::HeaderName, &str)],
    ) -> Answered {
        let mut request = Request::builder().method(method).uri(path);
        request = request.header(header::CONTENT_TYPE, kind);
        for (name, value) in with {
            request = request.header(name, *value);
        }
        self.answer(request.body(Body::from(body.to_owned())).unwrap())
            .await
    }

    /// A form with a file, as a browser sends it (RFC 7578).
    pub async fn upload(
        &self,
        who: Who,
        path: &str,
        fields: &[(&str, &str)],
        file: Option<(&str, &[u8])>,
    ) -> Answered {
        let mut body = Vec::new();
        for (name, value) in fields {
            let part = format!(
                "--edge\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
            );
            body.extend_from_slice(part.as_bytes());
        }
        if let Some((name, bytes)) = file {
            let head = format!(
                "--edge\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"{name}\"\r\nContent-Type: image/jpeg\r\n\r\n"
            );
            body.extend_from_slice(head.as_bytes());
            body.extend_from_slice(bytes);
            body.extend_from_slice(b"\r\n");
        }
        body.extend_from_slice(b"--edge--\r\n");
        let request = Request::post(path)
            .header(header::HOST, "localhost:8080")
            .header(header::ORIGIN, "http://localhost:8080")
            .header(header::COOKIE, format!("session={}", self.sessions[&who]))
            .header(header::CONTENT_TYPE, "multipart/form-data; boundary=edge");
        self.answer(request.body(Body::from(body)).unwrap()).await
    }

    async fn answer(&self, request: Request<Body>) -> Answered {
        answer(&self.router, request).await
    }
}

/// What a router answers.
pub async fn answer(router: &Router, request: Request<Body>) -> Answered {
    let response = router.clone().oneshot(request).await.unwrap();
    let (parts, body) = response.into_parts();
    let text = |v: &axum::http::HeaderValue| v.to_str().unwrap_or_default().to_owned();
    let cookies = parts.headers.get_all(header::SET_COOKIE).iter();
    let body = body.collect().await.unwrap().to_bytes();
    Answered {
        status: parts.status,
        location: parts
            .headers
            .get(header::LOCATION)
            .map(text)
            .unwrap_or_default(),
        cookies: cookies.map(text).collect(),
        body: String::from_utf8_lossy(&body).into_owned(),
        headers: parts.headers.clone(),
        bytes: body,
    }
}

fn serde_html_form(fields: &[(&str, &str)]) -> String {
    form_urlencoded::Serializer::new(String::new())
        .extend_pairs(fields)
        .finish()
}
