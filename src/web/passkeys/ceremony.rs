//! What is open between a question to a device and its answer: kept in memory, by
//! a secret only the asking page knows, for a few minutes, and used once. It is
//! never sent out: whoever could bring it back could answer twice.

use crate::secret;
use crate::store::{MemberId, SessionId};
use moka::future::Cache;
use moka::policy::EvictionPolicy;
use std::sync::Arc;
use time::{Duration, OffsetDateTime};
use webauthn_rs::prelude::{DiscoverableAuthentication, PasskeyRegistration};

/// How long a question may be answered.
pub const HOLDS: Duration = Duration::minutes(5);
/// How long the device waits for a finger; the answer has the rest to come in.
pub(super) const TIME_TO_ANSWER: std::time::Duration = std::time::Duration::from_secs(4 * 60);
/// Open questions of a kind at once; the oldest goes for a new one. About 1 KiB
/// each.
const AT_ONCE: u64 = 10_000;

/// Open questions of one kind; cloning is cheap.
#[derive(Debug, Clone)]
pub struct Ceremonies<T: Send + Sync + 'static>(Cache<String, Arc<Begun<T>>>);

#[derive(Debug)]
struct Begun<T> {
    at: OffsetDateTime,
    about: T,
}

impl<T: Send + Sync + 'static> Default for Ceremonies<T> {
    fn default() -> Self {
        let holds = HOLDS.unsigned_abs();
        Self(
            Cache::builder()
                .max_capacity(AT_ONCE)
                .eviction_policy(EvictionPolicy::lru())
                .time_to_live(holds)
                .build(),
        )
    }
}

impl<T: Clone + Send + Sync + 'static> Ceremonies<T> {
    /// Opens one, and says by which secret it is answered.
    pub async fn begin(&self, about: T, now: OffsetDateTime) -> String {
        let secret = secret::draw();
        let begun = Arc::new(Begun { at: now, about });
        self.0.insert(secret.clone(), begun).await;
        secret
    }

    /// Takes one away to be answered; `None` where it was taken before or is too
    /// old.
    pub async fn take(&self, secret: &str, now: OffsetDateTime) -> Option<T> {
        let begun = self.0.remove(secret).await?;
        (now - begun.at < HOLDS).then(|| begun.about.clone())
    }
}

/// A passkey being made.
#[derive(Debug, Clone)]
pub struct Adding {
    /// By whom, and in which browser.
    pub member: MemberId,
    pub session: SessionId,
    pub label: String,
    /// The name it is made under.
    pub party: String,
    pub state: PasskeyRegistration,
}

/// Everything that is open; cloning is cheap.
#[derive(Debug, Clone, Default)]
pub struct Passkeys {
    pub(super) adding: Ceremonies<Adding>,
    pub(super) signing_in: Ceremonies<DiscoverableAuthentication>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::datetime;

    const NOW: OffsetDateTime = datetime!(2026-03-05 10:00 UTC);

    #[tokio::test]
    async fn a_question_is_answered_once_by_its_own_secret_and_within_five_minutes() {
        let open: Ceremonies<u8> = Ceremonies::default();
        let (first, second) = (open.begin(1, NOW).await, open.begin(2, NOW).await);
        assert_eq!(open.take("another", NOW).await, None);
        assert_eq!(open.take(&first, NOW).await, Some(1));
        assert_eq!(open.take(&first, NOW).await, None, "a second time");
        assert_eq!(open.take(&second, NOW + HOLDS).await, None, "too late");
        assert_eq!(
            open.take(&second, NOW).await,
            None,
            "gone with the late try"
        );
        let third = open.begin(3, NOW).await;
        let last = NOW + HOLDS - Duration::SECOND;
        assert_eq!(open.take(&third, last).await, Some(3));
    }

    #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
    async fn of_many_who_answer_at_once_one_is_heard() {
        let open: Ceremonies<u8> = Ceremonies::default();
        for _ in 0..50 {
            let secret = open.begin(1, NOW).await;
            let all: Vec<_> = (0..8)
                .map(|_| {
                    let (open, secret) = (open.clone(), secret.clone());
                    tokio::spawn(async move { open.take(&secret, NOW).await })
                })
                .collect();
            let mut heard = 0;
            for one in all {
                heard += usize::from(one.await.unwrap().is_some());
            }
            assert_eq!(heard, 1);
        }
    }

    #[tokio::test]
    async fn many_open_questions_push_out_the_oldest_and_no_new_one() {
        let open: Ceremonies<u64> = Ceremonies::default();
        let oldest = open.begin(0, NOW).await;
        for n in 0..AT_ONCE + 500 {
            open.begin(n, NOW).await;
        }
        let newest = open.begin(7, NOW).await;
        open.0.run_pending_tasks().await;
        assert!(open.0.entry_count() <= AT_ONCE);
        assert_eq!(open.take(&newest, NOW).await, Some(7));
        assert_eq!(open.take(&oldest, NOW).await, None);
    }
}
