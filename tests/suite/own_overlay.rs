//! Extra files add entries to the shipped lists or correct single ones; whole files replace; mistakes point at the user's file.

use crate::own_support::{Folder, call, says};
use vivasmith::anatomy::{self, Kind, Model};
use vivasmith::case::mechanism;
use vivasmith::diagnostic::Failure;
use vivasmith::files::Content;

const UPPER: &str = "anatomy/upper_limb";

fn load(folder: &Folder) -> Result<Model, Failure> {
    anatomy::load(&Content::overlaid(&folder.0)?, "upper_limb")
}

fn shipped() -> Model {
    anatomy::load(&Content::embedded(), "upper_limb").expect("sound")
}

const RHOMBOID: &str = r#"muscles:
  - id: rhomboid_major
    label: "Rhomboid major"
    part: scapula
    nerve_label: "dorsal scapular nerve"
    action: "pull the scapula towards the spine"
    test: "hand on hip, press the elbow backwards against resistance"
    supply:
      - {via: dorsal_scapular, roots: {C5: 1}}
    source: "common practice, no source"
  - id: chondrocoracoideus
    label: "Chondrocoracoideus"
    part: shoulder
    nerve_label: "medial pectoral nerve"
    action: "pull the coracoid process down"
    testable: false
    supply:
      - {via: medial_pectoral, roots: {C8: 0.5, T1: 0.5}}
    source: "common practice, no source"
"#;

#[test]
fn an_extra_entry_replaces_the_one_of_its_id_or_is_added() {
    let folder = Folder::new("extra");
    folder.with(&format!("{UPPER}/muscles.extra.yaml"), RHOMBOID);
    let (before, after) = (shipped(), load(&folder).unwrap_or_else(|e| panic!("{e}")));
    assert_eq!(after.muscles.len(), before.muscles.len() + 1);
    let at = |m: &Model, id: &str| m.structure(Kind::Muscle, id).expect("a muscle").position;
    // The order of the rest is untouched, so nothing else changes its place.
    assert_eq!(at(&after, "rhomboid_major"), at(&before, "rhomboid_major"));
    assert_eq!(at(&after, "chondrocoracoideus"), before.muscles.len());
    let roots = |m: &Model| m.muscles[at(m, "rhomboid_major")].supply.usual().len();
    assert_eq!((roots(&before), roots(&after)), (2, 1));
}

#[test]
fn every_list_of_a_region_can_be_extended() {
    let folder = Folder::new("lists");
    let file = |name: &str| format!("{UPPER}/{name}.extra.yaml");
    folder
        .with(&file("sources"), "sources:\n  - {code: FERN, status: ours, citation: \"Department notes\"}\n")
        .with(&file("plexus"), "segments:\n  - {id: bridge_x, kind: nerve, label: a bridge, from: [upper_trunk], source: FERN}\n")
        .with(&file("nerves"), "nerves:\n  - id: nerve_x\n    label: nerve x\n    from: [bridge_x]\n    source: FERN\n    relations: [runs down]\n    course:\n      - {order: 1, id: nerve_x_arm, level: in the arm}\n")
        .with(&file("muscles"), "muscles:\n  - {id: muscle_x, label: Muscle X, part: arm, nerve_label: nerve x, action: move it, test: move it, supply: [{via: nerve_x_arm, roots: {C5: 1}}], source: FERN}\n")
        .with(&file("movements"), "movements:\n  - {id: movement_x, label: movement of x, command: Move it, shares: {muscle_x: 1}, source: FERN}\n")
        .with(&file("skin"), "skin:\n  - {id: skin_x, kind: peripheral, label: skin x, nerve_label: nerve x, region: a patch, supply: [{via: nerve_x_arm, roots: {C5: 1}}], source: FERN}\n")
        .with(&file("reflexes"), "reflexes:\n  - {id: reflex_x, label: x jerk, muscles: [muscle_x], supply: [{via: nerve_x_arm, roots: {C5: 1}}], source: FERN}\n")
        .with(&file("signs"), "signs:\n  - {id: sign_x, label: sign x, group: deformity, look: style, plain: it hangs, cases: [{when: {lost: muscle_x}, probability: 0.9, because: muscle x is lost}], otherwise: muscle x works, source: FERN}\n")
        .with(&file("variants"), "variants:\n  - {id: variant_x, label: x from the median, kind: limbs, usual: from nerve x, note: rare, source: FERN, alternatives: [{id: median, label: from the median nerve, prevalence: 0.1, supply: {muscle_x: [{via: median_arm, roots: {C6: 1}}]}}]}\n")
        .with(&file("sites"), "sites:\n  - {id: site_x, label: nerve x, segments: [nerve_x_arm], weight: 1, source: FERN, giveaways: [nerve x], care: [rest]}\n");
    let model = load(&folder).unwrap_or_else(|e| panic!("{e}"));
    let lesion = vivasmith::lesion::parse(&model, "site_x").expect("a site");
    let found = vivasmith::findings::derive(&model, &lesion, &[]);
    let state = |kind, id: &str| {
        let f: Vec<_> = found
            .of(kind)
            .iter()
            .filter(|f| f.id(&model) == id)
            .collect();
        f[0].word()
    };
    assert_eq!(state(Kind::Muscle, "muscle_x"), "lost");
    assert_eq!(state(Kind::Movement, "movement_x"), "lost");
    assert_eq!(state(Kind::Skin, "skin_x"), "lost");
    assert_eq!(state(Kind::Reflex, "reflex_x"), "absent");
    // 0.9 when the muscle is lost, and it is lost in nine limbs of ten: 0.81 is too little to decide a mark.
    assert_eq!(state(Kind::Sign, "sign_x"), "variable");
}

