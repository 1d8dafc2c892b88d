//! Signing in with a password, signing out, and one's own account.

mod account;
mod again;
mod doorkeeper;
mod page;
mod password;

pub use account::{change_account, show_account};
pub use again::is_own_password;
pub use doorkeeper::Doorkeeper;
pub use page::{From, ReadyAccount, begin, show_sign_in, sign_in, sign_out};
pub use password::{
    SIGN_IN_NAME, check_new_password, check_sign_in_name, forget_passwords, refuse_taken,
};
