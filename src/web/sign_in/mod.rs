//! Signing in with a password, signing out, and one's own account.

mod account;
mod again;
mod doorkeeper;
mod page;
mod password;

pub use account::{account_page, change_account, show_account};
pub use again::is_own_password;
pub use doorkeeper::{Doorkeeper, Try};
pub use page::{
    From, ReadyAccount, begin, knows_browser, same_site, show_sign_in, sign_in, sign_in_page,
    sign_out, wait_first,
};
pub use password::{
    SIGN_IN_NAME, check_new_password, check_sign_in_name, forget_passwords, refuse_taken,
};
