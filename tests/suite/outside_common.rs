//! Turns fixture tables into rows, and rows into claims that the derived findings keep or break.

use std::collections::HashMap;
use std::sync::OnceLock;
use vivasmith::anatomy::{self, Entry, Model};
use vivasmith::files::Content;
use vivasmith::findings::{self, Finding, Findings, State};
use vivasmith::lesion;

/// The shipped model of the upper limb, loaded once.
pub fn model() -> &'static Model {
    static MODEL: OnceLock<Model> = OnceLock::new();
    MODEL.get_or_init(|| {
        anatomy::load(&Content::embedded(), "upper_limb")
            .unwrap_or_else(|e| panic!("the shipped model does not load: {e:?}"))
    })
}

/// Findings of a lesion as written on the command line, over all variants.
pub fn derive(text: &str) -> Findings {
    let lesion =
        lesion::parse(model(), text).unwrap_or_else(|e| panic!("lesion {text} refused: {e:?}"));
    findings::derive(model(), &lesion, &[])
}

/// Findings of a lesion in the textbook limb: every variant held at its usual alternative.
pub fn derive_usual(text: &str) -> Findings {
    let lesion =
        lesion::parse(model(), text).unwrap_or_else(|e| panic!("lesion {text} refused: {e:?}"));
    let fixed: Vec<_> = (0..model().variants.len()).map(|v| (v, 0)).collect();
    findings::derive(model(), &lesion, &fixed)
}

/// The findings named by `kind:id`, or all of a kind by `kind:*`.
pub fn named<'f>(found: &'f Findings, structure: &str) -> Vec<&'f Finding> {
    let (kind, id) = structure
        .split_once(':')
        .unwrap_or_else(|| panic!("`{structure}` is not kind:id"));
    let list = match kind {
        "muscle" => &found.muscles,
        "movement" => &found.movements,
        "skin" => &found.skin,
        "reflex" => &found.reflexes,
        "sign" => &found.signs,
        other => panic!("no kind `{other}`"),
    };
    let hits: Vec<&Finding> = list
        .iter()
        .filter(|f| id == "*" || f.id(model()) == id)
        .collect();
    assert!(!hits.is_empty(), "the model has no {structure}");
    hits
}

/// Whether a finding is what a row expects.
pub fn keeps(finding: &Finding, expectation: &str) -> bool {
    match expectation {
        "affected" => finding.affected(),
        "lost" => finding.state == State::Lost,
        "not_lost" => finding.state != State::Lost,
        "not_spared" => !finding.spared(),
        "not_affected" => !finding.affected(),
        "not_decisive" => finding.state == State::Variable,
        "spared" => finding.spared(),
        other => panic!("no expectation `{other}`"),
    }
}

/// One line a broken claim prints: what was expected of what, and what came out.
pub fn breach(lesion: &str, finding: &Finding, expectation: &str, source: &str) -> String {
    format!(
        "{lesion}: {:?} {} should be {expectation}, is {} (p {}, share {:.3}, power {}) [{source}]",
        finding.kind(),
        finding.id(model()),
        finding.word(),
        finding.probability,
        finding.share,
        finding.power
    )
}

/// Fails with every broken claim at once.
pub fn all_kept(breaches: &[String], claims: usize, at_least: usize) {
    assert!(
        claims >= at_least,
        "only {claims} claims were checked, {at_least} belong here"
    );
    assert!(
        breaches.is_empty(),
        "{} of {claims} claims broken:\n{}",
        breaches.len(),
        breaches.join("\n")
    );
}

/// One row of a fixture by column name.
pub struct Row(HashMap<&'static str, String>);

impl Row {
    pub fn get(&self, column: &str) -> &str {
        self.0
            .get(column)
            .unwrap_or_else(|| panic!("no column `{column}`"))
    }

    /// A field of several values, parted by semicolons.
    pub fn list(&self, column: &str) -> Vec<&str> {
        self.get(column)
            .split(';')
            .filter(|v| !v.is_empty())
            .collect()
    }
}

/// Rows of a fixture: comma-separated, fields in double quotes where needed, lines that start with # are notes.
pub fn rows(text: &'static str) -> Vec<Row> {
    let mut lines = text
        .lines()
        .filter(|l| !l.starts_with('#') && !l.is_empty());
    let head: Vec<&'static str> = lines.next().unwrap_or_default().split(',').collect();
    lines
        .map(|line| {
            let cells = fields(line);
            assert_eq!(cells.len(), head.len(), "cells in `{line}`");
            Row(head.iter().copied().zip(cells).collect())
        })
        .collect()
}

fn fields(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            _ => cells.last_mut().expect("one cell at least").push(c),
        }
    }
    cells
}

/// Whether the model knows an id of this kind.
pub fn knows(kind: &str, id: &str) -> bool {
    model().lookup(id).iter().any(|entry| {
        let (entry, own) = match entry {
            Entry::Structure(s) => (s.kind.word(), model().id(*s)),
            Entry::Site(i) => ("site", model().sites[*i].id.as_str()),
            Entry::Segment(i) => ("segment", model().segments[*i].id.as_str()),
            Entry::Variant(i) => ("variant", model().variants[*i].id.as_str()),
        };
        entry == kind && own == id
    })
}
