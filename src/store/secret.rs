//! How the store keeps what the program draws at random.

use sha2::{Digest, Sha256};

/// SHA-256 in hex. A secret of 256 random bits cannot be guessed back from it,
/// so no salt and no slow hash are needed (unlike a password's).
pub(super) fn hashed(secret: &str) -> String {
    let digest = Sha256::digest(secret.as_bytes());
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    #[test]
    fn it_is_sha_256() {
        // FIPS 180-4's example, "abc" (NIST CSRC, SHA256.pdf).
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(super::hashed("abc"), abc);
    }
}
