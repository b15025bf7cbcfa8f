//! Follows the walk-through of DEVELOPERS.md to the letter: every block goes into its file, and the program takes it all.

use crate::own_support::{Folder, call, says};

/// The YAML blocks of the page with the files they belong into.
fn blocks() -> Vec<(String, String)> {
    let page = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/DEVELOPERS.md"))
        .expect("the page");
    page.split("```yaml\n# content/")
        .skip(1)
        .map(|rest| {
            let (block, _) = rest.split_once("\n```").expect("the block ends");
            let (file, text) = block.split_once('\n').expect("a file name");
            (file.trim().to_string(), format!("{text}\n"))
        })
        .collect()
}

#[test]
fn the_walk_through_works_as_written() {
    let folder = Folder::new("walk");
    let blocks = blocks();
    assert_eq!(blocks.len(), 5, "muscle, site, scenarios, sign, question");
    for (file, text) in &blocks {
        folder.with(file, text);
    }
    let content = folder.shown();
    let (code, out, told) = call(&["check", &content]);
    assert_eq!(code, 0, "{told}");
    says(
        &out,
        &["all is well", "65 muscles", "(5 files of your own)"],
    );

    // The muscle, the site and the sign are there, and the sign comes out where it should.
    let (_, muscles, _) = call(&["list", "muscles", "--content", &content]);
    says(&muscles, &["articularis_cubiti"]);
    let (code, found, err) = call(&[
        "findings",
        "ulnar_mid_forearm",
        "--json",
        "--content",
        &content,
    ]);
    assert_eq!(code, 0, "{err}");
    let found: serde_json::Value = serde_json::from_str(&found).expect("JSON");
    let state = |kind: &str, id: &str| {
        let list = found[kind].as_array().expect("a list");
        let entry = list
            .iter()
            .find(|f| f["id"] == id)
            .unwrap_or_else(|| panic!("{id}"));
        entry["expect"].as_str().expect("a word").to_string()
    };
    assert_eq!(state("signs", "crossed_fingers"), "present");
    assert_eq!(state("muscles", "articularis_cubiti"), "spared");
    assert_eq!(
        state("muscles", "fdp_medial"),
        "spared",
        "its branch leaves above the mid-forearm"
    );
    assert_eq!(state("muscles", "adductor_pollicis"), "lost");
    let (_, high, _) = call(&[
        "findings",
        "radial_axilla_lower",
        "--json",
        "--content",
        &content,
    ]);
    let high: serde_json::Value = serde_json::from_str(&high).expect("JSON");
    let lost = high["muscles"]
        .as_array()
        .expect("a list")
        .iter()
        .any(|m| m["id"] == "articularis_cubiti" && m["expect"] == "lost");
    assert!(lost, "its branch leaves below the lower axilla");

    // The question waits for a kind to ask it, and the user is told.
    says(&told, &["no kind of station asks `compare_sides`"]);

    // A station at the new site prints.
    let out = folder.path("out");
    let station = [
        "station",
        "ulnar_mid_forearm",
        "--kind",
        "trace",
        "--seed",
        "1",
    ];
    let rest = ["--formats", "md", "--content", &content, "--out", &out];
    let (code, _, err) = call(&[&station[..], &rest[..]].concat());
    assert_eq!(code, 0, "{err}");
    let room = folder.files().into_iter().find(|f| f.ends_with("room.md"));
    says(
        &folder.read(&room.expect("a sheet")),
        &["ulnar nerve in the mid-forearm"],
    );
}
