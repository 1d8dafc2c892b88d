//! What every handler can reach: the store, who acts, and the kept pages.

use super::error::AppError;
use super::page_cache::PageCache;
use super::passkeys::Passkeys;
use super::sign_in::{Doorkeeper, ReadyAccount};
use super::site::Site;
use super::who::{Secure, Visitor};
use crate::store::{Actor, PhotoFiles, Store};
use axum::extract::FromRequestParts;
use http::request::Parts;
use std::sync::Arc;

/// What the whole service shares; cloning is cheap.
#[derive(Debug, Clone)]
pub struct Service {
    /// Departments, cards, findings, revisions.
    pub store: Store,
    /// Where the bytes of photos lie.
    pub photos: PhotoFiles,
    /// Compressed pages, by card and revision.
    pub pages: PageCache,
    /// Who a visitor without a session acts as: the demo's own member.
    pub walk_in: Option<Arc<Actor>>,
    /// Accounts the sign-in page shows: the demo's.
    pub ready: Arc<[ReadyAccount]>,
    /// Where it is reached.
    pub site: Site,
    /// Checks passwords and slows down who guesses.
    pub door: Doorkeeper,
    /// Passkeys being made or shown.
    pub passkeys: Passkeys,
}

impl Service {
    /// A service whose members sign in; photos are kept in memory, until a place
    /// is given to them.
    pub fn new(store: Store) -> Self {
        Self {
            store,
            photos: PhotoFiles::in_memory(),
            pages: PageCache::default(),
            walk_in: None,
            ready: Arc::default(),
            site: Site::default(),
            door: Doorkeeper::default(),
            passkeys: Passkeys::default(),
        }
    }

    /// The same service, reached there. Cookies are for TLS alone where others are.
    #[must_use]
    pub fn at(mut self, site: Site) -> Self {
        self.door.secure = Secure(site.is_public());
        self.site = site;
        self
    }

    /// A service where whoever comes acts as this member until they sign in as
    /// another: for the demo, which holds nothing real and answers on this
    /// machine only.
    pub fn walk_in(store: Store, actor: Actor) -> Self {
        Self {
            walk_in: Some(Arc::new(actor)),
            ..Self::new(store)
        }
    }
}

/// What one request works with: the service, and who asks.
#[derive(Debug, Clone)]
pub struct AppState {
    pub store: Store,
    /// Who acts.
    pub actor: Arc<Actor>,
    pub pages: PageCache,
    pub photos: PhotoFiles,
}

impl FromRequestParts<Service> for AppState {
    type Rejection = AppError;

    async fn from_request_parts(parts: &mut Parts, service: &Service) -> Result<Self, AppError> {
        // Who has no business here was answered before: see `who::admit`.
        let visitor = parts.extensions.get::<Visitor>();
        let actor = visitor.and_then(Visitor::actor).ok_or(AppError::SignIn)?;
        Ok(Self {
            store: service.store.clone(),
            actor,
            pages: service.pages.clone(),
            photos: service.photos.clone(),
        })
    }
}
