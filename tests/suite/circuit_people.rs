//! Candidates, tracks and examiners: what every seating must keep, on blueprints drawn by chance.

use proptest::prelude::*;
use std::collections::BTreeMap;
use vivasmith::case::Level;
use vivasmith::circuit::blueprint::{
    Blueprint, Candidate, Examiner, Group, Limits, Pace, Passing, Position, Repeat, Rotation,
    Shape, Sitting, Starts,
};
use vivasmith::circuit::seat;
use vivasmith::circuit::timetable::Track;

pub fn position(name: usize, minutes: u32, rest: bool) -> Position {
    let reading = u32::from(!rest) * 60;
    Position {
        name: name.to_string(),
        reading,
        length: minutes * 60,
        station: (!rest).then_some(Shape {
            minutes,
            reading: 1,
            level: Level::Clinical,
            kind: None,
        }),
    }
}

pub fn blueprint(
    positions: Vec<Position>,
    starts: Starts,
    groups: Vec<Group>,
    examiners: Vec<Examiner>,
) -> Blueprint {
    Blueprint {
        id: "day".into(),
        title: "Day".into(),
        date: String::new(),
        place: String::new(),
        seed: None,
        pace: Pace {
            changeover: 60,
            warning: 60,
            starts,
        },
        positions,
        wanted: Vec::new(),
        apart: Vec::new(),
        reuse: Vec::new(),
        avoid: Vec::new(),
        exposure: Vec::new(),
        learned: Vec::new(),
        limits: Limits {
            similarity: 0.9,
            one_nerve: 1.0,
            repeat_sites: Repeat::Least,
            same_examiner: None,
            sittings_in_a_row: None,
        },
        passing: Passing::default(),
        breaks: Vec::new(),
        rotation: Rotation::Stay,
        spares: 0,
        calibration: false,
        replaced: Vec::new(),
        groups,
        examiners,
        unread: Vec::new(),
    }
}

pub fn group(id: &str, count: usize, start: u32, tracks: usize) -> Group {
    Group {
        id: id.into(),
        candidates: (0..count)
            .map(|c| Candidate {
                id: format!("{id}{c}"),
                ..Candidate::default()
            })
            .collect(),
        sittings: vec![Sitting {
            id: format!("s{id}"),
            start,
            tracks,
            extra: 0,
        }],
        quarantined: false,
    }
}

pub fn examiners(count: usize, knows: &BTreeMap<usize, Vec<String>>) -> Vec<Examiner> {
    (0..count)
        .map(|e| Examiner {
            id: format!("X{e}"),
            knows: knows.get(&e).cloned().unwrap_or_default(),
            ..Examiner::default()
        })
        .collect()
}

