//! Short ids that a card hands out: `f12`, `c7`, `n3`. A number is never used
//! twice, and no id that came from elsewhere stops the counting, whatever its
//! number.

use std::collections::BTreeSet;

/// Higher numbers were not counted up to: they came with an id from elsewhere, and
/// counting does not go on from them.
const MOST_COUNTED: u64 = 999_999;

/// Hands out the free ids of one letter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FreeNumbers {
    letter: char,
    last: u64,
    /// Taken numbers that are not counted on from.
    beyond: BTreeSet<u64>,
}

impl FreeNumbers {
    pub const fn of(letter: char) -> Self {
        Self {
            letter,
            last: 0,
            beyond: BTreeSet::new(),
        }
    }

    /// Notes an id that is taken; one of another form is nobody's number.
    pub fn take(&mut self, id: &str) {
        let digits = id.strip_prefix(self.letter);
        match digits.and_then(|digits| digits.parse().ok()) {
            None => {}
            Some(number) if number <= MOST_COUNTED => self.last = self.last.max(number),
            Some(number) => {
                self.beyond.insert(number);
            }
        }
    }

    /// The next free id.
    pub fn next_id(&mut self) -> String {
        self.last += 1;
        while self.beyond.contains(&self.last) {
            self.last += 1;
        }
        format!("{}{}", self.letter, self.last)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn next_after(taken: &[&str]) -> String {
        let mut numbers = FreeNumbers::of('f');
        taken.iter().for_each(|id| numbers.take(id));
        numbers.next_id()
    }

    #[test]
    fn counting_goes_on_after_the_highest_number_and_past_ids_of_another_form() {
        assert_eq!(next_after(&[]), "f1");
        assert_eq!(next_after(&["f2", "f7", "c9", "b1", "f", "f-3"]), "f8");
    }

    #[test]
    fn no_number_from_elsewhere_stops_the_counting() {
        for huge in [
            "f4294967295",
            "f4294967296",
            "f18446744073709551615",
            "f99999999999999999999",
        ] {
            assert_eq!(next_after(&["f3", huge]), "f4", "{huge}");
        }
    }

    #[test]
    fn at_the_end_of_what_is_counted_every_id_is_still_given_once() {
        let mut taken = vec!["f999999".to_owned(), "f1000001".to_owned()];
        for expected in ["f1000000", "f1000002", "f1000003"] {
            let known: Vec<&str> = taken.iter().map(String::as_str).collect();
            let next = next_after(&known);
            assert_eq!(next, expected);
            taken.push(next);
        }
    }
}
