//! What a sign-in name and a new password have to be.

use crate::web::typed::{Asked, Typed};

/// Length of a password, characters. Fifteen where it is the only factor, and no
/// rule on what it is made of (NIST SP 800-63B-4, section 3.1.1.2, from memory).
const LENGTH: std::ops::RangeInclusive<usize> = 15..=200;
/// Length of a sign-in name, characters.
const NAME_LENGTH: std::ops::RangeInclusive<usize> = 3..=64;

pub const SIGN_IN_NAME: Asked<'static> = Asked::new("name", "Sign-in name");
pub const OLD: Asked<'static> = Asked::new("old", "Password until now");
const PASSWORD: Asked<'static> = Asked::new("password", "Password");
const AGAIN: Asked<'static> = Asked::new("again", "Password again");

/// Empties the fields for passwords: what was typed there never goes back out.
pub fn forget_passwords(typed: &mut Typed) {
    for field in [OLD, PASSWORD, AGAIN] {
        typed.put(field.name, "");
    }
}

/// Says that a sign-in name, or another name there may be once, is somebody's.
pub fn refuse_taken(typed: &mut Typed, field: Asked<'_>, name: &str) {
    typed.refuse(field, format!("“{name}” is taken; choose another"));
}

/// The sign-in name as it is kept, or a fault beside its field.
pub fn check_sign_in_name(typed: &mut Typed) -> Option<String> {
    let name = typed.value(SIGN_IN_NAME.name).trim().to_lowercase();
    let plain = |c: char| c.is_ascii_alphanumeric() || "._-@".contains(c);
    if NAME_LENGTH.contains(&name.chars().count()) && name.chars().all(plain) {
        return Some(name);
    }
    typed.refuse(
        SIGN_IN_NAME,
        "3 to 64 letters, figures, dots, dashes or @, without spaces, for example ada.fenn",
    );
    None
}

/// A new password typed twice, or a fault beside its field. `known` are words
/// anybody would try first: names of people and department.
pub fn check_new_password(typed: &mut Typed, known: &[&str]) -> Option<String> {
    let password = typed.value(PASSWORD.name).to_owned();
    let length = password.chars().count();
    let mut letters: Vec<char> = password.chars().collect();
    letters.sort_unstable();
    letters.dedup();
    let plain = |text: &str| -> String {
        let letters = text.chars().filter(|c| c.is_alphanumeric());
        letters.flat_map(char::to_lowercase).collect()
    };
    let first_tried = known.iter().chain(&["pillarbook", "password"]);
    let rest = first_tried.fold(plain(&password), |rest, word| match plain(word).as_str() {
        "" => rest,
        word => rest.replace(word, ""),
    });
    if !LENGTH.contains(&length) {
        typed.refuse(
            PASSWORD,
            format!("{length} characters; 15 to 200 are accepted, for example four words in a row"),
        );
    } else if letters.len() < 5 || rest.chars().count() < 8 {
        typed.refuse(
            PASSWORD,
            "too easy to guess: it repeats few letters or names you, the department or this program",
        );
    } else if typed.value(AGAIN.name) != password {
        typed.refuse(AGAIN, "not the same as the password above");
    }
    typed.is_valid().then_some(password)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn faults_of(password: &str, again: &str) -> Vec<String> {
        let pairs = [("password", password), ("again", again)];
        let mut typed = Typed::sent(pairs.map(|(k, v)| (k.to_owned(), v.to_owned())));
        check_new_password(&mut typed, &["Ada Fenn", "Oakmere Fire"]);
        typed.faults().iter().map(|f| f.field.clone()).collect()
    }

    #[test]
    fn a_password_is_long_not_the_obvious_and_typed_twice_alike() {
        let good = "hinge copper ladle moss";
        assert!(faults_of(good, good).is_empty());
        assert_eq!(faults_of("short", "short"), ["password"]);
        let long = "x".repeat(201);
        assert_eq!(faults_of(&long, &long), ["password"]);
        assert_eq!(
            faults_of("aaaaaaaaaaaaaaaaaa", "aaaaaaaaaaaaaaaaaa"),
            ["password"]
        );
        let named = "Ada Fenn Oakmere Fire 1";
        assert_eq!(faults_of(named, named), ["password"]);
        assert_eq!(faults_of(good, "hinge copper ladle"), ["again"]);
    }
}
