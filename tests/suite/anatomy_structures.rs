//! What a structure answers, whatever its kind: names, words, tests, routes and roots.

use crate::outside_common::model;
use std::collections::BTreeSet;
use vivasmith::anatomy::{Kind, Structure};

fn all() -> impl Iterator<Item = Structure> {
    Kind::ALL.into_iter().flat_map(|k| model().structures(k))
}

#[test]
fn every_structure_is_found_by_its_id_and_has_words() {
    let m = model();
    for s in all() {
        assert_eq!(m.structure(s.kind, m.id(s)), Some(s));
        for words in [m.label(s), m.plain(s), m.spoken(s), m.source(s), m.test(s)] {
            assert!(!words.is_empty() || !m.testable(s), "{}", m.id(s));
        }
        for word in m.synonyms(s) {
            assert_eq!(m.structure(s.kind, word), Some(s), "{word}");
        }
        let nerve = m.nerve_label(s).is_some();
        assert_eq!(nerve, matches!(s.kind, Kind::Muscle | Kind::Skin));
    }
    assert!(
        m.muscle(m.structure(Kind::Reflex, "biceps").expect("it"))
            .is_none()
    );
}

/// A muscle is told by what is felt, never by the order that tests it, where its words are written.
#[test]
fn a_muscle_is_told_in_its_plain_words() {
    let m = model();
    let of = |id| m.plain(m.structure(Kind::Muscle, id).expect("a muscle"));
    let tendon = "the tendon on the thumb side as the wrist bends";
    assert_eq!(of("fcr"), tendon);
    assert!(of("pronator_quadratus").starts_with("the deep muscle"));
}

/// Subclavius and pectoralis minor have no test of their own; conduction and needle studies need apparatus. Common practice, no source.
#[test]
fn what_no_bedside_can_test_is_known() {
    let m = model();
    let beyond: BTreeSet<&str> = all().filter(|&s| !m.testable(s)).map(|s| m.id(s)).collect();
    let known = [
        "subclavius",
        "pectoralis_minor",
        "sensory_conduction_preserved",
        "paraspinal_denervation",
    ];
    assert_eq!(beyond, BTreeSet::from(known));
}

#[test]
fn routes_and_roots_add_up() {
    let m = model();
    for s in all() {
        let asked = m.routes(s);
        if s.kind == Kind::Sign && asked.is_empty() {
            continue;
        }
        let sums = [
            asked.iter().map(|(w, _)| w).sum::<f64>(),
            m.root_shares(s).iter().map(|(_, w)| w).sum(),
        ];
        assert!(
            sums.iter().all(|x| (x - 1.0).abs() < 1e-9),
            "{} {sums:?}",
            m.id(s)
        );
        let falling = m.root_shares(s).windows(2).all(|w| w[0].1 >= w[1].1);
        assert!(falling, "{}", m.id(s));
    }
    // Thumb tip: one muscle, so its roots are the movement's.
    let of = |kind, id| m.root_shares(m.structure(kind, id).expect(id));
    assert_eq!(
        of(Kind::Movement, "thumb_ip_flexion"),
        of(Kind::Muscle, "fpl")
    );
}

/// A colleague who is not tested on terms would write "straightening the elbow". Common practice, no source.
#[test]
fn movements_have_plain_words_of_their_own() {
    let m = model();
    let mut seen = BTreeSet::new();
    for s in m.structures(Kind::Movement) {
        let plain = m.plain(s);
        let verb = plain.split(' ').next().unwrap_or_default();
        assert!(verb.ends_with("ing"), "{plain}");
        for term in [
            "flexion",
            "extension",
            "duction",
            "nation",
            "rotation",
            "deviation",
            "opposition",
        ] {
            assert!(!plain.contains(term), "{plain}");
        }
        assert!(seen.insert(plain), "{plain} twice");
    }
    assert!(seen.contains("straightening the elbow") && seen.contains("spreading the fingers"));
}

#[test]
fn heads_of_one_nerve_are_spoken_of_as_the_muscle() {
    let m = model();
    let spoken = |id| m.spoken(m.structure(Kind::Muscle, id).expect(id));
    for head in ["triceps_long", "triceps_lateral", "triceps_medial"] {
        assert_eq!(spoken(head), "triceps");
    }
    assert_eq!(spoken("fpl"), "flexor pollicis longus");
    for s in m.structures(Kind::Muscle) {
        assert!(!m.spoken(s).contains(','), "{}", m.spoken(s));
    }
}
