//! A drawn station written out as one of a teacher's own and read back unchanged prints the same sheets, but for code and command.

use crate::station_support::{World, printed, request, world};
use vivasmith::case::{Age, Case, Level, Request, draw};
use vivasmith::files::Source;
use vivasmith::lesion;
use vivasmith::station::{BuildCache, LEVELS, Station, authored, build_draft, drawn, is_unfit};

const KINDS: [&str; 6] = ["trace", "examine", "compare", "forecast", "nerve", "risk"];
const SITES: [&str; 10] = [
    "root_c6",
    "avulsion_c8t1",
    "upper_trunk",
    "posterior_cord",
    "radial_spiral_groove",
    "ulnar_elbow",
    "carpal_tunnel",
    "long_thoracic",
    "lacn",
    "ulnar_guyon_2a",
];

fn case(w: &World, place: &str, level: Level, seed: u64) -> Case {
    let whole = place.contains('@');
    let request = Request {
        site: (!whole).then(|| place.to_string()),
        lesion: whole.then(|| lesion::parse(&w.model, place).expect("a lesion")),
        area: None,
        level,
        seed,
        fixed: Vec::new(),
    };
    draw(&w.model, &w.content, &request).unwrap_or_else(|e| panic!("{place} {seed}: {e}"))
}

/// Every sheet without what may differ.
fn sheets(w: &World, station: &Station) -> Vec<(String, String)> {
    let all = printed(w, station).into_iter();
    let masked = |text: &str| {
        let text = text.replace(&station.command, "COMMAND");
        let text = text.replace(&station.content_version, "VERSION");
        text.replace(&station.code, "CODE")
    };
    all.map(|s| (s.id.to_string(), masked(&s.markdown)))
        .collect()
}

/// What stands in the way of the same sheets.
fn there_and_back(
    w: &World,
    cache: &BuildCache<'_>,
    (place, kind): (&str, &str),
    level: Level,
    seed: u64,
) -> Option<String> {
    let mut wanted = request(cache, kind, level, seed);
    wanted.place = Some(place.to_string());
    let draft = match drawn(cache, &case(w, place, level, seed), &wanted) {
        Ok(draft) => draft,
        Err(failure) if is_unfit(&failure) => return None,
        Err(failure) => return Some(failure.to_string()),
    };
    let station = build_draft(cache, draft.clone()).unwrap_or_else(|e| panic!("{place}: {e}"));
    let text = authored::yaml(&w.model, &draft, &station, "mine", &[]).expect("YAML");
    let source = Source::new("own/mine.yaml", "own/mine.yaml", text);
    let read = authored::read_from(cache, &source).unwrap_or_else(|e| panic!("{place}: {e}"));
    let Some(mut own) = read.station else {
        let all: Vec<String> = read.problems.iter().map(|p| p.to_string()).collect();
        return Some(all.join("\n"));
    };
    // The briefing of an own station names its author.
    own.own = None;
    let (before, after) = (sheets(w, &station), sheets(w, &own));
    before.iter().zip(&after).find_map(|((id, a), (_, b))| {
        let (x, y) = a.lines().zip(b.lines()).find(|(x, y)| x != y)?;
        Some(format!("{id}: {x}\n  is now: {y}"))
    })
}

fn all(places: &[&str], seed: u64) {
    let w = world();
    let cache = w.cache();
    let mut apart = Vec::new();
    for place in places {
        for kind in KINDS {
            for level in LEVELS {
                if let Some(why) = there_and_back(&w, &cache, (place, kind), level, seed) {
                    apart.push(format!("{place} {kind} {level:?}: {why}"));
                }
            }
        }
    }
    assert!(
        apart.is_empty(),
        "{} of them:\n{}",
        apart.len(),
        apart.join("\n")
    );
}

#[test]
fn every_kind_and_level_comes_back_as_it_went() {
    all(&SITES, 3);
}

#[test]
fn a_partial_lesion_comes_back_as_it_went() {
    all(
        &[
            "ulnar_elbow@partial",
            "root_c7@40%",
            "carpal_tunnel@complete",
        ],
        5,
    );
}

#[test]
fn a_newborn_comes_back_as_it_went() {
    let w = world();
    let newborn = |seed: &u64| {
        let case = case(&w, "avulsion_c5c6", Level::Clinical, *seed);
        matches!(case.patient.age, Age::Days(_))
    };
    let seed = (1..200).find(newborn).expect("a newborn");
    all(&["avulsion_c5c6"], seed);
}
