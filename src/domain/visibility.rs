//! How far a card reaches beyond the department whose card it is.

use super::vehicle::words;

words! {
    /// Who may read a card, least first. Reading only: what others offer is kept
    /// apart until an officer of the card's department accepts it.
    Visibility { Department = "department", Partners = "partners", Everyone = "everyone" }
}

impl Visibility {
    /// As a page says it.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Department => "this department only",
            Self::Partners => "mutual-aid partners",
            Self::Everyone => "every department here",
        }
    }
}
