//! A service with one card on it, and what a test asks of its pages.

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use http_body_util::BodyExt;
use pillarbook::domain::body::{Measured, StyleId};
use pillarbook::domain::vehicle::{Drive, Vehicle, Years};
use pillarbook::store::{Actor, CardDetails, CardId, PhotoFiles, Store, StoredCard};
use pillarbook::web::{Service, router};
use scraper::{Html, Selector};
use std::collections::BTreeMap;
use time::OffsetDateTime;
use tower::ServiceExt;

pub struct Site {
    router: Router,
    pub store: Store,
    pub actor: Actor,
    pub card: CardId,
    /// Where the bytes of its photos lie.
    pub photos: PhotoFiles,
    _directory: tempfile::TempDir,
}

/// An answer as a person sees it.
pub struct Answer {
    pub status: StatusCode,
    pub location: String,
    pub page: Html,
}

pub fn details() -> CardDetails {
    CardDetails {
        vehicle: Vehicle {
            make: Some("Corvel".into()),
            model: Some("Tarn".into()),
            years: Some(Years {
                first: 2019,
                last: 2023,
            }),
            body_style: StyleId::Sedan,
            drive: Some(Drive::Petrol),
            wheel: None,
            roof: None,
            region: Some("US".into()),
            hold_time_s: None,
        },
        measured: Measured::default(),
        identify: None,
        power_off: Vec::new(),
        glass: BTreeMap::new(),
    }
}

impl Site {
    pub async fn new() -> Self {
        Self::with(Service::walk_in).await
    }

    /// A service whose members sign in; nobody can yet.
    pub async fn signing_in() -> Self {
        Self::with(|store, _| Service::new(store)).await
    }

    async fn with(serve: impl Fn(Store, Actor) -> Service) -> Self {
        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("pillarbook.db");
        let store = Store::open(path.to_str().unwrap()).await.unwrap();
        let now = OffsetDateTime::now_utc();
        let actor = store.ensure_local(now).await.unwrap();
        let card = store.create_card(&actor, &details(), now).await.unwrap();
        Self::serving(directory, (store, actor), card.id, serve)
    }

    /// A server whose book is empty; its `card` is none.
    pub async fn empty() -> Self {
        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("pillarbook.db");
        let store = Store::open(path.to_str().unwrap()).await.unwrap();
        let actor = store.ensure_local(OffsetDateTime::now_utc()).await.unwrap();
        Self::serving(
            directory,
            (store, actor),
            CardId::new("none"),
            Service::walk_in,
        )
    }

    fn serving(
        directory: tempfile::TempDir,
        (store, actor): (Store, Actor),
        card: CardId,
        serve: impl Fn(Store, Actor) -> Service,
    ) -> Self {
        let service = serve(store.clone(), actor.clone());
        Self {
            photos: service.photos.clone(),
            router: router(service),
            store,
            actor,
            card,
            _directory: directory,
        }
    }

    /// The card as the store has it.
    pub async fn stored(&self) -> StoredCard {
        let read = self.store.card(&self.actor.department, &self.card).await;
        read.unwrap().unwrap()
    }

    /// An address below the card.
    pub fn at(&self, rest: &str) -> String {
        format!("/cards/{}{rest}", self.card)
    }

