//! Breaks a copy of the shipped anatomy in many ways and reads the messages as an editor would.

use std::fs;
use std::path::{Path, PathBuf};
use vivasmith::anatomy;
use vivasmith::diagnostic::Failure;
use vivasmith::files::Content;

const UPPER: &str = "anatomy/upper_limb";

pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("vivasmith-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(path.join(UPPER)).expect("temp folder");
        Folder(path)
    }

    pub fn with(&self, file: &str, text: impl AsRef<[u8]>) -> &Self {
        fs::write(self.0.join(file), text).expect("write");
        self
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn shipped(file: &str) -> String {
    fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("stations")
            .join(UPPER)
            .join(file),
    )
    .expect("shipped file")
}

/// What loading says when `from` stands as `to` in one file.
fn broken(name: &str, file: &str, from: &str, to: &str) -> Failure {
    let text = shipped(file);
    assert!(text.contains(from), "{file} holds {from}");
    let folder = Folder::new(name);
    folder.with(&format!("{UPPER}/{file}"), text.replacen(from, to, 1));
    let content = Content::overlaid(&folder.0).expect("content reads");
    match anatomy::load(&content, "upper_limb") {
        Ok(_) => panic!("{file} with `{to}` must be refused"),
        Err(failure) => failure,
    }
}

fn says(failure: &Failure, words: &[&str]) {
    let text = failure.to_string();
    for word in words {
        assert!(text.contains(word), "`{word}` is missing in:\n{text}");
    }
    let first = &failure.problems()[0];
    let place = first.place.as_ref().expect("a place");
    assert!(place.line > 1, "{place}");
    assert!(!first.hint.is_empty(), "a hint in: {text}");
}

#[test]
fn the_shipped_upper_limb_is_sound() {
    let model = anatomy::load(&Content::embedded(), "upper_limb").unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(model.muscles.len(), 64);
    assert_eq!(model.sites.len(), 36);
    for m in &model.muscles {
        let total: f64 = m.supply.usual().iter().map(|f| f.weight).sum();
        assert!((total - 1.0).abs() < 1e-9, "{}", m.id);
    }
    for v in &model.variants {
        let total: f64 = v.alternatives.iter().map(|a| a.prevalence).sum();
        assert!((total - 1.0).abs() < 1e-9, "{}", v.id);
    }
}

#[test]
fn an_unknown_segment_is_answered_with_the_nearest() {
    let e = broken(
        "segment",
        "muscles.yaml",
        "via: radial_to_ecrl",
        "via: radial_to_ecrll",
    );
    assert_eq!(e.exit_code(), 1);
    says(
        &e,
        &[
            "muscles.yaml",
            "radial_to_ecrll",
            "did you mean `radial_to_ecrl`?",
        ],
    );
}

#[test]
fn a_duplicate_id_is_found() {
    says(
        &broken(
            "twice",
            "muscles.yaml",
            "id: rhomboid_minor",
            "id: rhomboid_major",
        ),
        &["used twice"],
    );
    says(
        &broken(
            "segment-twice",
            "nerves.yaml",
            "id: ulnar_arm,",
            "id: median_arm,",
        ),
        &["used twice"],
    );
}

#[test]
fn a_circle_is_found() {
    let e = broken(
        "circle",
        "nerves.yaml",
        "from: [radial_bifurcation]",
        "from: [superficial_radial_wrist]",
    );
    says(&e, &["circle", "superficial_radial_forearm"]);
}

#[test]
fn a_muscle_no_route_reaches_is_found() {
    says(
        &broken(
            "reach",
            "muscles.yaml",
            "{via: radial_to_ecrl, roots: {C5: 0.22",
            "{via: radial_to_ecrl, roots: {C2: 0.22",
        ),
        &["no route leads from C2"],
    );
    says(
        &broken(
            "none",
            "muscles.yaml",
            "supply:\n      - {via: suprascapular_notch, roots: {C5: 0.77, C6: 0.23}}",
            "supply: []",
        ),
        &["no route reaches `supraspinatus`"],
    );
}