#[test]
fn a_mistake_in_an_extra_file_points_at_that_file() {
    let folder = Folder::new("extra-wrong");
    folder.with(
        &format!("{UPPER}/muscles.extra.yaml"),
        RHOMBOID.replace("medial_pectoral,", "medial_pectorall,"),
    );
    let e = load(&folder).expect_err("an unknown segment");
    assert_eq!(e.exit_code(), 1);
    let place = e.problems()[0].place.clone().expect("a place");
    assert!(place.file.ends_with("muscles.extra.yaml"), "{e}");
    let line = RHOMBOID
        .lines()
        .position(|l| l.contains("medial_pectoral,"))
        .expect("the line")
        + 1;
    assert_eq!(place.line, line, "{e}");
    says(&e.to_string(), &["did you mean `medial_pectoral`?"]);
}

#[test]
fn a_mistake_in_a_shipped_entry_still_points_at_the_shipped_file() {
    // The user's nerve list drops a segment that shipped muscles need.
    let folder = Folder::new("extra-breaks");
    folder.with(
        &format!("{UPPER}/nerves.extra.yaml"),
        "nerves:\n  - {id: dorsal_scapular, label: dorsal scapular nerve, from: [root_c5], source: \"common practice, no source\", relations: [x], course: [{order: 1, id: another_name, level: here}]}\n",
    );
    let e = load(&folder).expect_err("rhomboids have lost their nerve");
    says(
        &e.to_string(),
        &["anatomy/upper_limb/muscles.yaml", "dorsal_scapular"],
    );
}

#[test]
fn an_id_written_twice_in_an_extra_file_is_found() {
    let folder = Folder::new("extra-twice");
    let twice = format!("{RHOMBOID}{}", RHOMBOID.trim_start_matches("muscles:\n"));
    folder.with(&format!("{UPPER}/muscles.extra.yaml"), twice);
    let e = load(&folder).expect_err("twice");
    says(
        &e.to_string(),
        &[
            "muscles.extra.yaml",
            "`rhomboid_major` is used twice",
            "`chondrocoracoideus` is used twice",
        ],
    );
}

