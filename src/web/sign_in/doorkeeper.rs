//! Hashes passwords, checks them, and says how long to wait after failed tries.
//!
//! argon2id with 19 MiB, two passes and one lane (OWASP Password Storage Cheat
//! Sheet, first choice). Hashing runs beside the requests and few at a time, so
//! that many sign-ins at once take time, not memory.
//!
//! Waiting slows down who guesses and shuts nobody out: no wait is longer than a
//! minute, a try made too early is not counted, what others try on an account does
//! not touch a browser somebody has signed in to it on before, one address alone
//! never makes an account wait elsewhere, and behind an address where others fail
//! an account waits only once it has failed there itself: the right password of a
//! whole station gets in at once.

use crate::store::{Failures, Store, StoreError};
use crate::web::error::AppError;
use crate::web::who::Secure;
use argon2::password_hash::phc::PasswordHash;
use argon2::{Algorithm, Argon2, Params, PasswordHasher, PasswordVerifier, Version};
use std::net::IpAddr;
use std::sync::Arc;
use time::{Duration, OffsetDateTime};
use tokio::sync::Semaphore;
use tokio::task::spawn_blocking;

/// How many passwords are hashed at once: 19 MiB each.
const AT_ONCE: usize = 2;
/// The longest wait between tries.
const LONGEST_WAIT: Duration = Duration::minutes(1);
/// Failed tries without a wait: on one account from one address, on one account
/// from anywhere (of which one address adds no more than the free ones of its own),
/// from one address on any account.
const FREE_HERE: i64 = 5;
const FREE_ON_ACCOUNT: i64 = 20;
const FREE_FROM_ADDRESS: i64 = 50;
/// Characters of an account's name that are told apart: more than any has.
const NAME_LENGTH: usize = 80;
/// Checked where there is no such account, so that both take as long.
const NOBODY: &str = "$argon2id$v=19$m=19456,t=2,p=1$OZnYMD1A0SqJuJkGdW2b/A$5kk7Ij0SSNbAehKGvB4lhlDEOA+tBFGeOjHAWcEga6c";

/// Checks passwords and slows down who guesses; cloning is cheap.
#[derive(Debug, Clone)]
pub struct Doorkeeper {
    /// Whether cookies are for TLS alone.
    pub secure: Secure,
    params: Params,
    at_once: Arc<Semaphore>,
}

impl Default for Doorkeeper {
    fn default() -> Self {
        Self {
            secure: Secure::default(),
            params: Params::new(19 * 1024, 2, 1, None).expect("within argon2's limits"),
            at_once: Arc::new(Semaphore::new(AT_ONCE)),
        }
    }
}

/// A try at an account: who, from where, on a browser known to them or not.
/// Without a name, of nobody known, it counts on the address alone.
#[derive(Debug, Clone)]
pub struct Try<'a> {
    pub account: &'a str,
    pub address: Option<IpAddr>,
    pub known_browser: bool,
}

impl Doorkeeper {
    /// With the least work argon2 allows, for tests alone: no password that was
    /// hashed so is kept from anybody.
    pub fn hasty() -> Self {
        Self {
            params: Params::new(8, 1, 1, None).expect("argon2's least"),
            ..Self::default()
        }
    }

    fn argon2(&self) -> Argon2<'static> {
        Argon2::new(Algorithm::Argon2id, Version::V0x13, self.params.clone())
    }

    /// The hash of a new password, in PHC form with a salt of its own.
    ///
    /// # Errors
    /// The operating system gives no random salt.
    pub async fn hash(&self, password: &str) -> Result<String, AppError> {
        let (argon2, password) = (self.argon2(), password.to_owned());
        let hash = self
            .beside(move || {
                let hash: Result<PasswordHash, _> = argon2.hash_password(password.as_bytes());
                hash.map(|h| h.to_string())
            })
            .await?;
        hash.map_err(|e| AppError::Internal(format!("hashing: {e}").into()))
    }

    /// Whether a password is the one that was hashed; `None` stands for an account
    /// there is not, and takes as long.
    ///
    /// # Errors
    /// The process is stopping.
    pub async fn is_right(&self, password: &str, hash: Option<&str>) -> Result<bool, AppError> {
        let argon2 = self.argon2();
        let (password, known) = (password.to_owned(), hash.is_some());
        let hash = hash.unwrap_or(NOBODY).to_owned();
        self.beside(move || {
            PasswordHash::new(&hash)
                .is_ok_and(|hash| argon2.verify_password(password.as_bytes(), &hash).is_ok())
                && known
        })
        .await
    }

    async fn beside<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, AppError> {
        let stopped = |e: Box<dyn std::error::Error + Send + Sync>| AppError::Internal(e);
        let _turn = self
            .at_once
            .acquire()
            .await
            .map_err(|e| stopped(e.into()))?;
        spawn_blocking(work).await.map_err(|e| stopped(e.into()))
    }

    /// Whole seconds to wait before a try may be made; zero: now.
    ///
    /// # Errors
    /// The store failed.
    pub async fn wait(
        &self,
        store: &Store,
        asked: &Try<'_>,
        now: OffsetDateTime,
    ) -> Result<u64, StoreError> {
        let Counts { here, wider } = Counts::of(asked);
        let failed_here = store.failures(&here.0).await?.is_some();
        let mut counted = vec![here];
        if let Some(Wider { account, address }) = wider {
            counted.push((account, FREE_ON_ACCOUNT));
            counted.extend(failed_here.then_some((address, FREE_FROM_ADDRESS)));
        }
        let mut longest = Duration::ZERO;
        for (what, free) in counted {
            if let Some(failures) = store.failures(&what).await? {
                longest = longest.max(wait_after(failures, free, now));
            }
        }
        Ok(longest.as_seconds_f64().ceil() as u64)
    }

    /// Counts a failed try.
    ///
    /// # Errors
    /// The store failed.
    pub async fn failed(
        &self,
        store: &Store,
        asked: &Try<'_>,
        now: OffsetDateTime,
    ) -> Result<(), StoreError> {
        let Counts { here, wider } = Counts::of(asked);
        let before = store.failures(&here.0).await?;
        store.note_failure(&here.0, now).await?;
        let Some(Wider { account, address }) = wider else {
            return Ok(());
        };
        store.note_failure(&address, now).await?;
        // More of it says nothing new of the account, only of who sits there.
        if before.is_none_or(|before| before.count < FREE_HERE) {
            store.note_failure(&account, now).await?;
        }
        Ok(())
    }

    /// Forgets the failed tries on an account from here.
    ///
    /// # Errors
    /// The store failed.
    pub async fn succeeded(&self, store: &Store, asked: &Try<'_>) -> Result<(), StoreError> {
        store.forget_failures(&Counts::of(asked).here.0).await
    }
}

