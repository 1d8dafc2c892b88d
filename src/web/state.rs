//! What every handler can reach: the store, who acts, and the kept pages.

use super::page_cache::PageCache;
use crate::store::{Actor, Store};
use std::sync::Arc;

/// Shared by every request; cloning is cheap.
#[derive(Debug, Clone)]
pub struct AppState {
    /// Departments, cards, findings, revisions.
    pub store: Store,
    /// The one local member, until members sign in.
    pub actor: Arc<Actor>,
    /// Compressed pages, by card and revision.
    pub pages: PageCache,
}

impl AppState {
    /// State for a service acting as one local member.
    pub fn new(store: Store, actor: Actor) -> Self {
        Self {
            store,
            actor: Arc::new(actor),
            pages: PageCache::default(),
        }
    }
}
