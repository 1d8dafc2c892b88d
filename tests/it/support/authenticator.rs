//! A device that keeps passkeys, made of the standard alone (W3C Web
//! Authentication Level 3, sections 6.1 and 6.5; COSE key of RFC 9053, 7.1): what
//! the service checks is not made by what checks it. It does as it is told, so
//! that it can also answer as a thief's would.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use p256::ecdsa::signature::Signer;
use p256::ecdsa::{Signature, SigningKey};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

const USER_PRESENT: u8 = 0x01;
const USER_VERIFIED: u8 = 0x04;
const HOLDS_A_KEY: u8 = 0x40;

/// One passkey on one device.
#[derive(Clone)]
pub struct Authenticator {
    key: SigningKey,
    /// What the device calls it.
    pub handle: Vec<u8>,
    /// Whom the service said it belongs to.
    pub user: Vec<u8>,
    /// How often it has signed.
    pub counter: u32,
    /// Whether it says so; a passkey kept on several devices says nothing.
    pub counts: bool,
    /// Whether it has seen a finger or a PIN.
    pub verified: bool,
}

pub fn base64url(bytes: &[u8]) -> String {
    URL_SAFE_NO_PAD.encode(bytes)
}

fn bytes(text: &Value) -> Vec<u8> {
    URL_SAFE_NO_PAD.decode(text.as_str().unwrap()).unwrap()
}

/// What the browser adds to the question before the device signs.
fn client_data(kind: &str, options: &Value, origin: &str) -> Vec<u8> {
    json!({"type": kind, "challenge": options["challenge"], "origin": origin, "crossOrigin": false})
        .to_string()
        .into_bytes()
}

impl Authenticator {
    /// A device whose key is told by a number.
    pub fn new(seed: u8) -> Self {
        Self {
            key: SigningKey::from_slice(&[seed; 32]).unwrap(),
            handle: vec![seed; 20],
            user: Vec::new(),
            counter: 1,
            counts: true,
            verified: true,
        }
    }

    /// Makes the passkey that is asked for; the answer as a browser sends it.
    pub fn make(&mut self, options: &Value, origin: &str) -> String {
        self.user = bytes(&options["user"]["id"]);
        let party = options["rp"]["id"].as_str().unwrap();
        let mut data = self.data(party, HOLDS_A_KEY);
        data.extend([0; 16]);
        data.extend(u16::try_from(self.handle.len()).unwrap().to_be_bytes());
        data.extend(&self.handle);
        data.extend(self.public_key());
        // CBOR: {"fmt": "none", "attStmt": {}, "authData": data}.
        let mut attestation = b"\xa3\x63fmt\x64none\x67attStmt\xa0\x68authData\x59".to_vec();
        attestation.extend(u16::try_from(data.len()).unwrap().to_be_bytes());
        attestation.extend(data);
        let response = json!({
            "attestationObject": base64url(&attestation),
            "clientDataJSON": base64url(&client_data("webauthn.create", options, origin)),
        });
        self.sent(&response)
    }

    /// Signs what is asked, under a name the browser vouches for.
    pub fn answer(&mut self, options: &Value, origin: &str, party: &str) -> String {
        self.counter += 1;
        let data = self.data(party, 0);
        let client = client_data("webauthn.get", options, origin);
        let mut signed = data.clone();
        signed.extend(Sha256::digest(&client));
        let signature: Signature = self.key.sign(&signed);
        let response = json!({
            "authenticatorData": base64url(&data),
            "clientDataJSON": base64url(&client),
            "signature": base64url(signature.to_der().as_bytes()),
            "userHandle": base64url(&self.user),
        });
        self.sent(&response)
    }

    fn sent(&self, response: &Value) -> String {
        let id = base64url(&self.handle);
        json!({"id": id, "rawId": id, "type": "public-key", "response": response}).to_string()
    }

    fn data(&self, party: &str, more: u8) -> Vec<u8> {
        let mut data = Sha256::digest(party.as_bytes()).to_vec();
        let seen = if self.verified { USER_VERIFIED } else { 0 };
        data.push(USER_PRESENT | seen | more);
        let counter = if self.counts { self.counter } else { 0 };
        data.extend(counter.to_be_bytes());
        data
    }

    /// CBOR: {1: 2 (EC2), 3: -7 (ES256), -1: 1 (P-256), -2: x, -3: y}.
    fn public_key(&self) -> Vec<u8> {
        let point = self.key.verifying_key().to_sec1_point(false);
        let (x, y) = point.as_bytes()[1..].split_at(32);
        let mut key = b"\xa5\x01\x02\x03\x26\x20\x01\x21\x58\x20".to_vec();
        key.extend(x);
        key.extend(b"\x22\x58\x20");
        key.extend(y);
        key
    }
}
