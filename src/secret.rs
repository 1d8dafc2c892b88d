//! Secrets that the program draws itself: of sessions, links and keys.

use rand::TryRng;
use rand::rngs::SysRng;

/// Bytes of a secret; 256 bits cannot be guessed.
const BYTES: usize = 32;

/// A new secret in hex, fit for a link and a cookie.
pub fn draw() -> String {
    let mut bytes = [0; BYTES];
    SysRng
        .try_fill_bytes(&mut bytes)
        .expect("the operating system gives random bytes");
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::draw;
    use std::collections::BTreeSet;

    #[test]
    fn secrets_are_long_plain_and_never_the_same() {
        let drawn: BTreeSet<String> = (0..100).map(|_| draw()).collect();
        assert_eq!(drawn.len(), 100);
        let plain = |s: &String| s.len() == 64 && s.bytes().all(|b| b.is_ascii_hexdigit());
        assert!(drawn.iter().all(plain));
    }
}
