//! Reads the model backwards: findings lead back to their lesion, published discriminators discriminate, bad words are answered.

use crate::cli_findings::{run, text};
use proptest::prelude::*;
use vivasmith::anatomy::{self, Model};
use vivasmith::files::Content;
use vivasmith::findings::{Findings, derive};
use vivasmith::lesion::{self, Lesion, Severity};
use vivasmith::localise::{
    Known, MOST_ADDED, Names, Observation, Places, Seen, Setting, Told, What, battery,
    battery_against, name, observations_of, parse, prove, read, reliable, rivals, statements,
};

pub fn model_of(region: &str) -> Model {
    anatomy::load(&Content::embedded(), region).unwrap_or_else(|e| panic!("{e}"))
}

fn model() -> Model {
    model_of("upper_limb")
}

fn bedside(model: &Model, lesion: &Lesion) -> Vec<Observation> {
    let found = derive(model, lesion, &[]);
    observations_of(found.all().filter(|f| reliable(model, f.structure)))
}

fn told(model: &Model, o: &Observation) -> Told {
    Told {
        name: name(model, o.structure),
        structures: vec![o.structure],
        what: match o.seen {
            Seen::Lost => What::Lost,
            Seen::Weak => What::Weak,
            Seen::Spared => What::Spared,
            Seen::Either => What::Either,
        },
    }
}

/// What a report says.
pub fn understood(model: &Model, names: &Names, report: &str) -> Vec<Told> {
    statements(report)
        .iter()
        .map(|s| read(model, names, s).unwrap_or_else(|e| panic!("{report}: {e}")))
        .collect()
}

fn first(model: &Model, words: &[&str]) -> String {
    let told = understood(model, &Names::of(model), &words.join(","));
    let ranking = Places::new(model, Setting::Exam, &[]).rank(&told);
    ranking.rows[0].lesion.parts[0].place.clone()
}

/// Each site at each severity is first, or is in the same group as the first. Half a root leaves so much open that two of them fall behind a
/// branch: what is left to tell is the weakness of the branch.
#[test]
fn every_lesion_is_found_again_from_its_own_findings() {
    let model = model();
    let places = Places::new(&model, Setting::Exam, &[]);
    let mut lost = Vec::new();
    for site in &model.sites {
        for severity in [
            Severity::Complete,
            Severity::Partial(0.85),
            Severity::Partial(0.5),
        ] {
            let lesion = lesion::at(&model, &site.id, severity).unwrap_or_else(|e| panic!("{e}"));
            let all = bedside(&model, &lesion);
            let all: Vec<Told> = all.iter().map(|o| told(&model, o)).collect();
            let ranking = places.rank(&all);
            let own = ranking
                .rows
                .iter()
                .find(|r| r.lesion.parts[0].place == site.id)
                .map_or(0, |r| r.group);
            if own != 1 {
                lost.push(format!(
                    "{} -> {}",
                    lesion.text(),
                    ranking.rows[0].lesion.text()
                ));
            }
        }
    }
    assert!(lost.len() <= 2, "not found again:\n{}", lost.join("\n"));
}

