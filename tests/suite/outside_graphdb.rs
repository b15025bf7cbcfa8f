//! Turns an open data set's nerves of muscle heads into a list that the model's nerves must match, difference by difference.
//! Source: the open data set anatomy-graphdb 1.2.0 (MIT).

use crate::outside_common::{all_kept, model, rows};
use std::collections::BTreeSet;
use vivasmith::anatomy::Kind;

const TABLE: &str = include_str!("../fixtures/outside_graphdb.csv");

/// The nerves whose branches reach the muscle on its usual routes.
fn nerves_of(muscle: &str) -> BTreeSet<String> {
    model()
        .structure(Kind::Muscle, muscle)
        .and_then(|s| model().muscle(s))
        .unwrap_or_else(|| panic!("no muscle {muscle}"))
        .supply
        .usual()
        .iter()
        .map(|f| model().segments[f.leaves].nerve.clone())
        .collect()
}

/// A difference that is not listed fails, and so does a listed one that is gone or has changed.
#[test]
fn the_nerves_match_the_open_data_set_but_for_the_listed_differences() {
    let (mut breaches, mut claims) = (Vec::new(), 0);
    let set = |list: Vec<&str>| list.into_iter().map(String::from).collect::<BTreeSet<_>>();
    for row in rows(TABLE) {
        claims += 1;
        let (head, theirs) = (row.get("head"), set(row.list("nerves")));
        let (ours, listed) = (nerves_of(row.get("muscle")), set(row.list("model_nerves")));
        let reason = row.get("reason");
        let breach = if listed.is_empty() {
            (ours != theirs || !reason.is_empty())
                .then(|| format!("{head}: {theirs:?} there, {ours:?} here, not listed"))
        } else if ours == theirs {
            Some(format!("{head}: listed as different but both say {ours:?}"))
        } else if ours != listed {
            Some(format!(
                "{head}: listed as {listed:?}, the model says {ours:?}"
            ))
        } else {
            reason
                .is_empty()
                .then(|| format!("{head}: a difference without a reason"))
        };
        breaches.extend(breach);
    }
    all_kept(&breaches, claims, 48);
}