#[test]
fn weights_that_do_not_add_up_are_found() {
    says(
        &broken(
            "weights",
            "muscles.yaml",
            "C5: 0.75, C6: 0.25",
            "C5: 0.75, C6: 0.15",
        ),
        &["add up to 0.90, not 1"],
    );
    says(
        &broken("torque", "movements.yaml", "deltoid: 0.7", "deltoid: 0.5"),
        &["add up to 0.80, not 1"],
    );
}

#[test]
fn a_branch_out_of_level_order_is_found() {
    says(
        &broken(
            "order",
            "nerves.yaml",
            "order: 9, id: radial_to_brachioradialis",
            "order: 3, id: radial_to_brachioradialis",
        ),
        &["out of level order", "radial_to_brachioradialis"],
    );
}

#[test]
fn a_sign_naming_a_muscle_that_does_not_exist_is_found() {
    says(
        &broken("sign", "signs.yaml", "strong: fpl", "strong: flp"),
        &["no muscle or movement", "flp", "did you mean `fpl`?"],
    );
}

#[test]
fn all_problems_are_told_at_once_in_order() {
    let folder = Folder::new("several");
    let text = shipped("muscles.yaml")
        .replacen("via: radial_to_ecrl", "via: nowhere_at_all", 1)
        .replacen("C5: 0.75, C6: 0.25", "C5: 0.75, C6: 0.15", 1);
    folder.with(&format!("{UPPER}/muscles.yaml"), text);
    let e = anatomy::load(&Content::overlaid(&folder.0).expect("reads"), "upper_limb")
        .expect_err("refused");
    assert!(e.problems().len() >= 2, "{e}");
    let places: Vec<_> = e.problems().iter().map(|p| p.place.clone()).collect();
    assert!(places.is_sorted());
}

#[test]
fn a_key_written_wrong_names_line_and_column() {
    let e = broken("key", "muscles.yaml", "    part: neck", "    prat: neck");
    assert_eq!(e.exit_code(), 2);
    says(&e, &["no key `prat`", "did you mean `part`?"]);
}

#[test]
fn an_unknown_source_is_found() {
    says(
        &broken(
            "source",
            "muscles.yaml",
            "source: GRAY42 AIDS",
            "source: GREY42 AIDS",
        ),
        &["GREY42", "did you mean `GRAY42`?"],
    );
}

#[test]
fn text_that_is_not_utf8_names_the_byte() {
    let folder = Folder::new("utf8");
    folder.with(
        &format!("{UPPER}/region.yaml"),
        b"region: upper_limb\nlabel: \xff\n",
    );
    let e = Content::overlaid(&folder.0).expect_err("refused");
    assert_eq!(e.exit_code(), 2);
    assert!(
        e.to_string().contains("region.yaml:2:8: is not UTF-8"),
        "{e}"
    );
}

#[test]
fn a_byte_order_mark_and_windows_line_ends_are_fine() {
    let folder = Folder::new("bom");
    folder.with(
        &format!("{UPPER}/region.yaml"),
        format!("\u{feff}{}", shipped("region.yaml").replace('\n', "\r\n")),
    );
    anatomy::load(&Content::overlaid(&folder.0).expect("reads"), "upper_limb")
        .unwrap_or_else(|e| panic!("{e}"));
}

#[test]
fn a_muscle_without_a_test_says_that_it_has_none() {
    let from = "\n    testable: false";
    let to = "\n    test: \"cannot be tested alone\"";
    let e = broken("no-test", "muscles.yaml", from, to);
    says(&e, &["`subclavius` has no test", "`testable: false`"]);
    let e = broken("empty", "muscles.yaml", from, "");
    says(&e, &["`subclavius` has no test"]);
}