/// From memory of Preston and Shapiro, Electromyography and Neuromuscular Disorders, and of Brazis, Masdeu and Biller,
/// Localization in Clinical Neurology, chapters on mononeuropathies, roots and plexus; to be checked against print.
#[test]
fn published_discriminators_discriminate() {
    let model = model();
    for (words, site) in [
        // Ulnar at the elbow against C8 and the lower trunk: thenar muscles, index extension and medial forearm.
        (
            &[
                "adm=weak",
                "dorsal_interosseous_1=weak",
                "apb=spared",
                "eip=spared",
                "medial_forearm=spared",
                "ulnar_dorsum=reduced",
                "fdp_medial=weak",
            ][..],
            "ulnar_elbow",
        ),
        (
            &[
                "adm=weak",
                "dorsal_interosseous_1=weak",
                "apb=weak",
                "eip=weak",
                "fpl=weak",
                "medial_forearm=reduced",
                "ulnar_dorsum=reduced",
            ],
            "root_c8 or lower_trunk",
        ),
        (
            &[
                "adm=lost",
                "dorsal_interosseous_1=lost",
                "apb=lost",
                "eip=weak",
                "fpl=lost",
                "medial_forearm=lost",
                "horner=absent",
                "sensory_conduction_preserved=absent",
                "paraspinal_denervation=absent",
            ],
            "lower_trunk",
        ),
        // With Horner syndrome and preserved sensory conduction the tear lies before the ganglion.
        (
            &[
                "adm=lost",
                "apb=lost",
                "fpl=lost",
                "medial_forearm=lost",
                "horner=present",
                "sensory_conduction_preserved=present",
            ],
            "avulsion_c8t1",
        ),
        // C7 root against the posterior interosseous nerve: triceps, wrist flexor, sensation.
        (
            &[
                "edc=weak",
                "triceps_long=weak",
                "fcr=weak",
                "reflex:triceps=reduced",
                "median_digits=reduced",
            ],
            "root_c7 or middle_trunk",
        ),
        (
            &[
                "edc=lost",
                "triceps_long=spared",
                "fcr=spared",
                "ecrl=spared",
                "reflex:triceps=present",
                "dorsoradial_hand=spared",
            ],
            "pin_supinator",
        ),
        // Carpal tunnel against C6: thenar power and palm against wrist extensors, forearm and reflex.
        (
            &[
                "apb=weak",
                "thenar_palm=spared",
                "median_digits=reduced",
                "ecrl=spared",
                "lateral_forearm=spared",
            ],
            "carpal_tunnel",
        ),
        (
            &[
                "apb=spared",
                "ecrl=weak",
                "pronator_teres=weak",
                "lateral_forearm=reduced",
                "median_digits=reduced",
                "reflex:brachioradialis=reduced",
            ],
            "root_c6",
        ),
        // Spiral groove against axilla: triceps and its reflex.
        (
            &[
                "triceps_long=spared",
                "reflex:triceps=present",
                "brachioradialis=lost",
                "ecrl=lost",
                "edc=lost",
                "dorsoradial_hand=lost",
            ],
            "radial_spiral_groove",
        ),
        (
            &[
                "triceps_long=lost",
                "reflex:triceps=absent",
                "ecrl=lost",
                "edc=lost",
                "deltoid=spared",
                "latissimus_dorsi=spared",
            ],
            "radial_axilla",
        ),
        // Upper trunk against C5 and C6 torn: serratus and rhomboids.
        (
            &[
                "deltoid=lost",
                "biceps_brachii=lost",
                "infraspinatus=lost",
                "serratus_anterior=spared",
                "rhomboid_major=spared",
            ],
            "upper_trunk",
        ),
        (
            &[
                "deltoid=lost",
                "biceps_brachii=lost",
                "infraspinatus=lost",
                "rhomboid_major=weak",
                "serratus_anterior=weak",
                "sensory_conduction_preserved=present",
            ],
            "avulsion_c5c6",
        ),
        // Anterior interosseous against a higher median lesion: no skin, thenar and wrist flexor spared.
        (
            &[
                "fpl=lost",
                "fdp_lateral=lost",
                "apb=spared",
                "fcr=spared",
                "median_digits=spared",
            ],
            "ain",
        ),
    ] {
        let found = first(&model, words);
        assert!(
            site.split(" or ").any(|s| s == found),
            "{words:?}: {found}, not {site}"
        );
    }
}

/// "Four tests localise any radial nerve lesion": common practice, no source.
#[test]
fn few_tests_localise_a_radial_lesion() {
    let out = text(&run(&["localise", "--battery", "radial"]).stdout);
    assert!(out.contains("Together 4 tests"), "{out}");
}

#[test]
fn a_battery_tells_the_lesion_from_every_site_it_does_not_name() {
    let model = model();
    for (i, site) in model.sites.iter().enumerate() {
        let b = battery(&model, i);
        assert!(b.tests.len() <= 6, "{}: {}", site.id, b.tests.len());
        for (j, other) in model
            .sites
            .iter()
            .enumerate()
            .filter(|(j, _)| *j != i && !b.alike.contains(j))
        {
            let theirs = derive(
                &model,
                &lesion::at(&model, &other.id, Severity::Complete)
                    .unwrap_or_else(|e| panic!("{e}")),
                &[],
            );
            let apart = b.tests.iter().any(|o| {
                let f = theirs.get(o.structure).expect("every structure");
                let affected = o.seen != Seen::Spared;
                if affected { f.spared() } else { f.affected() }
            });
            assert!(apart, "{} against {} ({j})", site.id, other.id);
        }
    }
}

/// A rival beyond the 128th is told apart as well as the first.
#[test]
fn a_battery_takes_any_number_of_rivals() {
    let model = model();
    let at = |site: &str| {
        let lesion = lesion::at(&model, site, Severity::Complete).unwrap_or_else(|e| panic!("{e}"));
        derive(&model, &lesion, &[])
    };
    let (own, other) = (at("radial_spiral_groove"), at("carpal_tunnel"));
    let mut rivals: Vec<&Findings> = vec![&other; 128];
    rivals.push(&own);
    rivals.push(&other);
    let (tests, alike) = battery_against(&model, &own, &rivals, &|f| reliable(&model, f.structure));
    assert_eq!(tests.len(), 1);
    assert_eq!(alike, [128]);
}

/// A station's findings lead back to it, or its equals are named.
#[test]
fn every_site_can_be_proved_or_names_its_equals() {
    let model = model();
    let belief = rivals(&model, &[]);
    for site in &model.sites {
        let lesion =
            lesion::at(&model, &site.id, Severity::Complete).unwrap_or_else(|e| panic!("{e}"));
        let found = derive(&model, &lesion, &[]);
        let given: Vec<Observation> = bedside(&model, &lesion).into_iter().take(3).collect();
        let proof = prove(
            &Known {
                model: &model,
                belief: &belief,
                lesion: &lesion,
                findings: &found,
                fixed: &[],
            },
            &given,
            MOST_ADDED,
            &|_| true,
        );
        assert!(
            proof.holds,
            "{}: {:.1} bits ahead of {:?}",
            site.id,
            proof.margin_bits,
            proof.runner_up.map(|l| l.text())
        );
    }
}

