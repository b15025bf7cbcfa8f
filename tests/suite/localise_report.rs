//! A report is read as people write it, in whichever limb it lies, and what it says leads somewhere that explains it.

use crate::cli_findings::{run, text};
use crate::localise::{model_of, understood};
use vivasmith::anatomy::{Kind, Model};
use vivasmith::findings::derive;
use vivasmith::lesion::{Severity, at};
use vivasmith::localise::{Names, Places, Setting, Told, Verdict, What};

fn says(model: &Model, report: &str) -> Vec<String> {
    let told = understood(model, &Names::of(model), report);
    told.iter().map(Told::text).collect()
}

/// Common practice, no source: how findings stand in notes.
#[test]
fn findings_are_read_as_people_write_them() {
    let model = model_of("upper_limb");
    for (report, read) in [
        ("thumb extension 4/5", "thumb_extension=4"),
        ("power of wrist extension is 4+", "wrist_extension=4"),
        ("thumb extension=2", "thumb_extension=2"),
        ("deltoid M0", "deltoid=lost"),
        ("triceps jerk absent", "triceps=absent"),
        ("no triceps reflex", "triceps=absent"),
        ("reduced triceps jerk", "triceps=reduced"),
        ("triceps=weak", "triceps=weak"),
        ("severe weakness of deltoid", "deltoid=2"),
        ("no weakness of deltoid", "deltoid=spared"),
        ("C8 dermatome numb", "derm_C8=affected"),
        ("little finger numb", "ulnar_palmar_digits=affected"),
        ("numb first web space", "dorsoradial_hand=affected"),
        ("winging", "winging=present"),
        ("no winging of the scapula", "winging_scapula=absent"),
        ("interossei weak", "interossei=weak"),
        ("Horner", "horner=present"),
        ("wrist drop", "wrist_drop=present"),
        ("cannot extend the wrist", "wrist_extension=lost"),
        ("extensor digitorum paralysed", "extensor_digitorum=lost"),
    ] {
        assert_eq!(says(&model, report), [read], "{report}");
    }
    let triceps = understood(&model, &Names::of(&model), "triceps=weak");
    assert_eq!(triceps[0].structures.len(), 3, "its three heads");
    assert!(triceps[0].structures.iter().all(|s| s.kind == Kind::Muscle));
    let all = "biceps, deltoid weak and wrist and finger extension normal. No sensory loss";
    assert_eq!(
        says(&model, all),
        [
            "biceps_brachii=weak",
            "deltoid=weak",
            "wrist_extension=spared",
            "finger_extension=spared",
            "skin=spared"
        ]
    );
    let leg = model_of("lower_limb");
    for (report, read) in [
        ("peroneal weakness", "peroneal=weak"),
        ("foot drop", "foot_drop=present"),
        ("big toe extension 3-/5", "great_toe_extension=3"),
        ("ankle jerk absent", "ankle=absent"),
        ("numb first web space", "first_web_foot=affected"),
        ("quadriceps 2/5", "quadriceps=2"),
    ] {
        assert_eq!(says(&leg, report), [read], "{report}");
    }
}

/// What is said of several structures is kept apart from what is said of one: power 2 is nearer to lost than 4 is.
#[test]
fn power_two_is_nearer_to_lost_than_four() {
    let model = model_of("upper_limb");
    let names = Names::of(&model);
    let lost = |what: &str| {
        let told = &understood(&model, &names, &format!("fpl={what}"))[0];
        let weak = told.chance(|_| [0.05, 0.9, 0.05, 0.5]);
        told.chance(|_| [0.92, 0.075, 0.005, 0.0]) / weak
    };
    assert!(lost("lost") > lost("2") && lost("2") > lost("3") && lost("3") > lost("4"));
    assert!(
        lost("weak") > lost("4"),
        "reports call a lost muscle weak, too"
    );
    assert_eq!(
        understood(&model, &names, "fpl=affected")[0].what,
        What::Affected
    );
}

