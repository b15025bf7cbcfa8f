//! Turns stations into the promises an examiner relies on: no mark on a doubt, no false refutation, the three sheets agree.

use super::station_support::{case, good, printed, world};
use pulldown_cmark::{Event, Options, Parser, Tag};
use vivasmith::case::Level;
use vivasmith::findings::{self, State};
use vivasmith::lesion::{Severity, at};
use vivasmith::station::{LEVELS, rivals};

#[test]
fn no_finding_in_doubt_carries_a_mark_or_is_told() {
    let w = world();
    for site in &w.model.sites {
        for level in LEVELS {
            let case = case(&w, &site.id, level, 3);
            for kind in ["trace", "forecast"] {
                let station = good(&w, &site.id, kind, level, 3);
                for f in case.findings.all().filter(|f| f.state == State::Variable) {
                    let label = f.label(&w.model);
                    let marked = station
                        .questions
                        .iter()
                        .flat_map(|q| &q.points)
                        .any(|p| p.text == label || p.text.starts_with(&format!("{label} (")));
                    assert!(!marked, "{}: {label}", station.command);
                    let told = station.candidate.told.iter().any(|o| o.text == label);
                    assert!(!told, "{}: {label}", station.command);
                }
            }
        }
    }
}

#[test]
fn a_rival_is_only_refuted_by_what_is_certain_in_both() {
    let w = world();
    for site in &w.model.sites {
        let lesion = at(&w.model, &site.id, Severity::Complete).expect("site");
        let found = vivasmith::findings::derive(&w.model, &lesion, &[]);
        let ranked = rivals::rank(&w.model, &lesion, &found, &[]).expect("ranked");
        assert_eq!(
            ranked.apart.len() + ranked.alike.len(),
            w.model.sites.len() - 1,
            "{}",
            site.id
        );
        for rival in &ranked.apart {
            for d in &rival.differs {
                assert!(d.here.state != State::Variable && d.there.state != State::Variable);
                assert!(d.here.affected() != d.there.affected(), "{}", rival.label);
            }
        }
        for rival in &ranked.alike {
            assert!(
                rival
                    .differs
                    .iter()
                    .all(|d| !rivals::bedside(&w.model, &d.here))
            );
        }
    }
}

#[test]
fn the_nearest_neighbours_are_those_that_anatomists_name() {
    // Common practice, no source: the classical differentials.
    let w = world();
    for (site, neighbour) in [
        ("radial_spiral_groove", "radial_axilla"),
        ("pin_supinator", "radial_spiral_groove"),
        ("carpal_tunnel", "recurrent_motor"),
        ("ulnar_elbow", "ulnar_guyon_1"),
        ("upper_trunk", "avulsion_c5c6"),
        ("lower_trunk", "medial_cord"),
        ("suprascapular_notch", "spinoglenoid_notch"),
        ("lacn", "musculocutaneous_coraco"),
    ] {
        let lesion = at(&w.model, site, Severity::Complete).expect("site");
        let found = vivasmith::findings::derive(&w.model, &lesion, &[]);
        let ranked = rivals::rank(&w.model, &lesion, &found, &[]).expect("ranked");
        let near: Vec<&str> = ranked
            .apart
            .iter()
            .take(4)
            .map(|r| w.model.sites[r.site].id.as_str())
            .collect();
        assert!(near.contains(&neighbour), "{site}: {near:?}");
    }
}

#[test]
fn the_sheets_tell_one_story() {
    let w = world();
    let station = good(&w, "ulnar_elbow", "trace", Level::Trainee, 5);
    let sheets = printed(&w, &station);
    let ids: Vec<&str> = sheets.iter().map(|s| s.id).collect();
    assert_eq!(ids, ["candidate", "examiner", "answer"]);
    for sheet in &sheets {
        assert!(sheet.markdown.contains(&station.code), "{}", sheet.id);
        assert!(
            sheet.markdown.contains("not clinical guidance"),
            "{}",
            sheet.id
        );
    }
    assert!(sheets[1].markdown.contains(&station.command));
    assert!(!sheets[0].markdown.to_lowercase().contains("ulnar"));
    // Every expected point stands in the script and again in the grid.
    for p in station.questions.iter().flat_map(|q| &q.points) {
        let found = plain(&sheets[1].markdown).matches(&p.text).count();
        assert!(found >= 2, "{}", p.text);
    }
}

