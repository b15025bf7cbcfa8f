//! When is which sign given? One timetable of bells for the whole day, that can be called aloud; signs that are given at one moment are one.

use crate::circuit::blueprint::{Blueprint, Starts, clock};
use crate::circuit::plan::Circuit;
use crate::circuit::timetable::Track;
use crate::circuit::timetable::rotation::{Bell, bells};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// The bells of what runs without a pause: sittings that overlap, one after another.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BellTable {
    pub sittings: Vec<String>,
    pub first: String,
    pub last: String,
    /// Where all start together: a row for each slot.
    pub slots: Vec<SlotRow>,
    /// Where starts are staggered: what is called comes round again and again, a column each time.
    pub rounds: Vec<Rounds>,
}

/// Some times round of what is called: down a column, then down the next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Rounds {
    /// From 1.
    pub numbers: Vec<usize>,
    pub calls: Vec<Call>,
}

/// Read, go in, warning, stop; empty where there is none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SlotRow {
    pub times: [String; 4],
    /// A break follows until then; else empty.
    pub pause: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Call {
    /// When, for each time round; empty where nobody hears it.
    pub times: Vec<String>,
    /// In the order in which they are called: stop, read, go in, warning.
    pub signs: Vec<Sign>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Sign {
    /// "stop", "read", "begin", "warn".
    pub bell: &'static str,
    /// "1, 2, R1"; empty: all that are in use.
    pub positions: String,
}

fn word(bell: Bell) -> &'static str {
    match bell {
        Bell::Read => "read",
        Bell::Begin => "begin",
        Bell::Warn => "warn",
        Bell::Stop => "stop",
    }
}

/// Tracks that hear each other's bells, in the order of time.
fn at_once(circuit: &Circuit) -> Vec<Vec<&Track>> {
    let blueprint = &circuit.blueprint;
    let mut tracks: Vec<&Track> = circuit.tracks.iter().collect();
    tracks.sort_by_key(|t| (t.start(blueprint), t.end(blueprint)));
    let mut all: Vec<(u32, Vec<&Track>)> = Vec::new();
    for track in tracks {
        let end = track.end(blueprint);
        match all.last_mut() {
            Some((last, own)) if track.start(blueprint) < *last => {
                *last = end.max(*last);
                own.push(track);
            }
            _ => all.push((end, vec![track])),
        }
    }
    all.into_iter().map(|(_, own)| own).collect()
}

/// Everything that is called, in the order of time.
pub fn bell_tables(circuit: &Circuit) -> Vec<BellTable> {
    let blueprint = &circuit.blueprint;
    let tables = at_once(circuit).into_iter().map(|tracks| {
        let mut sittings: Vec<String> = tracks
            .iter()
            .filter_map(|t| t.sitting(blueprint))
            .map(|s| s.id.clone())
            .collect();
        sittings.dedup();
        // All together, and none with more time than the others: then every bell is for everybody.
        let route = tracks.first().map(|t| &t.positions);
        let same = tracks.iter().all(|t| Some(&t.positions) == route);
        let together = blueprint.pace.starts == Starts::Together && same;
        let (slots, rounds) = match together {
            true => (slots(blueprint, &tracks), Vec::new()),
            false => (Vec::new(), rounds(blueprint, &tracks)),
        };
        let end = tracks.iter().map(|t| t.end(blueprint)).max();
        BellTable {
            sittings,
            first: clock::show(tracks.first().map_or(0, |t| t.start(blueprint))),
            last: clock::show(end.unwrap_or(0)),
            slots,
            rounds,
        }
    });
    tables.collect()
}

/// A row for each slot that somebody is in.
fn slots(blueprint: &Blueprint, tracks: &[&Track]) -> Vec<SlotRow> {
    let mut rings: BTreeMap<u32, BTreeMap<&'static str, u32>> = BTreeMap::new();
    for track in tracks {
        for visit in &track.table.visits {
            let Some(p) = track.positions.get(visit.position) else {
                continue;
            };
            let row = rings.entry(visit.from).or_default();
            let begin = visit.from + p.reading;
            let stop = begin + p.length;
            row.insert("read", visit.from);
            row.insert("stop", stop);
            if p.station.is_some() {
                row.insert("begin", begin);
                let warning = blueprint.pace.warning;
                if warning > 0 && warning < p.length {
                    row.insert("warn", stop - warning);
                }
            }
        }
    }
    let starts: Vec<u32> = rings.keys().copied().collect();
    let row = |(n, times): (usize, &BTreeMap<&'static str, u32>)| {
        let time = |sign: &str| {
            times
                .get(sign)
                .copied()
                .map_or_else(String::new, clock::show)
        };
        let stop = times.get("stop").copied().unwrap_or(0);
        let next = starts.get(n + 1).copied();
        let pause = next.filter(|next| *next > stop + blueprint.pace.changeover);
        SlotRow {
            times: ["read", "begin", "warn", "stop"].map(time),
            pause: pause.map_or_else(String::new, clock::show),
        }
    };
    rings.values().enumerate().map(row).collect()
}

/// Who hears what: group and position, by bell.
type Heard = BTreeMap<Bell, BTreeSet<(usize, usize)>>;

