//! The words of every step that is added to an opening, read from `added.json`:
//! in one place, so that a step reads the same in every opening.

use super::fill::Words;
use crate::domain::opening::step::Step;
use crate::domain::opening::template::StepForm;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// What is added to openings.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Added {
    /// Spans hidden by trim, by id without side; what has to come off.
    behind_trim: BTreeMap<String, String>,
    /// The same for a line on a panel.
    pub panel_trim: String,
    pub belt_anchors: Vec<BeltAnchor>,
    steps: BTreeMap<String, StepForm>,
}

/// Where belts of a row are anchored, before anyone has looked.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BeltAnchor {
    /// Id of the body style's expectation, without side.
    pub expectation: String,
    /// Id of the span, without side.
    pub span: String,
    pub row: u32,
}

/// The words, read once.
pub fn added() -> &'static Added {
    static ADDED: LazyLock<Added> = LazyLock::new(|| {
        serde_json::from_str(include_str!("added.json"))
            .unwrap_or_else(|e| unreachable!("the added steps are part of the program: {e}"))
    });
    &ADDED
}

impl Added {
    /// What has to come off before the span of this id can be seen.
    pub fn trim_of(&self, span: &str) -> Option<&str> {
        self.behind_trim.get(without_side(span)).map(String::as_str)
    }

    /// The step of that name with its words filled in.
    pub fn step(&self, name: &str, words: &Words) -> Step {
        let form = self.steps.get(name);
        let form = form.unwrap_or_else(|| unreachable!("“{name}” is one of the added steps"));
        Step::from(words.step(form))
    }
}

/// `b-pillar.left` → `b-pillar`.
pub fn without_side(id: &str) -> &str {
    id.split_once('.').map_or(id, |(base, _)| base)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_added_step_reads_in_at_most_twelve_words() {
        for (name, step) in &added().steps {
            let words = step.inside.split_whitespace().count();
            assert!((1..=12).contains(&words), "{name}: {words} words");
        }
    }
}
