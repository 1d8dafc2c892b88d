//! A member's own order of one opening's steps: taken as it is, every rule it
//! breaks flagged.

use super::opening::Draft;
use crate::domain::frame::Side;
use crate::domain::opening::ask::{Ask, OwnOrder};
use crate::domain::opening::order::{self, Rules};
use crate::domain::opening::result::Flag;
use crate::domain::opening::step::Step;

/// What is wrong with a member's own order.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum OrderError {
    #[error("no opening “{0}” is offered here; only an opening of this plan has an order")]
    NotOffered(String),
    #[error("step “{0}” is not one of this opening's steps")]
    Unknown(String),
    #[error("step “{0}” stands twice; every step once")]
    Twice(String),
    #[error("step “{0}” is missing; every step once")]
    Missing(String),
}

/// The flags of one opening.
pub struct Flagged {
    opening: String,
    side: Option<Side>,
    flags: Vec<Flag>,
}

impl Flagged {
    /// The flags, if they are of this opening.
    pub fn of(&self, opening: &str, side: Option<Side>) -> &[Flag] {
        let same = self.opening == opening && self.side == side;
        if same { &self.flags } else { &[] }
    }
}

/// Puts the steps of one opening in the member's own order and flags every rule
/// it breaks. Nothing else is changed. `None`: no order is asked.
///
/// # Errors
/// The opening is not there, or the order does not name every step once.
pub fn put(
    drafts: &mut [Draft],
    rules: &Rules,
    ask: &Ask,
) -> Result<Option<Flagged>, Vec<OrderError>> {
    let Some(own) = &ask.order else {
        return Ok(None);
    };
    let asked = |d: &&mut Draft| d.opening.id == own.opening && d.side == own.side;
    let Some(draft) = drafts.iter_mut().find(asked) else {
        return Err(vec![OrderError::NotOffered(own.opening.clone())]);
    };
    draft.steps = ordered(std::mem::take(&mut draft.steps), own)?;
    let flags = order::check(&draft.steps, rules)
        .into_iter()
        .map(|broken| Flag {
            first: broken.first + 1,
            then: broken.then + 1,
            kept: own.kept.get(&broken.rule).cloned(),
            because: broken.because,
            rule: broken.rule,
        });
    Ok(Some(Flagged {
        opening: own.opening.clone(),
        side: own.side,
        flags: flags.collect(),
    }))
}

fn ordered(mut left: Vec<Step>, own: &OwnOrder) -> Result<Vec<Step>, Vec<OrderError>> {
    let mut errors = Vec::new();
    let mut ordered: Vec<Step> = Vec::with_capacity(left.len());
    for id in &own.steps {
        match left.iter().position(|s| s.form.id == *id) {
            Some(at) => ordered.push(left.remove(at)),
            None if ordered.iter().any(|s| s.form.id == *id) => {
                errors.push(OrderError::Twice(id.clone()));
            }
            None => errors.push(OrderError::Unknown(id.clone())),
        }
    }
    errors.extend(left.into_iter().map(|s| OrderError::Missing(s.form.id)));
    if errors.is_empty() {
        Ok(ordered)
    } else {
        Err(errors)
    }
}
