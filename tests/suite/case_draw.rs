//! Draws many cases and holds each to the facts: patient, mechanism, timing and findings agree, and a seed is a promise.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;
use vivasmith::anatomy::{self, Model};
use vivasmith::case::{Age, Case, Level, NerveInjury, Request, Side, draw, is_avulsion};
use vivasmith::diagnostic::Failure;
use vivasmith::files::Content;
use vivasmith::findings;
use vivasmith::lesion::{self, Severity};

const LEVELS: [Level; 3] = [Level::Early, Level::Clinical, Level::Trainee];

fn content_and_model() -> (Content, Model) {
    let content = Content::embedded();
    let model = anatomy::load(&content, "upper_limb").unwrap_or_else(|e| panic!("{e}"));
    (content, model)
}

fn open(seed: u64) -> Request {
    Request {
        site: None,
        lesion: None,
        area: None,
        level: Level::Clinical,
        seed,
        fixed: Vec::new(),
    }
}

fn at(site: &str, seed: u64) -> Request {
    Request {
        site: Some(site.to_string()),
        ..open(seed)
    }
}

fn drawn(model: &Model, content: &Content, request: &Request) -> Case {
    draw(model, content, request).unwrap_or_else(|e| panic!("{request:?}: {e}"))
}

/// Every case of every site at every level, `seeds` of each.
fn each_case(seeds: u64, mut look: impl FnMut(&Model, &Case, Level)) {
    let (content, model) = content_and_model();
    for site in &model.sites {
        for level in LEVELS {
            for seed in 0..seeds {
                let request = Request {
                    level,
                    ..at(&site.id, seed)
                };
                look(&model, &drawn(&model, &content, &request), level);
            }
        }
    }
}

#[test]
fn patient_and_time_agree() {
    each_case(8, |_, case, _| {
        let (p, t) = (&case.patient, &case.timeline);
        let told = format!("{} {} {p:?} {t:?}", case.site, case.mechanism);
        match p.age {
            Age::Days(days) => {
                assert!(p.occupation.is_none() && p.dominant.is_none(), "{told}");
                assert!(p.name.starts_with("Baby "), "{told}");
                // A birth injury is as old as the child.
                assert_eq!(t.since_days, days, "{told}");
            }
            Age::Years(years) => {
                assert_eq!(p.occupation.is_some(), years >= 16, "{told}");
                assert!(!p.name.starts_with("Baby "), "{told}");
                let retired = p
                    .occupation
                    .as_deref()
                    .is_some_and(|o| o.starts_with("retired"));
                assert!(!retired || years >= 60, "{told}");
                assert!(retired || years < 75, "{told}");
            }
        }
        // Wasting from about 3 weeks, never after a pure block (common practice, no source).
        if t.since_days < 21 || t.injury == NerveInjury::Neurapraxia {
            assert!(!t.wasting && !t.denervation, "{told}");
        }
        // 12 weeks: Seddon 1943, from memory.
        if t.injury == NerveInjury::Neurapraxia && !t.gradual {
            assert!(t.since_days <= 84, "{told}");
        }
        let complete = matches!(case.lesion.parts[0].severity, Severity::Complete);
        if t.injury == NerveInjury::Neurapraxia && complete {
            assert!(t.since_days <= 84, "a complete block past 12 weeks: {told}");
        }
        if t.wasting {
            assert!(case.findings.muscles.iter().any(|f| f.affected()), "{told}");
        }
    });
}

#[test]
fn the_words_are_filled_in() {
    each_case(4, |_, case, _| {
        let shown = [
            &case.story,
            &case.stem_note,
            &case.setting,
            &case.examiner_note,
        ];
        for text in shown {
            assert!(!text.contains(['{', '}', '\n']), "{text}");
        }
        assert!(case.story.starts_with(&case.patient.name), "{}", case.story);
        assert!(!case.setting.is_empty() && !case.timeline.recovery.is_empty());
    });
}

#[test]
fn the_lesion_is_the_one_of_the_site_and_gives_the_findings() {
    each_case(3, |model, case, _| {
        assert_eq!(case.lesion.parts.len(), 1);
        assert_eq!(case.lesion.parts[0].place, case.site);
        assert_eq!(case.findings, findings::derive(model, &case.lesion, &[]));
        let site = model.site(&case.site).expect("a site");
        if site.avulsion {
            assert_eq!(
                case.lesion.parts[0].severity,
                Severity::Complete,
                "{}",
                site.id
            );
            // A torn root counts as a divided nerve (Sunderland 1951, from memory).
            assert_eq!(case.timeline.injury, NerveInjury::Neurotmesis);
        }
    });
}

