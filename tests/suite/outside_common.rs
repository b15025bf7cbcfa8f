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
    derive_in(model(), text)
}

/// The same in another region.
pub fn derive_in(model: &Model, text: &str) -> Findings {
    let lesion =
        lesion::parse(model, text).unwrap_or_else(|e| panic!("lesion {text} refused: {e:?}"));
    findings::derive(model, &lesion, &[])
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
    named_in(model(), found, structure)
}

/// The same in another region.
pub fn named_in<'f>(model: &Model, found: &'f Findings, structure: &str) -> Vec<&'f Finding> {
    let (kind, id) = structure
        .split_once(':')
        .unwrap_or_else(|| panic!("`{structure}` is not kind:id"));
    let hits: Vec<&Finding> = found
        .all()
        .filter(|f| f.structure.kind.word() == kind && (id == "*" || f.id(model) == id))
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
    breach_in(model(), lesion, finding, expectation, source)
}

/// The same in another region.
pub fn breach_in(
    model: &Model,
    lesion: &str,
    finding: &Finding,
    expectation: &str,
    source: &str,
) -> String {
    format!(
        "{lesion}: {:?} {} should be {expectation}, is {} (p {}, share {:.3}, power {}) [{source}]",
        finding.kind(),
        finding.id(model),
        finding.word(),
        finding.probability,
        finding.share,
        finding.power
    )
}

/// Holds each row (columns `lesion`, `expectation`, the structures in `column` and the row's `source`) against the model: the broken claims,
/// and how many were checked.
pub fn claims(model: &Model, table: &[Row], column: &str, source: &str) -> (Vec<String>, usize) {
    let (mut breaches, mut count) = (Vec::new(), 0);
    let mut derived: HashMap<&str, Findings> = HashMap::new();
    for row in table {
        let lesion = row.get("lesion");
        let found = derived
            .entry(lesion)
            .or_insert_with(|| derive_in(model, lesion));
        let structures = row.list(column).into_iter();
        for finding in structures.flat_map(|s| named_in(model, found, s)) {
            count += 1;
            let expected = row.get("expectation");
            if !keeps(finding, expected) {
                breaches.push(breach_in(model, lesion, finding, expected, row.get(source)));
            }
        }
    }
    (breaches, count)
}

/// Sites of which the table claims nothing.
pub fn unclaimed<'m>(model: &'m Model, table: &[Row]) -> Vec<&'m str> {
    let ids = model.sites.iter().map(|s| s.id.as_str());
    ids.filter(|id| !table.iter().any(|row| row.get("lesion") == *id))
        .collect()
}

/// Of each pair the structure must be affected in the first lesion and spared in the second: the broken claims.
pub fn not_told_apart(model: &Model, pairs: &[(&str, &str, &str)], source: &str) -> Vec<String> {
    let mut breaches = Vec::new();
    for (affected, spared, structure) in pairs {
        for (lesion, expectation) in [(affected, "affected"), (spared, "spared")] {
            let found = derive_in(model, lesion);
            let finding = named_in(model, &found, structure)[0];
            if !keeps(finding, expectation) {
                breaches.push(breach_in(model, lesion, finding, expectation, source));
            }
        }
    }
    breaches
}

/// Rows of strengths that were measured after a complete lesion: those that the model does not give, and how many were checked.
pub fn other_powers(model: &Model, table: &[Row]) -> (Vec<String>, usize) {
    let mut breaches = Vec::new();
    for row in table {
        let found = derive_in(model, row.get("lesion"));
        let structure = format!("{}:{}", row.get("kind"), row.get("id"));
        let finding = named_in(model, &found, &structure)[0];
        let grade = |column: &str| row.get(column).parse::<u8>().expect("a grade");
        let (low, high) = (grade("mrc_min"), grade("mrc_max"));
        if !(low..=high).contains(&finding.power) {
            breaches.push(breach_in(
                model,
                row.get("lesion"),
                finding,
                &format!("of power {low} to {high}: {}", row.get("measured")),
                row.get("source"),
            ));
        }
    }
    (breaches, table.len())
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
