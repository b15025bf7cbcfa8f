//! Turns forces and moment arms of a published musculoskeletal model into shares of a movement, and compares ours with them.
//! Source: the open arm model myo-sim 0.2.4 (Apache-2.0), arm after Holzbaur, Murray and Delp 2005, measured as the fixture's head says; for the
//! knuckle of the index finger tables of tension and moment arm, from memory.

use crate::outside_common::{all_kept, model, rows};
use std::collections::BTreeMap;

const TABLE: &str = include_str!("../fixtures/outside_torque.csv");

/// Percentage points that a share may differ: rounding of the published figures and of the cut at 1 %.
const TOLERANCE: f64 = 0.5;

#[test]
fn the_movements_of_elbow_forearm_wrist_and_digits_have_the_measured_shares() {
    let mut torque: BTreeMap<String, BTreeMap<String, f64>> = BTreeMap::new();
    for row in rows(TABLE) {
        if row.get("dropped_because").is_empty() {
            let number = |column: &str| row.get(column).parse::<f64>().expect("a number");
            *torque
                .entry(row.get("movement").to_string())
                .or_default()
                .entry(row.get("muscle").to_string())
                .or_default() += number("peak_force_n") * number("moment_arm_mm");
        }
    }
    assert_eq!(torque.len(), 15, "movements measured");
    let (mut breaches, mut claims) = (Vec::new(), 0);
    for (id, parts) in &torque {
        let movement = model()
            .movements
            .iter()
            .find(|m| m.id == *id)
            .unwrap_or_else(|| panic!("the model has no movement {id}"));
        let mut ours: BTreeMap<&str, f64> = BTreeMap::new();
        for (muscle, share) in &movement.shares {
            *ours
                .entry(model().muscles[*muscle].id.as_str())
                .or_default() += share;
        }
        let total: f64 = parts.values().sum();
        let mut muscles: Vec<&str> = parts.keys().map(String::as_str).collect();
        muscles.extend(ours.keys().copied().filter(|m| !parts.contains_key(*m)));
        for muscle in muscles {
            claims += 1;
            let measured = 100.0 * parts.get(muscle).copied().unwrap_or(0.0) / total;
            let share = 100.0 * ours.get(muscle).copied().unwrap_or(0.0);
            if (measured - share).abs() > TOLERANCE {
                breaches.push(format!(
                    "{id}: {muscle} measured {measured:.2} %, model {share:.2} %"
                ));
            }
        }
    }
    all_kept(&breaches, claims, 65);
}

/// Common practice, no source: shares are parts of a whole.
#[test]
fn the_shares_of_every_movement_add_up_to_one() {
    for movement in &model().movements {
        let sum: f64 = movement.shares.iter().map(|(_, s)| s).sum();
        assert!((sum - 1.0).abs() < 1e-3, "{}: {sum}", movement.id);
        assert!(
            movement.shares.iter().all(|(_, s)| *s > 0.0),
            "{}",
            movement.id
        );
    }
}

/// Holzbaur, Murray and Delp 2005, as measured: which muscle leads each movement.
#[test]
fn the_strongest_muscle_of_a_movement_is_the_measured_one() {
    let mut best: BTreeMap<String, BTreeMap<String, f64>> = BTreeMap::new();
    for row in rows(TABLE) {
        if row.get("dropped_because").is_empty() {
            let number = |column: &str| row.get(column).parse::<f64>().expect("a number");
            *best
                .entry(row.get("movement").to_string())
                .or_default()
                .entry(row.get("muscle").to_string())
                .or_default() += number("peak_force_n") * number("moment_arm_mm");
        }
    }
    for (id, parts) in best {
        let leader = parts
            .iter()
            .max_by(|a, b| a.1.total_cmp(b.1))
            .expect("parts");
        let movement = model()
            .movements
            .iter()
            .find(|m| m.id == id)
            .expect("a movement");
        let ours = movement
            .shares
            .iter()
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .expect("shares");
        assert_eq!(model().muscles[ours.0].id, *leader.0, "{id}");
    }
}
