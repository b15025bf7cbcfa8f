//! Can this day be held at all? A blueprint as written becomes a checked one, or everything that is wrong with it at once.

use super::checked::{
    Blueprint, Break, Limits, MOST_POSITIONS, MOST_SPARES, Pace, Position, Repeat, Rotation, Shape,
    Starts, USUAL_ONE_NERVE, USUAL_SIMILARITY,
};
use super::checker::{Checker, at};
use super::clock::{self, Second};
use super::limbs::Limbs;
use super::lists::{Lists, tenths};
use super::{cells, changes, passing, people, written};
use crate::case::Level;
use crate::diagnostic::{Failure, short};
use crate::files::{Content, Source};

/// Least and most minutes.
const STATION: (f64, f64) = (4.0, 20.0);
const BETWEEN: (f64, f64) = (0.0, 10.0);
const REST: (f64, f64) = (1.0, 120.0);

/// Checks a blueprint.
///
/// # Errors
/// Exit code 2 when the file is no blueprint; exit code 1 with every problem at once when what it says cannot be.
pub fn check(
    source: &Source,
    lists: &Lists,
    content: &Content,
    limbs: &Limbs<'_>,
) -> Result<Blueprint, Failure> {
    let written = written::read(source)?;
    let mut check = Checker::new(source, content, limbs)?;
    if written.title.trim().is_empty() {
        check.say(&at!["title"], "the circuit has no title", "write one line");
    }
    if !clock::is_date(&written.date) {
        check.say(
            &at!["date"],
            format!("there is no day {}", short(&written.date)),
            "write a day of the calendar as year-month-day, or the date in words",
        );
    }
    let level = check.level(&at!["level"], written.level.as_deref(), Level::Clinical);
    let pace = pace(&mut check, &written.time);
    let (positions, origins) = positions(&mut check, &written, level);
    let stations = positions.iter().filter(|p| p.station.is_some()).count();
    if pace.starts == Starts::Together {
        same_length(&mut check, &positions, &origins, pace);
    }
    let breaks = breaks(&mut check, &written.time, pace, positions.len());
    let mut people = people::People::default();
    people::groups(&mut check, &written, lists, &mut people);
    people::examiners(&mut check, &written, lists, &mut people);
    let replaced = changes::changes(&mut check, &written.changes, &positions, &mut people);
    let wanted = cells::wanted(&mut check, &written, stations);
    let apart = cells::apart(&mut check, &written);
    let reuse = cells::reuse(&mut check, &written, level, &positions, &apart);
    cells::avoid(&mut check, &written);
    let limits = limits(&mut check, &written.limits);
    let (rotation, spares) = rotation_and_spares(&mut check, &written);
    let passing = passing::passing(&mut check, &written.passing, stations);
    let blueprint = Blueprint {
        id: stem(&source.name),
        title: written.title.trim().to_string(),
        date: written.date.clone(),
        place: written.place.clone(),
        seed: written.seed,
        pace,
        positions,
        wanted,
        apart,
        reuse,
        avoid: written.avoid.clone(),
        exposure: written.exposure.clone(),
        learned: written.learned.clone(),
        limits,
        passing,
        breaks,
        rotation,
        spares,
        calibration: written.calibration,
        replaced,
        groups: people.groups,
        examiners: people.examiners,
        unread: people.unread,
    };
    if check.problems.is_empty() {
        past_midnight(&mut check, &written, &blueprint);
    }
    let mut problems = check.problems;
    if problems.is_empty() {
        return Ok(blueprint);
    }
    problems.sort_by(|a, b| a.place.cmp(&b.place));
    Err(Failure::Content(problems))
}

/// Breaks of everybody, by the slot that they follow.
fn breaks(check: &mut Checker<'_>, time: &written::Time, pace: Pace, slots: usize) -> Vec<Break> {
    let mut all = Vec::new();
    for (i, one) in time.breaks.iter().enumerate() {
        let path = at!["time", "breaks", i, "after"];
        let last = slots.saturating_sub(1).max(1);
        let after = check.whole(&path, "slots before a break", one.after, 1, last);
        let path = at!["time", "breaks", i, "minutes"];
        let length = check.minutes(&path, "a break", one.minutes, REST);
        all.extend(after.map(|after| Break { after, length }));
    }
    if pace.starts == Starts::Staggered && !all.is_empty() {
        check.say(
            &at!["time", "breaks"],
            "with staggered starts there is no moment at which nobody is in a station",
            "put a rest on the route instead: `- {rest: 15}` under `positions:`",
        );
    }
    all.sort_by_key(|b| b.after);
    all
}

