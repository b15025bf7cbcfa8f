//! Turns a good station into a bad one, once for each built-in check: each must refuse it and say what to change.

use super::station_support::{good, printed, world};
use vivasmith::case::Level;
use vivasmith::station::{Station, check, check_candidate_text};

fn trace() -> Station {
    good(
        &world(),
        "radial_spiral_groove",
        "trace",
        Level::Clinical,
        1,
    )
}

/// The station is good; after `spoil` the check must complain with `words`, and with a hint.
fn refused(words: &str, spoil: impl FnOnce(&mut Station)) {
    let mut station = trace();
    assert_eq!(check(&station), []);
    spoil(&mut station);
    let problems = check(&station);
    let hit = problems.iter().find(|p| p.message.contains(words));
    let hit = hit.unwrap_or_else(|| panic!("no `{words}` in {problems:#?}"));
    assert!(!hit.hint.is_empty(), "{hit}");
}

#[test]
fn an_answer_word_in_the_candidate_sheet_is_refused() {
    for word in [
        "A test of the radial nerve.",
        "It looks like a Saturday night palsy.",
        "The wrist drop is plain.",
        "Think of C7.",
        "Was the spiral-groove involved.",
    ] {
        refused("the candidate sheet says", |s| {
            s.candidate.story.push(' ');
            s.candidate.story.push_str(word)
        });
    }
    let station = trace();
    assert_eq!(check_candidate_text(&station, "The radius is broken."), []);
}

#[test]
fn the_answer_is_refused_in_a_forecast_too() {
    let mut station = good(
        &world(),
        "radial_spiral_groove",
        "forecast",
        Level::Clinical,
        1,
    );
    assert_eq!(check(&station), []);
    // The lesion itself is told.
    let told = format!("There is {}.", station.candidate.told_lesion_phrase);
    assert_eq!(check_candidate_text(&station, &told), []);
    station.candidate.note = "There is wrist drop.".into();
    assert!(check(&station)[0].message.contains("wrist drop"));
}

#[test]
fn reading_time_over_budget_is_refused() {
    refused("words a minute allow", |s| {
        s.candidate.story = "Long ".repeat(351);
    });
}

#[test]
fn speaking_time_over_budget_is_refused() {
    refused("half of its time allows", |s| {
        s.questions[0].opening = format!("Well {}?", "then ".repeat(100));
    });
}

#[test]
fn a_rung_that_gives_away_less_is_refused() {
    refused("gives away less than the one before", |s| {
        let ladder = &mut s.questions[0].ladder;
        let probe = ladder[1].say.clone();
        ladder[1].say = std::mem::replace(&mut ladder[2].say, probe);
    });
    refused("gives away no more", |s| {
        s.questions[0].ladder[2].say = "Well?".into();
    });
}

#[test]
fn a_rung_without_a_cap_or_with_an_idle_cap_is_refused() {
    refused("has no cap", |s| s.questions[1].ladder[2].cap = None);
    refused("costs nothing", |s| {
        s.questions[1].ladder[2].cap = s.questions[1].ladder[1].cap;
    });
    refused("does not fit", |s| {
        s.questions[1].ladder[0].cap = Some(99.0)
    });
    refused("lost a rung", |s| {
        s.questions[1].ladder.pop();
    });
}

#[test]
fn a_mark_line_without_an_answer_is_refused() {
    refused("has no answer", |s| {
        s.questions[0].points[0].text = " ".into()
    });
    refused("has no answer", |s| {
        s.questions[0].points[0].text = "{label}".into();
    });
    refused("nothing to mark", |s| s.questions[0].points.clear());
}

#[test]
fn two_questions_in_one_line_are_refused() {
    refused("two questions at once", |s| {
        s.questions[0].opening = "Which nerve? Which level?".into();
    });
}

#[test]
fn marks_that_do_not_add_up_are_refused() {
    refused("its points make", |s| s.questions[0].points[0].marks += 1);
    refused("the questions make", |s| {
        s.questions[0].points[0].marks += 1;
        s.questions[0].marks += 1;
    });
    refused("the domains make", |s| s.domains[0].marks += 1);
    refused("carries no mark", |s| s.questions[0].points[0].marks = 0);
}

