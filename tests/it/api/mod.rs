//! `/api/v1` through the router, without a port.

mod annotations;
mod answers;
mod cards;
mod department;
mod description;
mod photos;
mod refusals;
mod sketches;

use axum::Router;
use axum::body::Body;
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use http_body_util::BodyExt;
use pillarbook::store::Store;
use pillarbook::web::router;
use serde_json::Value;
use time::OffsetDateTime;
use tower::ServiceExt;

/// A service on a database of its own.
pub struct Service {
    router: Router,
    pub store: Store,
    _directory: tempfile::TempDir,
}

/// What was answered.
#[derive(Debug)]
pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body)
            .unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&self.body)))
    }

    pub fn header(&self, name: &str) -> &str {
        self.headers
            .get(name)
            .map_or("", |value| value.to_str().unwrap())
    }

    /// The problem document, which must say so and carry its own status.
    pub fn problem(&self, status: u16) -> Value {
        assert_eq!(
            self.status.as_u16(),
            status,
            "{}",
            String::from_utf8_lossy(&self.body)
        );
        assert_eq!(self.header("content-type"), "application/problem+json");
        let problem = self.json();
        assert_eq!(problem["status"], status);
        assert!(!problem["detail"].as_str().unwrap().is_empty());
        problem
    }

    /// The names of the invalid fields of a problem.
    pub fn fields(&self, status: u16) -> Vec<String> {
        let problem = self.problem(status);
        let errors = problem["errors"].as_array().unwrap();
        errors
            .iter()
            .map(|e| e["field"].as_str().unwrap().to_owned())
            .collect()
    }
}

impl Service {
    pub async fn start() -> Self {
        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("book.db");
        let store = Store::open(path.to_str().unwrap()).await.unwrap();
        let actor = store.ensure_local(OffsetDateTime::now_utc()).await.unwrap();
        let router = router(pillarbook::web::Service::walk_in(store.clone(), actor));
        Self {
            router,
            store,
            _directory: directory,
        }
    }

    pub async fn send(
        &self,
        method: Method,
        path: &str,
        headers: &[(&str, &str)],
        body: impl Into<Body>,
    ) -> Answer {
        let mut request = Request::builder().method(method).uri(path);
        request = request.header(header::HOST, "127.0.0.1:8080");
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let request = request.body(body.into()).unwrap();
        let response = self.router.clone().oneshot(request).await.unwrap();
        let (parts, body) = response.into_parts();
        let body = body.collect().await.unwrap().to_bytes().to_vec();
        Answer {
            status: parts.status,
            headers: parts.headers,
            body,
        }
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.send(Method::GET, path, &[], Body::empty()).await
    }

    pub async fn post(&self, path: &str, body: impl Into<Body>) -> Answer {
        self.send(Method::POST, path, &[JSON], body).await
    }

    /// Makes a card and answers its id.
    pub async fn make_card(&self, file: &str) -> String {
        let made = self.post("/api/v1/cards", file.to_owned()).await;
        assert_eq!(
            made.status,
            StatusCode::CREATED,
            "{}",
            String::from_utf8_lossy(&made.body)
        );
        made.json()["id"].as_str().unwrap().to_owned()
    }
}

pub const JSON: (&str, &str) = ("content-type", "application/json");
