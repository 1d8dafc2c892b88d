//! The order of steps. [`rule`]s are data (before, after, because, source);
//! [`sort`](mod@sort) keeps every rule in force and checks a member's own order,
//! which it flags and never changes.

pub mod rule;
pub mod sort;
#[cfg(test)]
mod tests;

pub use rule::{NotSwitchable, Rule, Rules, Selector, Share, all};
pub use sort::{Broken, Cycle, check, earliest_first, sort};
