//! A place on which nobody has written notes prints every kind that suits it, and the briefing says so.

use crate::station_support::{World, printed, station};
use vivasmith::anatomy::load;
use vivasmith::files::Content;
use vivasmith::station::{LEVELS, TOTAL, is_unfit};

const KINDS: [&str; 6] = ["trace", "examine", "compare", "forecast", "nerve", "risk"];
/// Ten in all, of roots, trunks, cords and nerves, of one muscle and of none.
const SITES: [(&str, &[&str]); 2] = [
    (
        "upper_limb",
        &[
            "root_c6",
            "posterior_cord",
            "ulnar_elbow",
            "long_thoracic",
            "lacn",
        ],
    ),
    (
        "lower_limb",
        &[
            "root_l5",
            "common_fibular",
            "sciatic_high",
            "lfcn",
            "tarsal_tunnel",
        ],
    ),
];

/// The content without the notes of the region.
fn without_notes(region: &str) -> World {
    let mut content = Content::embedded();
    let folder = format!("teaching/{region}/");
    let names: Vec<String> = content.under(&folder).map(|s| s.name.clone()).collect();
    for name in names {
        let stem = name
            .rsplit('/')
            .next()
            .and_then(|n| n.strip_suffix(".yaml"));
        let text = format!("site: {}\n", stem.expect("a YAML file"));
        content.insert(&name, &name, text);
    }
    let model = load(&content, region).expect("the shipped model loads");
    World { content, model }
}

#[test]
fn a_place_without_notes_has_every_kind_that_suits_it() {
    let everywhere = std::env::var("EVERYWHERE").is_ok();
    for (region, sites) in SITES {
        let w = without_notes(region);
        let cache = w.cache();
        let (mut built_any, mut refused) = (0, Vec::new());
        let all: Vec<&str> = w.model.sites.iter().map(|s| s.id.as_str()).collect();
        for site in if everywhere { &all } else { sites } {
            for kind in KINDS {
                for level in LEVELS {
                    let name = format!("{site} {kind} {level:?}");
                    let built = match station(&w, &cache, (site, kind), level, 3) {
                        Ok(built) => built,
                        Err(failure) if is_unfit(&failure) => continue,
                        Err(failure) => {
                            refused.push(format!("{name}: {failure}"));
                            continue;
                        }
                    };
                    built_any += 1;
                    let lines = built.questions.iter().flat_map(|q| &q.groups);
                    assert_eq!(lines.map(|g| g.marks()).sum::<u32>(), TOTAL, "{name}");
                    assert!(built.briefing.derived, "{name}: the briefing says so");
                    // No line weighs more than it may in notes: nothing was stretched to make the marks.
                    let points = built.questions.iter().flat_map(|q| &q.groups);
                    let heaviest = points.flat_map(|g| &g.points).map(|p| p.marks).max();
                    assert!(heaviest <= Some(2), "{name}: {heaviest:?}");
                    let sheets = printed(&w, &built);
                    let briefing = sheets.iter().find(|s| s.id == "briefing");
                    let text = &briefing.expect("a briefing").markdown;
                    assert!(text.contains("Nobody has written notes"), "{name}");
                    let candidate = &sheets[0].markdown;
                    let given = vivasmith::station::giveaways(&built, candidate);
                    if !given.is_empty() {
                        refused.push(format!("{name}: the candidate reads {given:?}"));
                    }
                }
            }
        }
        assert!(refused.is_empty(), "{}", refused.join("\n"));
        assert!(built_any >= sites.len() * 9, "{region}: {built_any}");
    }
}
