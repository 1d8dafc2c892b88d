//! The order of the openings of a plan, and which of them is the immediate one.

use crate::domain::frame::Side;
use crate::domain::opening::ask::{Ask, Care, Contact, Trapped};
use crate::domain::opening::result::{CutStatus, PlannedOpening};
use crate::domain::opening::template::Suits;

/// How an opening suits what was asked; better first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fitness {
    /// Suits care and contact.
    Suits,
    /// Suits, if something nobody has said turns out so.
    IfSo,
    /// Gives a way out, or frees, but not all that was asked.
    Partly,
    /// Not for this care; kept only as the immediate way.
    OnlyNow,
}

/// How an opening suits the ask, with the reasons in words. `Err`: it is not
/// offered, and why.
///
/// # Errors
/// It serves nothing that was asked.
pub fn fitness(suits: &Suits, ask: &Ask) -> Result<(Fitness, Vec<String>), String> {
    if !suits.trapped.contains(&ask.trapped) {
        return Err(format!(
            "it is for a patient {}",
            join(suits.trapped.iter().map(|t| trapped_words(*t)))
        ));
    }
    let mut held: Vec<Contact> = ask.contact.clone();
    held.sort_unstable();
    held.dedup();
    let freed: Vec<Contact> = held
        .iter()
        .copied()
        .filter(|c| suits.frees.contains(c))
        .collect();
    if !suits.way_out && freed.is_empty() {
        return Err(match held.is_empty() {
            true => format!(
                "it makes room at the {}, and nothing there is said to touch the patient",
                join(suits.frees.iter().map(|c| c.word()))
            ),
            false => format!(
                "it makes room at the {}, not at the {}",
                join(suits.frees.iter().map(|c| c.word())),
                join(held.iter().map(|c| c.word()))
            ),
        });
    }
    let mut reasons = Vec::new();
    let mut found = Fitness::Suits;
    if !freed.is_empty() {
        reasons.push(format!(
            "makes room at the {}",
            join(freed.iter().map(|c| c.word()))
        ));
    }
    let still: Vec<Contact> = held
        .iter()
        .copied()
        .filter(|c| !freed.contains(c))
        .collect();
    if ask.trapped == Trapped::Pinned && !still.is_empty() {
        found = Fitness::Partly;
        reasons.push(format!(
            "does not free the patient from the {}",
            join(still.iter().map(|c| c.word()))
        ));
    }
    if !suits.way_out {
        reasons.push("makes room, is no way out by itself".to_owned());
    }
    if !suits.care.contains(&ask.care) {
        found = Fitness::OnlyNow;
        let why = format!("not the way for “{}”: {}", ask.care, care_words(suits));
        reasons.insert(0, why);
    }
    Ok((found, reasons))
}

/// Whether it can be the immediate way: a way out when minutes count.
pub fn can_be_immediate(suits: &Suits) -> bool {
    suits.way_out && suits.care.contains(&Care::Now)
}

fn care_words(suits: &Suits) -> String {
    let moves_more = suits.care == [Care::Now];
    match moves_more {
        true => "it moves the patient more, and is for when minutes count".to_owned(),
        false => format!("it is for {}", join(suits.care.iter().map(|c| c.word()))),
    }
}

const fn trapped_words(trapped: Trapped) -> &'static str {
    match trapped {
        Trapped::Not => "who is not trapped",
        Trapped::BySpace => "who lacks the space to get out",
        Trapped::Pinned => "who is pinned",
    }
}

/// Words in a row: "dash, column and pedals".
pub fn join<S: AsRef<str>>(words: impl IntoIterator<Item = S>) -> String {
    let words: Vec<S> = words.into_iter().collect();
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    match words.as_slice() {
        [first @ .., last] if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        _ => words.concat(),
    }
}

/// What openings are put in order by, least first: how they suit; blocked,
/// likely occupied and look-first cuts; unknowns; cuts; id. The patient's own
/// side comes before the far one.
pub fn key(opening: &PlannedOpening, fitness: Fitness, near: &[Side]) -> impl Ord + use<> {
    (
        fitness,
        opening.blocked,
        opening.likely_occupied,
        opening.looks,
        opening.unknowns,
        opening.cuts,
        opening.id.clone(),
        opening.side.is_some_and(|s| !near.contains(&s)),
    )
}

/// What the immediate way is chosen by, least first: room for every cut, fewest
/// cuts, the order in which the openings are listed (out unaided, doors, sides,
/// roof, ends: as the trade tries them), then as [`key`].
pub fn quickest(opening: &PlannedOpening, listed: usize, near: &[Side]) -> impl Ord + use<> {
    (
        opening.status == Some(CutStatus::Blocked),
        opening.cuts,
        listed,
        key(opening, Fitness::Suits, near),
    )
}