#[test]
fn the_same_seed_gives_the_same_case_and_another_seed_another() {
    let (content, model) = content_and_model();
    let mut told = BTreeSet::new();
    for seed in 0..60 {
        let case = drawn(&model, &content, &open(seed));
        assert_eq!(case, drawn(&model, &content, &open(seed)));
        told.insert(format!("{} {} {:?}", case.site, case.story, case.patient));
    }
    assert!(told.len() >= 59, "{} different cases of 60", told.len());
}

#[test]
fn a_choice_made_by_hand_shifts_no_other() {
    let (content, model) = content_and_model();
    for seed in 0..20 {
        let by_chance = drawn(&model, &content, &open(seed));
        let by_name = drawn(&model, &content, &at(&by_chance.site, seed));
        assert_eq!(by_chance, by_name);
    }
}

#[test]
fn common_sites_are_drawn_more_often() {
    let (content, model) = content_and_model();
    let total: f64 = model.sites.iter().map(|s| s.weight.sqrt()).sum();
    let share = model.site("carpal_tunnel").expect("site").weight.sqrt() / total;
    let seeds = 400;
    let hits = (0..seeds)
        .filter(|&s| drawn(&model, &content, &open(s)).site == "carpal_tunnel")
        .count() as f64;
    let expected = share * seeds as f64;
    // Five standard deviations of a binomial.
    let slack = 5.0 * (expected * (1.0 - share)).sqrt();
    assert!((hits - expected).abs() < slack, "{hits} of {expected}");
}

#[test]
fn nine_in_ten_are_right_handed() {
    let (content, model) = content_and_model();
    let (mut right, mut all) = (0.0, 0.0);
    for seed in 0..600 {
        match drawn(&model, &content, &at("carpal_tunnel", seed))
            .patient
            .dominant
        {
            Some(Side::Right) => (right, all) = (right + 1.0, all + 1.0),
            Some(Side::Left) => all += 1.0,
            None => {}
        }
    }
    // About 90 % of people (common practice, no source); 5 standard deviations of 600 are 6 %.
    assert!((0.84..=0.96).contains(&(right / all)), "{right} of {all}");
}

#[test]
fn an_early_student_meets_a_complete_lesion_wherever_one_is_possible() {
    let (content, _) = content_and_model();
    each_case(5, |model, case, level| {
        if level != Level::Early {
            return;
        }
        let ids: Vec<&str> = model.sites.iter().map(|s| s.id.as_str()).collect();
        let file = vivasmith::case::mechanism::of_site(&content, &case.site, &ids)
            .unwrap_or_else(|e| panic!("{e}"));
        let possible = file.is_none_or(|f| f.mechanisms.iter().any(|m| m.severity.complete > 0.0));
        let partial = matches!(case.lesion.parts[0].severity, Severity::Partial(_));
        assert_eq!(partial, !possible, "{} {}", case.site, case.mechanism);
    });
}

#[test]
fn a_given_lesion_is_kept_and_gets_a_mechanism_that_can_cause_it() {
    let (content, model) = content_and_model();
    // (lesion, site whose scenario file it shares or the general one)
    let cases = [
        ("ulnar_elbow@40%", "ulnar_elbow"),
        ("root_c7@partial", "root_c7"),
        ("root_c5@avulsion+root_c6@avulsion", "avulsion_c5c6"),
        ("ulnar_superficial", "ulnar_guyon_3"),
        ("root_c7@avulsion", "general_avulsion"),
        ("phrenic_nerve", "general"),
        ("carpal_tunnel+ulnar_elbow@partial", "general"),
    ];
    let ids: Vec<&str> = model.sites.iter().map(|s| s.id.as_str()).collect();
    for (text, stem) in cases {
        let lesion = lesion::parse(&model, text).unwrap_or_else(|e| panic!("{e}"));
        let file = vivasmith::case::mechanism::of_site(&content, stem, &ids)
            .unwrap_or_else(|e| panic!("{e}"))
            .unwrap_or_else(|| panic!("no file for {stem}"));
        for seed in 0..15 {
            let request = Request {
                lesion: Some(lesion.clone()),
                ..open(seed)
            };
            let case = drawn(&model, &content, &request);
            assert_eq!(case.lesion, lesion);
            let mechanism = file
                .mechanisms
                .iter()
                .find(|m| m.id == case.mechanism)
                .unwrap_or_else(|| panic!("{text}: {} is not of {stem}", case.mechanism));
            let chance = if text.contains('%') || text.contains("partial") {
                mechanism.severity.partial
            } else {
                mechanism.severity.complete
            };
            assert!(chance > 0.0, "{text} by {}", case.mechanism);
        }
    }
}

