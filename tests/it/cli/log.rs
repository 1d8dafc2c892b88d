//! What the log never holds: every secret the service is given or gives out, on
//! the whole way from the set-up to a department's deletion, at the most talkative
//! level there is.

use super::serving::Serving;
use super::text;
use crate::contract::EXAMPLE;
use crate::support::authenticator::{Authenticator, base64url};

/// The value a cookie is set to in a head.
fn cookie<'a>(head: &'a str, name: &str) -> &'a str {
    let set = format!("set-cookie: {name}=");
    let value = head.split(set.as_str()).nth(1).unwrap();
    value.split(';').next().unwrap()
}

/// What stands between two texts.
fn between<'a>(page: &'a str, start: &str, end: &str) -> &'a str {
    let rest = page
        .split_once(start)
        .unwrap_or_else(|| panic!("no {start} in {page}"));
    rest.1.split_once(end).unwrap().0
}

/// Somebody at a browser, who notes every secret they see.
struct Visitor<'a> {
    serving: &'a Serving,
    session: String,
    secrets: Vec<String>,
}

impl Visitor<'_> {
    /// Sends a form and expects this status.
    fn post(&mut self, path: &str, fields: &[(&str, &str)], status: u16) -> String {
        let body = form_urlencoded::Serializer::new(String::new())
            .extend_pairs(fields)
            .finish();
        let lines = format!(
            "Cookie: session={}\r\nContent-Type: application/x-www-form-urlencoded\r\n",
            self.session
        );
        let (head, page) = self.serving.send("POST", path, &lines, &body);
        let expected = format!("HTTP/1.1 {status}");
        assert!(
            head.starts_with(&expected),
            "{path}: {head}\n{}",
            text(&page)
        );
        for name in ["session", "device"] {
            // Signing out sets it to nothing.
            if head.contains(&format!("set-cookie: {name}=")) && !cookie(&head, name).is_empty() {
                self.secrets.push(cookie(&head, name).to_owned());
            }
        }
        if head.contains("set-cookie: session=") {
            self.session = cookie(&head, "session").to_owned();
        }
        text(&page)
    }

    fn get(&self, path: &str, status: u16) -> String {
        let lines = format!("Cookie: session={}\r\n", self.session);
        let (head, page) = self.serving.send("GET", path, &lines, "");
        let expected = format!("HTTP/1.1 {status}");
        assert!(head.starts_with(&expected), "{path}: {head}");
        String::from_utf8_lossy(&page).into_owned()
    }

    /// The link or key a page shows this once; a link as its path.
    fn noted(&mut self, page: &str) -> String {
        let shown = between(page, "<code class=\"link\">", "</code>").to_owned();
        let path = match shown.split_once("://") {
            Some((_, rest)) => rest[rest.find('/').unwrap()..].to_owned(),
            None => shown,
        };
        let secret = path.rsplit('/').next().unwrap();
        assert!(secret.len() >= 32, "{path}");
        self.secrets.push(secret.to_owned());
        path
    }

    /// Passwords as they are typed, right and wrong.
    fn typed(&mut self, password: &'static str) -> &'static str {
        self.secrets.push(password.to_owned());
        password
    }

    /// What is close to a link, as a mail program cuts it or a thumb types it.
    fn miss(&self, link: &str) {
        for near in [format!("{link}/"), format!("{link}."), format!("/x{link}")] {
            self.get(&near, 404);
        }
    }
}

fn set_up(visitor: &mut Visitor<'_>) {
    let printed = &visitor.serving.printed;
    let link = printed.split("/set-up/").nth(1).unwrap();
    let link = link.lines().next().unwrap().to_owned();
    visitor.secrets.push(link.clone());
    let path = format!("/set-up/{link}");
    visitor.miss(&path);
    let password = visitor.typed("hinge copper ladle moss");
    let mut account = vec![
        ("department", "Oakmere Fire"),
        ("member", "Ada Fenn"),
        ("name", "ada.fenn"),
        ("password", password),
        ("again", visitor.typed("hinge copper ladle mess")),
    ];
    visitor.post(&path, &account, 422);
    account[4] = ("again", password);
    visitor.post(&path, &account, 303);
    let wrong = visitor.typed("barrel quarry thistle oar");
    visitor.post(
        "/sign-in",
        &[("name", "ada.fenn"), ("password", wrong)],
        422,
    );
    visitor.post(
        "/sign-in",
        &[("name", "ada.fenn"), ("password", password)],
        303,
    );
}

fn invite_and_reset(visitor: &mut Visitor<'_>) {
    let keeper = visitor.session.clone();
    let invited = [("do", "invite"), ("name", "Bo Lark"), ("role-member", "on")];
    let page = visitor.post("/people", &invited, 200);
    let link = visitor.noted(&page);
    visitor.miss(&link);
    visitor.get(&link, 200);
    let password = visitor.typed("saddle birch ferry knot");
    let account = [
        ("member", "Bo Lark"),
        ("name", "bo.lark"),
        ("password", password),
        ("again", password),
    ];
    // In a browser of their own: one that is signed in changes hands.
    visitor.session.clear();
    visitor.post(&link, &account, 303);
    visitor.session = keeper;
    let people = visitor.get("/people", 200);
    // Ids of the page that are not the keeper's own, who has no form.
    let of = people.split("Roles of Bo Lark").next().unwrap();
    let member = of.rsplit("name=\"member\" value=\"").next().unwrap();
    let member = member.split('"').next().unwrap().to_owned();
    let keeper = visitor.session.clone();
    let page = visitor.post("/people", &[("do", "reset"), ("member", &member)], 200);
    let link = visitor.noted(&page);
    visitor.miss(&link);
    visitor.session.clear();
    let password = visitor.typed("gravel lantern pewter dune");
    visitor.post(&link, &[("password", password), ("again", password)], 303);
    visitor.session = keeper;
}

