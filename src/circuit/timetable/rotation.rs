//! Who of one track is where when, and when does which bell ring? Positions, pace and candidates give the timetable.
//!
//! The route is a ring. Let `T` be the time once round and `D(p)` the way from the first position to position `p`. A candidate who
//! enters at `e` at the time `o` is at `p` at `o - D(e) + D(p)`, plus `T` when `p` lies before `e`: what sets candidates apart is
//! their phase `o - D(e)` alone. Two of them never meet in a position if their phases differ, round the ring, by at least the longest
//! slot `H`. So `T / H` candidates (rounded down) fit, each goes round without ever waiting, and all have started within `H`.
//! When all slots are equal, the phases fall on the bells: everyone starts together at a different position, and candidate
//! `c` is at slot `t` in position `(c + t) mod n`, a Latin square.

use crate::circuit::blueprint::clock::Second;
use crate::circuit::blueprint::{Pace, Position, Starts};

/// One candidate in one position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Visit {
    /// First bell: reading begins (or the rest).
    pub from: Second,
    pub position: usize,
    /// Position in the track's list of candidates.
    pub candidate: usize,
}

/// The timetable of one track of one sitting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Timetable {
    /// By time, then position.
    pub visits: Vec<Visit>,
    /// When each candidate starts.
    pub starts: Vec<Second>,
    /// From the first bell to the last bell, changeover included.
    pub length: Second,
}

/// Once round, in seconds: every slot with its changeover.
pub fn round(positions: &[Position], pace: Pace) -> Second {
    positions.iter().map(|p| p.slot(pace)).sum()
}

/// How many candidates fit into one track at a time.
pub fn capacity(positions: &[Position], pace: Pace) -> usize {
    let longest = longest(positions, pace);
    match pace.starts {
        Starts::Together => positions.len(),
        Starts::Staggered if longest > 0 => (round(positions, pace) / longest) as usize,
        Starts::Staggered => 0,
    }
}

fn longest(positions: &[Position], pace: Pace) -> Second {
    positions.iter().map(|p| p.slot(pace)).max().unwrap_or(0)
}

/// The timetable of `candidates` people, the first bell at `start`. `None` when they do not fit, or when those who start together
/// would have to wait for each other.
pub fn timetable(
    positions: &[Position],
    pace: Pace,
    candidates: usize,
    start: Second,
) -> Option<Timetable> {
    let equal = positions
        .windows(2)
        .all(|w| w[0].slot(pace) == w[1].slot(pace));
    if candidates > capacity(positions, pace) || (pace.starts == Starts::Together && !equal) {
        return None;
    }
    let whole = round(positions, pace);
    let headway = longest(positions, pace);
    let mut way = Vec::with_capacity(positions.len());
    let mut sum = 0;
    for p in positions {
        way.push(sum);
        sum += p.slot(pace);
    }
    let mut visits = Vec::with_capacity(candidates * positions.len());
    let mut starts = Vec::with_capacity(candidates);
    let mut last = start;
    for c in 0..candidates {
        // The phase is -c x headway, so on the ring the candidate is this far along at the first bell.
        let along = headway * c as Second;
        // The first position that begins at or after that point; past the last one it is the first, a round later.
        let (entry, offset) = way
            .iter()
            .enumerate()
            .find(|(_, d)| **d >= along)
            .map_or((0, whole - along), |(p, d)| (p, d - along));
        let mut now = start + offset;
        starts.push(now);
        for step in 0..positions.len() {
            let p = (entry + step) % positions.len();
            visits.push(Visit {
                from: now,
                position: p,
                candidate: c,
            });
            now += positions.get(p).map_or(0, |x| x.slot(pace));
        }
        last = last.max(now);
    }
    visits.sort_unstable();
    Some(Timetable {
        visits,
        starts,
        length: last - start,
    })
}

/// What a bell tells those who hear it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bell {
    /// Stop; leave the position.
    Stop,
    /// Read the sheet at the door, or begin the rest.
    Read,
    /// Go in and begin.
    Begin,
    /// Time is nearly over.
    Warn,
}

/// One ring of the bell, for the positions it concerns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ring {
    pub at: Second,
    pub bell: Bell,
    pub positions: Vec<usize>,
}

