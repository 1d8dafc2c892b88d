//! The rooms of the crate and the doors between them: every `crate::<room>`
//! path in `src/` is read, and one that points back fails.

use std::fs;
use std::path::{Path, PathBuf};

/// What each room may use besides itself.
const DOORS: &[(&str, &[&str])] = &[
    ("domain", &[]),
    ("contract", &["domain"]),
    ("sketch", &["domain"]),
    ("photo", &[]),
    ("store", &["domain", "contract"]),
    ("demo", &["domain", "contract", "store"]),
    ("config", &[]),
    ("secret", &[]),
    (
        "web",
        &[
            "domain", "contract", "sketch", "photo", "store", "config", "secret",
        ],
    ),
    (
        "cli",
        &[
            "domain", "contract", "sketch", "store", "config", "demo", "web",
        ],
    ),
];

/// Crates that the core must never meet.
const OUTSIDE_THE_CORE: &[&str] = &[
    "tokio::",
    "axum::",
    "sqlx::",
    "askama::",
    "std::fs",
    "std::net",
    "std::env",
    "SystemTime",
    "Instant::now",
    "now_utc",
    "rand::",
    "uuid::",
];

fn rust_files(dir: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(rust_files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            files.push(path);
        }
    }
    files
}

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// The first word after each `crate::`, comments left out; in a braced group
/// each word of the group.
fn rooms_named(text: &str) -> Vec<String> {
    let code: Vec<&str> = text
        .lines()
        .filter(|l| !l.trim_start().starts_with("//"))
        .collect();
    let code = code.join("\n");
    let word = |s: &str| {
        s.trim()
            .chars()
            .take_while(|c| c.is_alphanumeric() || *c == '_')
            .collect()
    };
    code.split("crate::")
        .skip(1)
        .flat_map(|after| match after.strip_prefix('{') {
            Some(group) => group
                .split('}')
                .next()
                .unwrap_or("")
                .split(',')
                .map(word)
                .collect(),
            None => vec![word(after)],
        })
        .filter(|room: &String| DOORS.iter().any(|(name, _)| name == room))
        .collect()
}

#[test]
fn every_room_has_its_doors_listed() {
    for entry in fs::read_dir(source()).unwrap() {
        let name = entry
            .unwrap()
            .path()
            .file_stem()
            .unwrap()
            .to_str()
            .unwrap()
            .to_owned();
        let known = DOORS.iter().any(|(room, _)| *room == name);
        assert!(
            known || name == "lib" || name == "main",
            "src/{name} is not in the list of rooms"
        );
    }
}

#[test]
fn nothing_points_back() {
    let mut seen = 0;
    for (room, doors) in DOORS {
        let dir = source().join(room);
        let files = if dir.is_dir() {
            rust_files(&dir)
        } else {
            vec![dir.with_extension("rs")]
        };
        for file in files.iter().filter(|f| f.exists()) {
            for named in rooms_named(&fs::read_to_string(file).unwrap()) {
                seen += 1;
                let allowed = named == *room || doors.contains(&named.as_str());
                assert!(allowed, "{} uses crate::{named}", file.display());
            }
        }
    }
    assert!(
        seen > 50,
        "the scan found only {seen} paths: it no longer reads the code"
    );
}

#[test]
fn the_core_knows_no_http_no_sql_no_files_no_clock_and_no_chance() {
    for file in rust_files(&source().join("domain")) {
        let text = fs::read_to_string(&file).unwrap();
        let code = text.split("#[cfg(test)]").next().unwrap();
        for outside in OUTSIDE_THE_CORE {
            assert!(
                !code.contains(outside),
                "{} meets {outside}",
                file.display()
            );
        }
    }
}

#[test]
fn a_group_of_paths_is_read_word_by_word() {
    let text = "use crate::{web::x, store};\nlet a = crate::sketch::draw();\n// crate::cli\n";
    assert_eq!(rooms_named(text), ["web", "store", "sketch"]);
}

/// What stands at the top of the repository, dot-files apart.
const TOP: [&str; 10] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "docker-compose.yml",
    "migrations",
    "src",
    "static",
    "templates",
];

#[test]
fn the_top_level_is_as_it_is_described() {
    let listed = std::process::Command::new("git")
        .args(["ls-files"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("git lists what is kept");
    let listed = String::from_utf8(listed.stdout).unwrap();
    let tops = listed.lines().map(|path| path.split('/').next().unwrap());
    let tops: std::collections::BTreeSet<&str> = tops.filter(|top| !top.starts_with('.')).collect();
    let known = TOP.into_iter().chain(["tests"]).collect();
    assert_eq!(tops, known);
}

/// The interface's description keeps schemas by the name of their type: of two
/// with one name it shows only one.
#[test]
fn every_described_type_has_a_name_of_its_own() {
    let mut seen = std::collections::BTreeMap::new();
    for room in ["contract", "web"] {
        for file in rust_files(&source().join(room)) {
            let text = fs::read_to_string(&file).unwrap();
            for (at, _) in text.match_indices("ToSchema)]") {
                let after = &text[at..];
                let words = ["struct ", "enum "];
                let Some(named) = words.iter().filter_map(|word| after.find(word)).min() else {
                    continue;
                };
                let name = after[named..].split_whitespace().nth(1).unwrap();
                let name = name.trim_end_matches(['{', '(', ';']).to_owned();
                if let Some(other) = seen.insert(name.clone(), file.clone()) {
                    panic!("{name} is in {} and in {}", other.display(), file.display());
                }
            }
        }
    }
    assert!(seen.len() > 30, "{}", seen.len());
}
