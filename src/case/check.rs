//! Turns scenario files that read well into the list of everything they get wrong, each problem with its place and a hint.

use super::NerveInjury;
use super::mechanism::{
    GENERAL, GENERAL_AVULSION, Mechanism, Onset, People, Scenarios, SideRule, site_hint,
};
use super::patient::{HANDED_FROM, NEWBORN_TO, OLDEST, WORKS_FROM};
use super::story::{PLACEHOLDERS, unknown, unpaired};
use super::timeline::latest;
use crate::diagnostic::{Problem, did_you_mean, short};
use crate::files::{Origins, Step};

/// Fewest mechanisms of a site, so that a site known does not mean a story known.
pub const FEWEST: usize = 3;

/// More than this many problems of a file are not gathered: each costs a look into it.
const MOST_PROBLEMS: usize = 100;

/// Collects problems of one file and what the user adds to it.
struct Checker<'s> {
    origins: &'s Origins<'s>,
    problems: Vec<Problem>,
}

impl Checker<'_> {
    fn add(&mut self, path: &[Step], message: impl Into<String>, hint: impl Into<String>) {
        if self.problems.len() >= MOST_PROBLEMS {
            return;
        }
        let place = self.origins.locate(path);
        self.problems
            .push(Problem::new(message).hint(hint).at(place));
    }
}

/// Everything wrong with a file of mechanisms. `sites`: the ids that a file may be about.
pub fn scenarios(origins: &Origins<'_>, all: &Scenarios, sites: &[&str]) -> Vec<Problem> {
    let mut c = Checker {
        origins,
        problems: Vec::new(),
    };
    let stem = origins
        .base()
        .name
        .rsplit('/')
        .next()
        .and_then(|name| name.strip_suffix(".yaml"))
        .unwrap_or_default();
    let general = [GENERAL, GENERAL_AVULSION].contains(&all.site.as_str());
    if !general && !sites.contains(&all.site.as_str()) {
        c.add(
            &["site".into()],
            format!("no site is called `{}`", short(&all.site)),
            site_hint(&all.site, sites),
        );
    } else if all.site != stem {
        c.add(
            &["site".into()],
            format!("the file is called {stem}.yaml but is about `{}`", all.site),
            format!("call the file {}.yaml, or correct the site", all.site),
        );
    }
    if all.mechanisms.len() < FEWEST {
        c.add(
            &["mechanisms".into()],
            format!("{} of at least {FEWEST} mechanisms", all.mechanisms.len()),
            "add mechanisms: with fewer, candidates learn the story and not the anatomy",
        );
    }
    for (i, m) in all.mechanisms.iter().enumerate() {
        let at = |key: &str| -> Vec<Step> { vec!["mechanisms".into(), i.into(), key.into()] };
        if all.mechanisms[..i].iter().any(|other| other.id == m.id) {
            c.add(
                &at("id"),
                format!("two mechanisms are called `{}`", short(&m.id)),
                "give each its own id",
            );
        }
        basics(&mut c, m, &at);
        person(&mut c, m, &at);
        time(&mut c, m, &at);
        texts(&mut c, m, &at);
    }
    c.problems
}

fn basics(c: &mut Checker, m: &Mechanism, at: &dyn Fn(&str) -> Vec<Step>) {
    let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_';
    if m.id.is_empty() || !m.id.bytes().all(plain) {
        c.add(
            &at("id"),
            format!("`{}` is no id", short(&m.id)),
            "use small letters, figures and _ only, as in chair_arm",
        );
    }
    if !(m.weight.is_finite() && m.weight > 0.0) {
        c.add(
            &at("weight"),
            format!("a weight of {} can never be drawn", m.weight),
            "write a number above 0: twice the number is drawn twice as often",
        );
    }
    let chances = [m.severity.complete, m.severity.partial];
    if chances.iter().any(|x| !x.is_finite() || *x < 0.0) {
        c.add(
            &at("severity"),
            "a chance below 0 means nothing",
            "write numbers from 0 up, as in {complete: 60, partial: 40}",
        );
    } else if chances.iter().all(|x| *x == 0.0) {
        c.add(
            &at("severity"),
            "no severity can be drawn: all chances are 0",
            "give `complete` or `partial` a number above 0",
        );
    }
}

fn range(
    c: &mut Checker,
    path: &[Step],
    (low, high): (u32, u32),
    what: &str,
    least: u32,
    most: u32,
) {
    if low > high {
        c.add(
            path,
            format!("the range of {what} runs backwards: {low} to {high}"),
            format!("write the smaller number first: [{high}, {low}]"),
        );
    } else if low < least || high > most {
        c.add(
            path,
            format!("{what} from {low} to {high} cannot be"),
            format!("keep between {least} and {most}"),
        );
    }
}

