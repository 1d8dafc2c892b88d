//! Someone who reads pages: the demo's cards, or an empty book, and answers
//! with their headers and bytes.

use super::site::encoded;
use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, Request, StatusCode, header};
use http_body_util::BodyExt;
use pillarbook::store::{Actor, CardSummary, Store};
use pillarbook::web::{Service, router};
use scraper::{Html, Selector};
use time::OffsetDateTime;
use tower::ServiceExt;

pub struct Reader {
    pub router: Router,
    pub store: Store,
    pub actor: Actor,
    _directory: tempfile::TempDir,
}

/// An answer as it came.
pub struct Raw {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub body: Bytes,
}

impl Reader {
    /// A book with nothing in it.
    pub async fn empty() -> Self {
        let (store, directory) = store().await;
        let actor = store.ensure_local(OffsetDateTime::now_utc()).await.unwrap();
        Self::over(store, actor, directory)
    }

    /// The demo's invented county.
    pub async fn demo() -> Self {
        let (store, directory) = store().await;
        let now = OffsetDateTime::now_utc();
        let actor = pillarbook::demo::fill(&store, now).await.unwrap();
        Self::over(store, actor, directory)
    }

    fn over(store: Store, actor: Actor, directory: tempfile::TempDir) -> Self {
        Self {
            router: router(Service::walk_in(store.clone(), actor.clone())),
            store,
            actor,
            _directory: directory,
        }
    }

    pub async fn get(&self, path: &str) -> Raw {
        self.get_with(path, &[]).await
    }

    pub async fn get_with(&self, path: &str, headers: &[(header::HeaderName, &str)]) -> Raw {
        let mut request = Request::get(path).header(header::HOST, "localhost:8080");
        for (name, value) in headers {
            request = request.header(name, *value);
        }
        self.ask(request.body(Body::empty()).unwrap()).await
    }

    pub async fn ask(&self, request: Request<Body>) -> Raw {
        ask(&self.router, request).await
    }

    /// The find page for what is typed.
    pub async fn find(&self, typed: &str) -> Raw {
        self.get(&format!("/?{}", encoded(&[("q", typed)]))).await
    }

    pub async fn cards(&self) -> Vec<CardSummary> {
        let all = self.store.all_summaries(&self.actor.department).await;
        all.unwrap()
    }

    /// Address of the demo's card of a model.
    pub async fn card_of(&self, model: &str) -> String {
        let cards = self.cards().await;
        let card = cards
            .iter()
            .find(|c| c.vehicle.model.as_deref() == Some(model));
        format!("/cards/{}", card.expect("a card of that model").id)
    }
}

async fn store() -> (Store, tempfile::TempDir) {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("pillarbook.db");
    (
        Store::open(path.to_str().unwrap()).await.unwrap(),
        directory,
    )
}

pub async fn ask(router: &Router, request: Request<Body>) -> Raw {
    let response = router.clone().oneshot(request).await.unwrap();
    Raw {
        status: response.status(),
        headers: response.headers().clone(),
        body: response.into_body().collect().await.unwrap().to_bytes(),
    }
}

impl Raw {
    pub fn header(&self, name: impl header::AsHeaderName) -> &str {
        self.headers.get(name).map_or("", |v| v.to_str().unwrap())
    }

    pub fn text(&self) -> String {
        String::from_utf8(self.body.to_vec()).unwrap()
    }

    pub fn page(&self) -> Html {
        Html::parse_document(&self.text())
    }

    /// Text of everything a selector meets, spaces made one, joined by ` | `.
    pub fn words(&self, selector: &str) -> String {
        let page = self.page();
        let selector = Selector::parse(selector).unwrap();
        let met = page.select(&selector).map(|e| {
            let text: String = e.text().collect();
            text.split_whitespace().collect::<Vec<_>>().join(" ")
        });
        met.collect::<Vec<_>>().join(" | ")
    }

    pub fn count(&self, selector: &str) -> usize {
        self.page()
            .select(&Selector::parse(selector).unwrap())
            .count()
    }

    /// An attribute of everything a selector meets.
    pub fn attributes(&self, selector: &str, name: &str) -> Vec<String> {
        let page = self.page();
        let selector = Selector::parse(selector).unwrap();
        let met = page.select(&selector);
        met.filter_map(|e| e.value().attr(name).map(str::to_owned))
            .collect()
    }
}
