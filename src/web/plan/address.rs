//! The address of a plan: everything asked, and nothing else. It can be kept,
//! sent and gone back to; nothing about a patient is stored anywhere.

use form_urlencoded::{Serializer, parse};

/// Names an address may hold that stand alone.
const NAMES: [&str; 15] = [
    "seat", "care", "trapped", "contact", "hand", "resting", "off", "year", "drive", "wheel",
    "roof", "region", "look", "open", "order",
];
/// Beginnings of names that go on with a bag, a source of power, a tool's number
/// or a rule.
const FAMILIES: [&str; 4] = ["fired-", "iso-", "tool-", "keep-"];
/// Names that may be given more than once.
const MANY: [&str; 4] = ["seat", "contact", "off", "look"];
/// The name under which a form of the page carries the whole address.
const WHOLE: &str = "ask";

/// Name and value pairs below one page, in the order given; no empty values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Address {
    base: String,
    pairs: Vec<(String, String)>,
}

impl Address {
    /// What of a query belongs to the plan; the rest is what a button asks for.
    pub fn of(base: String, query: &[(String, String)]) -> (Self, Vec<(String, String)>) {
        let whole = query.iter().filter(|(name, _)| name == WHOLE);
        let carried = whole.flat_map(|(_, value)| parse(value.as_bytes()).into_owned());
        let given = query.iter().filter(|(name, _)| name != WHOLE).cloned();
        let mut address = Self {
            base,
            pairs: Vec::new(),
        };
        let mut asked = Vec::new();
        for (name, value) in carried.chain(given) {
            let value = value.trim();
            if belongs(&name) {
                address.take(&name, value);
            } else {
                asked.push((name, value.to_owned()));
            }
        }
        (address, asked)
    }

    /// A value that stands once takes the place of an earlier one, empty or not.
    fn take(&mut self, name: &str, value: &str) {
        let many = MANY.contains(&name);
        self.pairs
            .retain(|(n, v)| n != name || (many && v != value));
        if !value.is_empty() {
            self.pairs.push((name.to_owned(), value.to_owned()));
        }
    }

    pub fn pairs(&self) -> &[(String, String)] {
        &self.pairs
    }

    /// The value of a name; of a repeated one the last.
    pub fn value(&self, name: &str) -> Option<&str> {
        let mut own = self.pairs.iter().rev().filter(|(n, _)| n == name);
        own.next().map(|(_, value)| value.as_str())
    }

    /// Every value of a name.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        let own = self.pairs.iter().filter(move |(n, _)| n == name);
        own.map(|(_, value)| value.as_str())
    }

    /// The same with one value for a name.
    pub fn with(&self, name: &str, value: &str) -> Self {
        self.without(name).and(name, value)
    }

    /// The same with one more value for a name.
    pub fn and(mut self, name: &str, value: &str) -> Self {
        self.pairs.push((name.to_owned(), value.to_owned()));
        self
    }

    /// The same without a name, or without all that begins so where it ends in
    /// a hyphen.
    pub fn without(&self, name: &str) -> Self {
        let mut left = self.clone();
        left.pairs.retain(|(own, _)| match name.ends_with('-') {
            true => !own.starts_with(name),
            false => own != name,
        });
        left
    }

    /// The same without one value of a name.
    pub fn less(&self, name: &str, value: &str) -> Self {
        let mut left = self.clone();
        left.pairs.retain(|(n, v)| n != name || v != value);
        left
    }

    /// What stands after the `?`, for a form that carries it on.
    pub fn query(&self) -> String {
        let mut query = Serializer::new(String::new());
        query.extend_pairs(&self.pairs);
        query.finish()
    }

    /// The page's own address, without a query.
    pub fn page(&self) -> &str {
        &self.base
    }

    pub fn href(&self) -> String {
        format!("{}?{}", self.base, self.query())
    }
}

fn belongs(name: &str) -> bool {
    NAMES.contains(&name) || FAMILIES.iter().any(|start| name.starts_with(start))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairs(all: &[(&str, &str)]) -> Vec<(String, String)> {
        let owned = all.iter().map(|(n, v)| ((*n).to_owned(), (*v).to_owned()));
        owned.collect()
    }

    #[test]
    fn an_address_carried_by_a_form_comes_back_whole_and_the_button_apart() {
        let (first, _) = Address::of(
            "/cards/1/plan".to_owned(),
            &pairs(&[
                ("seat", "front-left"),
                ("look", "b-pillar.left:380:520:bare"),
            ]),
        );
        let query = first.query();
        let sent = pairs(&[("ask", &query), ("move", "part-b-foot:up")]);
        let (again, asked) = Address::of("/cards/1/plan".to_owned(), &sent);
        assert_eq!(again, first);
        assert_eq!(asked, pairs(&[("move", "part-b-foot:up")]));
    }

    #[test]
    fn what_is_empty_or_no_part_of_a_plan_is_left_out() {
        let sent = pairs(&[("care", " gentle "), ("year", ""), ("name", "somebody")]);
        let (address, asked) = Address::of("/plan".to_owned(), &sent);
        assert_eq!(address.href(), "/plan?care=gentle");
        assert_eq!(asked, pairs(&[("name", "somebody")]));
    }

    #[test]
    fn a_later_answer_takes_the_place_of_an_earlier_one_but_looks_add_up() {
        let sent = pairs(&[
            ("ask", "care=now&look=a%3A1%3A2%3Abare&hand=yes"),
            ("care", "gentle"),
            ("hand", ""),
            ("look", "b:1:2:bare"),
        ]);
        let (address, _) = Address::of("/plan".to_owned(), &sent);
        assert_eq!(address.value("care"), Some("gentle"));
        assert_eq!(address.value("hand"), None);
        assert_eq!(address.all("look").count(), 2);
    }

    #[test]
    fn names_of_one_family_leave_together() {
        let sent = pairs(&[("keep-a", "x"), ("keep-b", "y"), ("keepsake", "z")]);
        let (address, _) = Address::of("/plan".to_owned(), &sent);
        assert_eq!(address.without("keep-").href(), "/plan?");
    }
}
