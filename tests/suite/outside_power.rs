//! Turns strengths measured after nerve lesions and blocks into claims about the power a complete lesion leaves.
//! Sources: named row by row and in the fixture's head; `status` says which were read and which recalled.

use crate::outside_common::{all_kept, breach, derive, named, rows};

const TABLE: &str = include_str!("../fixtures/outside_power.csv");

#[test]
fn power_is_what_was_measured_after_lesions_and_blocks() {
    let (mut breaches, mut claims) = (Vec::new(), 0);
    for row in rows(TABLE) {
        let found = derive(row.get("lesion"));
        let structure = format!("{}:{}", row.get("kind"), row.get("id"));
        let finding = named(&found, &structure)[0];
        let grade = |column: &str| row.get(column).parse::<u8>().expect("a grade");
        let (low, high) = (grade("mrc_min"), grade("mrc_max"));
        claims += 1;
        if !(low..=high).contains(&finding.power) {
            breaches.push(breach(
                row.get("lesion"),
                finding,
                &format!("of power {low} to {high}: {}", row.get("measured")),
                row.get("source"),
            ));
        }
    }
    all_kept(&breaches, claims, 84);
}

/// Rainville 2007 (abstract read): pronation was weak in 72 % of 25 C6 lesions, the commonest sign, and in about a third of 30 C7 lesions.
/// Jumps in the order of two roots would not show in the grades.
#[test]
fn pronation_is_weak_in_c6_lesions_more_often_than_in_c7_lesions() {
    let chance = |root: &str| {
        let found = derive(root);
        named(&found, "movement:forearm_pronation")[0].probability
    };
    assert!(
        chance("root_c6") > chance("root_c7") + 0.15,
        "C6 {}, C7 {}",
        chance("root_c6"),
        chance("root_c7")
    );
}