/// Nobody marks a candidate they declared, nobody is in two places, everyone meets every station once, nobody waits.
pub fn sound(blueprint: &Blueprint, tracks: &[Track]) -> Result<(), TestCaseError> {
    let mut busy: BTreeMap<usize, Vec<(u32, u32)>> = BTreeMap::new();
    let mut met: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for t in tracks {
        for (visit, marks) in t.table.visits.iter().zip(&t.marks) {
            let p = &t.positions[visit.position];
            let candidate = &t
                .candidate(blueprint, visit.candidate)
                .expect("a candidate")
                .id;
            met.entry(candidate.clone())
                .or_default()
                .push(visit.position);
            if p.station.is_none() {
                prop_assert!(marks.is_none());
                continue;
            }
            let e = marks.expect("somebody marks every station");
            prop_assert!(
                !blueprint.examiners[e].knows.contains(candidate),
                "X{} marks {}",
                e,
                candidate
            );
            busy.entry(e)
                .or_default()
                .push((visit.from, visit.from + p.slot(blueprint.pace)));
        }
        for c in 0..t.candidates.len() {
            let own: Vec<_> = t.table.visits.iter().filter(|v| v.candidate == c).collect();
            for w in own.windows(2) {
                let slot = t.positions[w[0].position].slot(blueprint.pace);
                prop_assert_eq!(w[1].from, w[0].from + slot);
            }
        }
    }
    for (e, mut spans) in busy {
        spans.sort_unstable();
        for w in spans.windows(2) {
            prop_assert!(w[1].0 >= w[0].1, "X{} is in two places", e);
        }
    }
    let people = blueprint.groups.iter().flat_map(|g| &g.candidates);
    let all = people.filter(|c| !c.absent).count();
    prop_assert_eq!(met.len(), all);
    for (_, mut positions) in met {
        positions.sort_unstable();
        prop_assert_eq!(
            &positions,
            &(0..blueprint.positions.len()).collect::<Vec<_>>()
        );
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn whatever_is_declared_is_kept_or_refused(
        stations in 2usize..9,
        tracks in 1usize..3,
        reserve in 0usize..4,
        staggered in any::<bool>(),
        lengths in proptest::collection::vec(4u32..12, 9),
        declared in proptest::collection::vec((0usize..20, 0usize..20), 0..12),
        seed in 0u64..1000,
    ) {
        let starts = if staggered { Starts::Staggered } else { Starts::Together };
        let positions: Vec<Position> = (0..stations)
            .map(|i| {
                let rest = i % 5 == 4;
                // With its reading a station is a minute longer than a rest of the same length.
                let minutes = if staggered { lengths[i] } else { 8 + u32::from(rest) };
                position(i, minutes, rest)
            })
            .collect();
        let room = vivasmith::circuit::timetable::rotation::capacity(&positions, blueprint(positions.clone(), starts, vec![], vec![]).pace);
        let groups = vec![group("A", room * tracks, 9 * 3600, tracks), group("B", room, 15 * 3600, 1)];
        let mut knows: BTreeMap<usize, Vec<String>> = BTreeMap::new();
        for (e, c) in declared {
            let id = if c % 3 == 0 { format!("B{}", c % room.max(1)) } else { format!("A{}", c % (room * tracks).max(1)) };
            knows.entry(e % (stations * tracks + reserve)).or_default().push(id);
        }
        let needed = positions.iter().filter(|p| p.station.is_some()).count() * tracks;
        let blueprint = blueprint(positions, starts, groups, examiners(needed + reserve, &knows));
        match seat(&blueprint, None, seed) {
            Ok(tracks) => sound(&blueprint, &tracks)?,
            // Only for want of somebody who may mark; never when nobody declared anything.
            Err(failure) => {
                prop_assert!(!knows.is_empty(), "{}", failure);
                prop_assert!(failure.to_string().contains("no examiner is free"), "{}", failure);
            }
        }
    }
}

#[test]
fn one_reserve_is_enough_for_one_declared_pair() {
    let positions: Vec<Position> = (0..6).map(|i| position(i, 8, false)).collect();
    let knows = BTreeMap::from([(2, vec!["A3".to_string()])]);
    let day = |count| {
        blueprint(
            positions.clone(),
            Starts::Together,
            vec![group("A", 6, 9 * 3600, 1)],
            examiners(count, &knows),
        )
    };
    let with = day(7);
    let tracks = seat(&with, None, 1).expect("a seating");
    sound(&with, &tracks).expect("sound");
    // The reserve takes the declared examiner's place for good or for one slot; nobody else moves.
    let moved = tracks[0].marks.iter().zip(&tracks[0].table.visits);
    let moved = moved
        .filter(|(m, v)| **m != tracks[0].home[v.position])
        .count();
    assert!(moved <= 1, "{moved}");
    // Without a reserve two examiners change places for that slot.
    let without = day(6);
    let tracks = seat(&without, None, 1).expect("a seating");
    sound(&without, &tracks).expect("sound");
    let moved = tracks[0].marks.iter().zip(&tracks[0].table.visits);
    assert_eq!(
        moved
            .filter(|(m, v)| **m != tracks[0].home[v.position])
            .count(),
        2
    );
}

#[test]
fn too_many_candidates_or_too_few_examiners_are_told() {
    let positions: Vec<Position> = (0..4).map(|i| position(i, 8, false)).collect();
    let crowded = blueprint(
        positions.clone(),
        Starts::Together,
        vec![group("A", 9, 0, 2)],
        vec![],
    );
    let said = seat(&crowded, None, 1)
        .expect_err("nine into eight")
        .to_string();
    assert!(
        said.contains("9 candidates, but its sittings hold 8 (4 in each track)"),
        "{said}"
    );
    let thin = blueprint(
        positions.clone(),
        Starts::Together,
        vec![group("A", 8, 0, 2)],
        examiners(7, &BTreeMap::new()),
    );
    let said = seat(&thin, None, 1)
        .expect_err("seven for eight")
        .to_string();
    assert!(
        said.contains("8 stations need an examiner at the same time, but only 7 of 7 can come"),
        "{said}"
    );
    // 4 slots of 10 minutes from 9:00 end at 9:40.
    let early = blueprint(
        positions,
        Starts::Together,
        vec![
            group("A", 4, 9 * 3600, 1),
            group("B", 4, 9 * 3600 + 1800, 1),
        ],
        vec![],
    );
    let said = seat(&early, None, 1).expect_err("they overlap").to_string();
    assert!(
        said.contains("sitting sA ends at 09:40, but sitting sB begins at 09:30"),
        "{said}"
    );
}

#[test]
fn an_examiner_who_knows_everyone_of_a_sitting_can_be_replaced_only_by_name() {
    let positions: Vec<Position> = (0..2).map(|i| position(i, 8, false)).collect();
    let all = vec!["A0".to_string(), "A1".to_string()];
    let knows = BTreeMap::from([(0, all.clone()), (1, all)]);
    let day = blueprint(
        positions,
        Starts::Together,
        vec![group("A", 2, 9 * 3600, 1)],
        examiners(2, &knows),
    );
    let failure = seat(&day, None, 1).expect_err("nobody may mark");
    let said = failure.to_string();
    assert!(
        said.contains("at 09:00 no examiner is free who may mark candidate"),
        "{said}"
    );
    assert!(said.contains("hint: name one more examiner"), "{said}");
}

/// How often each examiner marks each candidate.
pub fn pairs(blueprint: &Blueprint, tracks: &[Track]) -> BTreeMap<(usize, String), usize> {
    let mut all = BTreeMap::new();
    for t in tracks {
        for (visit, marks) in t.table.visits.iter().zip(&t.marks) {
            let candidate = t
                .candidate(blueprint, visit.candidate)
                .expect("a candidate");
            let e = marks.expect("somebody marks");
            *all.entry((e, candidate.id.clone())).or_default() += 1;
        }
    }
    all
}

#[test]
fn nobody_marks_a_candidate_at_all_stations_when_another_may() {
    // Eight stations, nine examiners, of whom two alone may mark one candidate: they take turns.
    let positions: Vec<Position> = (0..8).map(|i| position(i, 8, false)).collect();
    let knows = (0..7).map(|e| (e, vec!["A3".to_string()])).collect();
    let day = blueprint(
        positions,
        Starts::Together,
        vec![group("A", 8, 9 * 3600, 1)],
        examiners(9, &knows),
    );
    let tracks = seat(&day, None, 1).expect("a seating");
    sound(&day, &tracks).expect("sound");
    let counts: Vec<usize> = pairs(&day, &tracks)
        .into_iter()
        .filter(|((_, c), _)| c == "A3")
        .map(|(_, n)| n)
        .collect();
    assert!(
        counts.len() == 2 && counts.iter().all(|n| *n <= 5),
        "{counts:?}"
    );
}

#[test]
fn every_examiner_has_a_station_before_anyone_has_a_second() {
    let positions: Vec<Position> = (0..4).map(|i| position(i, 8, false)).collect();
    let groups = vec![group("A", 4, 9 * 3600, 1), group("B", 4, 11 * 3600, 1)];
    let day = blueprint(
        positions,
        Starts::Together,
        groups,
        examiners(8, &BTreeMap::new()),
    );
    let tracks = seat(&day, None, 1).expect("a seating");
    let mut used: Vec<usize> = tracks
        .iter()
        .flat_map(|t| t.home.iter().flatten())
        .copied()
        .collect();
    used.sort_unstable();
    assert_eq!(used, (0..8).collect::<Vec<_>>());
}

#[test]
fn all_that_does_not_fit_is_told_at_once_with_what_would() {
    let positions: Vec<Position> = (0..4).map(|i| position(i, 8, false)).collect();
    let groups = vec![group("A", 9, 9 * 3600, 2), group("B", 5, 11 * 3600, 1)];
    let day = blueprint(
        positions,
        Starts::Together,
        groups,
        examiners(7, &BTreeMap::new()),
    );
    let said = seat(&day, None, 1)
        .expect_err("three shortages")
        .to_string();
    for words in [
        "group A: 9 candidates, but its sittings hold 8",
        "it needs 3 tracks in all and has 2",
        "group B: 5 candidates, but its sittings hold 4",
        "8 stations need an examiner at the same time, but only 7 of 7 can come",
        "name 1 more examiners who can take sA, or run 1 of the 2 tracks at a time",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    // Two sittings of one group at one time are two tracks.
    let mut twice = group("A", 4, 9 * 3600, 1);
    twice.sittings.push(Sitting {
        id: "again".into(),
        ..twice.sittings[0].clone()
    });
    let positions: Vec<Position> = (0..4).map(|i| position(i, 8, false)).collect();
    let day = blueprint(positions, Starts::Together, vec![twice], vec![]);
    let said = seat(&day, None, 1).expect_err("one room").to_string();
    assert!(
        said.contains("`tracks: 2`") && !said.contains("start both"),
        "{said}"
    );
}
