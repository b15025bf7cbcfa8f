//! The shipped model of the lower limb for the checks from outside, and claims in a table read against it.

use crate::outside_common::{self as common, rows};
use std::sync::OnceLock;
use vivasmith::anatomy::{self, Model};
use vivasmith::files::Content;
use vivasmith::findings::{Finding, Findings};

pub fn model() -> &'static Model {
    static MODEL: OnceLock<Model> = OnceLock::new();
    MODEL.get_or_init(|| {
        anatomy::load(&Content::embedded(), "lower_limb")
            .unwrap_or_else(|e| panic!("the shipped model does not load: {e:?}"))
    })
}

pub fn derive(text: &str) -> Findings {
    common::derive_in(model(), text)
}

/// The findings named by `kind:id`, or all of a kind by `kind:*`.
pub fn named<'f>(found: &'f Findings, structure: &str) -> Vec<&'f Finding> {
    common::named_in(model(), found, structure)
}

/// [`common::claims`] of a table whose structures stand in the column `structures`; `set` picks rows, empty: all.
pub fn claims(table: &'static str, source: &str, set: &str) -> (Vec<String>, usize) {
    let mut table = rows(table);
    table.retain(|row| set.is_empty() || row.get("set") == set);
    common::claims(model(), &table, "structures", source)
}