#[test]
fn all_unreadable_files_are_named_at_once() {
    let folder = Folder::new("unreadable");
    folder
        .with(&format!("{UPPER}/muscles.extra.yaml"), "muscles: [")
        .with(&format!("{UPPER}/skin.yaml"), "skin: 3\n")
        .with(&format!("{UPPER}/signs.extra.yaml"), "sings: []\n");
    let e = load(&folder).expect_err("three files");
    assert_eq!(e.exit_code(), 2);
    assert_eq!(e.problems().len(), 3, "{e}");
    assert!(
        e.problems()
            .iter()
            .all(|p| p.place.is_some() && !p.hint.is_empty()),
        "{e}"
    );
}

#[test]
fn a_file_name_that_nothing_reads_is_a_problem() {
    let folder = Folder::new("stray");
    folder
        .with(&format!("{UPPER}/muscels.extra.yaml"), "muscles: []\n")
        .with("scenario/root_c7.yaml", "site: root_c7\n")
        .with(
            "scenarios/root_c77.extra.yaml",
            "site: root_c77\nmechanisms: []\n",
        )
        .with("templates/candidat.md.tera", "x")
        .with("notes.txt", "mine");
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 1, "{err}");
    says(
        &err,
        &[
            "muscels.extra.yaml",
            "did you mean `muscles.yaml`?",
            "scenario/: nothing reads",
            "no file scenarios/root_c77.yaml to add to",
            "did you mean `scenarios/root_c7.yaml`?",
            "candidat.md.tera",
            "no sheet uses this template",
            "did you mean `templates/candidate.md.tera`?",
        ],
    );
    assert!(!err.contains("notes.txt"));
}

#[test]
fn mechanisms_people_and_kinds_can_be_extended() {
    let folder = Folder::new("more");
    let shipped = Content::embedded();
    let kinds = &shipped.get("questions/kinds.yaml").expect("kinds").text;
    let (_, trace) = kinds.split_once("  - id: trace").expect("the first kind");
    let (trace, _) = trace.split_once("  - id: ").expect("the second kind");
    folder
        .with(
            "scenarios/people.extra.yaml",
            "people:\n  - {given: Ulmott, family: Yawnabeck}\nnewborns: [Yawnabeck]\n",
        )
        .with(
            "questions/kinds.extra.yaml",
            format!(
                "kinds:\n  - id: sketch{}",
                trace
                    .replace("letter: R", "letter: Z")
                    .replace("From findings to lesion", "Sketch it")
                    .replace("[findings, backwards]", "[]")
            ),
        );
    let content = Content::overlaid(&folder.0).expect("reads");
    let people = mechanism::people(&content).unwrap_or_else(|e| panic!("{e}"));
    let before = mechanism::people(&shipped).expect("shipped people");
    assert_eq!(people.people.len(), before.people.len() + 1);
    assert_eq!(people.newborns.len(), before.newborns.len() + 1);
    let kinds = vivasmith::station::kinds(
        &content,
        &vivasmith::teaching::families(&content).expect("questions"),
    )
    .unwrap_or_else(|e| panic!("{e}"));
    assert!(kinds.iter().any(|k| k.id == "sketch"));
    folder.with(
        "scenarios/people.extra.yaml",
        "people:\n  - {given: \"\", family: Yawnabeck}\nnewborns: []\n",
    );
    let content = Content::overlaid(&folder.0).expect("reads");
    let e = mechanism::people(&content).expect_err("no name");
    says(&e.to_string(), &["people.extra.yaml:2:", "is no name"]);
}

#[test]
fn the_content_version_follows_what_can_change_a_station() {
    let plain = Content::embedded().version();
    let folder = Folder::new("version");
    folder
        .with("own/mine.yaml", "x: 1\n")
        .with("circuits/day.yaml", "y: 1\n");
    let own = Content::overlaid(&folder.0).expect("reads").version();
    assert_eq!(
        own, plain,
        "own stations and blueprints change no other station"
    );
    folder.with(&format!("{UPPER}/muscles.extra.yaml"), RHOMBOID);
    let changed = Content::overlaid(&folder.0).expect("reads").version();
    assert_ne!(changed, plain);
    folder.with("settings.yaml", "institution: Brackletoft Infirmary\n");
    assert_ne!(
        Content::overlaid(&folder.0).expect("reads").version(),
        changed
    );
}