fn rotation_and_spares(check: &mut Checker<'_>, written: &written::Blueprint) -> (Rotation, usize) {
    let rotation = check.one_of(
        &at!["rotation"],
        "examiners cannot change",
        written.rotation.as_deref(),
        &[
            ("stay", Rotation::Stay),
            ("sitting", Rotation::Sitting),
            ("break", Rotation::Break),
        ],
    );
    if rotation == Some(Rotation::Break) && written.time.breaks.is_empty() {
        check.say(
            &at!["rotation"],
            "there is no break at which examiners could change",
            "write `breaks: [{after: 6, minutes: 15}]` under `time:`, or `rotation: sitting`",
        );
    }
    let spares = written.spares.unwrap_or(0.0);
    let spares = check.whole(&at!["spares"], "spare stations", spares, 0, MOST_SPARES);
    (rotation.unwrap_or(Rotation::Stay), spares.unwrap_or(0))
}

/// The name of the file in letters and digits.
fn stem(name: &str) -> String {
    let file = name.rsplit(['/', '\\']).next().unwrap_or(name);
    let stem = file.strip_suffix(".yaml").unwrap_or(file).chars();
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '_' };
    let safe: String = stem.map(plain).take(40).collect();
    match safe.is_empty() {
        true => "circuit".to_string(),
        false => safe,
    }
}

fn pace(check: &mut Checker<'_>, time: &written::Time) -> Pace {
    // Read for their problems too: a position may rely on them.
    check.minutes(&at!["time", "station"], "a station", time.station, STATION);
    check.minutes(&at!["time", "reading"], "reading", time.reading, BETWEEN);
    let starts = check.one_of(
        &at!["time", "starts"],
        "nobody can start",
        time.starts.as_deref(),
        &[
            ("together", Starts::Together),
            ("staggered", Starts::Staggered),
        ],
    );
    let path = at!["time", "warning"];
    let warning = check.minutes(&path, "warning", time.warning, BETWEEN);
    if warning > 0 && time.warning >= time.station {
        check.say(
            &path,
            "the warning comes before the station begins",
            "write fewer minutes before the end",
        );
    }
    let path = at!["time", "changeover"];
    Pace {
        changeover: check.minutes(&path, "changeover", time.changeover, BETWEEN),
        warning,
        starts: starts.unwrap_or(Starts::Together),
    }
}

/// The route, and for each position the entry of the file that it comes from.
fn positions(
    check: &mut Checker<'_>,
    written: &written::Blueprint,
    level: Level,
) -> (Vec<Position>, Vec<usize>) {
    let (mut all, mut origins) = (Vec::new(), Vec::new());
    let (mut stations, mut rests) = (0, 0);
    for (i, p) in written.positions.iter().enumerate() {
        let path = at!["positions", i, "times"];
        let times = p
            .times
            .map(|n| check.whole(&path, "positions in a circuit", n, 1, MOST_POSITIONS));
        let one = match &p.rest {
            Some(rest) => self::rest(check, &written.time, i, p, rest),
            None => station(check, &written.time, i, p, level),
        };
        for _ in 0..times.flatten().unwrap_or(1) {
            let name = if one.station.is_some() {
                stations += 1;
                format!("{stations}")
            } else {
                rests += 1;
                format!("R{rests}")
            };
            origins.push(i);
            all.push(Position {
                name,
                ..one.clone()
            });
        }
        if all.len() > MOST_POSITIONS {
            check.say(
                &at!["positions", i],
                format!("the circuit has more than {MOST_POSITIONS} positions"),
                "split it into several circuits, each with its own blueprint",
            );
            break;
        }
    }
    if stations == 0 {
        check.say(
            &at!["positions"],
            "the circuit has no station",
            "add a line such as `- {times: 6}` under `positions:`",
        );
    }
    (all, origins)
}

fn rest(
    check: &mut Checker<'_>,
    time: &written::Time,
    i: usize,
    p: &written::Position,
    rest: &written::Rest,
) -> Position {
    let path = at!["positions", i, "rest"];
    if p.kind.is_some() || p.level.is_some() || p.minutes.is_some() {
        check.say(
            &path,
            "a rest has no minutes of a station, no kind and no level",
            "keep `rest:` or the other keys, not both",
        );
    }
    let length = match rest {
        written::Rest::Minutes(m) => check.minutes(&path, "a rest", *m, REST),
        written::Rest::Word(w) if w == "same" => {
            clock::seconds(time.station + time.reading).unwrap_or(60)
        }
        written::Rest::Word(w) => {
            check.say(
                &path,
                format!("a rest cannot last `{}`", short(w)),
                "write minutes, or `same` for as long as a station with its reading",
            );
            60
        }
    };
    Position {
        name: String::new(),
        reading: 0,
        length,
        station: None,
    }
}

