//! Keeps out names that are not ours to print: sources cite who found something, not where it was read; settings use the places of one
//! list; each person is met once.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// All the places there are. Each was looked for in a gazetteer of 228,000 towns and in lists of names and words, and found in none.
const PLACES: [&str; 6] = [
    "Brackletoft",
    "Drennock Bay",
    "Ottlewade Strand",
    "Pindlemoor",
    "Quossle Edge",
    "Thimbrel Stile",
];
/// What a place may have.
const HOUSES: [&str; 2] = ["Hospital", "Infirmary"];

/// The files of a folder and all below it that end so, in order, with their text.
fn texts(folder: &str, end: &str) -> Vec<(PathBuf, String)> {
    fn walk(folder: &Path, end: &str, all: &mut Vec<(PathBuf, String)>) {
        for entry in fs::read_dir(folder).expect("the folder is there") {
            let path = entry.expect("entry").path();
            if path.is_dir() {
                walk(&path, end, all);
            } else if path.to_string_lossy().ends_with(end) {
                let text = fs::read_to_string(&path).expect("text");
                all.push((path, text));
            }
        }
    }
    let mut all = Vec::new();
    walk(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join(folder),
        end,
        &mut all,
    );
    all.sort();
    assert!(!all.is_empty(), "{folder} holds files");
    all
}

/// What ships and names somebody or some place: content, starters, the walk-through of the developers' page.
fn shipped() -> Vec<(PathBuf, String)> {
    let mut all = texts("stations", ".yaml");
    all.extend(texts("templates/new", ".yaml"));
    all.extend(texts(".", "DEVELOPERS.md"));
    all
}

/// The values of `settings:` (a list, in either form), `setting:` and `place:`, each with its line.
fn settings(text: &str) -> Vec<(usize, &str)> {
    let mut found = Vec::new();
    let mut within = false;
    for (i, line) in text.lines().enumerate() {
        let value = line.split("  #").next().unwrap_or_default().trim();
        let key = ["settings:", "setting:", "place:"]
            .iter()
            .find_map(|key| value.strip_prefix(key));
        if let Some(rest) = key {
            within = value.starts_with("settings:") && rest.is_empty();
            found.push((i + 1, rest.trim()));
        } else if within && value.starts_with("- ") {
            found.push((i + 1, value));
        } else {
            within = false;
        }
    }
    found.retain(|(_, value)| !value.is_empty());
    found
}

/// "given: A, family: B" and "name: A B", as "A B", each with its line.
fn people(text: &str) -> Vec<(usize, String)> {
    let words = |rest: &str| -> String {
        rest.split([',', '}'])
            .next()
            .unwrap_or_default()
            .trim()
            .to_string()
    };
    let mut found = Vec::new();
    for (i, line) in text.lines().enumerate() {
        if let Some((_, rest)) = line.split_once("given: ") {
            let (_, family) = rest.split_once("family: ").expect("a family name");
            found.push((i + 1, format!("{} {}", words(rest), words(family))));
        }
        for (at, _) in line.match_indices(" name: ") {
            found.push((i + 1, words(&line[at + 7..])));
        }
    }
    found
}

/// Whether the word stands in the text; the end of a host only where no letter goes on with it (".com", not ".command").
fn holds(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| {
        let next = text[at + word.len()..].chars().next();
        !word.starts_with('.') || !next.is_some_and(char::is_alphabetic)
    })
}

#[test]
fn nothing_that_cites_names_a_host_a_registry_or_a_service() {
    let unwanted = [
        "http",
        "www",
        ".com",
        ".org",
        ".net",
        "google",
        "wiki",
        "github",
        "pypi",
        "npm",
        "crates.io",
        "pmc",
    ];
    let mut broken = Vec::new();
    for folder in ["stations", "templates", "tests/fixtures"] {
        for (path, text) in texts(folder, "") {
            for (i, line) in text.to_lowercase().lines().enumerate() {
                for word in unwanted.iter().filter(|word| holds(line, word)) {
                    broken.push(format!("{}:{}: {word}", path.display(), i + 1));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn settings_use_only_the_places_of_the_list() {
    let mut broken = Vec::new();
    let mut seen = 0;
    for (path, text) in shipped() {
        for (line, value) in settings(&text) {
            let mut rest = value.to_string();
            for place in PLACES {
                seen += rest.matches(place).count();
                rest = rest.replace(place, "");
            }
            for house in HOUSES {
                rest = rest.replace(house, "");
            }
            if rest.chars().any(char::is_uppercase) {
                broken.push(format!("{}:{line}: {value}", path.display()));
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
    assert!(
        seen > 300,
        "only {seen} places were found: is the search broken?"
    );
}

#[test]
fn every_person_is_met_once() {
    let mut broken = Vec::new();
    let mut met: BTreeMap<String, String> = BTreeMap::new();
    let mut count = 0;
    for (path, text) in shipped() {
        for (line, name) in people(&text) {
            let here = format!("{}:{line}: {name}", path.display());
            let parts: Vec<&str> = name.split(' ').collect();
            let plain = |part: &&str| {
                part.chars().next().is_some_and(char::is_uppercase)
                    && part.chars().skip(1).all(char::is_lowercase)
            };
            if parts.len() != 2 || !parts.iter().all(plain) {
                broken.push(format!("{here}: not a given and a family name"));
            }
            // No part either: an examiner who is called like a patient would be taken for one.
            for part in parts {
                if let Some(there) = met.insert(part.to_string(), here.clone()) {
                    broken.push(format!("{here}: {part} is also in {there}"));
                }
            }
            count += 1;
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
    assert!(
        count >= 90,
        "only {count} people were found: is the search broken?"
    );
}

#[test]
fn newborns_are_called_like_families_of_the_list() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("stations/scenarios/people.yaml");
    let text = fs::read_to_string(path).expect("people");
    let (people, newborns) = text.split_once("newborns: [").expect("newborns");
    let newborns: Vec<&str> = newborns
        .trim_end()
        .trim_end_matches(']')
        .split(", ")
        .collect();
    assert!(newborns.len() > 5);
    for name in newborns {
        assert!(people.contains(&format!("family: {name}}}")), "{name}");
    }
}
