//! Putting steps in an order that keeps every rule in force, and checking an
//! order somebody else made.

use super::rule::Rules;
use crate::domain::opening::step::Step;

/// Rules that cannot all be kept by these steps; their ids and the steps left.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the steps {} cannot be put in order: each waits for another", .0.join(", "))]
pub struct Cycle(pub Vec<String>);

/// A rule that an order breaks; `first` and `then` are indexes of steps, of which
/// `first` should come earlier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    pub rule: String,
    pub first: usize,
    pub then: usize,
    pub because: String,
}

/// The steps in an order that keeps every rule, and else the order they came in:
/// always the earliest step that waits for none.
///
/// # Errors
/// The rules run in a circle over these steps.
pub fn sort(steps: Vec<Step>, rules: &Rules) -> Result<Vec<Step>, Cycle> {
    let edges: Vec<_> = waits(&steps, rules)
        .iter()
        .map(|w| (w.first, w.then))
        .collect();
    let order = match earliest_first(steps.len(), &edges) {
        Ok(order) => order,
        Err(left) => {
            return Err(Cycle(
                left.into_iter().map(|i| steps[i].form.id.clone()).collect(),
            ));
        }
    };
    let mut steps: Vec<Option<Step>> = steps.into_iter().map(Some).collect();
    Ok(order.into_iter().filter_map(|i| steps[i].take()).collect())
}

/// Every rule that an order breaks: of each rule and each step it binds, the
/// first step that should have come before it.
pub fn check(steps: &[Step], rules: &Rules) -> Vec<Broken> {
    let mut found = Vec::new();
    for wait in waits(steps, rules) {
        let late = wait.first > wait.then;
        let known = |b: &Broken| b.rule == wait.rule && b.then == wait.then;
        if late && !found.iter().any(known) {
            found.push(Broken {
                rule: wait.rule.to_owned(),
                first: wait.first,
                then: wait.then,
                because: wait.because,
            });
        }
    }
    found.sort_by_key(|b| (b.then, b.first));
    found
}

/// Step `then` waits for step `first`.
struct Wait<'a> {
    first: usize,
    then: usize,
    rule: &'a str,
    because: String,
}

/// What a step's own `before` names when it is another step.
const ASKED: &str = "asked-by-the-step";

fn waits<'a>(steps: &'a [Step], rules: &'a Rules) -> Vec<Wait<'a>> {
    let mut found = Vec::new();
    for rule in rules.iter() {
        for (then, later) in steps.iter().enumerate() {
            if rule.then_last && steps[then + 1..].iter().any(|s| rule.then.takes(s)) {
                continue;
            }
            let bound = |(_, earlier): &(usize, &Step)| rule.binds(earlier, later);
            let firsts = steps.iter().enumerate().filter(bound);
            found.extend(firsts.map(|(first, _)| Wait {
                first,
                then,
                rule: &rule.id,
                because: rule.because.clone(),
            }));
        }
    }
    for (then, later) in steps.iter().enumerate() {
        for asked in &later.form.before {
            if let Some(first) = steps.iter().position(|s| s.form.id == *asked) {
                let because = format!(
                    "“{}” waits for “{}”",
                    in_words(later),
                    in_words(&steps[first])
                );
                found.push(Wait {
                    first,
                    then,
                    rule: ASKED,
                    because,
                });
            }
        }
    }
    found
}

/// A step by the first words of what the crew does.
fn in_words(step: &Step) -> &str {
    let crew = step.form.crew.as_str();
    let end = crew.find(['.', ';', ':']).unwrap_or(crew.len());
    crew[..end].trim()
}

/// Topological order of `count` nodes, always taking the smallest free one
/// (Kahn's algorithm).
///
/// # Errors
/// The nodes left when none is free.
pub fn earliest_first(count: usize, edges: &[(usize, usize)]) -> Result<Vec<usize>, Vec<usize>> {
    let mut waits = vec![0usize; count];
    for (_, then) in edges {
        waits[*then] += 1;
    }
    let mut left: Vec<usize> = (0..count).collect();
    let mut order = Vec::with_capacity(count);
    while let Some(at) = left.iter().position(|i| waits[*i] == 0) {
        let next = left.remove(at);
        order.push(next);
        for (_, then) in edges.iter().filter(|(first, _)| *first == next) {
            waits[*then] -= 1;
        }
    }
    if left.is_empty() {
        Ok(order)
    } else {
        Err(left)
    }
}
