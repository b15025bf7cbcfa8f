//! Every kind at every level for every site: it is built, its marks and times add up, nothing is paid twice, no prompt gives a point away, and
//! what is told leads back to the lesion.

use crate::station_support::{printed, station, world};
use vivasmith::case::Level;
use vivasmith::station::{LEVELS, Station, TOTAL, is_unfit};

const KINDS: [&str; 6] = ["trace", "examine", "compare", "forecast", "nerve", "risk"];

fn all(look: &mut dyn FnMut(&str, &str, Level, &Station)) {
    let w = world();
    let cache = w.cache();
    let mut refused = Vec::new();
    for site in &w.model.sites {
        for kind in KINDS {
            for level in LEVELS {
                match station(&w, &cache, (&site.id, kind), level, 3) {
                    Ok(built) => look(&site.id, kind, level, &built),
                    Err(failure) if is_unfit(&failure) => {}
                    Err(failure) => {
                        refused.push(format!("{} {kind} {level:?}: {failure}", site.id))
                    }
                }
            }
        }
    }
    assert!(refused.is_empty(), "{}", refused.join("\n"));
}

#[test]
fn every_site_has_every_kind_that_suits_it() {
    let mut count = std::collections::BTreeMap::new();
    all(&mut |_, kind, _, _| *count.entry(kind.to_string()).or_insert(0) += 1);
    for kind in ["trace", "examine", "compare", "forecast"] {
        assert!(count[kind] >= 100, "{kind}: {count:?}");
    }
    for kind in ["nerve", "risk"] {
        assert!(count[kind] >= 60, "{kind}: {count:?}");
    }
}

/// Common practice, no source: 20 marks a station, most of them for reasoning, all minutes used.
#[test]
fn marks_and_minutes_add_up() {
    all(&mut |site, kind, level, built| {
        let name = format!("{site} {kind} {level:?}");
        let lines: u32 = built
            .questions
            .iter()
            .flat_map(|q| &q.groups)
            .map(|g| g.marks())
            .sum();
        assert_eq!(lines, TOTAL, "{name}");
        let reasoning: f64 = built.questions.iter().map(|q| q.reasoning).sum();
        assert!(reasoning >= 11.99, "{name}: {reasoning}");
        let seconds: u32 = built.questions.iter().map(|q| q.seconds).sum();
        assert_eq!(seconds + 60, built.minutes * 60, "{name}");
        for q in &built.questions {
            assert!(q.prompts.windows(2).all(|p| p[1].cap < p[0].cap), "{name}");
            assert!(q.prompts[0].cap <= f64::from(q.marks), "{name}");
        }
    });
}

#[test]
fn no_sheet_of_a_candidate_names_the_answer() {
    let w = world();
    all(&mut |site, kind, level, built| {
        if level != Level::Early {
            return;
        }
        let sheets = printed(&w, built);
        let candidate = &sheets[0];
        assert_eq!(candidate.id, "candidate");
        let given = vivasmith::station::giveaways(built, &candidate.markdown);
        assert!(given.is_empty(), "{site} {kind}: {given:?}");
    });
}
