//! What can be done with a note or a reply, and by which key.

use crate::domain::annotation::{Asker, Remark, Standing};

/// One way for a remark to stand elsewhere.
pub struct Way {
    pub to: Standing,
    /// On its key, after which the remark is named.
    pub name: &'static str,
    pub needs_reason: bool,
}

/// The ways open to who asks.
pub fn ways(remark: &Remark, is_reply: bool, asker: Asker<'_>) -> Vec<Way> {
    let from = remark.standing;
    let open = from.ways(is_reply).iter().copied();
    open.filter(|to| from.may_become(*to, is_reply, asker).is_ok())
        .map(|to| Way {
            to,
            name: name(from, to),
            needs_reason: to.needs_reason(),
        })
        .collect()
}

const fn name(from: Standing, to: Standing) -> &'static str {
    match (from, to) {
        (Standing::Offered, Standing::Open) => "Accept",
        (Standing::Hidden, Standing::Open) => "Show again",
        (_, Standing::Open) => "Open again",
        (_, Standing::Resolved) => "Resolve",
        (_, Standing::Hidden) => "Hide",
        (_, Standing::Declined) => "Decline",
        (_, Standing::Withdrawn) => "Withdraw",
        (_, Standing::Offered) => "Offer",
    }
}