#[test]
fn a_region_narrows_the_sites() {
    let (content, model) = content_and_model();
    let sites_of = |region: &str| -> BTreeSet<String> {
        (0..60)
            .map(|seed| {
                let request = Request {
                    area: Some(region.to_string()),
                    ..open(seed)
                };
                drawn(&model, &content, &request).site
            })
            .collect()
    };
    let ulnar = sites_of("ulnar nerve");
    assert!(
        ulnar.contains("ulnar_elbow") && ulnar.iter().all(|s| s.starts_with("ulnar")),
        "{ulnar:?}"
    );
    let hand = sites_of("hand");
    assert!(hand.contains("carpal_tunnel"), "{hand:?}");
    // The spinal accessory nerve supplies no muscle of the hand; the axillary nerve neither (common practice, no source).
    for other in [
        "xi_posterior_triangle",
        "axillary_quadrangular",
        "suprascapular_notch",
    ] {
        assert!(!hand.contains(other), "{hand:?}");
    }
    assert!(sites_of("Forearm").iter().any(|s| s.starts_with("root_")));
    let wrong = Request {
        area: Some("hnad".to_string()),
        ..open(1)
    };
    let failure = draw(&model, &content, &wrong).expect_err("no such region");
    assert_eq!(failure.exit_code(), 2);
    assert!(
        failure.to_string().contains("did you mean `hand`"),
        "{failure}"
    );
}

#[test]
fn an_unknown_site_is_answered_with_the_site_meant() {
    let (content, model) = content_and_model();
    let failure = draw(&model, &content, &at("carpal_tunel", 1)).expect_err("unknown");
    assert_eq!(failure.exit_code(), 2);
    assert!(failure.to_string().contains("carpal_tunnel"), "{failure}");
}

#[test]
fn a_held_variant_reaches_the_findings() {
    let (content, model) = content_and_model();
    let mut changed = 0;
    for v in 0..model.variants.len() {
        let request = Request {
            fixed: vec![(v, 1)],
            ..at("ulnar_elbow", 3)
        };
        let case = drawn(&model, &content, &request);
        assert_eq!(
            case.findings,
            findings::derive(&model, &case.lesion, &[(v, 1)])
        );
        changed +=
            usize::from(case.findings != drawn(&model, &content, &at("ulnar_elbow", 3)).findings);
    }
    assert!(changed > 0, "no variant touches the ulnar nerve");
}

/// A user's folder with one scenario file, below the build folder.
fn folder(name: &str, text: &str) -> PathBuf {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::create_dir_all(dir.join("scenarios")).expect("folder");
    fs::write(dir.join("scenarios/ain.yaml"), text).expect("file");
    dir
}

#[test]
fn a_users_file_wins_and_its_mistakes_stop_only_its_own_site() {
    let (_, model) = content_and_model();
    let good = Content::embedded()
        .get("scenarios/general.yaml")
        .expect("general")
        .text
        .replace("site: general", "site: ain")
        .replace("id: general_", "id: local_");
    let content = Content::overlaid(&folder("case_good", &good)).unwrap_or_else(|e| panic!("{e}"));
    assert!(
        drawn(&model, &content, &at("ain", 1))
            .mechanism
            .starts_with("local_")
    );

    let bad = good
        .replace("weight: 3", "weight: 0")
        .replace("[20, 80]", "[80, 20]");
    let content = Content::overlaid(&folder("case_bad", &bad)).unwrap_or_else(|e| panic!("{e}"));
    let failure = draw(&model, &content, &at("ain", 1)).expect_err("mistakes");
    assert_eq!(failure.exit_code(), 1);
    assert!(
        matches!(&failure, Failure::Content(all) if all.len() == 3),
        "{failure}"
    );
    assert!(failure.to_string().contains("ain.yaml:"), "{failure}");
    drawn(&model, &content, &at("ulnar_elbow", 1));
}

/// A disc, a growth or a bone presses the roots of the cauda equina, and they may be hurt in part; only what tears them is an avulsion
/// (Seddon 1943; common practice, no source).
#[test]
fn pressed_roots_are_no_torn_ones() {
    let content = Content::embedded();
    let model = anatomy::load(&content, "lower_limb").unwrap_or_else(|e| panic!("{e}"));
    let of = |text: &str| lesion::parse(&model, text).unwrap_or_else(|e| panic!("{text}: {e}"));
    assert!(!is_avulsion(&model, &of("cauda_equina")));
    assert!(!is_avulsion(&model, &of("cauda_equina@partial")));
    assert!(is_avulsion(&model, &of("root_s2@avulsion")));
    let drawn = |seed| {
        let request = Request {
            site: Some("cauda_equina".to_string()),
            ..open(seed)
        };
        draw(&model, &content, &request).unwrap_or_else(|e| panic!("{seed}: {e}"))
    };
    let partial = |case: &Case| {
        let mut parts = case.lesion.parts.iter();
        parts.any(|p| matches!(p.severity, Severity::Partial(_)))
    };
    assert!((1..=12).any(|seed| partial(&drawn(seed))));
}