#[test]
fn the_json_has_the_promised_shape() {
    let out = run(&[
        "localise",
        "edc=lost",
        "ecrl=spared",
        "dorsoradial_hand=spared",
        "--json",
    ]);
    assert!(out.status.success());
    let json: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let ranking = json["ranking"].as_array().expect("a list");
    assert_eq!(ranking[0]["lesion"][0]["site"], "pin_supinator");
    assert_eq!(ranking[0]["group"], 1);
    for row in ranking {
        assert!(
            row["probability"]
                .as_f64()
                .is_some_and(|p| (0.0..=1.0).contains(&p))
        );
        assert!(row["fits"].is_array() && row["contradicts"].is_array());
        assert!(row["lesion"][0]["severity"].is_string());
    }
    let order: Vec<f64> = ranking
        .iter()
        .filter_map(|r| r["probability"].as_f64())
        .collect();
    assert!(order.is_sorted_by(|a, b| a >= b));
    assert!(
        json["next_test"]["gain_bits"]
            .as_f64()
            .is_some_and(|g| g > 0.0)
    );
}

#[test]
fn findings_may_come_from_a_file_and_mistakes_in_it_are_placed() {
    let path = std::env::temp_dir().join(format!("vivasmith-findings-{}.txt", std::process::id()));
    std::fs::write(
        &path,
        "# seen on the ward\nedc=lost\necrl=spared  edm=lots\n",
    )
    .expect("write");
    let name = path.to_string_lossy().into_owned();
    let out = run(&["localise", &name]);
    assert_eq!(out.status.code(), Some(2));
    assert!(
        text(&out.stderr).contains(&format!("{name}:3:14: `lots` is no state of a muscle")),
        "{}",
        text(&out.stderr)
    );
    std::fs::write(&path, "edc=lost\necrl=spared\n").expect("write");
    assert!(run(&["localise", &name]).status.success());
    std::fs::remove_file(&path).expect("remove");
}

#[test]
fn words_that_are_not_understood_are_answered() {
    for (word, said) in [
        ("edcc=lost", "did you mean `edc`?"),
        ("edc", "write ID=STATE"),
        ("thmub weak", "did you mean `thumb`?"),
        ("thumb jerk absent", "the nearest names are: "),
        ("thumb", "does not say what was found"),
        ("triceps jerk 4/5", "what cannot be said of it"),
        (
            "deltoid weak, thumb weakish",
            "`weakish` in `thumb weakish`",
        ),
        ("deltoid weak, xyzzy numb", "`xyzzy` in `xyzzy numb`"),
        ("edc=gone", "lost, weak, spared, or a power"),
        ("edc=7", "no state of a muscle"),
        ("froment=weak", "present, absent"),
        ("muscel:edc=lost", "did you mean `muscle`?"),
        ("skin:edc=lost", "nothing that can be examined"),
    ] {
        let out = run(&["localise", word]);
        assert_eq!(out.status.code(), Some(2), "{word}");
        assert!(
            text(&out.stderr).contains(said),
            "{word}: {}",
            text(&out.stderr)
        );
    }
    let out = run(&["localise", "edc=lost", "edc=spared"]);
    assert!(text(&out.stderr).contains("contradicts"));
    assert_eq!(run(&["localise"]).status.code(), Some(2));
}

#[test]
fn an_id_that_names_two_things_is_settled_by_prefix_or_state() {
    let model = model();
    let says = |w: &str| {
        parse(&model, w)
            .map(|o| o.text(&model))
            .unwrap_or_else(|e| panic!("{e}"))
    };
    assert_eq!(
        says("reflex:brachioradialis=absent"),
        "reflex:brachioradialis=absent"
    );
    assert_eq!(
        says("brachioradialis=absent"),
        "reflex:brachioradialis=absent"
    );
    assert_eq!(says("brachioradialis=lost"), "brachioradialis=lost");
    assert_eq!(
        says("first dorsal interosseous=3"),
        "dorsal_interosseous_1=weak"
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_finding_word_is_answered(word in "[a-z_:=0-9]{0,30}|\\PC{0,20}") {
        thread_local!(static MODEL: Model = model());
        MODEL.with(|m| { let _ = parse(m, &word); });
    }

    #[test]
    fn any_report_is_answered(report in "([a-z]{1,9}|[0-5]|weak|numb|no|and|thumb|jerk|[,;=./+-]| ){0,25}|\\PC{0,40}") {
        thread_local!(static KNOWN: (Model, Names) = {
            let model = model();
            let names = Names::of(&model);
            (model, names)
        });
        KNOWN.with(|(model, names)| {
            for statement in statements(&report) {
                let _ = read(model, names, &statement);
            }
        });
    }
}
