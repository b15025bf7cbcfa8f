//! Turns published bedside discriminators into claims about single lesions.
//! Sources: handbooks and reviews named in the fixture's head, most of them from memory.

use crate::outside_common::{all_kept, claims, model, not_told_apart, rows, unclaimed};

const TABLE: &str = include_str!("../fixtures/outside_discriminators.csv");

#[test]
fn every_published_discriminator_holds() {
    let (breaches, count) = claims(model(), &rows(TABLE), "structure", "source");
    all_kept(&breaches, count, 600);
}

/// Common practice, no source: a bedside examination can be asked of every site, so none may stand in the bank without one.
#[test]
fn every_site_has_a_discriminator() {
    let bare = unclaimed(model(), &rows(TABLE));
    assert!(bare.is_empty(), "no published claim on {bare:?}");
}

/// Pairs that examiners ask for because they are mistaken for each other: at least one structure must be certain one way in the first
/// lesion and certain the other way in the second, and it is the one named. Sources: Preston and Shapiro; Brazis (from memory).
#[test]
fn the_named_structure_tells_the_pair_apart() {
    let pairs = [
        // C8 against the ulnar nerve at the elbow; lower trunk against it; medial cord against the lower trunk.
        ("root_c8", "ulnar_elbow", "muscle:eip"),
        ("root_c8", "ulnar_elbow", "muscle:fpl"),
        ("lower_trunk", "ulnar_elbow", "skin:medial_forearm"),
        ("medial_cord", "ulnar_elbow", "muscle:fpl"),
        ("lower_trunk", "medial_cord", "muscle:eip"),
        // C7 against the posterior interosseous nerve and against the radial nerve in the groove.
        ("root_c7", "pin_supinator", "muscle:triceps_long"),
        ("root_c7", "pin_supinator", "muscle:fcr"),
        ("radial_spiral_groove", "root_c7", "muscle:brachioradialis"),
        // Carpal tunnel against C6 and against a higher median lesion.
        ("carpal_tunnel", "root_c6", "muscle:apb"),
        ("root_c6", "carpal_tunnel", "muscle:ecrl"),
        ("pronator_syndrome", "carpal_tunnel", "skin:thenar_palm"),
        ("pronator_syndrome", "ain", "muscle:apb"),
        // Levels of the radial nerve.
        ("radial_axilla", "radial_spiral_groove", "reflex:triceps"),
        ("radial_spiral_groove", "pin_supinator", "muscle:ecrl"),
        ("posterior_cord", "radial_axilla", "muscle:deltoid"),
        // Levels of the ulnar nerve.
        ("ulnar_elbow", "ulnar_guyon_1", "skin:ulnar_dorsum"),
        ("ulnar_guyon_2a", "ulnar_guyon_2b", "muscle:adm"),
        (
            "ulnar_guyon_1",
            "ulnar_guyon_2a",
            "skin:ulnar_palmar_digits",
        ),
        // Shoulder.
        (
            "suprascapular_notch",
            "spinoglenoid_notch",
            "muscle:supraspinatus",
        ),
        ("root_c5", "axillary_quadrangular", "muscle:rhomboid_major"),
        ("avulsion_c5c6", "upper_trunk", "muscle:rhomboid_major"),
        (
            "upper_trunk",
            "axillary_quadrangular",
            "muscle:biceps_brachii",
        ),
        (
            "lateral_cord",
            "musculocutaneous_coraco",
            "muscle:pronator_teres",
        ),
        (
            "long_thoracic",
            "xi_posterior_triangle",
            "sign:winging_medial",
        ),
        (
            "xi_posterior_triangle",
            "long_thoracic",
            "sign:winging_lateral",
        ),
        ("avulsion_c8t1", "medial_cord", "sign:horner"),
    ];
    let breaches = not_told_apart(model(), &pairs, "PS MAG");
    all_kept(&breaches, pairs.len(), 26);
}
