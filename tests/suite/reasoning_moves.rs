//! The moves of an examiner: where two things last run together, who has the same roots, what leaves above and below, what a moved lesion
//! changes, which finding decides. Facts: Gray 1918 (from memory), and the examples of a viva (common practice, no source).

use crate::station_support::{station, world, world_of};
use vivasmith::anatomy::{Kind, Model, Structure};
use vivasmith::case::Level;
use vivasmith::findings::{Finding, Findings, derive};
use vivasmith::lesion::{Lesion, Severity, parse};
use vivasmith::reasoning::{
    along, decider, differential, in_full, last_together, same_roots, shifts,
};

fn muscle(model: &Model, id: &str) -> Structure {
    model.structure(Kind::Muscle, id).expect("a muscle")
}

fn movement(model: &Model, id: &str) -> Structure {
    model.structure(Kind::Movement, id).expect("a movement")
}

fn hurt(model: &Model, lesion: &str) -> (Lesion, Findings) {
    let lesion = parse(model, lesion).expect("a lesion");
    let found = derive(model, &lesion, &[]);
    (lesion, found)
}

#[test]
fn two_muscles_last_run_together_where_their_nerves_part() {
    let w = world();
    let m = &w.model;
    for (a, b, place) in [
        ("infraspinatus", "biceps_brachii", "upper trunk"),
        ("deltoid", "extensor_digitorum", "posterior cord"),
        ("pronator_teres", "biceps_brachii", "lateral cord"),
        (
            "abductor_pollicis_brevis",
            "adductor_pollicis",
            "medial cord",
        ),
    ] {
        let at = last_together(m, muscle(m, a), muscle(m, b));
        let label = at.map_or("", |s| m.segments[s].label.as_str());
        assert!(label.contains(place), "{a} and {b}: {label}");
    }
}

/// Brachioradialis alone of the benders of the elbow is radial, pronator quadratus alone of the pronators hangs on the anterior interosseous
/// nerve (Gray 1918, from memory).
#[test]
fn a_movement_that_fails_names_the_muscles_that_fail() {
    let w = world();
    let m = &w.model;
    for (lesion, id, says) in [
        ("radial_spiral_groove", "elbow_flexion", "brachioradialis"),
        (
            "pronator_syndrome",
            "forearm_pronation",
            "pronator quadratus",
        ),
        ("carpal_tunnel", "elbow_flexion", "brachialis, biceps"),
    ] {
        let (_, found) = hurt(m, lesion);
        let said = in_full(m, &found, movement(m, id));
        assert!(said.ends_with(&format!(": {says}")), "{lesion}: {said}");
    }
}

#[test]
fn the_kept_neighbour_with_the_same_roots_clears_them() {
    let w = world();
    let m = &w.model;
    let (_, found) = hurt(m, "ulnar_elbow");
    let weak = movement(m, "finger_abduction");
    let clears = same_roots(m, &found, weak);
    // The ball of the thumb has C8 and T1 too, by the median nerve.
    let thumb = movement(m, "thumb_palmar_abduction");
    assert!(clears.iter().any(|(s, _)| *s == thumb), "{clears:?}");
    for (s, share) in &clears {
        assert!(found.get(*s).is_some_and(Finding::spared) && *share >= 0.5);
    }
    assert!(clears.windows(2).all(|w| w[0].1 >= w[1].1), "best first");
}

#[test]
fn what_leaves_above_is_kept_and_what_leaves_below_is_not() {
    let w = world();
    let m = &w.model;
    let (lesion, found) = hurt(m, "radial_spiral_groove");
    let a = along(m, &lesion, &found);
    assert!(
        a.above
            .iter()
            .all(|s| found.get(*s).is_some_and(Finding::spared))
    );
    assert!(
        a.below
            .iter()
            .all(|s| found.get(*s).is_some_and(Finding::affected))
    );
    assert!(
        a.above
            .iter()
            .take(4)
            .any(|s| m.id(*s).starts_with("triceps"))
    );
    assert!(a.below.contains(&muscle(m, "brachioradialis")));
    assert!(!a.above.contains(&muscle(m, "brachioradialis")));
}

