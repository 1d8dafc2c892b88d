//! From a field's text to a value, or to one fault that says what would do.

use super::{Typed, repeated};
use crate::domain::units::{Unit, parse_length};
use std::ops::RangeInclusive;
use std::str::FromStr;
use time::macros::format_description;
use time::{Date, Duration};

/// A field's name and what the page calls it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asked<'a> {
    pub name: &'a str,
    pub label: &'a str,
}

impl<'a> Asked<'a> {
    pub const fn new(name: &'a str, label: &'a str) -> Self {
        Self { name, label }
    }
}

/// Characters of a name of a person, a department or a program.
const NAME_LENGTH: usize = 80;

impl Typed {
    /// A name of a person, a department or a program, or a fault beside its field.
    pub fn name(&mut self, field: Asked<'_>) -> String {
        let name = self.value(field.name).trim().to_owned();
        let length = name.chars().count();
        if length == 0 || length > NAME_LENGTH || name.chars().any(char::is_control) {
            let said = format!("{length} characters; 1 to {NAME_LENGTH} are accepted");
            self.refuse(field, said);
        }
        name
    }

    /// How long something is to work: one of these numbers of days.
    pub fn term(&mut self, field: Asked<'_>, terms: &[i64]) -> Option<Duration> {
        let days = self.value(field.name).parse().ok();
        let days = days.filter(|days| terms.contains(days));
        if days.is_none() {
            let words: Vec<String> = terms.iter().map(ToString::to_string).collect();
            let said = match words.as_slice() {
                [first @ .., last] if !first.is_empty() => {
                    format!("{} or {last}", first.join(", "))
                }
                all => all.concat(),
            };
            self.refuse(field, format!("{said} days are accepted"));
        }
        days.map(Duration::days)
    }

    /// A line or a paragraph; `None` if nothing was typed.
    pub fn text(&mut self, field: Asked<'_>, most: usize) -> Option<String> {
        let text = self.value(field.name).trim().replace("\r\n", "\n");
        let count = text.chars().count();
        if count > most {
            let said = format!("{count} characters: enter at most {most}");
            self.refuse(field, said);
            return None;
        }
        if text.chars().any(|c| c.is_control() && c != '\n') {
            self.refuse(field, "holds a control character: enter plain text");
            return None;
        }
        (!text.is_empty()).then_some(text)
    }

    /// A line that has to be there.
    pub fn required_text(&mut self, field: Asked<'_>, most: usize, ask: &str) -> Option<String> {
        let text = self.text(field, most);
        if text.is_none() {
            self.refuse(field, ask);
        }
        text
    }

    /// One of a set of words; `None` if none was chosen.
    pub fn word<T>(&mut self, field: Asked<'_>, from_word: fn(&str) -> Option<T>) -> Option<T> {
        let typed = self.value(field.name).trim();
        if typed.is_empty() {
            return None;
        }
        let value = from_word(typed);
        if value.is_none() {
            let said = format!("{} is not one of the choices: choose one", repeated(typed));
            self.refuse(field, said);
        }
        value
    }

    /// One of a set of words that has to be chosen.
    pub fn required_word<T>(
        &mut self,
        field: Asked<'_>,
        from_word: fn(&str) -> Option<T>,
    ) -> Option<T> {
        let value = self.word(field, from_word);
        if value.is_none() {
            self.refuse(field, "choose one");
        }
        value
    }

    /// A length in mm, typed in any unit; `None` if nothing was typed.
    pub fn length(&mut self, field: Asked<'_>, bare: Unit) -> Option<f64> {
        if self.value(field.name).trim().is_empty() {
            return None;
        }
        self.required_length(field, bare)
    }

    /// A length in mm that has to be there.
    pub fn required_length(&mut self, field: Asked<'_>, bare: Unit) -> Option<f64> {
        match parse_length(self.value(field.name), bare) {
            Ok(mm) => Some(mm),
            Err(error) => {
                self.refuse(field, error.to_string());
                None
            }
        }
    }

    /// A whole number; `None` if nothing was typed.
    pub fn whole(&mut self, field: Asked<'_>, allowed: RangeInclusive<i64>) -> Option<i64> {
        let asked = format!(
            "a whole number from {} to {}",
            allowed.start(),
            allowed.end()
        );
        self.parsed(field, &allowed, &asked)
    }

    /// A number in one unit, decimals after a point; `None` if nothing was typed.
    pub fn number(
        &mut self,
        field: Asked<'_>,
        allowed: RangeInclusive<f64>,
        unit: &str,
    ) -> Option<f64> {
        let (from, to) = (allowed.start(), allowed.end());
        let asked = format!("a number from {from} to {to} {unit}, decimals after a point");
        self.parsed(field, &allowed, &asked)
    }

    /// What was typed as a number within bounds; else says what is asked for.
    fn parsed<T: FromStr + PartialOrd>(
        &mut self,
        field: Asked<'_>,
        allowed: &RangeInclusive<T>,
        asked: &str,
    ) -> Option<T> {
        let typed = self.value(field.name).trim();
        if typed.is_empty() {
            return None;
        }
        let number = typed.parse().ok().filter(|n| allowed.contains(n));
        if number.is_none() {
            let said = format!("{} will not do: enter {asked}", repeated(typed));
            self.refuse(field, said);
        }
        number
    }

    /// A length in mm within bounds; `None` if nothing was typed.
    pub fn length_within(
        &mut self,
        field: Asked<'_>,
        allowed: RangeInclusive<f64>,
        bare: Unit,
    ) -> Option<f64> {
        let mm = self.length(field, bare)?;
        if !allowed.contains(&mm) {
            let said = format!(
                "{} will not do: enter {} to {} mm",
                repeated(self.value(field.name).trim()),
                allowed.start(),
                allowed.end()
            );
            self.refuse(field, said);
            return None;
        }
        Some(mm)
    }

    /// A day not after today; the picker of a browser sends `2026-03-04`.
    pub fn date(&mut self, field: Asked<'_>, today: Date) -> Option<Date> {
        const EARLIEST: i32 = 1980;
        let typed = self.value(field.name).trim();
        let day = Date::parse(typed, format_description!("[year]-[month]-[day]")).ok();
        let said = match day {
            None => format!(
                "{} is no date: enter year-month-day, for example 2026-03-04",
                repeated(typed)
            ),
            Some(day) if day > today => {
                format!("{day} has not come yet: enter today, {today}, or a day before")
            }
            Some(day) if day.year() < EARLIEST => {
                format!("{day} is too long ago: enter a day from {EARLIEST} on")
            }
            Some(day) => return Some(day),
        };
        self.refuse(field, said);
        None
    }
}
