//! A line of the audit in words: what was done, then what its detail says, each
//! part by the name it is kept under.

use crate::store::{AuditEntry, MemberId, action_in_words};
use crate::web::say;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// What the members a line may name are called.
pub type Names = BTreeMap<MemberId, String>;

/// `accepted a finding: f3, seen again on another car`. The one who did it and
/// the card stand beside it.
pub fn said(entry: &AuditEntry, names: &Names) -> String {
    let did = action_in_words(&entry.action).map_or_else(
        || entry.action.replace('-', " "),
        std::borrow::ToOwned::to_owned,
    );
    let about = match &entry.detail {
        Value::Object(detail) => about(detail, entry, names),
        _ => Vec::new(),
    };
    match about.is_empty() {
        true => did,
        false => format!("{did}: {}", about.join("; ")),
    }
}

fn about(detail: &Map<String, Value>, entry: &AuditEntry, names: &Names) -> Vec<String> {
    let mut all = Vec::new();
    let text = |key: &str| detail.get(key).and_then(Value::as_str);
    if let Some(id) = text("member").filter(|id| *id != entry.member.as_str()) {
        let name = names.get(&MemberId::new(id)).map(String::as_str);
        all.push(name.unwrap_or("somebody").to_owned());
    }
    all.extend(
        ["name", "label"]
            .iter()
            .filter_map(|k| text(k))
            .map(Into::into),
    );
    all.extend(text("for").map(what_for));
    if let Some(offer) = detail.get("offer") {
        let name = offer["name"].as_str().map(str::to_owned);
        let roles = offer.get("roles").and_then(list);
        all.extend(name.into_iter().chain(roles));
    }
    for key in ["role", "roles"] {
        if let Some(roles) = text(key) {
            all.push(if roles.is_empty() { "no role" } else { roles }.to_owned());
        }
    }
    all.extend(detail.get("parts").and_then(list));
    all.extend(detail.get("findings").and_then(findings));
    all.extend(finding(detail));
    all.extend(detail.get("notes").and_then(list));
    all.extend(note(detail));
    if let Some(Value::Array(changes)) = detail.get("changes") {
        all.extend(changes.iter().map(status_change));
    }
    all.extend(differences(detail));
    all.extend(text("expires").map(|day| format!("until {day}")));
    all
}

fn what_for(purpose: &str) -> String {
    match purpose {
        "reset" => "to a new password".to_owned(),
        "invitation" => "to join".to_owned(),
        other => other.to_owned(),
    }
}

/// Ids where they are listed, else how many.
fn findings(value: &Value) -> Option<String> {
    match value.as_u64() {
        Some(n) => Some(say::count(
            usize::try_from(n).unwrap_or(usize::MAX),
            "finding",
            "findings",
        )),
        None => list(value),
    }
}

/// One finding, with what it was corrected by or who spoke for it, or what was
/// asked of it and why.
fn finding(detail: &Map<String, Value>) -> Option<String> {
    let text = |key: &str| detail.get(key).and_then(Value::as_str);
    let mut said = text("finding")?.to_owned();
    match (text("by"), text("status")) {
        (Some(by), _) => said.push_str(&format!(" by {by}")),
        (None, Some(status)) => said.push_str(&format!(", {status}")),
        (None, None) => {}
    }
    if let Some(reason) = text("reason").filter(|r| !r.is_empty()) {
        said.push_str(&format!(" ({reason})"));
    }
    Some(said)
}

/// One note, with the reason given.
fn note(detail: &Map<String, Value>) -> Option<String> {
    let one = detail.get("note")?.as_str()?;
    Some(match detail.get("reason").and_then(Value::as_str) {
        Some(reason) => format!("{one} ({reason})"),
        None => one.to_owned(),
    })
}

fn status_change(change: &Value) -> String {
    let word = |key: &str| change[key].as_str().unwrap_or_default();
    match word("reason") {
        "" => word("finding").to_owned(),
        reason => format!("{} ({reason})", word("finding")),
    }
}

/// `a, b`; `None` for nothing.
fn list(value: &Value) -> Option<String> {
    let items = value.as_array()?.iter().map(shown);
    let items = items.collect::<Vec<_>>().join(", ");
    (!items.is_empty()).then_some(items)
}

