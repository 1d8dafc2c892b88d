//! What every handler can reach: the store, who acts, and the kept pages.

use super::page_cache::PageCache;
use crate::store::Actor;
use std::sync::Arc;

/// Shared by every request; cloning is cheap.
#[derive(Debug, Clone)]
pub struct AppState {
    /// The one local member, until members sign in.
    pub actor: Arc<Actor>,
    /// Compressed pages, by card and revision.
    pub pages: PageCache,
}

impl AppState {
    /// State for a service acting as one local member.
    pub fn new(actor: Actor) -> Self {
        Self {
            actor: Arc::new(actor),
            pages: PageCache::default(),
        }
    }
}
