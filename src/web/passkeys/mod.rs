//! Passkeys (W3C Web Authentication): a way in beside the password. What the
//! device signs is checked by `webauthn-rs`; here stand under which name that
//! happens, what is open between question and answer, and the pages.

mod ceremony;
mod door;
mod keep;
mod party;
mod rows;

pub use ceremony::{HOLDS, Passkeys};
pub use door::{ask_passkey, sign_in_by_passkey};
pub use keep::{back_to_account, change_passkeys};
pub use party::{NoPasskeys, Party};
pub use rows::{PasskeyList, PasskeyRow};