    pub async fn get(&self, path: &str) -> Answer {
        let request = Request::get(path).header(header::HOST, "localhost:8080");
        self.ask(request.body(Body::empty()).unwrap()).await
    }

    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.post_from(path, fields, "http://localhost:8080").await
    }

    /// A form as a page of another origin sends it.
    pub async fn post_from(&self, path: &str, fields: &[(&str, &str)], origin: &str) -> Answer {
        let request = Request::post(path)
            .header(header::HOST, "localhost:8080")
            .header(header::ORIGIN, origin)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.ask(request.body(Body::from(encoded(fields))).unwrap())
            .await
    }

    /// The same store, served otherwise.
    pub fn served_as(self, serve: impl Fn(Store) -> Service) -> Self {
        let photos = self.photos.clone();
        let service = Service {
            photos,
            ..serve(self.store.clone())
        };
        Self {
            router: router(service),
            ..self
        }
    }

    /// What an address answers, byte for byte.
    pub async fn bytes(&self, path: &str) -> Vec<u8> {
        let request = Request::get(path).header(header::HOST, "localhost:8080");
        let request = request.body(Body::empty()).unwrap();
        let response = self.router.clone().oneshot(request).await.unwrap();
        assert_eq!(response.status(), StatusCode::OK, "{path}");
        let body = response.into_body().collect().await.unwrap();
        body.to_bytes().to_vec()
    }

    /// A form that carries a file, as a browser sends it.
    pub async fn upload(
        &self,
        path: &str,
        fields: &[(&str, &str)],
        file: Option<(&str, &[u8])>,
    ) -> Answer {
        const EDGE: &str = "edge-of-a-part";
        let mut body = Vec::new();
        for (name, value) in fields {
            let head =
                format!("--{EDGE}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n");
            body.extend([head.as_bytes(), value.as_bytes(), b"\r\n"].concat());
        }
        if let Some((name, bytes)) = file {
            let head = format!(
                "--{EDGE}\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\r\n"
            );
            body.extend([head.as_bytes(), bytes, b"\r\n"].concat());
        }
        body.extend(format!("--{EDGE}--\r\n").into_bytes());
        let request = Request::post(path)
            .header(header::HOST, "localhost:8080")
            .header(header::ORIGIN, "http://localhost:8080")
            .header(
                header::CONTENT_TYPE,
                format!("multipart/form-data; boundary={EDGE}"),
            );
        self.ask(request.body(Body::from(body)).unwrap()).await
    }

    async fn ask(&self, request: Request<Body>) -> Answer {
        let response = self.router.clone().oneshot(request).await.unwrap();
        let location = response.headers().get(header::LOCATION);
        let location = location.map_or("", |l| l.to_str().unwrap()).to_owned();
        let status = response.status();
        let bytes = response.into_body().collect().await.unwrap().to_bytes();
        Answer {
            status,
            location,
            page: Html::parse_document(&String::from_utf8_lossy(&bytes)),
        }
    }
}

impl Answer {
    /// Text of everything a selector meets, joined.
    pub fn text(&self, selector: &str) -> String {
        let selector = Selector::parse(selector).unwrap();
        let met = self.page.select(&selector);
        met.map(|e| e.text().collect::<String>())
            .collect::<Vec<_>>()
            .join(" | ")
    }

    pub fn count(&self, selector: &str) -> usize {
        self.page
            .select(&Selector::parse(selector).unwrap())
            .count()
    }

    /// Each drawing met carries the cautions, its day and its revision on itself
    /// (design, section 9, rule 3).
    pub fn carries_cautions(&self, selector: &str) {
        let drawings = Selector::parse(selector).unwrap();
        let mut seen = 0;
        for drawing in self.page.select(&drawings) {
            let said = drawing.text().collect::<Vec<_>>().join(" ");
            let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
            for caution in [
                "Schematic, not to scale",
                "crash damage moves parts and datums",
                "Expose and look before every cut",
                "Local procedures and the officer’s judgement come first",
                "Revision 1 · ",
            ] {
                assert!(said.contains(caution), "{caution} is not in: {said}");
            }
            seen += 1;
        }
        assert!(seen > 0, "no drawing at {selector}");
    }

    /// What a field holds.
    pub fn value(&self, name: &str) -> String {
        let input = Selector::parse(&format!("[name='{name}']")).unwrap();
        let field = self
            .page
            .select(&input)
            .next()
            .unwrap_or_else(|| panic!("no field {name}"));
        match field.value().name() {
            "textarea" => field.text().collect(),
            "select" => {
                let taken = Selector::parse("option[selected]").unwrap();
                let option = field.select(&taken).next();
                option
                    .and_then(|o| o.value().attr("value"))
                    .unwrap_or_default()
                    .to_owned()
            }
            _ => field.value().attr("value").unwrap_or_default().to_owned(),
        }
    }

    /// What is said to be wrong with a field, at the field itself.
    pub fn fault(&self, name: &str) -> String {
        let name = name.replace('_', "-");
        self.text(&format!("[id='f-{name}-error']"))
    }

    pub fn version(&self) -> String {
        self.value("version")
    }
}

pub fn encoded(fields: &[(&str, &str)]) -> String {
    let escape = |text: &str| {
        text.bytes()
            .map(|b| match b {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => (b as char).to_string(),
                other => format!("%{other:02X}"),
            })
            .collect::<String>()
    };
    let pairs = fields
        .iter()
        .map(|(k, v)| format!("{}={}", escape(k), escape(v)));
    pairs.collect::<Vec<_>>().join("&")
}