fn keys_and_links(visitor: &mut Visitor<'_>) {
    let wanted = [
        ("do", "make"),
        ("label", "Yard list"),
        ("role", "officer"),
        ("days", "90"),
    ];
    let page = visitor.post("/keys", &wanted, 200);
    let key = visitor.noted(&page);
    let unknown = "pillarbook_5d41402abc4b2a76b9719d911017c592";
    visitor.secrets.push(unknown.to_owned());
    let with =
        |key: &str| format!("Authorization: Bearer {key}\r\nContent-Type: application/json\r\n");
    let (refused, _) = visitor
        .serving
        .send("POST", "/api/v1/cards", &with(unknown), EXAMPLE);
    assert!(refused.starts_with("HTTP/1.1 401"), "{refused}");
    let (made, body) = visitor
        .serving
        .send("POST", "/api/v1/cards", &with(&key), EXAMPLE);
    assert!(made.starts_with("HTTP/1.1 201"), "{made}");
    let made: serde_json::Value = serde_json::from_slice(&body).unwrap();
    let sharing = format!("/cards/{}/sharing", made["id"].as_str().unwrap());
    let wanted = [("do", "link"), ("label", "Engine 4"), ("days", "7")];
    let page = visitor.post(&sharing, &wanted, 200);
    let link = visitor.noted(&page);
    visitor.get(&link, 200);
    visitor.miss(&link);
}

/// A passkey made and shown, with what goes to and fro about it.
fn passkey(visitor: &mut Visitor<'_>, password: &str) {
    let origin = format!("http://{}", visitor.serving.host());
    let mut device = Authenticator::new(42);
    let hex = device.handle.iter().map(|byte| format!("{byte:02x}"));
    let handle = [base64url(&device.handle), hex.collect()];
    visitor.secrets.extend(handle);
    let wanted = [("do", "add"), ("passkey", "Own phone"), ("own", password)];
    let page = visitor.post("/account/passkeys", &wanted, 200);
    let ceremony = between(&page, "name=\"ceremony\" value=\"", "\"").to_owned();
    let options = between(&page, "data-options=\"", "\"").replace("&#34;", "\"");
    let options: serde_json::Value = serde_json::from_str(&options).unwrap();
    let answer = device.make(&options, &origin);
    let made = [("do", "made"), ("ceremony", &ceremony), ("answer", &answer)];
    visitor.post("/account/passkeys", &made, 303);
    let asked = visitor.post("/sign-in/passkey/ask", &[], 200);
    let asked: serde_json::Value = serde_json::from_str(&asked).unwrap();
    let shown = device.answer(&asked["options"], &origin, "localhost");
    let signed: serde_json::Value = serde_json::from_str(&shown).unwrap();
    let question = asked["ceremony"].as_str().unwrap();
    let answered = [("ceremony", question), ("answer", &shown)];
    visitor.post("/sign-in/passkey", &answered, 303);
    for seen in [
        &options["challenge"],
        &asked["options"]["challenge"],
        &signed["response"]["signature"],
    ] {
        visitor.secrets.push(seen.as_str().unwrap().to_owned());
    }
    visitor.secrets.extend([ceremony, question.to_owned()]);
}

#[test]
fn no_password_no_token_no_key_and_no_link_is_ever_in_the_log() {
    let directory = tempfile::tempdir().unwrap();
    let serving = Serving::start(directory.path());
    let visitor = &mut Visitor {
        serving: &serving,
        session: "planted-by-another-site".to_owned(),
        secrets: vec!["planted-by-another-site".to_owned()],
    };
    set_up(visitor);
    invite_and_reset(visitor);
    keys_and_links(visitor);
    passkey(visitor, "hinge copper ladle moss");
    let password = visitor.typed("candle harbour mitten oak");
    let again = visitor.typed("hinge copper ladle moss");
    let new = [
        ("do", "password"),
        ("old", again),
        ("password", password),
        ("again", password),
    ];
    visitor.post("/account", &new, 303);
    let delete = [
        ("do", "ask"),
        ("department", "Oakmere Fire"),
        ("old", password),
    ];
    visitor.post("/department/deletion", &delete, 303);
    // Of what somebody looks for, nothing either.
    visitor.secrets.push("1M8GDM9AXKP042788".to_owned());
    visitor.get("/?q=1M8GDM9AXKP042788", 200);
    visitor.post("/sign-out", &[], 303);

    let log = std::fs::read_to_string(directory.path().join("log.txt")).unwrap();
    for told in [
        "/sign-in",
        "/set-up/{secret}",
        "/invitations/{secret}",
        "/resets/{secret}",
        "/shared/{secret}",
        "/sign-in/passkey",
        "/department/deletion",
        "(no address here)",
    ] {
        assert!(log.contains(told), "{told} is not in the log:\n{log}");
    }
    assert!(visitor.secrets.len() > 20, "{:?}", visitor.secrets);
    visitor.secrets.push("$argon2id".to_owned());
    for kept in &visitor.secrets {
        assert!(!log.contains(kept.as_str()), "{kept} is in the log");
    }
}
