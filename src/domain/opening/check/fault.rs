//! A fault of an opening's data, and where it is.

use std::cell::RefCell;
use std::fmt;
use std::rc::Rc;

/// One step down into the JSON of an opening.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Key {
    Field(&'static str),
    Item(usize),
}

/// One thing wrong.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{wrong}")]
pub struct Fault {
    /// From the opening (or the list of them) to the field at fault.
    pub path: Vec<Key>,
    pub wrong: Wrong,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Wrong {
    #[error("nothing is written here")]
    Empty,
    #[error("this is not an id")]
    NoId,
    #[error("an opening “{0}” is there already")]
    IdTaken(String),
    #[error("a step “{0}” is there already; a step's id stands once in an opening")]
    StepTwice(String),
    #[error("“{0}” is an id that steps added to every opening have")]
    StepReserved(String),
    #[error("{0} words; somebody has to read this aloud in a breath")]
    TooManyWords(usize),
    #[error("no body style has a span “{0}”")]
    UnknownSpan(String),
    #[error("no body style has a door “{0}”")]
    UnknownDoor(String),
    #[error("no body style has a pane “{0}”")]
    UnknownPane(String),
    #[error("nothing stands for “{0}”")]
    UnknownPlaceholder(String),
    #[error("“{0}” is no fact, and no step before this one")]
    UnknownFact(String),
    #[error("rows of seats are counted from 1")]
    NoRow,
    #[error("{value} is not a number from {from} to {to}")]
    OutOfRange { value: f64, from: f64, to: f64 },
    #[error("the range runs from {from} to {to}; its smaller end comes first")]
    RangeTurned { from: f64, to: f64 },
    #[error("{at} lies outside the range of {from} to {to}")]
    OutsideRange { at: f64, from: f64, to: f64 },
    #[error("it presses or lifts, and says nowhere where")]
    NoContacts,
    #[error("it cuts, and says nowhere where")]
    NoPlace,
    #[error("it is no way out, and frees nothing")]
    ServesNothing,
}

impl Wrong {
    /// What would be accepted.
    pub fn accepted(&self) -> String {
        match self {
            Self::Empty => "at least one; a text of at least one letter".to_owned(),
            Self::NoId => {
                "small letters, digits and hyphens, for example “own-side-way”".to_owned()
            }
            Self::IdTaken(_) | Self::StepTwice(_) => "an id that is not taken".to_owned(),
            Self::StepReserved(_) => {
                let kept = super::step::RESERVED.join(", ");
                format!("an id that does not begin with one of: {kept}")
            }
            Self::TooManyWords(_) => format!("at most {} words", super::step::WORDS),
            Self::UnknownSpan(_) | Self::UnknownDoor(_) | Self::UnknownPane(_) => {
                "an id of a body style; {side}, {far} and {door} may stand in it".to_owned()
            }
            Self::UnknownPlaceholder(_) => "{side}, {far} or {door}".to_owned(),
            Self::UnknownFact(_) => {
                use crate::domain::opening::template::Fact;
                let facts: Vec<&str> = Fact::ALL.iter().map(|f| f.word()).collect();
                format!("the id of an earlier step, or one of: {}", facts.join(", "))
            }
            Self::NoRow => "1 or more".to_owned(),
            Self::OutOfRange { from, to, .. } => format!("a number from {from} to {to}"),
            Self::RangeTurned { .. } => "two numbers, the smaller one first".to_owned(),
            Self::OutsideRange { from, to, .. } => format!("a place from {from} to {to}"),
            Self::NoContacts => "at least one contact place".to_owned(),
            Self::NoPlace => "a span with a place, a line on a panel, or a part".to_owned(),
            Self::ServesNothing => "at least one of what it frees".to_owned(),
        }
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Field(name) => write!(f, ".{name}"),
            Self::Item(index) => write!(f, "[{index}]"),
        }
    }
}

/// Gathers faults at a place and further down.
#[derive(Debug, Clone, Default)]
pub struct Faults {
    path: Vec<Key>,
    found: Rc<RefCell<Vec<Fault>>>,
}

impl Faults {
    pub fn at(&self, field: &'static str) -> Self {
        self.below(Key::Field(field))
    }

    pub fn item(&self, index: usize) -> Self {
        self.below(Key::Item(index))
    }

    fn below(&self, key: Key) -> Self {
        let mut path = self.path.clone();
        path.push(key);
        Self {
            path,
            found: Rc::clone(&self.found),
        }
    }

    pub fn add(&self, wrong: Wrong) {
        let path = self.path.clone();
        self.found.borrow_mut().push(Fault { path, wrong });
    }

    /// A text that people read.
    pub fn text(&self, text: &str) {
        if text.trim().is_empty() {
            self.add(Wrong::Empty);
        }
        super::names::placeholders(text, self);
    }

    pub fn into_list(self) -> Vec<Fault> {
        self.found.take()
    }
}
