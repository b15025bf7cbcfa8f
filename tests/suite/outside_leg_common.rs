//! The shipped model of the lower limb for the checks from outside, and claims in a table read against it.

use crate::outside_common::{keeps, rows};
use std::collections::HashMap;
use std::sync::OnceLock;
use vivasmith::anatomy::{self, Model};
use vivasmith::files::Content;
use vivasmith::findings::{self, Finding, Findings};
use vivasmith::lesion;

pub fn model() -> &'static Model {
    static MODEL: OnceLock<Model> = OnceLock::new();
    MODEL.get_or_init(|| {
        anatomy::load(&Content::embedded(), "lower_limb")
            .unwrap_or_else(|e| panic!("the shipped model does not load: {e:?}"))
    })
}

pub fn derive(text: &str) -> Findings {
    let lesion =
        lesion::parse(model(), text).unwrap_or_else(|e| panic!("lesion {text} refused: {e:?}"));
    findings::derive(model(), &lesion, &[])
}

/// The findings named by `kind:id`, or all of a kind by `kind:*`.
pub fn named<'f>(found: &'f Findings, structure: &str) -> Vec<&'f Finding> {
    let (kind, id) = structure.split_once(':').expect("kind:id");
    let hits: Vec<&Finding> = found
        .all()
        .filter(|f| f.structure.kind.word() == kind && (id == "*" || f.id(model()) == id))
        .collect();
    assert!(!hits.is_empty(), "the model has no {structure}");
    hits
}

/// Holds each row of a table (columns `lesion`, `expectation`, `structures` and the row's source) against the model; `set` picks rows, empty: all.
/// Returns the broken claims and how many were checked.
pub fn claims(table: &'static str, source: &str, set: &str) -> (Vec<String>, usize) {
    let (mut breaches, mut count) = (Vec::new(), 0);
    let mut derived: HashMap<String, Findings> = HashMap::new();
    for row in rows(table) {
        if !set.is_empty() && row.get("set") != set {
            continue;
        }
        let lesion = row.get("lesion").to_string();
        let found = derived
            .entry(lesion.clone())
            .or_insert_with(|| derive(&lesion));
        for finding in row.list("structures").iter().flat_map(|s| named(found, s)) {
            count += 1;
            if !keeps(finding, row.get("expectation")) {
                breaches.push(format!(
                    "{lesion}: {} should be {}, is {} (p {}, share {:.3}) [{}]",
                    finding.id(model()),
                    row.get("expectation"),
                    finding.word(),
                    finding.probability,
                    finding.share,
                    row.get(source)
                ));
            }
        }
    }
    (breaches, count)
}