#[test]
fn a_moved_lesion_goes_up_down_and_aside_and_something_flips() {
    let w = world();
    let m = &w.model;
    let (lesion, found) = hurt(m, "radial_spiral_groove");
    let rivals = differential(m, &lesion, &found, &[]).expect("rivals");
    let moved = shifts(m, &lesion, &rivals);
    let to: Vec<&str> = moved
        .iter()
        .map(|s| m.sites[s.to.site].id.as_str())
        .collect();
    assert!(to.contains(&"radial_axilla"), "up: {to:?}");
    assert!(to.contains(&"pin_supinator"), "down: {to:?}");
    for shift in &moved {
        let first = shift.flips.first().expect("something flips");
        assert_ne!(first.here.spared(), first.there.spared());
    }
}

/// A partial lesion is held against partial ones only: against a complete rival everything weak would be refuted by what is lost there.
#[test]
fn lesions_are_compared_at_equal_severity_and_never_with_their_like() {
    let w = world();
    let m = &w.model;
    let (lesion, found) = hurt(m, "ulnar_elbow@partial");
    for rival in differential(m, &lesion, &found, &[]).expect("rivals") {
        let site = &m.sites[rival.site];
        let partial = |p: &vivasmith::lesion::Part| matches!(p.severity, Severity::Partial(_));
        assert_eq!(
            rival.lesion.parts.iter().all(partial),
            !site.avulsion,
            "{}",
            site.id
        );
        assert!(rival.lesion.set != lesion.set, "{}", site.id);
        for d in &rival.deciders {
            assert!(d.ratio >= 4.0, "one in four at most");
            assert!(decider(&found, &rival.findings, d.structure()).is_some());
        }
    }
}

#[test]
fn no_station_refutes_what_it_accepts() {
    let w = world();
    let cache = w.cache();
    for site in &w.model.sites {
        let Ok(built) = station(&w, &cache, (&site.id, "trace"), Level::Clinical, 3) else {
            continue;
        };
        let notes = cache.notes(&site.id).expect("notes").expect("notes");
        for rival in &notes.rivals {
            let cited = notes.equals.iter().any(|e| e.site == Some(rival.site));
            assert!(!cited, "{}", site.id);
        }
        assert!(!built.briefing.equals.iter().any(|e| e.place == site.label));
    }
}

/// The patient of a station is one limb: C6 takes the bending of the elbow, though limbs differ.
#[test]
fn what_limbs_differ_on_is_fixed_for_the_patient() {
    let w = world();
    let cache = w.cache();
    let built = station(&w, &cache, ("root_c6", "trace"), Level::Clinical, 3).expect("a station");
    let weak = movement(&w.model, "elbow_flexion");
    let rows = built.candidate.rows.iter();
    let row = rows
        .clone()
        .find(|r| r.items.iter().any(|i| i.about == weak));
    assert_eq!(row.map(|r| r.group), Some("weak"));
}

/// Radial nerve: in the groove the elbow still straightens, in the axilla it does not; sciatic nerve: below the hamstring branches the knee
/// still bends (Gray 1918, from memory).
#[test]
fn a_trace_tells_what_decides_against_its_nearest_rival() {
    for (region, site, id) in [
        ("upper_limb", "radial_spiral_groove", "elbow_extension"),
        ("upper_limb", "medial_cord", "finger_mcp_extension"),
        ("lower_limb", "sciatic_midthigh", "knee_flexion"),
        ("lower_limb", "common_fibular", "hip_abduction"),
    ] {
        let w = world_of(region);
        let cache = w.cache();
        let says = w.model.plain(movement(&w.model, id));
        for (level, seed) in [(Level::Early, 1), (Level::Clinical, 2), (Level::Trainee, 3)] {
            let s = station(&w, &cache, (site, "trace"), level, seed)
                .unwrap_or_else(|e| panic!("{site} {seed}: {e}"));
            let found = s.candidate.rows.iter().flat_map(|r| &r.items);
            let told = found.map(|i| i.text.as_str()).any(|text| text == says);
            assert!(told, "{}: {says} is not told", s.command);
        }
    }
}
