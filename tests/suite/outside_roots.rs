//! Turns what lesions, stimulation, counts of fibres and tables say about each muscle and root into claims about root lesions.
//! Sources: named row by row and in the fixture's head.

use crate::outside_common::{all_kept, breach, derive, keeps, model, named, rows};
use std::collections::BTreeMap;

const TABLE: &str = include_str!("../fixtures/outside_roots.csv");

#[test]
fn each_root_matters_to_a_muscle_as_far_as_its_sources_agree() {
    let (mut breaches, mut claims, mut differing) = (Vec::new(), 0, 0);
    let mut found = BTreeMap::new();
    for row in rows(TABLE) {
        let root = format!("root_{}", row.get("root").to_lowercase());
        let all = found.entry(root.clone()).or_insert_with(|| derive(&root));
        let finding = named(all, &format!("muscle:{}", row.get("muscle")))[0];
        let verdict = if row.get("model").is_empty() {
            row.get("verdict")
        } else {
            assert!(!row.get("because").is_empty(), "no reason for {finding:?}");
            assert_ne!(row.get("model"), row.get("verdict"));
            differing += 1;
            row.get("model")
        };
        let expectation = match verdict {
            "required" => "affected",
            "open" => "not_decisive",
            "spared" => "spared",
            other => panic!("no verdict `{other}`"),
        };
        claims += 1;
        if !keeps(finding, expectation) {
            breaches.push(breach(&root, finding, expectation, row.get("source")));
        }
    }
    assert_eq!(differing, 5, "verdicts the model does not follow");
    all_kept(&breaches, claims, 164);
}

/// The model's own rule (DEVELOPERS.md): a root is spared up to 0.12 of a muscle and open from 0.15, so a share between says nothing.
#[test]
fn no_share_of_a_root_lies_between_two_classes() {
    let m = model();
    let mut between = Vec::new();
    for muscle in &m.muscles {
        // Row by row: every arrangement of the limb, before the level of the plexus moves its roots.
        for fibres in &muscle.supply.table {
            let mut roots = BTreeMap::<usize, f64>::new();
            for f in fibres {
                *roots.entry(f.root).or_default() += f.weight;
            }
            for (root, share) in roots {
                if (0.125..0.145).contains(&share) {
                    between.push(format!("{} {} {share:.3}", muscle.id, m.roots[root]));
                }
            }
        }
    }
    between.dedup();
    assert!(between.is_empty(), "{between:?}");
}