/// What a failed try is counted under.
struct Counts {
    /// The account from this address, with how many failures are free.
    here: (String, i64),
    /// None for a browser known to the account, and for nobody known.
    wider: Option<Wider>,
}

struct Wider {
    /// The account, from anywhere.
    account: String,
    /// This address, on any account.
    address: String,
}

impl Counts {
    fn of(asked: &Try<'_>) -> Self {
        let account = asked.account.to_lowercase();
        let account: String = account.chars().take(NAME_LENGTH).collect();
        let address = asked.address.map_or("unknown".to_owned(), subscriber);
        let on_address = format!("address {address}");
        if account.is_empty() {
            return Self {
                here: (on_address, FREE_FROM_ADDRESS),
                wider: None,
            };
        }
        Self {
            here: (format!("account {account} from {address}"), FREE_HERE),
            wider: (!asked.known_browser).then(|| Wider {
                account: format!("account {account}"),
                address: on_address,
            }),
        }
    }
}

/// Whom an address belongs to: of IPv6, who has one has the other 2⁶⁴ of the same
/// prefix as well (RFC 6177).
fn subscriber(address: IpAddr) -> String {
    match address.to_canonical() {
        IpAddr::V4(v4) => v4.to_string(),
        IpAddr::V6(v6) => {
            let [a, b, c, d, ..] = v6.segments();
            format!("{a:x}:{b:x}:{c:x}:{d:x}::/64")
        }
    }
}

/// One second after the first failure too many, doubled with each more.
fn wait_after(failures: Failures, free: i64, now: OffsetDateTime) -> Duration {
    let over = failures.count - free;
    if over < 0 {
        return Duration::ZERO;
    }
    let doubled = Duration::seconds(1_i64 << over.min(6));
    let until = failures.last_at + doubled.min(LONGEST_WAIT);
    (until - now).max(Duration::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::datetime;

    const NOW: OffsetDateTime = datetime!(2026-03-05 10:00 UTC);

    #[test]
    fn waits_double_and_end_at_a_minute() {
        let after = |count| {
            let last_at = NOW;
            wait_after(Failures { count, last_at }, FREE_HERE, NOW).whole_seconds()
        };
        assert_eq!([4, 5, 6, 9, 11, 5_000].map(after), [0, 1, 2, 16, 60, 60]);
        let long_ago = Failures {
            count: 5_000,
            last_at: NOW - Duration::minutes(1),
        };
        assert_eq!(wait_after(long_ago, FREE_HERE, NOW), Duration::ZERO);
    }

    #[tokio::test]
    async fn a_password_is_right_for_its_own_hash_alone() {
        let door = Doorkeeper::hasty();
        let hash = door.hash("four plain words here").await.unwrap();
        assert!(hash.starts_with("$argon2id$v=19$m=8,t=1,p=1$"), "{hash}");
        assert_ne!(hash, door.hash("four plain words here").await.unwrap());
        assert!(
            door.is_right("four plain words here", Some(&hash))
                .await
                .unwrap()
        );
        assert!(
            !door
                .is_right("four plain words", Some(&hash))
                .await
                .unwrap()
        );
        assert!(!door.is_right("four plain words", None).await.unwrap());
        assert!(
            PasswordHash::new(NOBODY).is_ok(),
            "checking nobody takes as long"
        );
    }

    #[test]
    fn passwords_are_hashed_as_owasp_asks() {
        // OWASP Password Storage Cheat Sheet: argon2id, 19 MiB, t = 2, p = 1.
        let params = Doorkeeper::default().params;
        let asked = (params.m_cost(), params.t_cost(), params.p_cost());
        assert_eq!(asked, (19 * 1024, 2, 1));
    }

    #[test]
    fn argon2id_gives_the_tag_of_rfc_9106() {
        // RFC 9106, section 5.3.
        let params = argon2::ParamsBuilder::new()
            .m_cost(32)
            .t_cost(3)
            .p_cost(4)
            .data(argon2::AssociatedData::new(&[4; 12]).unwrap())
            .build()
            .unwrap();
        let argon2 =
            Argon2::new_with_secret(&[3; 8], Algorithm::Argon2id, Version::V0x13, params).unwrap();
        let mut tag = [0; 32];
        argon2
            .hash_password_into(&[1; 32], &[2; 16], &mut tag)
            .unwrap();
        let hex: String = tag.iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(
            hex,
            "0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659"
        );
    }
}