/// What differs between `before` and `after`, of the line itself or of a part.
fn differences(detail: &Map<String, Value>) -> Vec<String> {
    let mut all = Vec::new();
    if let (Some(before), Some(after)) = (detail.get("before"), detail.get("after")) {
        differ("", before, after, &mut all);
    }
    for (key, part) in detail {
        if let (Some(before), Some(after)) = (part.get("before"), part.get("after")) {
            differ(key, before, after, &mut all);
        }
    }
    all
}

fn differ(name: &str, before: &Value, after: &Value, into: &mut Vec<String>) {
    if let (Value::Object(old), Value::Object(new)) = (before, after) {
        let keys: std::collections::BTreeSet<&String> = old.keys().chain(new.keys()).collect();
        for key in keys {
            let below = format!("{name} {key}");
            let of = |map: &Map<String, Value>| map.get(key).cloned().unwrap_or(Value::Null);
            differ(below.trim_start(), &of(old), &of(new), into);
        }
    } else if before != after {
        let name = name.replace('_', " ");
        let change = format!("{name} {} → {}", shown(before), shown(after));
        into.push(change.trim().to_owned());
    }
}

fn shown(value: &Value) -> String {
    match value {
        Value::Null => "none".to_owned(),
        Value::String(text) => text.clone(),
        Value::Array(_) => list(value).unwrap_or_else(|| "none".to_owned()),
        other => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use time::OffsetDateTime;

    fn line(action: &str, detail: Value) -> String {
        let entry = AuditEntry {
            id: "1".into(),
            at: OffsetDateTime::UNIX_EPOCH,
            member: MemberId::new("m1"),
            member_name: "Ada Fenn".into(),
            card: None,
            action: action.into(),
            detail,
        };
        let names = Names::from([(MemberId::new("m2"), "Bo Lark".to_owned())]);
        said(&entry, &names)
    }

    #[test]
    fn a_line_says_what_was_done_and_to_what() {
        let changes = json!({"changes": [
            {"finding": "f1", "status": "declined", "reason": "another model year"}], "revision": 4});
        for (action, detail, words) in [
            ("card-created", json!({"revision": 1}), "made the card"),
            (
                "findings-added",
                json!({"findings": ["f1", "f2"], "revision": 2}),
                "added findings: f1, f2",
            ),
            (
                "finding-declined",
                changes,
                "declined a finding: f1 (another model year)",
            ),
            (
                "notes-added",
                json!({"notes": ["n1", "n2"], "revision": 3}),
                "wrote notes: n1, n2",
            ),
            (
                "photo-removed",
                json!({"note": "n1", "photo": "4f", "reason": "a face", "revision": 4}),
                "removed a photo: n1 (a face)",
            ),
            (
                "roles-set",
                json!({"member": "m2", "roles": ""}),
                "changed somebody’s roles: Bo Lark; no role",
            ),
            (
                "visibility-changed",
                json!({"before": "department", "after": "partners"}),
                "changed who may read the card: department → partners",
            ),
            (
                "policy-set",
                json!({"version": 2, "before": {"coverage": 0.99, "clearance_mm": {}},
                    "after": {"coverage": 0.95, "clearance_mm": {"inflator": 90}}}),
                "changed the policy: clearance mm inflator none → 90; coverage 0.99 → 0.95",
            ),
            (
                "plan-settings-set",
                json!({"version": 2, "openings": {"before": [], "after": ["own-door"]},
                    "tools": 3, "rules_off": {"before": ["a"], "after": ["a"]}}),
                "changed tools, rules or own openings: openings none → own-door",
            ),
            (
                "once-link-made",
                json!({"link": "l", "for": "reset", "offer": {}, "member": "m2"}),
                "made a link to join or to a new password: Bo Lark; to a new password",
            ),
            (
                "change-asked",
                json!({"finding": "f1", "status": "withdrawn", "reason": "another car"}),
                "asked for a change of a finding: f1, withdrawn (another car)",
            ),
            (
                "once-link-revoked",
                json!({"link": "l", "for": "invitation", "member": null,
                    "offer": {"name": "Dee", "roles": ["member"]}}),
                "took back a link that works once: to join; Dee; member",
            ),
            ("of-later", json!({}), "of later"),
        ] {
            assert_eq!(line(action, detail), words);
        }
    }
}