/// `triceps` alone names no muscle; the reflex of that name is `reflex:triceps`, and its arc takes the variant's route.
#[test]
fn a_variant_may_change_the_arc_of_a_reflex() {
    let extra = |key: &str| {
        format!(
            "variants:\n  - id: arc_x\n    label: another arc\n    kind: limbs\n    usual: as in books\n    note: none\n    source: \"common practice, no source\"\n    alternatives:\n      - {{id: other, label: \"an arc through C8 alone\", prevalence: 0.1, supply: {{\"{key}\": [{{via: radial_axilla, roots: {{C8: 1}}}}]}}}}\n"
        )
    };
    let load = |key: &str| {
        let folder = Folder::new(&format!("arc-{}", key.len()));
        folder.with(&format!("{UPPER}/variants.extra.yaml"), extra(key));
        anatomy::load(&Content::overlaid(&folder.0).expect("reads"), "upper_limb")
    };
    let model = load("reflex:triceps").unwrap_or_else(|e| panic!("{e}"));
    let last = model.variants.len() - 1;
    let arc = |id: &str| model.reflexes.iter().find(|r| r.id == id).expect("it");
    let changed = |id: &str| arc(id).supply.variants.iter().any(|c| c.variant == last);
    assert!(changed("triceps") && !changed("biceps"));
    match load("triceps") {
        Ok(_) => panic!("no structure is called so"),
        Err(e) => says(&e, &["no muscle, skin area or reflex has the id `triceps`"]),
    }
}

#[test]
fn kinds_of_segment_are_those_that_the_region_declares() {
    let e = broken("kind", "plexus.yaml", "kind: trunk", "kind: trunck");
    says(&e, &["no kind of segment has the id `trunck`", "`trunk`"]);
    let e = broken("twice", "region.yaml", "id: cord,", "id: trunk,");
    says(&e, &["the kind `trunk` is declared twice"]);
    let e = broken("unnamed", "region.yaml", ", named: true", "");
    says(&e, &["no kind of segment is marked `named: true`"]);
    let e = broken(
        "both",
        "region.yaml",
        ", named: true",
        ", named: true, root: true",
    );
    says(&e, &["`nerve` cannot be a named nerve and a root"]);
    let e = broken("called", "region.yaml", "{XI: the", "{XII: the");
    says(&e, &["no root has the id `XII`"]);
}

/// The content says which region is meant, not the program.
#[test]
fn the_region_that_is_meant_stands_in_the_settings() {
    let of = |content: &Content| anatomy::default_region(content).expect("a region");
    assert_eq!(of(&Content::embedded()), "upper_limb");
    let folder = Folder::new("meant");
    folder.with("settings.yaml", "region: elsewhere\n");
    assert_eq!(
        of(&Content::overlaid(&folder.0).expect("reads")),
        "elsewhere"
    );
}

#[test]
fn a_file_too_large_is_refused_unread() {
    let folder = Folder::new("large");
    folder.with(&format!("{UPPER}/region.yaml"), vec![b'#'; 3 << 20]);
    let e = Content::overlaid(&folder.0).expect_err("refused");
    assert_eq!(e.exit_code(), 2);
    assert!(e.to_string().contains("larger than 2 MiB"), "{e}");
}

mod fuzz {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

        /// Whatever stands in a file of the region, loading answers and never panics.
        #[test]
        fn any_bytes_in_the_anatomy_are_answered(
            file in prop::sample::select(vec!["plexus.yaml", "nerves.yaml", "muscles.yaml", "skin.yaml", "signs.yaml", "variants.yaml", "sites.yaml", "movements.yaml", "reflexes.yaml"]),
            at in 0.0f64..1.0, len in 0usize..40, junk in "\\PC{0,12}", cut in any::<bool>()
        ) {
            let mut text: Vec<char> = shipped(file).chars().collect();
            let start = (at * text.len() as f64) as usize;
            let end = if cut { text.len() } else { (start + len).min(text.len()) };
            text.splice(start..end, junk.chars());
            let folder = Folder::new(&format!("fuzz-{file}"));
            folder.with(&format!("{UPPER}/{file}"), text.into_iter().collect::<String>());
            let content = Content::overlaid(&folder.0).expect("text reads");
            if let Err(e) = anatomy::load(&content, "upper_limb") {
                prop_assert!(matches!(e.exit_code(), 1 | 2));
                prop_assert!(!e.to_string().is_empty());
            }
        }
    }
}