/// The first answer brings about what was seen, for every sign of both limbs that any place brings about.
#[test]
fn a_sign_alone_leads_to_a_place_that_has_it() {
    let (mut wrong, mut count) = (Vec::new(), 0);
    for region in ["upper_limb", "lower_limb"] {
        let model = model_of(region);
        let names = Names::of(&model);
        for setting in [Setting::Exam, Setting::Clinic] {
            let places = Places::new(&model, setting, &[]);
            for s in model.structures(Kind::Sign) {
                let chance = |site: &str, severity| {
                    let lesion = at(&model, site, severity).unwrap_or_else(|e| panic!("{e}"));
                    let found = derive(&model, &lesion, &[]);
                    found.get(s).map_or(0.0, |f| f.probability)
                };
                let any = |x: &str| chance(x, Severity::Complete) >= 0.5;
                if !model.sites.iter().any(|x| any(&x.id)) {
                    continue;
                }
                count += 1;
                let told = understood(&model, &names, &format!("sign:{}=present", model.id(s)));
                let first = &places.rank(&told).rows[0].lesion;
                let part = &first.parts[0];
                if chance(&part.place, part.severity.clone()) < 0.3 {
                    wrong.push(format!("{}: {}", model.id(s), first.text()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
    assert!(count >= 100, "{count}");
}

#[test]
fn what_no_place_explains_is_said() {
    let model = model_of("upper_limb");
    let places = Places::new(&model, Setting::Exam, &[]);
    let names = Names::of(&model);
    let verdict = |report: &str| places.rank(&understood(&model, &names, report)).verdict;
    assert_eq!(verdict("wrist drop, triceps normal"), Verdict::Fits);
    assert_eq!(
        verdict("deltoid normal, biceps normal"),
        Verdict::NothingAbnormal
    );
    let everywhere = "rhomboids 0/5, interossei 0/5, trapezius normal, deltoid normal, biceps normal, triceps normal, thumb flexion normal, finger extension normal, latissimus dorsi 0/5, supraspinatus normal";
    assert_eq!(verdict(everywhere), Verdict::NothingFits);
    let out = run(&["localise", everywhere]);
    assert!(text(&out.stdout).contains("No listed site fits"));
}

/// "No sensory loss" is said of all skin: one area that a lesion surely numbs speaks against it.
#[test]
fn what_is_spared_is_spared_everywhere() {
    let model = model_of("upper_limb");
    let report = "abductor pollicis brevis 1/5, opponens pollicis weak, no sensory loss, thumb flexion normal";
    let told = understood(&model, &Names::of(&model), report);
    let first = &Places::new(&model, Setting::Exam, &[]).rank(&told).rows[0];
    assert_eq!(first.lesion.parts[0].place, "recurrent_motor");
    assert!(first.probability > 0.7);
}

/// Two places at once, one of them partial.
#[test]
fn two_places_are_found_when_one_does_not_do() {
    let model = model_of("upper_limb");
    let places = Places::new(&model, Setting::Exam, &[]);
    let report = "wrist drop, finger extension 0/5, brachioradialis 0/5, back of the hand numb, triceps normal, interossei 2/5, abductor digiti minimi 3/5, FDP little weak, ulnar dorsum of the hand numb, little finger numb, abductor pollicis brevis normal, thumb flexion normal, deltoid normal, froment present, biceps normal, FCU weak, medial forearm normal, pronator teres normal, fcr normal";
    let told = understood(&model, &Names::of(&model), report);
    let ranking = places.rank(&told);
    let first: Vec<&str> = ranking.rows[0]
        .lesion
        .parts
        .iter()
        .map(|p| p.place.as_str())
        .collect();
    assert_eq!(
        first,
        ["radial_spiral_groove", "ulnar_elbow"],
        "{:?}",
        ranking.rows[0]
    );
}

#[test]
fn the_findings_name_the_limb() {
    let first = |arguments: &[&str]| -> String {
        let out = run(&[&["localise", "--json"], arguments].concat());
        assert!(out.status.success(), "{}", text(&out.stderr));
        let json: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
        json["ranking"][0]["lesion"][0]["site"].to_string()
    };
    assert_eq!(
        first(&[
            "foot drop, eversion weak, inversion normal, upper outer calf normal, hip abduction normal"
        ]),
        "\"common_fibular\""
    );
    assert_eq!(
        first(&["wrist drop, triceps normal, first web space numb"]),
        "\"radial_spiral_groove\""
    );
    // A web space alone is of either limb: the settings decide, and --region does.
    assert!(first(&["first web space numb"]).contains("radial"));
    assert!(first(&["first web space numb", "--region", "lower_limb"]).contains("fibular"));
    let out = run(&["localise", "wrist drop, foot drop"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("point to both limbs: wrist_drop=present to the upper limb; foot_drop=present to the lower limb"));
    let out = run(&[
        "localise",
        "wrist drop, foot drop",
        "--region",
        "lower_limb",
    ]);
    assert!(out.status.success());
    assert!(
        text(&out.stderr).contains("set aside"),
        "{}",
        text(&out.stderr)
    );
    let out = run(&["localise", "foot drop", "--region", "upper_limb"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("`foot_drop=present` is a finding of the lower limb"));
    assert!(text(&run(&["localise", "--battery", "common_fibular"]).stdout).contains("fibula"));
}

/// Frequency weighs only when it is asked for.
#[test]
fn common_sites_lead_only_in_the_clinic() {
    let model = model_of("upper_limb");
    let told = understood(&model, &Names::of(&model), "apb weak");
    let share = |setting| {
        let rows = Places::new(&model, setting, &[]).rank(&told).rows;
        let row = rows
            .iter()
            .find(|r| r.lesion.parts[0].place == "carpal_tunnel");
        row.map_or(0.0, |r| r.probability)
    };
    assert!(share(Setting::Clinic) > 1.5 * share(Setting::Exam));
}