fn person(c: &mut Checker, m: &Mechanism, at: &dyn Fn(&str) -> Vec<Step>) {
    let by_dominance = matches!(m.side, SideRule::Dominant | SideRule::NonDominant);
    match (m.age, m.age_days) {
        (Some(years), None) => {
            range(c, &at("age"), years, "years of age", 1, OLDEST);
            if years.1 >= WORKS_FROM && m.occupations.is_empty() {
                c.add(
                    &at("occupations"),
                    "an adult without an occupation",
                    "list occupations in which this happens, or end the age range below 16",
                );
            }
            if years.1 < WORKS_FROM && !m.occupations.is_empty() {
                c.add(
                    &at("occupations"),
                    "a child with an occupation",
                    "write occupations: []",
                );
            }
            if years.0 < HANDED_FROM && by_dominance {
                c.add(
                    &at("side"),
                    "a child this young has no dominant hand yet",
                    "write any, right or left",
                );
            }
        }
        (None, Some(days)) => {
            range(c, &at("age_days"), days, "days of age", 1, NEWBORN_TO);
            if by_dominance {
                c.add(
                    &at("side"),
                    "a newborn has no dominant hand",
                    "write any, right or left",
                );
            }
            if !m.occupations.is_empty() {
                c.add(
                    &at("occupations"),
                    "a newborn has no occupation",
                    "write occupations: []",
                );
            }
            if m.onset == Onset::Gradual {
                c.add(
                    &at("onset"),
                    "a newborn's injury came with birth, not gradually",
                    "write onset: sudden",
                );
            }
            let (age, since) = (days, m.since_days);
            if age.0 <= age.1 && since.0 <= since.1 && (since.0 > age.1 || age.0 > since.1) {
                c.add(
                    &at("since_days"),
                    "a birth injury is as old as the child, and these ranges do not meet",
                    "give since_days the range of age_days",
                );
            }
        }
        (Some(_), Some(_)) => c.add(
            &at("age_days"),
            "an age in years and one in days",
            "keep age_days for a newborn, age for everyone else",
        ),
        (None, None) => c.add(
            &at("age"),
            "no age",
            "add age: [20, 65] in years, or for a newborn age_days: [1, 21]",
        ),
    }
}

fn time(c: &mut Checker, m: &Mechanism, at: &dyn Fn(&str) -> Vec<Step>) {
    // A hundred years of days: only a slip of the keyboard is longer.
    range(
        c,
        &at("since_days"),
        m.since_days,
        "days since the injury",
        1,
        36_500,
    );
    if let Some(last) = latest(m.nerve_injury, m.onset).filter(|&last| m.since_days.0 > last) {
        let name = match m.nerve_injury {
            NerveInjury::Neurapraxia => "neurapraxia",
            NerveInjury::Axonotmesis => "axonotmesis",
            NerveInjury::Neurotmesis => "neurotmesis",
        };
        c.add(
            &at("since_days"),
            format!("a sudden {name} has begun to recover by day {last}, so its first findings no longer hold"),
            format!("start since_days at {last} or earlier, or choose a graver nerve_injury"),
        );
    }
}

fn texts(c: &mut Checker, m: &Mechanism, at: &dyn Fn(&str) -> Vec<Step>) {
    if !m.story.trim_start().starts_with("{name}") {
        c.add(
            &at("story"),
            "the story does not start with {name}",
            "start it with the patient: \"{name} fell asleep ...\"",
        );
    }
    for (key, text) in [
        ("why_weight", &m.why_weight),
        ("examiner_note", &m.examiner_note),
    ] {
        if text.trim().is_empty() {
            c.add(&at(key), format!("{key} is empty"), "write one sentence");
        }
    }
    if m.settings.is_empty() {
        c.add(
            &at("settings"),
            "no place where the patient is seen",
            "add at least one that completes \"You meet the patient in ...\"",
        );
    }
    let single = [
        ("story", &m.story),
        ("stem_note", &m.stem_note),
        ("examiner_note", &m.examiner_note),
    ];
    for (key, text) in single {
        slots(c, &at(key), text);
    }
    if unpaired(&m.story) {
        c.add(
            &at("story"),
            "a bracket without its partner",
            "put [ ] round what tells of the loss; it is left out where the candidate is to say it",
        );
    }
    let lists = [
        ("settings", &m.settings),
        ("occupations", &m.occupations),
        ("also_damaged", &m.also_damaged),
        ("causes", &m.causes),
        ("care", &m.care),
    ];
    for (key, list) in lists {
        for (i, text) in list.iter().enumerate() {
            let mut path = at(key);
            path.push(i.into());
            if text.trim().is_empty() {
                c.add(
                    &path,
                    format!("an empty entry in {key}"),
                    "fill it in or remove it",
                );
            }
            slots(c, &path, text);
        }
    }
}

fn slots(c: &mut Checker, path: &[Step], text: &str) {
    for word in unknown(text) {
        if word == "{" {
            c.add(
                path,
                "a brace without its partner",
                "placeholders look like {name}",
            );
        } else {
            let all = PLACEHOLDERS.map(|p| format!("{{{p}}}")).join(" ");
            c.add(
                path,
                format!("the placeholder {{{}}} means nothing", short(&word)),
                did_you_mean(&word, PLACEHOLDERS, &format!("use one of {all}")),
            );
        }
    }
}

/// Everything wrong with the file of people.
pub fn people(origins: &Origins<'_>, all: &People) -> Vec<Problem> {
    let mut c = Checker {
        origins,
        problems: Vec::new(),
    };
    for (key, empty) in [
        ("people", all.people.is_empty()),
        ("newborns", all.newborns.is_empty()),
    ] {
        if empty {
            c.add(
                &[key.into()],
                format!("no {key} to draw from"),
                "add invented names",
            );
        }
    }
    for (i, person) in all.people.iter().enumerate() {
        for (key, name) in [("given", &person.given), ("family", &person.family)] {
            blank(&mut c, &["people".into(), i.into(), key.into()], name);
        }
        let twice = all.people[..i]
            .iter()
            .any(|p| p.given == person.given && p.family == person.family);
        if twice {
            c.add(
                &["people".into(), i.into()],
                format!(
                    "{} {} is listed twice",
                    short(&person.given),
                    short(&person.family)
                ),
                "remove one of the two",
            );
        }
    }
    for (i, name) in all.newborns.iter().enumerate() {
        blank(&mut c, &["newborns".into(), i.into()], name);
    }
    c.problems
}

fn blank(c: &mut Checker, path: &[Step], name: &str) {
    if name.trim().is_empty() || name.contains(['{', '}', '\n']) {
        c.add(
            path,
            format!("`{}` is no name", short(name)),
            "write a plain invented name",
        );
    }
}