/// Every bell in order of time; bells of the same moment and meaning are one ring.
pub fn bells(table: &Timetable, positions: &[Position], pace: Pace) -> Vec<Ring> {
    let mut all: Vec<(Second, Bell, usize)> = Vec::new();
    for visit in &table.visits {
        let Some(p) = positions.get(visit.position) else {
            continue;
        };
        let begin = visit.from + p.reading;
        let stop = begin + p.length;
        all.push((visit.from, Bell::Read, visit.position));
        if p.reading > 0 {
            all.push((begin, Bell::Begin, visit.position));
        }
        if p.station.is_some() && pace.warning > 0 && pace.warning < p.length {
            all.push((stop - pace.warning, Bell::Warn, visit.position));
        }
        all.push((stop, Bell::Stop, visit.position));
    }
    all.sort_unstable();
    let mut rings: Vec<Ring> = Vec::new();
    for (at, bell, position) in all {
        match rings.last_mut() {
            Some(last) if last.at == at && last.bell == bell => last.positions.push(position),
            _ => rings.push(Ring {
                at,
                bell,
                positions: vec![position],
            }),
        }
    }
    rings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Level;
    use crate::circuit::blueprint::Shape;

    fn station(minutes: u32, reading: u32) -> Position {
        Position {
            name: String::new(),
            reading: reading * 60,
            length: minutes * 60,
            station: Some(Shape {
                minutes,
                reading,
                level: Level::Clinical,
                kind: None,
            }),
        }
    }

    fn rest(minutes: f64) -> Position {
        Position {
            name: String::new(),
            reading: 0,
            length: (minutes * 60.0) as Second,
            station: None,
        }
    }

    fn many(n: usize, p: &Position) -> Vec<Position> {
        vec![p.clone(); n]
    }

    fn pace(starts: Starts, changeover: Second) -> Pace {
        Pace {
            changeover,
            warning: 60,
            starts,
        }
    }

    /// What every timetable must keep, whatever the positions.
    fn sound(positions: &[Position], pace: Pace, n: usize, t: &Timetable) {
        for c in 0..n {
            let own: Vec<&Visit> = t.visits.iter().filter(|v| v.candidate == c).collect();
            let mut seen: Vec<usize> = own.iter().map(|v| v.position).collect();
            seen.sort_unstable();
            assert_eq!(
                seen,
                (0..positions.len()).collect::<Vec<_>>(),
                "every position once"
            );
            for w in own.windows(2) {
                // Nobody waits: the next visit begins as the last slot ends.
                assert_eq!(w[1].from, w[0].from + positions[w[0].position].slot(pace));
            }
        }
        for (p, position) in positions.iter().enumerate() {
            let mut here: Vec<Second> = t
                .visits
                .iter()
                .filter(|v| v.position == p)
                .map(|v| v.from)
                .collect();
            here.sort_unstable();
            for w in here.windows(2) {
                assert!(
                    w[1] - w[0] >= position.slot(pace),
                    "one candidate at a time"
                );
            }
        }
    }

    #[test]
    fn equal_slots_make_a_latin_square() {
        // rotation_01_latin_square: candidate c at slot t in position (c + t) mod n; circuit length n x (station + changeover).
        // Constructed, a property for any n.
        for n in 1..=30 {
            let positions = many(n, &station(8, 1));
            let pace = pace(Starts::Together, 60);
            let t = timetable(&positions, pace, n, 0).unwrap();
            assert_eq!(t.length, n as Second * (8 + 1 + 1) * 60);
            sound(&positions, pace, n, &t);
            for v in &t.visits {
                assert_eq!(v.position, (v.candidate + (v.from / 600) as usize) % n);
            }
            for slot in 0..n {
                let at = slot as Second * 600;
                let mut here: Vec<usize> = t
                    .visits
                    .iter()
                    .filter(|v| v.from == at)
                    .map(|v| v.position)
                    .collect();
                here.sort_unstable();
                assert_eq!(
                    here,
                    (0..n).collect::<Vec<_>>(),
                    "exactly one candidate everywhere"
                );
            }
        }
    }

    /// timetable_01: candidate letter of a published exam, 2007, seen by the compilers of the table: 15 positions, 1 h 27 min; with
    /// reading (2 minutes before a station of 10, 1 before one of 5) 1 h 42 min.
    fn circuit1(reading: bool) -> Vec<Position> {
        let r = u32::from(reading);
        [
            many(1, &station(10, 2 * r)),
            many(9, &station(5, r)),
            many(1, &station(10, 2 * r)),
            many(2, &station(5, r)),
            many(2, &rest(6.0)),
        ]
        .concat()
    }

    /// timetable_02: the same letter: 9 positions, 1 h 32 min; with reading 1 h 48 min.
    fn circuit2(reading: bool) -> Vec<Position> {
        let r = u32::from(reading);
        [
            many(4, &station(10, 2 * r)),
            many(4, &station(10, 2 * r)),
            many(1, &rest(12.0)),
        ]
        .concat()
    }

    #[test]
    fn published_circuits_of_unequal_stations_take_the_published_time() {
        let pace = pace(Starts::Staggered, 0);
        for (positions, count, minutes) in [
            (circuit1(false), 15, 87),
            (circuit1(true), 15, 102),
            (circuit2(false), 9, 92),
            (circuit2(true), 9, 108),
        ] {
            assert_eq!(positions.len(), count);
            assert_eq!(round(&positions, pace), minutes * 60);
            let n = capacity(&positions, pace);
            let t = timetable(&positions, pace, n, 0).unwrap();
            sound(&positions, pace, n, &t);
            for c in 0..n {
                let own: Vec<&Visit> = t.visits.iter().filter(|v| v.candidate == c).collect();
                let end = own
                    .last()
                    .map(|v| v.from + positions[v.position].slot(pace))
                    .unwrap();
                assert_eq!(end - t.starts[c], minutes * 60, "each candidate's own time");
            }
            // All have started within the longest slot.
            let longest = positions.iter().map(|p| p.slot(pace)).max().unwrap();
            assert!(t.starts.iter().all(|s| *s < longest));
        }
    }

    #[test]
    fn published_circuits_of_equal_positions_take_the_published_time() {
        // timetable_03 (18 scenarios, 2 rests, 8 minutes and 1.5 between: 190 minutes) and timetable_04 (16 and 2: 171,
        // published as "around three hours"), published pages seen by the compilers of the table. The rest lasts as long as a station.
        for (scenarios, minutes) in [(18, 190), (16, 171)] {
            let positions = [many(scenarios, &station(8, 0)), many(2, &rest(8.0))].concat();
            let pace = pace(Starts::Together, 90);
            assert_eq!(round(&positions, pace), minutes * 60);
            let n = positions.len();
            let t = timetable(&positions, pace, n, 0).unwrap();
            assert_eq!(t.length, minutes * 60);
            sound(&positions, pace, n, &t);
        }
        // timetable_05: 17 positions, 16 candidates a batch, 3 batches: 48 candidates a day; one position stays empty in turn.
        let positions = many(17, &station(8, 1));
        let pace = pace(Starts::Together, 0);
        let t = timetable(&positions, pace, 16, 0).unwrap();
        sound(&positions, pace, 16, &t);
        assert_eq!(3 * t.starts.len(), 48);
    }

    #[test]
    fn those_who_start_together_at_unequal_positions_would_wait() {
        let positions = circuit1(true);
        assert!(timetable(&positions, pace(Starts::Together, 0), 3, 0).is_none());
        assert!(timetable(&circuit2(true), pace(Starts::Staggered, 0), 10, 0).is_none());
    }

    #[test]
    fn every_visit_has_its_bells() {
        let positions = [many(2, &station(8, 2)), many(1, &rest(10.0))].concat();
        let pace = pace(Starts::Together, 60);
        let t = timetable(&positions, pace, 3, 9 * 3600).unwrap();
        let rings = bells(&t, &positions, pace);
        let first: Vec<(Second, Bell, usize)> = rings
            .iter()
            .take(4)
            .map(|r| (r.at - 9 * 3600, r.bell, r.positions.len()))
            .collect();
        assert_eq!(
            first,
            [
                (0, Bell::Read, 3),
                (120, Bell::Begin, 2),
                (540, Bell::Warn, 2),
                (600, Bell::Stop, 3)
            ]
        );
        assert_eq!(rings.len(), 3 * 4);
        assert_eq!(rings.last().map(|r| r.at), Some(9 * 3600 + 3 * 660 - 60));
    }
}
