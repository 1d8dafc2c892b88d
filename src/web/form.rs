//! Fields of a form as they are shown: what was typed, and what is wrong with
//! it. The macros of `templates/form.html` draw them.

/// One field, by the name it is sent under.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Field {
    pub name: String,
    /// As typed; kept when it is wrong.
    pub value: String,
    /// What is wrong and what would be accepted.
    pub error: Option<String>,
}

/// One answer of a field that is chosen, not typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    pub value: String,
    pub label: String,
}

impl Field {
    pub fn new(name: impl Into<String>, value: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            value: value.into(),
            error: None,
        }
    }

    /// The same field, marked wrong.
    pub fn wrong(mut self, error: impl Into<String>) -> Self {
        self.error = Some(error.into());
        self
    }

    /// Its id in the page: the name with what an id cannot hold replaced.
    pub fn id(&self) -> String {
        let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
        format!("f-{}", self.name.chars().map(plain).collect::<String>())
    }

    /// Ids of what describes it, for `aria-describedby`.
    pub fn described_by(&self, hint: &str) -> String {
        let id = self.id();
        match (hint.is_empty(), self.error.is_some()) {
            (true, false) => String::new(),
            (false, false) => format!("{id}-hint"),
            (true, true) => format!("{id}-error"),
            (false, true) => format!("{id}-error {id}-hint"),
        }
    }

    /// Whether this choice is the one taken.
    pub fn is(&self, value: &str) -> bool {
        self.value == value
    }
}

impl Choice {
    /// So many days, of how long something is to work.
    pub fn days(days: i64) -> Self {
        Self::new(days.to_string(), format!("{days} days"))
    }

    pub fn new(value: impl Into<String>, label: impl Into<String>) -> Self {
        Self {
            value: value.into(),
            label: label.into(),
        }
    }
}