fn station(
    check: &mut Checker<'_>,
    time: &written::Time,
    i: usize,
    p: &written::Position,
    level: Level,
) -> Position {
    let minutes = p.minutes.unwrap_or(time.station);
    let reading = p.reading.unwrap_or(time.reading);
    if p.minutes.is_some() {
        check.minutes(
            &at!["positions", i, "minutes"],
            "a station",
            minutes,
            STATION,
        );
    }
    if p.reading.is_some() {
        check.minutes(&at!["positions", i, "reading"], "reading", reading, BETWEEN);
    }
    for (key, value) in [("minutes", minutes), ("reading", reading)] {
        if value.is_finite() && value >= 0.0 && value.fract() != 0.0 {
            check.say(
                &at!["positions", i, key],
                format!("a station prints whole minutes only, not {value}"),
                "write whole minutes, and put the half into `changeover`",
            );
        }
    }
    if (0.0..1.0).contains(&reading) {
        check.say(
            &at!["positions", i, "reading"],
            "a candidate needs a minute or more to read the sheet",
            "write `reading: 1` or more",
        );
    }
    let kind = p.kind.as_deref();
    let shape = Shape {
        minutes: minutes.clamp(0.0, 60.0) as u32,
        reading: reading.clamp(0.0, 60.0) as u32,
        level: check.level(&at!["positions", i, "level"], p.level.as_deref(), level),
        kind: kind.and_then(|word| check.kind(&at!["positions", i, "kind"], word)),
    };
    Position {
        name: String::new(),
        reading: shape.reading * 60 as Second,
        length: shape.minutes * 60 as Second,
        station: Some(shape),
    }
}

/// A day ends at midnight: what goes on longer is a slip in a time.
fn past_midnight(check: &mut Checker<'_>, written: &written::Blueprint, day: &Blueprint) {
    for (g, group) in written.groups.iter().enumerate() {
        for (s, sitting) in group.sittings.iter().enumerate() {
            let extra = tenths(sitting.extra.unwrap_or(0.0)).unwrap_or(0);
            let round = day.round(&day.route(extra));
            let end = clock::parse(&sitting.start).map_or(0, |start| start + round);
            if end > clock::DAY {
                check.say(
                    &at!["groups", g, "sittings", s, "start"],
                    format!(
                        "sitting {} would go on past midnight: once round takes {} minutes",
                        sitting.id,
                        clock::minutes(round)
                    ),
                    "start it earlier",
                );
            }
        }
    }
}

/// Those who start together must move on together, or somebody waits outside a rest.
fn same_length(check: &mut Checker<'_>, positions: &[Position], origins: &[usize], pace: Pace) {
    let Some(first) = positions.first() else {
        return;
    };
    let mut both = positions.iter().zip(origins);
    if let Some((other, &origin)) = both.find(|(p, _)| p.slot(pace) != first.slot(pace)) {
        check.say(
            &at!["positions", origin],
            format!(
                "position {} takes {} minutes and position {} takes {}: whoever started together would have to wait",
                first.name,
                clock::minutes(first.slot(pace)),
                other.name,
                clock::minutes(other.slot(pace)),
            ),
            same_slot(other, first, pace),
        );
    }
}

/// What would let two positions move on together.
fn same_slot(other: &Position, first: &Position, pace: Pace) -> String {
    let usual = "write `starts: staggered` under `time:`, or give all positions (rests too: `rest: same`) one length";
    // One of the two may read for longer.
    let longer = |short: &Position, long: &Position| {
        let reading = long
            .slot(pace)
            .checked_sub(short.length + pace.changeover)?;
        let fits = short.station.is_some() && reading % 60 == 0 && (60..=600).contains(&reading);
        (fits && reading > short.reading).then_some(reading / 60)
    };
    match (longer(other, first), longer(first, other)) {
        (Some(minutes), _) => format!(
            "{usual}: position {} with `reading: {minutes}`, for instance",
            other.name
        ),
        (None, Some(minutes)) => format!(
            "{usual}: position {} and those like it with `reading: {minutes}`, for instance",
            first.name
        ),
        (None, None) => usual.to_string(),
    }
}

fn limits(check: &mut Checker<'_>, limits: &written::Limits) -> Limits {
    let mut share = |key: &str, value: Option<f64>, usual: f64| {
        let value = value.unwrap_or(usual);
        if !(value > 0.0 && value <= 1.0) {
            check.say(
                &at!["limits", key],
                format!("{value} is no limit"),
                "write a number above 0 and up to 1",
            );
        }
        value
    };
    let similarity = share("similarity", limits.similarity, USUAL_SIMILARITY);
    let one_nerve = share("one_nerve", limits.one_nerve, USUAL_ONE_NERVE);
    let repeat_sites = check.one_of(
        &at!["limits", "repeat_sites"],
        "sites cannot be repeated",
        limits.repeat_sites.as_deref(),
        &[("least", Repeat::Least), ("never", Repeat::Never)],
    );
    let mut number = |key: &str, value: Option<f64>, what: &str| {
        value.and_then(|n| check.whole(&at!["limits", key], what, n, 1, MOST_POSITIONS))
    };
    Limits {
        similarity,
        one_nerve,
        repeat_sites: repeat_sites.unwrap_or(Repeat::Least),
        same_examiner: number(
            "same_examiner",
            limits.same_examiner,
            "stations for one examiner and one candidate",
        ),
        sittings_in_a_row: number(
            "sittings_in_a_row",
            limits.sittings_in_a_row,
            "sittings one after another",
        ),
    }
}