/// A call with all the times at which it is given.
struct Row {
    heard: Heard,
    times: Vec<u32>,
}

/// So many times round stand in one table.
const COLUMNS: usize = 5;

/// Candidates follow each other at the longest slot, so after it the same calls come again: they are written once, with a time for each
/// time round. A call may name a position where nobody is, never one where somebody must not hear it.
fn rounds(blueprint: &Blueprint, tracks: &[&Track]) -> Vec<Rounds> {
    let slots = tracks.iter().flat_map(|t| &t.positions);
    let period = slots
        .map(|p| p.slot(blueprint.pace))
        .max()
        .unwrap_or(1)
        .max(1);
    let start = tracks.iter().map(|t| t.start(blueprint)).min().unwrap_or(0);
    let mut rings: BTreeMap<u32, Heard> = BTreeMap::new();
    for track in tracks {
        for ring in bells(&track.table, &track.positions, blueprint.pace) {
            let own = rings
                .entry(ring.at)
                .or_default()
                .entry(ring.bell)
                .or_default();
            own.extend(ring.positions.iter().map(|p| (track.group, *p)));
        }
    }
    let mut rows: BTreeMap<u32, Vec<Row>> = BTreeMap::new();
    for (at, heard) in rings {
        let here = rows.entry((at - start) % period).or_default();
        let found = here.iter_mut().find(|row| {
            let both = [(&row.heard, &heard, at)].into_iter();
            let mut both = both.chain(row.times.iter().map(|t| (&heard, &row.heard, *t)));
            both.all(|(more, own, at)| harmless(tracks, more, own, at))
        });
        match found {
            Some(row) => {
                for (bell, who) in heard {
                    row.heard.entry(bell).or_default().extend(who);
                }
                row.times.push(at);
            }
            None => here.push(Row {
                heard,
                times: vec![at],
            }),
        }
    }
    let rows: Vec<Row> = rows.into_values().flatten().collect();
    let last = rows.iter().flat_map(|r| &r.times).max().copied();
    let count = ((last.unwrap_or(start) - start) / period) as usize + 1;
    let numbers: Vec<usize> = (1..=count).collect();
    let block = |numbers: &[usize]| {
        let calls = rows.iter().map(|row| Call {
            times: numbers
                .iter()
                .map(|n| time(row, start, period, *n))
                .collect(),
            signs: signs(blueprint, tracks, &row.heard),
        });
        Rounds {
            numbers: numbers.to_vec(),
            calls: calls
                .filter(|c| c.times.iter().any(|t| !t.is_empty()))
                .collect(),
        }
    };
    numbers.chunks(COLUMNS).map(block).collect()
}

/// When the row is called on its n-th time round.
fn time(row: &Row, start: u32, period: u32, number: usize) -> String {
    let mut times = row.times.iter();
    let found = times.find(|t| ((**t - start) / period) as usize + 1 == number);
    found.map_or_else(String::new, |t| clock::show(*t))
}

/// Whether nobody who is in a position is disturbed when at this time `more` is called besides their `own`.
fn harmless(tracks: &[&Track], more: &Heard, own: &Heard, at: u32) -> bool {
    let extra = more.iter().flat_map(|(bell, who)| {
        let known = own.get(bell);
        who.iter()
            .filter(move |w| known.is_none_or(|k| !k.contains(*w)))
    });
    let busy = |(group, position): &(usize, usize)| {
        tracks.iter().filter(|t| t.group == *group).any(|t| {
            let inside = |from: u32| {
                let stop = t
                    .positions
                    .get(*position)
                    .map_or(0, |p| p.reading + p.length);
                from <= at && at <= from + stop
            };
            let mut visits = t.table.visits.iter();
            visits.any(|v| v.position == *position && inside(v.from))
        })
    };
    !extra.into_iter().any(busy)
}

/// Positions are told apart by their group only where groups run side by side and differ.
fn signs(blueprint: &Blueprint, tracks: &[&Track], heard: &Heard) -> Vec<Sign> {
    let groups: BTreeSet<usize> = tracks.iter().map(|t| t.group).collect();
    let sign = |(bell, who): (&Bell, &BTreeSet<(usize, usize)>)| {
        let of = |group: usize| -> Vec<&str> {
            let own = who.iter().filter(|(g, _)| *g == group);
            own.map(|(_, p)| blueprint.name(*p)).collect()
        };
        let each: Vec<Vec<&str>> = groups.iter().map(|g| of(*g)).collect();
        let positions = match each.windows(2).all(|w| w[0] == w[1]) {
            true => each.first().map_or_else(String::new, |p| p.join(", ")),
            false => {
                let both = groups.iter().zip(&each).filter(|(_, p)| !p.is_empty());
                let named = both.filter_map(|(g, p)| {
                    let id = &blueprint.groups.get(*g)?.id;
                    Some(format!("{id}: {}", p.join(", ")))
                });
                named.collect::<Vec<_>>().join("; ")
            }
        };
        Sign {
            bell: word(*bell),
            positions,
        }
    };
    heard.iter().map(sign).collect()
}
