//! Turns the key muscles and key sensory points of the international standard into claims about root lesions.
//! Source: ASIA/ISCoS, International Standards for Neurological Classification of Spinal Cord Injury (see the fixture's head).

use crate::outside_common::{all_kept, breach, derive, keeps, named, rows};

const TABLE: &str = include_str!("../fixtures/outside_isncsci.csv");

#[test]
fn a_root_lesion_affects_its_key_muscle_and_its_key_sensory_point() {
    let (mut breaches, mut claims) = (Vec::new(), 0);
    for row in rows(TABLE) {
        let root = format!("root_{}", row.get("level").to_lowercase());
        let found = derive(&root);
        for structure in row.list("structures") {
            for finding in named(&found, structure) {
                claims += 1;
                if !keeps(finding, row.get("expect")) {
                    breaches.push(breach(&root, finding, row.get("expect"), row.get("source")));
                }
            }
        }
    }
    all_kept(&breaches, claims, 20);
}

/// Most key muscles have two roots, the named one and the one above or below (ISNCSCI booklet, from memory): a root two levels away may
/// make none of them certainly weak, and may not take a key sensory point.
#[test]
fn a_root_two_levels_away_leaves_key_muscle_and_key_sensory_point_alone() {
    let roots = ["C5", "C6", "C7", "C8", "T1"];
    let (mut breaches, mut claims) = (Vec::new(), 0);
    for (at, root) in roots.iter().enumerate() {
        let lesion = format!("root_{}", root.to_lowercase());
        let found = derive(&lesion);
        for row in rows(TABLE) {
            let Some(level) = roots.iter().position(|r| *r == row.get("level")) else {
                continue;
            };
            if level.abs_diff(at) < 2 {
                continue;
            }
            for structure in row.list("structures") {
                for finding in named(&found, structure) {
                    claims += 1;
                    if !keeps(finding, "not_affected") {
                        breaches.push(breach(&lesion, finding, "not_affected", row.get("source")));
                    }
                }
            }
        }
    }
    all_kept(&breaches, claims, 45);
}