/// The text that a reader of the Markdown sees, cells and lines apart.
fn plain(markdown: &str) -> String {
    let mut out = String::new();
    for event in Parser::new_ext(markdown, Options::ENABLE_TABLES) {
        match event {
            Event::Text(t) | Event::Code(t) => out.push_str(&t),
            Event::End(_) => out.push('\n'),
            _ => {}
        }
    }
    out
}

#[test]
fn the_markdown_is_clean() {
    let w = world();
    for (site, kind) in [
        ("upper_trunk", "trace"),
        ("lacn", "forecast"),
        ("avulsion_c8t1", "trace"),
    ] {
        let station = good(&w, site, kind, Level::Clinical, 1);
        for sheet in printed(&w, &station) {
            let seen = plain(&sheet.markdown);
            assert!(
                !seen.contains('|') && !seen.contains("{{"),
                "{site}: a broken table in {}",
                sheet.id
            );
            assert!(!sheet.markdown.contains("\n\n\n"));
            let mut width = 0;
            let mut cells = 0;
            for event in Parser::new_ext(&sheet.markdown, Options::ENABLE_TABLES) {
                match event {
                    Event::Start(Tag::Table(columns)) => width = columns.len(),
                    Event::Start(Tag::TableRow) => cells = 0,
                    Event::Start(Tag::TableCell) => cells += 1,
                    Event::End(pulldown_cmark::TagEnd::TableRow) => assert_eq!(cells, width),
                    _ => {}
                }
            }
            // Ids stand in the command only.
            let seen = seen.replace(&station.command, "");
            assert!(!seen.contains('_'), "{site}: an id in {}: {seen}", sheet.id);
        }
    }
}

#[test]
fn a_newborn_is_neither_asked_nor_graded() {
    let w = world();
    let station = (1..40)
        .map(|seed| good(&w, "upper_trunk", "trace", Level::Clinical, seed))
        .find(|s| s.patient.newborn)
        .expect("a birth injury among forty");
    for o in &station.candidate.told {
        assert!(o.power.is_none(), "{}", o.text);
        assert!(
            !["numb", "dull", "felt"].contains(&o.group.as_str()),
            "{}",
            o.text
        );
    }
    let sheet = &printed(&w, &station)[0].markdown;
    assert!(
        !sheet.contains("-handed") && !sheet.contains("feeling"),
        "{sheet}"
    );
}

/// Where the arm cannot be lifted, nobody may be told of a test that needs it lifted, unless somebody holds it there. Common practice, no
/// source.
#[test]
fn tests_of_a_limb_that_cannot_be_lifted_say_who_holds_it() {
    let w = world();
    let abduction = w
        .model
        .structure(findings::Kind::Movement, "shoulder_abduction")
        .expect("it");
    let mut read = 0;
    for site in &w.model.sites {
        let lesion = at(&w.model, &site.id, Severity::Complete).expect("a site");
        let found = findings::derive(&w.model, &lesion, &[]);
        let lost = |f: &&findings::Finding| f.structure == abduction && f.state == State::Lost;
        if !found.movements.iter().any(|f| lost(&f)) {
            continue;
        }
        let signs = found.signs.iter().filter(|f| f.affected());
        let signs = signs.filter_map(|f| w.model.sign(f.structure));
        let texts = signs
            .flat_map(|s| [&s.plain, &s.look])
            .map(String::as_str)
            .chain(found.muscles.iter().map(|f| w.model.test(f.structure)));
        for text in texts {
            let up = [
                "lifted to the side",
                "raised",
                "held out",
                "abducted",
                "90 degrees",
                "hand on hip",
            ];
            if up.iter().any(|u| text.contains(u)) {
                assert!(text.contains("support"), "{}: {text}", site.id);
                read += 1;
            }
        }
    }
    assert!(read > 5, "{read}");
}

#[test]
fn a_newborn_is_told_of_nothing_that_needs_an_order() {
    let w = world();
    let mut newborns = 0;
    for site in ["upper_trunk", "avulsion_c5c6", "lower_trunk"] {
        for seed in 0..60 {
            let case = case(&w, site, Level::Clinical, seed);
            if !matches!(case.patient.age, vivasmith::case::Age::Days(_)) {
                continue;
            }
            let station = good(&w, site, "trace", Level::Clinical, seed);
            newborns += 1;
            for told in &station.candidate.told {
                for order in ["resistance", "both arms", "asked", "against"] {
                    assert!(!told.text.contains(order), "{site} {seed}: {}", told.text);
                }
            }
        }
    }
    assert!(newborns > 3, "{newborns}");
}
