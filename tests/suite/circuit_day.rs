//! A real day: lists from spreadsheets, more time for one candidate, breaks, reserves, who falls ill or comes late, and what is printed of it.

use crate::circuit_people::{blueprint, examiners, group, pairs, position, sound};
use std::collections::{BTreeMap, BTreeSet};
use vivasmith::anatomy::{Model, load};
use vivasmith::circuit::blueprint::{
    Blueprint, Break, Kept, KeptTrack, Limbs, Lists, Position, Rotation, Sitting, Starts, check,
};
use vivasmith::circuit::seat;
use vivasmith::circuit::timetable::Track;
use vivasmith::diagnostic::Failure;
use vivasmith::files::{Content, Source, Table, read_table};

const LISTED: &str = "\
title: Day
time: {station: 8, reading: 2}
positions: [{times: 3}, {rest: same}]
lists: {candidates: c.csv, examiners: e.csv, declared: d.csv}
groups:
  - {id: A, sittings: [{id: one, start: \"09:00\"}, {id: longer, start: \"11:00\", extra: 25}]}
  - {id: B, sittings: [{id: two, start: \"13:00\"}]}
";

fn world() -> (Content, Model) {
    let content = Content::embedded();
    let model = load(&content, "upper_limb").expect("the shipped model loads");
    (content, model)
}

fn table(name: &str, text: &str) -> Option<Table> {
    let read = read_table(&Source::new(name, name, text.to_string()));
    Some(read.unwrap_or_else(|e| panic!("{e}")))
}

fn listed(candidates: &str, examiners: &str, declared: &str) -> Result<Blueprint, Failure> {
    let (content, model) = world();
    let lists = Lists {
        candidates: table("c.csv", candidates),
        examiners: table("e.csv", examiners),
        declared: table("d.csv", declared),
    };
    let source = Source::new("day.yaml", "day.yaml", LISTED.to_string());
    check(&source, &lists, &content, &Limbs::of([&model]))
}

#[test]
fn lists_are_read_as_spreadsheets_save_them() {
    let day = listed(
        "sep=;\r\nname;candidate number;email;group;extra time (%);absent\r\n\
         Wenrop Acornquist;007;x;A;12,5 %;\r\nZinmott Velvetcoe;0010;y;A;;x\r\nImvick Cornetwade;B1;z;B;;no\r\n",
        "examiner\tsittings\treserve\r\nX1\tone two\t\r\nX2\t\tyes\r\n",
        "candidate,examiner\nB1,X1\n007,X2\n",
    )
    .unwrap_or_else(|e| panic!("{e}"));
    let a = &day.groups[0].candidates;
    assert_eq!(
        (a[0].id.as_str(), a[0].extra, a[0].absent),
        ("007", 125, false)
    );
    assert_eq!(
        (a[1].id.as_str(), a[1].extra, a[1].absent),
        ("0010", 0, true)
    );
    assert_eq!(day.groups[1].candidates[0].name, "Imvick Cornetwade");
    assert_eq!(day.examiners[0].knows, ["B1"]);
    assert_eq!(
        day.examiners[0].sittings.as_deref(),
        Some(&["one".to_string(), "two".to_string()][..])
    );
    assert!(day.examiners[1].reserve && day.examiners[1].knows == ["007"]);
    assert_eq!(day.unread, ["email (c.csv)"]);
}

#[test]
fn all_that_is_wrong_in_lists_is_told_at_once_with_its_cell() {
    let failure = listed(
        "candidate,group,extra,absent,late\n001,A,25 min,,\n001,C,,maybe,9 o'clock\nB1,B,250,,\n",
        "examiner,sittings\nX1,on\n",
        "examiner,candidate\nX9,001\nX1,002\n",
    )
    .expect_err("nine faults");
    let told: Vec<(String, usize, usize)> = failure
        .problems()
        .iter()
        .filter_map(|p| {
            let at = p.place.as_ref()?;
            Some((at.file.clone(), at.line, at.column))
        })
        .collect();
    let at = |file: &str, line, column| (file.to_string(), line, column);
    assert_eq!(
        told,
        [
            at("c.csv", 2, 3),
            at("c.csv", 3, 1),
            at("c.csv", 3, 2),
            at("c.csv", 3, 4),
            at("c.csv", 3, 5),
            at("c.csv", 4, 3),
            at("d.csv", 2, 1),
            at("d.csv", 3, 2),
            at("e.csv", 2, 2),
        ],
        "{failure}"
    );
    let failure = listed(
        "number,group\n1,A\n",
        "examiner\nX1\n",
        "examiner,candidate\n",
    );
    let said = failure.expect_err("no column of candidates").to_string();
    assert!(
        said.contains("the first line lacks the column `candidate`"),
        "{said}"
    );
}

fn stations(count: usize) -> Vec<Position> {
    (0..count).map(|i| position(i, 8, false)).collect()
}

/// Candidate and position by time, with the examiner.
fn seats(day: &Blueprint, tracks: &[Track]) -> BTreeMap<(String, usize), (u32, Option<usize>)> {
    let mut all = BTreeMap::new();
    for t in tracks {
        for (visit, e) in t.table.visits.iter().zip(&t.marks) {
            let id = t
                .candidate(day, visit.candidate)
                .expect("a candidate")
                .id
                .clone();
            all.insert((id, visit.position), (visit.from, *e));
        }
    }
    all
}

#[test]
fn more_time_for_one_moves_nobody_else() {
    let positions = [stations(4), vec![position(4, 9, true)]].concat();
    let mut day = blueprint(
        positions,
        Starts::Together,
        vec![group("A", 5, 9 * 3600, 1)],
        examiners(4, &BTreeMap::new()),
    );
    let before = seats(&day, &seat(&day, None, 1).expect("a seating"));
    day.groups[0].candidates[2].extra = 250;
    let said = seat(&day, None, 1)
        .expect_err("no such sitting")
        .to_string();
    // 8 + 1 minutes become 10 + 1.5, with a minute between: 12.5 five times.
    assert!(
        said.contains("candidate A2 needs 25 % more time")
            && said.contains("{id: longer, start: \"09:50\", extra: 25}")
            && said.contains("it takes 62.5 minutes"),
        "{said}"
    );
    day.groups[0].sittings.push(Sitting {
        id: "longer".into(),
        start: 11 * 3600,
        tracks: 1,
        extra: 250,
    });
    let tracks = seat(&day, None, 1).expect("a seating");
    sound(&day, &tracks).expect("sound");
    let after = seats(&day, &tracks);
    for (key, value) in &before {
        match key.0.as_str() {
            "A2" => assert!(after[key].0 >= 11 * 3600),
            _ => assert_eq!(after[key], *value, "{key:?}"),
        }
    }
    let own = tracks.iter().find(|t| t.sitting == 1).expect("a track");
    assert_eq!(
        (own.positions[0].reading, own.positions[0].length),
        (90, 600)
    );
    assert_eq!(own.table.length, 5 * 750);
}

#[test]
fn a_break_is_for_everybody_and_nobody_is_in_a_station_during_it() {
    let mut day = blueprint(
        stations(4),
        Starts::Together,
        vec![group("A", 4, 9 * 3600, 1)],
        vec![],
    );
    day.breaks = vec![Break {
        after: 2,
        length: 900,
    }];
    let tracks = seat(&day, None, 1).expect("a seating");
    // Slots of ten minutes: two, a quarter of an hour, two more.
    let mut times: Vec<u32> = tracks[0]
        .table
        .visits
        .iter()
        .map(|v| v.from - 9 * 3600)
        .collect();
    times.dedup();
    assert_eq!(times, [0, 600, 2100, 2700]);
    assert_eq!(tracks[0].table.length, 3300);
}

#[test]
fn who_comes_late_goes_to_what_they_missed_after_all_others() {
    let mut day = blueprint(
        stations(4),
        Starts::Together,
        vec![
            group("A", 4, 9 * 3600, 1),
            group("B", 4, 9 * 3600 + 2400, 1),
        ],
        examiners(4, &BTreeMap::new()),
    );
    let before = seats(&day, &seat(&day, None, 1).expect("a seating"));
    day.groups[0].candidates[1].late = Some(9 * 3600 + 660);
    let said = seat(&day, None, 1).expect_err("B begins").to_string();
    assert!(
        said.contains("sitting sA ends at 10:00, but sitting sB begins at 09:40"),
        "{said}"
    );
    day.groups[1].sittings[0].start = 10 * 3600;
    let tracks = seat(&day, None, 1).expect("a seating");
    let after = seats(&day, &tracks);
    for (key, (from, e)) in before.iter().filter(|(k, _)| k.0.starts_with('A')) {
        // Two bells have rung before they are there: those two slots come once round later.
        let missed = key.0 == "A1" && *from < 9 * 3600 + 660;
        let shift = if missed { 2400 } else { 0 };
        assert_eq!(after[key], (from + shift, *e), "{key:?}");
    }
    // Who is there as the bell rings has missed only what was before.
    day.groups[0].candidates[1].late = Some(9 * 3600 + 600);
    let after = seats(&day, &seat(&day, None, 1).expect("a seating"));
    let moved = before.iter().filter(|(key, old)| after[*key].0 != old.0);
    assert_eq!(moved.filter(|(key, _)| key.0.starts_with('A')).count(), 1);
}

fn kept(day: &Blueprint, tracks: &[Track]) -> Kept {
    let track = |t: &Track| KeptTrack {
        group: day.groups[t.group].id.clone(),
        sitting: t.sitting(day).expect("a sitting").id.clone(),
        number: t.number,
        seats: (0..t.candidates.len())
            .map(|seat| t.candidate(day, seat).map(|c| c.id.clone()))
            .collect(),
        marks: t
            .table
            .visits
            .iter()
            .zip(&t.marks)
            .map(|(v, e)| {
                let candidate = t.candidate(day, v.candidate).expect("a candidate");
                let examiner = &day.examiners[e.expect("an examiner")];
                (
                    candidate.id.clone(),
                    day.name(v.position).to_string(),
                    examiner.id.clone(),
                )
            })
            .collect(),
    };
    Kept {
        tracks: tracks.iter().map(track).collect(),
        ..Kept::default()
    }
}

#[test]
fn kept_seats_stay_when_somebody_is_absent_or_new() {
    let knows = BTreeMap::from([(2, vec!["A3".to_string()])]);
    let mut day = blueprint(
        stations(6),
        Starts::Together,
        vec![group("A", 5, 9 * 3600, 1)],
        examiners(8, &knows),
    );
    day.examiners[7].reserve = true;
    let tracks = seat(&day, None, 3).expect("a seating");
    let before = seats(&day, &tracks);
    let kept = kept(&day, &tracks);
    assert!(
        before.values().all(|(_, e)| *e != Some(7)),
        "the reserve waits"
    );
    let ill = before[&("A1".to_string(), 0)].1.expect("an examiner");
    day.examiners[ill].absent = true;
    day.groups[0].candidates[0].absent = true;
    let mut new = day.groups[0].candidates[0].clone();
    new.id = "NEW".into();
    new.absent = false;
    // The list in another order, too.
    day.groups[0].candidates.insert(0, new);
    let tracks = seat(&day, Some(&kept), 99).expect("a seating");
    sound(&day, &tracks).unwrap_or_else(|e| panic!("{e}"));
    let after = seats(&day, &tracks);
    let mut changed = 0;
    for (key, (from, e)) in &before {
        if key.0 == "A0" {
            assert!(!after.contains_key(key), "absent");
            continue;
        }
        let (now, marks) = after[key];
        assert_eq!(now, *from, "{key:?}");
        match *e == Some(ill) {
            true => changed += 1,
            false => assert_eq!(marks, *e, "{key:?}"),
        }
    }
    assert!(changed >= 4, "somebody else sits there: {changed}");
    assert_eq!(after.keys().filter(|k| k.0 == "NEW").count(), 6);
    // Whoever asks for a seat that there is not is told what would give it.
    for n in 0..2 {
        let mut more = day.groups[0].candidates[0].clone();
        more.id = format!("MORE{n}");
        day.groups[0].candidates.push(more);
    }
    let said = seat(&day, Some(&kept), 99)
        .expect_err("no seat")
        .to_string();
    assert!(
        said.contains("no seat is free for candidate MORE1 in group A") && !said.contains("MORE0"),
        "the seat of who is absent is taken: {said}"
    );
}

#[test]
fn one_examiner_marks_one_candidate_no_oftener_than_is_allowed() {
    // Two stations each for four examiners who may mark A3; the other four know them.
    let day = |count, most| {
        let knows = (0..4).map(|e| (e, vec!["A3".to_string()])).collect();
        let mut day = blueprint(
            stations(8),
            Starts::Together,
            vec![group("A", 8, 9 * 3600, 1)],
            examiners(count, &knows),
        );
        day.limits.same_examiner = Some(most);
        day
    };
    let two = day(8, 2);
    let tracks = seat(&two, None, 1).expect("a seating");
    sound(&two, &tracks).expect("sound");
    assert!(pairs(&two, &tracks).values().all(|n| *n <= 2));
    let said = seat(&day(8, 1), None, 1)
        .expect_err("four for eight")
        .to_string();
    assert!(
        said.contains("raise `same_examiner` under `limits:`"),
        "{said}"
    );
}

#[test]
fn examiners_rotate_and_rest() {
    let groups = || {
        let start = |n: u32| 9 * 3600 + n * 2400;
        vec![
            group("A", 4, start(0), 1),
            group("B", 4, start(1), 1),
            group("C", 4, start(2), 1),
        ]
    };
    let mut day = blueprint(
        stations(4),
        Starts::Together,
        groups(),
        examiners(4, &BTreeMap::new()),
    );
    let homes = |tracks: &[Track]| -> Vec<Vec<usize>> {
        tracks
            .iter()
            .map(|t| t.home.iter().flatten().copied().collect())
            .collect()
    };
    let stay = homes(&seat(&day, None, 1).expect("a seating"));
    assert!(stay.windows(2).all(|w| w[0] == w[1]), "{stay:?}");
    day.rotation = Rotation::Sitting;
    let moved = homes(&seat(&day, None, 1).expect("a seating"));
    for position in 0..4 {
        let mut here: Vec<usize> = moved.iter().map(|h| h[position]).collect();
        here.sort_unstable();
        here.dedup();
        assert_eq!(here.len(), 3, "{moved:?}");
    }
    day.limits.sittings_in_a_row = Some(2);
    let said = seat(&day, None, 1)
        .expect_err("the third sitting")
        .to_string();
    assert!(
        said.contains("4 of 4 have this sitting off") && said.contains("name 4 more examiners"),
        "{said}"
    );
    day.examiners = examiners(6, &BTreeMap::new());
    let tracks = seat(&day, None, 1).expect("a seating");
    let all = homes(&tracks);
    assert!(
        (0..6).all(|e| all.iter().filter(|h| h.contains(&e)).count() <= 2),
        "{all:?}"
    );
}

#[test]
fn the_whole_day_is_counted() {
    // 120 candidates, 14 examiners, 12 stations of ten minutes: a track seats 12 in two hours.
    let day = blueprint(
        stations(12),
        Starts::Together,
        vec![group("A", 120, 9 * 3600, 1)],
        examiners(14, &BTreeMap::new()),
    );
    let said = seat(&day, None, 1).expect_err("one track").to_string();
    for words in [
        "120 candidates with 14 examiners: a track of 12 stations seats 12 and takes 120 minutes",
        "with one track at a time it needs 10 sittings, 20.0 hours; with 36 examiners (3 tracks at a time) 4 sittings, 8.0 hours",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    // Thirteen times forty minutes are more than eight hours, though less than nine.
    let day = blueprint(
        stations(4),
        Starts::Together,
        vec![group("A", 52, 9 * 3600, 1)],
        examiners(4, &BTreeMap::new()),
    );
    let said = seat(&day, None, 1).expect_err("one track").to_string();
    assert!(
        said.contains("13 sittings, 8.7 hours; with 8 examiners"),
        "{said}"
    );
}

/// Six stations, a break after three, seven examiners of whom the last waits.
fn with_a_break() -> Blueprint {
    let mut day = blueprint(
        stations(6),
        Starts::Together,
        vec![group("A", 6, 9 * 3600, 1)],
        examiners(7, &BTreeMap::from([(1, vec!["A4".to_string()])])),
    );
    day.examiners[6].reserve = true;
    day.breaks = vec![Break {
        after: 3,
        length: 900,
    }];
    day
}

/// Nobody marks at two stations at a time, or a candidate they know.
fn apart(day: &Blueprint, tracks: &[Track]) {
    let mut busy = BTreeSet::new();
    for (visit, e) in tracks[0].table.visits.iter().zip(&tracks[0].marks) {
        let e = e.expect("somebody marks");
        assert!(busy.insert((visit.from, e)), "X{e} at {}", visit.from);
        assert!(!tracks[0].is_known(day, visit.candidate, e));
    }
}

#[test]
fn examiners_change_at_a_break() {
    let mut day = with_a_break();
    // Three slots of ten minutes and a quarter of an hour.
    let resumes = 9 * 3600 + 2700;
    let halves = |tracks: &[Track]| -> Vec<[Vec<usize>; 2]> {
        let track = &tracks[0];
        let both = || track.table.visits.iter().zip(&track.marks);
        let of = |position: usize, late: bool| {
            let here =
                both().filter(|(v, _)| v.position == position && (v.from >= resumes) == late);
            let mut all: Vec<usize> = here.filter_map(|(_, e)| *e).collect();
            all.sort_unstable();
            all.dedup();
            all
        };
        (0..6).map(|p| [of(p, false), of(p, true)]).collect()
    };
    let stay = seat(&day, None, 1).expect("a seating");
    let same = halves(&stay).iter().filter(|h| h[0] == h[1]).count();
    assert!(same >= 4, "only who is known moves: {:?}", halves(&stay));
    day.rotation = Rotation::Break;
    let tracks = seat(&day, None, 1).expect("a seating");
    apart(&day, &tracks);
    for (p, position) in halves(&tracks).iter().enumerate() {
        let home = |at: usize| {
            tracks[0].home_at(
                &day,
                tracks[0]
                    .table
                    .visits
                    .iter()
                    .find(|v| v.position == p && (v.from >= resumes) == (at == 1))
                    .expect("a visit"),
            )
        };
        assert_ne!(home(0), home(1), "{position:?}");
        assert!(home(0).is_some_and(|e| position[0].contains(&e)));
        assert!(home(1).is_some_and(|e| position[1].contains(&e)));
    }
    // The same people as before the break.
    let all = |homes: &[Option<usize>]| {
        let mut all: Vec<usize> = homes.iter().flatten().copied().collect();
        all.sort_unstable();
        all
    };
    assert_eq!(all(&tracks[0].home), all(&tracks[0].moved[0]));
    // Planned again, everybody sits as before.
    let again = seat(&day, Some(&kept(&day, &tracks)), 9).expect("a seating");
    assert_eq!(again[0].marks, tracks[0].marks);
    assert_eq!(
        (&again[0].home, &again[0].moved),
        (&tracks[0].home, &tracks[0].moved)
    );
}

#[test]
fn who_leaves_is_replaced_from_then_on() {
    let mut day = with_a_break();
    day.examiners[1].knows.clear();
    let tracks = seat(&day, None, 1).expect("a seating");
    let before = seats(&day, &tracks);
    let kept = self::kept(&day, &tracks);
    let left = 9 * 3600 + 1200;
    day.examiners[3].left = Some(left);
    let again = seat(&day, Some(&kept), 1).expect("a seating");
    apart(&day, &again);
    let mut moved = 0;
    for (key, (from, e)) in seats(&day, &again) {
        let (at, was) = before[&key];
        assert_eq!(from, at);
        match was == Some(3) && from >= left {
            true => {
                assert_eq!(e, Some(6), "the reserve: {key:?}");
                moved += 1;
            }
            false => assert_eq!(e, was, "{key:?}"),
        }
    }
    assert_eq!(moved, 4);
    // Nobody else moves either where that would part who meet again.
    let mut turned = with_a_break();
    turned.examiners[1].knows.clear();
    turned.rotation = Rotation::Break;
    let tracks = seat(&turned, None, 1).expect("a seating");
    let before = seats(&turned, &tracks);
    let plan = self::kept(&turned, &tracks);
    turned.examiners[3].left = Some(9 * 3600 + 2700);
    let again = seat(&turned, Some(&plan), 1).expect("a seating");
    for (key, (_, e)) in seats(&turned, &again) {
        let was = before[&key].1;
        assert!(
            e == was || (was == Some(3) && e == Some(6)),
            "{key:?}: {was:?}, {e:?}"
        );
    }
    // Nobody is left to step in.
    day.examiners[6].absent = true;
    let said = seat(&day, Some(&kept), 1).expect_err("nobody").to_string();
    assert!(said.contains("(X3 has left)"), "{said}");
}

#[test]
fn what_cannot_be_changed_is_told() {
    let (content, model) = world();
    let day = |more: &str| {
        let text = format!(
            "title: Day\ntime: {{station: 8, reading: 2}}\npositions: [{{times: 3}}]\n{more}groups: [{{id: A, count: 3, sittings: [{{id: one, start: \"09:00\"}}]}}]\nexaminers: [{{id: X1}}, {{id: X2}}, {{id: X3}}]\n"
        );
        let source = Source::new("day.yaml", "day.yaml", text);
        let checked = check(&source, &Lists::default(), &content, &Limbs::of([&model]));
        checked.expect_err("wrong").to_string()
    };
    for (more, words) in [
        (
            "rotation: break\n",
            "day.yaml:4:11: there is no break at which examiners could change",
        ),
        (
            "changes: {left: [{examiner: A01, at: \"09:20\"}]}\n",
            "write `absent` in the mark sheet at the stations that they missed",
        ),
        (
            "changes: {left: [{examiner: X9, at: \"09:20\"}]}\n",
            "no examiner is called `X9`",
        ),
        (
            "changes: {left: [{examiner: X1, at: noon}]}\n",
            "`noon` is no time of day",
        ),
    ] {
        let said = day(more);
        assert!(said.contains(words), "{words}: {said}");
    }
}
