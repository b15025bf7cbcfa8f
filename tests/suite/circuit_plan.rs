//! Whole circuits from the shipped content: rules kept, forms alike, clashes explained, exposure respected.

use std::sync::OnceLock;
use vivasmith::anatomy::{Model, load};
use vivasmith::case::Case;
use vivasmith::circuit::choose::{counts_for, echoes, leaks, similarity};
use vivasmith::circuit::report::{self, lists, quarantine, review};
use vivasmith::circuit::{
    Banked, Blueprint, Breadth, Circuit, EFFORT, Effort, Exposure, Limbs, Lists, Maker, bank,
    check, plan,
};
use vivasmith::diagnostic::Failure;
use vivasmith::files::{Content, Source};
use vivasmith::sheets::words::sheets;
use vivasmith::station::Station;

struct World {
    content: Content,
    limbs: Limbs<'static>,
}

fn world() -> &'static World {
    static WORLD: OnceLock<World> = OnceLock::new();
    WORLD.get_or_init(|| {
        let content = Content::embedded();
        let model = load(&content, "upper_limb").expect("the shipped model loads");
        let limbs = Limbs::of([&*Box::leak(Box::new(model))]);
        World { content, limbs }
    })
}

fn blueprint(text: &str) -> Blueprint {
    let w = world();
    let source = Source::new("day.yaml", "day.yaml", text.to_string());
    check(&source, &Lists::default(), &w.content, &w.limbs).unwrap_or_else(|e| panic!("{e}"))
}

fn stock(blueprint: &Blueprint, exposure: &Exposure, seed: u64, threads: usize) -> Vec<Banked> {
    let w = world();
    let sheet = |_: &Model, _: &Case, s: &Station| -> Result<String, Failure> {
        Ok(sheets(&w.content, s)?
            .into_iter()
            .next()
            .map_or_else(String::new, |x| x.markdown))
    };
    let maker = Maker {
        limbs: &w.limbs,
        content: &w.content,
        sheet: &sheet,
        progress: &|_, _| {},
        threads,
    };
    bank(&maker, blueprint, exposure, seed, Breadth::All).unwrap_or_else(|e| panic!("{e}"))
}

fn try_plan(text: &str, seed: u64, exposure: &Exposure) -> Result<Circuit, Failure> {
    let b = blueprint(text);
    let own = stock(&b, exposure, seed, 2);
    plan(
        &world().limbs,
        &b,
        &own,
        exposure,
        seed,
        Effort {
            nodes: 10,
            ..EFFORT
        },
    )
}

/// Two kinds and four positions: a small bank, so that a test takes seconds.
const TWO_GROUPS: &str = "\
title: Two groups
level: clinical
time: {station: 8, reading: 2, changeover: 1}
positions:
  - {times: 2, kind: trace}
  - {times: 2, kind: forecast}
wanted:
  - {nerve: ulnar, exactly: 1}
  - {lesion: root, least: 1}
  - {part: hand, least: 2}
apart:
  - {site: root_c8, from: [lower_trunk]}
