//! The shipped lower limb is whole, keeps its ids, and what it needs of the loader beyond the upper limb is refused with a word when it is wrong.

use crate::anatomy_loader::Folder;
use crate::outside_common::rows;
use crate::outside_leg_common::model;
use std::fs;
use std::path::Path;
use vivasmith::anatomy::{self, Entry};
use vivasmith::files::Content;

const LOWER: &str = "anatomy/lower_limb";

#[test]
fn the_shipped_lower_limb_is_whole() {
    let m = model();
    let counts = (
        m.muscles.len(),
        m.movements.len(),
        m.skin.len(),
        m.reflexes.len(),
        m.sites.len(),
    );
    assert_eq!(counts, (66, 21, 34, 8, 44));
    for muscle in &m.muscles {
        let total: f64 = muscle.supply.usual().iter().map(|f| f.weight).sum();
        assert!((total - 1.0).abs() < 1e-9, "{}", muscle.id);
    }
    assert!(
        m.movements.iter().all(|x| x
            .plain
            .split(' ')
            .next()
            .is_some_and(|w| w.ends_with("ing"))),
        "plain words are verb phrases"
    );
}

#[test]
fn every_agreed_id_is_there() {
    let m = model();
    let table = rows(include_str!("../fixtures/outside_leg_ids.csv"));
    let missing: Vec<String> = table
        .iter()
        .filter(|row| {
            let (kind, id) = (row.get("kind"), row.get("id"));
            !m.lookup(id).iter().any(|entry| match entry {
                Entry::Structure(s) => s.kind.word() == kind && m.id(*s) == id,
                Entry::Site(i) => kind == "site" && m.sites[*i].id == id,
                _ => false,
            })
        })
        .map(|row| format!("{} {}", row.get("kind"), row.get("id")))
        .collect();
    assert!(table.len() > 200, "{} ids", table.len());
    assert!(missing.is_empty(), "{missing:?}");
}

/// What loading says when `from` stands as `to` in one file.
fn said(name: &str, file: &str, from: &str, to: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("stations")
        .join(LOWER)
        .join(file);
    let text = fs::read_to_string(path).expect("shipped file");
    assert!(text.contains(from), "{file} holds {from}");
    let folder = Folder::new(name);
    fs::create_dir_all(folder.0.join(LOWER)).expect("folder");
    folder.with(&format!("{LOWER}/{file}"), text.replacen(from, to, 1));
    let content = Content::overlaid(&folder.0).expect("content reads");
    let failure = anatomy::load(&content, "lower_limb").expect_err("this must be refused");
    assert_eq!(failure.exit_code(), 1);
    failure.to_string()
}

fn holds(text: &str, words: &[&str]) {
    for word in words {
        assert!(text.contains(word), "`{word}` is missing in:\n{text}");
    }
}

#[test]
fn two_ways_of_one_root_into_one_nerve_must_be_told_apart() {
    let text = said(
        "leg-ways",
        "skin.yaml",
        "through: [medial_sural], roots: {S1: 0.52",
        "roots: {S1: 0.52",
    );
    holds(
        &text,
        &["more than one route leads from S1", "through: [SEGMENT]"],
    );
    let text = said(
        "leg-ways-wrong",
        "skin.yaml",
        "through: [medial_sural], roots: {S1: 0.52",
        "through: [saphenous], roots: {S1: 0.52",
    );
    holds(&text, &["no route leads from S1"]);
}

#[test]
fn an_uneven_partial_lesion_names_segments_of_its_site_and_shares_between_none_and_all() {
    let from = "sciatic_fibular_gluteal: 0.94";
    let text = said("leg-part", "sites.yaml", from, "common_fibular_neck: 0.94");
    holds(
        &text,
        &["no segment of the site has the id `common_fibular_neck`"],
    );
    let text = said(
        "leg-whole",
        "sites.yaml",
        from,
        "sciatic_fibular_gluteal: 1",
    );
    holds(&text, &["not between 0.01 and 0.99"]);
}

#[test]
fn a_movement_that_no_bedside_shows_is_no_test() {
    let m = model();
    let untested: Vec<&str> = m
        .structures(anatomy::Kind::Movement)
        .filter(|s| !m.testable(*s))
        .map(|s| m.id(s))
        .collect();
    assert_eq!(untested, ["knee_unlocking"]);
}
