//! Turns strengths measured after nerve lesions and blocks into claims about the power a complete lesion leaves.
//! Sources: named row by row and in the fixture's head; `status` says which were read and which recalled.

use crate::outside_common::{all_kept, derive, model, named, other_powers, rows};

const TABLE: &str = include_str!("../fixtures/outside_power.csv");

#[test]
fn power_is_what_was_measured_after_lesions_and_blocks() {
    let (breaches, claims) = other_powers(model(), &rows(TABLE));
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