limits: {similarity: 0.7}
groups:
  - {id: A, count: 4, sittings: [{id: one, start: \"09:00\"}]}
  - {id: B, count: 4, sittings: [{id: two, start: \"10:00\"}]}
";

fn two_groups() -> &'static Circuit {
    static MADE: OnceLock<Circuit> = OnceLock::new();
    MADE.get_or_init(|| {
        try_plan(TWO_GROUPS, 5, &Exposure::default()).unwrap_or_else(|e| panic!("{e}"))
    })
}

fn sites(circuit: &Circuit, form: usize) -> Vec<usize> {
    circuit.forms[form].used().map(|(_, b)| b.site).collect()
}

#[test]
fn every_hard_rule_is_kept_in_every_form() {
    let c = two_groups();
    for form in &c.forms {
        let used: Vec<&Banked> = form.used().map(|(_, b)| b).collect();
        assert_eq!(used.len(), 4);
        for want in &c.made.wanted {
            let have = used.iter().filter(|b| counts_for(want, b)).count();
            assert!(
                (want.least..=want.most).contains(&have),
                "{}: {have}",
                want.label
            );
        }
        for (p, b) in form.used() {
            let shape = c.blueprint.positions[p]
                .station
                .as_ref()
                .expect("a station stands at a station's place");
            assert!(shape.kind.as_ref().is_none_or(|k| *k == b.station.kind.id));
            assert_eq!(
                (b.level, b.minutes, b.reading),
                (shape.level, shape.minutes, shape.reading)
            );
        }
        for (n, a) in used.iter().enumerate() {
            for b in &used[n + 1..] {
                assert_ne!(a.site, b.site, "a site once in a form");
                assert!(similarity(a, b) <= 0.7);
                assert!(
                    !echoes(a, b),
                    "{} and {} open alike",
                    a.station.code,
                    b.station.code
                );
                assert!(
                    leaks(&world().limbs, a, b).is_none() && leaks(&world().limbs, b, a).is_none()
                );
            }
        }
    }
    assert!(review(&world().limbs, c).iter().all(|n| !n.warning));
}

#[test]
fn the_forms_are_alike_and_share_no_site_that_would_help() {
    let c = two_groups();
    assert_eq!(c.made.helps, [(0, 1)], "A comes out before B goes in");
    let first = sites(c, 0);
    assert!(sites(c, 1).iter().all(|s| !first.contains(s)));
    assert!(c.made.repeats.is_empty());
    let r = report::report(&world().limbs, c);
    let spread: f64 = r.spread.difficulty.parse().expect("a number");
    // The bank holds stations from 9 to 27 points: two points in a whole form is close.
    assert!(spread <= 2.0, "{spread}");
    assert!(r.spread.words <= 60, "{}", r.spread.words);
    assert_eq!(r.spread.marks, 0);
    assert!(c.made.assembly.bound <= c.made.assembly.cost + 1e-9);
}

#[test]
fn the_same_seed_gives_the_same_circuit_on_any_number_of_threads() {
    let b = blueprint(TWO_GROUPS);
    let own = stock(&b, &Exposure::default(), 5, 1);
    let again = plan(
        &world().limbs,
        &b,
        &own,
        &Exposure::default(),
        5,
        Effort {
            nodes: 10,
            ..EFFORT
        },
    );
    let again = again.unwrap_or_else(|e| panic!("{e}"));
    let codes = |c: &Circuit| -> Vec<String> {
        c.forms
            .iter()
            .flat_map(|f| f.used())
            .map(|(_, b)| b.station.code.clone())
            .collect()
    };
    assert_eq!(codes(&again), codes(two_groups()));
    assert_eq!(again.tracks, two_groups().tracks);
}

#[test]
fn what_was_met_is_not_printed_again_and_its_sites_come_last() {
    let c = two_groups();
    let record = report::record(&world().limbs, c, &Exposure::default());
    assert_eq!(record.met.len(), 8);
    let next = try_plan(TWO_GROUPS, 5, &record).unwrap_or_else(|e| panic!("{e}"));
    let old = [sites(c, 0), sites(c, 1)].concat();
    for form in &next.forms {
        for (_, b) in form.used() {
            assert!(!record.has_code(&b.station.code), "{}", b.station.code);
        }
    }
    let again = (0..2)
        .flat_map(|f| sites(&next, f))
        .filter(|s| old.contains(s))
        .count();
    assert!(again <= 2, "{again} of 8 sites were used before");
}

#[test]
fn quarantined_groups_may_meet_the_same_sites() {
    let apart = TWO_GROUPS.replace(
        "start: \"10:00\"}]}",
        "start: \"10:00\"}], quarantined: true}",
    );
    let c = try_plan(&apart, 5, &Exposure::default()).unwrap_or_else(|e| panic!("{e}"));
    assert!(c.made.helps.is_empty());
    let r = report::report(&world().limbs, &c);
    assert_eq!(
        r.spread.difficulty, "0.0",
        "the same form twice is as equal as can be"
    );
    // Four stations of ten minutes with three changes: who comes out waits until the others have gone in.
    let waits = |c: &Circuit| quarantine::quarantine(&world().limbs, c).pairs;
    let [pair] = &waits(&c)[..] else {
        panic!("one pair")
    };
    let said = [&pair.earlier, &pair.later, &pair.out, &pair.into].map(String::as_str);
    assert_eq!(
        (said, pair.wait),
        (["one", "two", "09:43", "10:00"], 17),
        "{pair:?}"
    );
    let met = sites(&c, 0);
    let both = sites(&c, 1).iter().filter(|s| met.contains(s)).count();
    assert!(
        !pair.same && both > 0 && pair.sites.len() == both,
        "{pair:?}"
    );
    // Without quarantine no site is met twice, and who goes in with the others hears nothing.
    assert_eq!(waits(two_groups()), []);
    let beside = try_plan(&apart.replace("10:00", "09:00"), 5, &Exposure::default());
    assert_eq!(waits(&beside.unwrap_or_else(|e| panic!("{e}"))), []);
}

#[test]
fn rules_that_clash_are_named_with_what_to_relax() {
    let clashing = TWO_GROUPS.replace("least: 2}", "least: 2}\n  - {part: hand, most: 1, kind: trace}\n  - {part: hand, exactly: 4}\n  - {lesion: trunk, least: 1}\n  - {nerve: long_thoracic, exactly: 1}");
    let failure =
        try_plan(&clashing, 5, &Exposure::default()).expect_err("the hand cannot be everywhere");
    assert_eq!(failure.exit_code(), 1);
    assert_eq!(failure.problems().len(), 1, "one clear message");
    let said = failure.to_string();
    // Four stations of the hand leave no place for the long thoracic nerve, and not for two traces with one of the hand at most.
    assert!(
        said.contains("no choice of 4 stations keeps these rules together"),
        "{said}"
    );
    assert!(said.contains("exactly 4 of part hand (line 12)"), "{said}");
    assert!(
        !said.contains("nerve ulnar"),
        "a rule that does not clash is not blamed: {said}"
    );
    assert!(
        said.contains("hint: relax one: exactly 3 of part hand"),
        "{said}"
    );
}

#[test]
fn one_rule_to_relax_is_told_with_the_number_that_would_do() {
    let text = TWO_GROUPS.replace(
        "{lesion: root, least: 1}",
        "{lesion: cord, exactly: 3}\n  - {lesion: cord, most: 2}",
    );
    let said = try_plan(&text, 5, &Exposure::default())
        .expect_err("three and at most two")
        .to_string();
    assert!(
        said.contains("exactly 3 of lesion of a cord (line 9)"),
        "{said}"
    );
    assert!(
        said.contains("relax one: exactly 2 of lesion of a cord; or at most 3 of lesion of a cord"),
        "{said}"
    );
}

#[test]
fn a_station_to_use_again_stands_in_every_form() {
    let text = format!("{TWO_GROUPS}reuse:\n  - {{site: ulnar_elbow, kind: trace, seed: 77}}\n");
    let c = try_plan(&text, 9, &Exposure::default()).unwrap_or_else(|e| panic!("{e}"));
    let mut seen = Vec::new();
    for form in &c.forms {
        let own: Vec<(usize, &Banked)> = form.used().filter(|(_, b)| b.reused == Some(0)).collect();
        assert_eq!(own.len(), 1);
        seen.push((own[0].0, own[0].1.station.code.clone()));
    }
    assert_eq!(seen[0], seen[1], "at the same place of the route");
    assert!(c.made.repeats.is_empty(), "it is meant to be met by all");
}

const WAVES: &str = "groups:\n  - {id: A, count: 6, sittings: [{id: early, start: \"09:00\"}, {id: late, start: \"11:00\"}]}\n";

/// [`TWO_GROUPS`] as one group that comes in two waves.
fn waves(more: &str) -> Circuit {
    let rules = TWO_GROUPS.split("groups:").next().expect("the rules");
    let groups = WAVES.replace("count: 6,", &format!("count: 6,{more}"));
    try_plan(&format!("{rules}{groups}"), 5, &Exposure::default()).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn a_later_sitting_of_the_same_form_is_warned_of_and_can_have_its_own() {
    let warned = |c: &Circuit| -> Vec<String> {
        let notes = review(&world().limbs, c).into_iter().filter(|n| n.warning);
        notes.map(|n| n.text).collect()
    };
    let one = waves("");
    assert_eq!(one.forms.len(), 1);
    let said = warned(&one);
    assert!(
        said.len() == 1
            && said[0].contains(
                "sitting late begins after sitting early has come out, and sits the same 4 stations"
            ),
        "{said:?}"
    );
    let own = waves(" form_per_sitting: true,");
    let ids: Vec<&str> = own.blueprint.groups.iter().map(|g| g.id.as_str()).collect();
    assert_eq!(ids, ["A-early", "A-late"]);
    let people: Vec<&str> = own
        .blueprint
        .groups
        .iter()
        .flat_map(|g| &g.candidates)
        .map(|c| c.id.as_str())
        .collect();
    assert_eq!(people, ["A01", "A02", "A03", "A04", "A05", "A06"]);
    assert!(sites(&own, 0).iter().all(|s| !sites(&own, 1).contains(s)));
    assert_eq!(warned(&own), Vec::<String>::new());
}

#[test]
fn forms_that_run_one_after_another_share_their_equipment() {
    let c = two_groups();
    let made = lists::lists(c);
    let mut looked = 0;
    for (_, banked) in c.forms.iter().flat_map(|f| f.used()) {
        let listed = |label: &str, blank: &str| {
            let own = |t: &&lists::Thing| t.label == label && t.blank == blank;
            assert_eq!(
                made.equipment.iter().filter(own).count(),
                1,
                "{label}{blank}"
            );
        };
        let station = &banked.station;
        station
            .briefing
            .ready
            .iter()
            .for_each(|thing| listed(thing, ""));
        station
            .kind
            .blanks
            .iter()
            .for_each(|blank| listed("", blank));
    }
    for thing in &made.equipment {
        let positions = |f: usize| {
            let used = c.forms[f].used();
            used.filter(|(_, b)| {
                let kind = &b.station.kind;
                b.station.briefing.ready.contains(&thing.label)
                    || kind.blanks.contains(&thing.blank)
            })
            .count()
        };
        // One track of four candidates at a time: the busier of the two forms, and a chart for each candidate.
        let each = if thing.blank.is_empty() { 1 } else { 4 };
        let most = positions(0).max(positions(1)) * each;
        assert_eq!((thing.count, thing.at_once), (most, most), "{thing:?}");
        looked += usize::from(each == 4);
    }
    assert!(
        looked > 0,
        "a chart to shade is among them: {:?}",
        made.equipment
    );
}

#[test]
fn a_day_that_needs_more_sites_than_there_are_is_counted_not_searched() {
    let groups: String = (0..5)
        .map(|g| {
            format!(
                "  - {{id: G{g}, count: 4, sittings: [{{id: s{g}, start: \"{:02}:00\"}}]}}\n",
                7 + 2 * g
            )
        })
        .collect();
    let rules = TWO_GROUPS
        .split("wanted:")
        .next()
        .expect("the route")
        .replace("times: 2", "times: 4");
    let text = format!("{rules}limits: {{repeat_sites: never}}\ngroups:\n{groups}");
    let said = try_plan(&text, 5, &Exposure::default())
        .expect_err("forty sites")
        .to_string();
    assert!(
        said.contains("5 forms one after another need 40 different sites, and"),
        "{said}"
    );
    assert!(said.contains("repeat_sites: least"), "{said}");
}
