//! Who may sign in, and what they may do: roles, passwords, passkeys, sessions,
//! links that work once, and failed sign-ins.

pub mod contract;
mod credentials;
mod failures;
mod invitations;
mod keys;
mod once_links;
mod passkeys;
mod people;
mod resets;
mod roles;
mod sessions;
mod set_up;

pub(super) use roles::{read_roles, write_roles};