#[test]
fn a_plan_that_does_not_add_up_is_refused() {
    refused("the plan takes", |s| s.plan[1].half_minutes += 1);
}

#[test]
fn all_problems_come_at_once() {
    let mut station = trace();
    station.plan.pop();
    station.questions[0].marks += 1;
    station.candidate.note = "The radial nerve.".into();
    assert!(check(&station).len() >= 3);
}

/// What reviewers of printed stations met: a muscle that the grid wants lost while the patient moves, and no row to act it from.
#[test]
fn the_patient_shows_what_the_grid_rewards() {
    let w = world();
    let muscle = |s: &Station, label: &str| {
        let row = s.brief.shows.iter().find(|r| r.label == label).cloned();
        row.unwrap_or_else(|| panic!("{}: no row for {label}", s.command))
    };
    let biceps = good(&w, "musculocutaneous_coraco", "examine", Level::Trainee, 44);
    let row = muscle(&biceps, "biceps brachii");
    assert_eq!((row.felt.as_str(), row.power), ("none", 0));
    assert_eq!(row.movement, "flexion of the elbow");
    let elbow = muscle(&biceps, "flexion of the elbow");
    assert_eq!(row.movement_power, elbow.power);
    assert!(elbow.power >= 3);
    let said = "no belly or tendon to be felt tightening; the movement itself is as in the row";
    let sheets = printed(&w, &biceps);
    assert!(sheets.iter().any(|s| s.markdown.contains(said)));
    // An agreeing grade needs no hand on the muscle.
    let cord = good(&w, "lateral_cord", "compare", Level::Trainee, 43);
    for label in ["pronator teres", "flexor carpi radialis"] {
        let row = muscle(&cord, label);
        assert_eq!((row.state.as_str(), row.felt.as_str()), ("weak", ""));
    }
}

#[test]
fn a_patient_who_cannot_show_what_is_marked_is_refused() {
    let w = world();
    let spoilt = |words: &str, spoil: &dyn Fn(&mut Station)| {
        let mut s = good(&w, "musculocutaneous_coraco", "examine", Level::Trainee, 44);
        assert_eq!(check(&s), []);
        spoil(&mut s);
        let problems = check(&s);
        assert!(
            problems.iter().any(|p| p.message.contains(words)),
            "no `{words}` in {problems:#?}"
        );
    };
    spoilt("shows nothing of it", &|s| {
        s.brief.shows.retain(|r| r.kind != "muscle")
    });
    spoilt("but the patient shows it spared", &|s| {
        for r in s.brief.shows.iter_mut().filter(|r| r.kind == "muscle") {
            r.state = "spared".into();
        }
    });
    spoilt("and the movement of its test at", &|s| {
        for r in &mut s.brief.shows {
            r.felt.clear();
        }
    });
}

/// From the open question to the leading one: a candidate is helped as little as possible, and the examiner reads downwards.
#[test]
fn prompts_are_printed_in_the_order_they_are_given_in() {
    let w = world();
    let mut ladders = 0;
    for (site, kind) in [
        ("ulnar_elbow", "trace"),
        ("root_c7", "forecast"),
        ("carpal_tunnel", "risk"),
    ] {
        let station = good(&w, site, kind, Level::Clinical, 3);
        let sheets = printed(&w, &station);
        let examiner = sheets.iter().find(|s| s.id == "examiner").expect("a sheet");
        let mut from = 0;
        for question in &station.questions {
            let caps: Vec<f64> = question.ladder.iter().filter_map(|r| r.cap).collect();
            assert!(caps.windows(2).all(|w| w[0] >= w[1]), "{caps:?}");
            from += examiner.markdown[from..]
                .find(&question.opening)
                .expect("its opening");
            for rung in &question.ladder {
                let at = examiner.markdown[from..].find(&rung.say);
                from += at.unwrap_or_else(|| panic!("`{}` stands too early", rung.say));
                ladders += 1;
            }
        }
    }
    assert!(ladders > 20, "{ladders}");
}
