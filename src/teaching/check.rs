//! Do the notes of a site agree with the model, keep their length and give nothing away?

use super::approach::Approach;
use super::block::{Block, Line};
use super::claims::Claims;
use super::family::Families;
use super::notes::Notes;
use super::read::FOLDER;
use super::vocabulary::Vocabulary;
use crate::anatomy::{Model, Structure};
use crate::diagnostic::{Problem, did_you_mean, short};
use crate::files::{Source, Step, locate};
use crate::findings::Findings;
use crate::reasoning;

/// Most words of a line, which is ticked in a second.
pub const LINE: usize = 13;
/// Of one first step.
pub const STEP: usize = 13;

/// What notes are held against, beside the model.
pub struct Against<'a> {
    pub families: &'a Families,
    pub vocabulary: &'a Vocabulary,
    pub claims: &'a Claims<'a>,
    /// What a complete lesion of each site of the model gives.
    pub whole: &'a [Findings],
    pub approaches: &'a [Approach],
    /// What each kind of station asks at each level.
    pub plans: &'a [Plan],
    /// The ways in which the site is injured.
    pub ways: &'a [Way],
}

/// The questions of a kind of station at one level, in the order they are asked, each with its marks.
#[derive(Debug, Clone)]
pub struct Plan {
    pub kind: String,
    /// The candidate is told the place, or the two of a comparison.
    pub tells_place: bool,
    pub asks: Vec<(String, u32)>,
}

/// A way of injury, with the days between it and today.
#[derive(Debug, Clone)]
pub struct Way {
    pub id: String,
    pub days: (u32, u32),
}

pub struct Checker<'a> {
    pub model: &'a Model,
    pub notes: &'a Notes,
    source: &'a Source,
    /// What the injured site gives; `None`: the notes are about a whole nerve or an operation.
    pub found: Option<&'a Findings>,
    pub against: &'a Against<'a>,
    problems: Vec<Problem>,
}

/// Everything wrong with the notes of a site, a nerve (`nerves/ID`) or an operation (`approaches/ID`).
pub fn check(model: &Model, source: &Source, notes: &Notes, against: &Against<'_>) -> Vec<Problem> {
    let stem = source
        .name
        .rsplit('/')
        .next()
        .and_then(|n| n.strip_suffix(".yaml"))
        .unwrap_or_default();
    let about = subject(model, source, stem, against);
    let site = model.sites.iter().position(|s| s.id == stem);
    let found = site
        .filter(|_| about == Ok(true))
        .and_then(|i| against.whole.get(i));
    let mut c = Checker {
        model,
        notes,
        source,
        found,
        against,
        problems: Vec::new(),
    };
    if let Err(problem) = about {
        c.problems.push(problem);
    }
    if notes.site != stem {
        c.add(
            &["site".into()],
            format!(
                "the file is called {stem}.yaml but is about `{}`",
                short(&notes.site)
            ),
            "give the file and the site the same name",
        );
    }
    c.sources();
    c.cited();
    c.rivals();
    c.blocks(against.families);
    c.words();
    c.days(against.ways);
    c.claims();
    for plan in against.plans {
        c.order(plan);
        c.marks(plan);
    }
    let mut problems = c.problems;
    problems.sort_by(|a, b| a.place.cmp(&b.place));
    problems.dedup();
    problems
}

/// Whether the notes are about a site.
///
/// # Errors
/// What to say when their file is called after nothing that there is.
fn subject(
    model: &Model,
    source: &Source,
    stem: &str,
    against: &Against<'_>,
) -> Result<bool, Problem> {
    let folder = format!("{FOLDER}{}/", model.region);
    let name = source.name.strip_prefix(&folder).unwrap_or(&source.name);
    let (known, what, list): (Vec<&str>, &str, &str) = match name.split_once('/') {
        Some(("nerves", _)) => (
            model.nerves.iter().map(|n| n.id.as_str()).collect(),
            "nerve",
            "the nerves stand in anatomy/REGION/nerves.yaml",
        ),
        Some(("approaches", _)) => (
            against.approaches.iter().map(|a| a.id.as_str()).collect(),
            "operation or fracture",
            "they stand in approaches/REGION.yaml",
        ),
        _ => (
            model.sites.iter().map(|s| s.id.as_str()).collect(),
            "site",
            "`vivasmith list sites` shows them all",
        ),
    };
    if known.contains(&stem) {
        return Ok(what == "site");
    }
    let problem = Problem::new(format!("no {what} is called `{}`", short(stem)));
    Err(problem
        .hint(did_you_mean(stem, known, list))
        .at(locate(source, &["site".into()])))
}

impl<'a> Checker<'a> {
    pub fn add(&mut self, path: &[Step], message: impl Into<String>, hint: impl Into<String>) {
        self.problems.push(
            Problem::new(message)
                .hint(hint)
                .at(locate(self.source, path)),
        );
    }

    pub fn name(&self, s: Structure) -> String {
        format!("{} ({})", self.model.plain(s), self.model.id(s))
    }

    /// Known to be normal after this lesion; of a nerve or an operation nothing is known.
    fn spared(&self, s: Structure) -> bool {
        let found = self.found;
        found.is_some_and(|all| all.get(s).is_none_or(|f| f.spared()))
    }

    /// Codes, a semicolon, and what has none; or that there is none.
    fn sources(&mut self) {
        let written = self.notes.source.trim();
        let hint = "write codes of sources.yaml, a semicolon and what has none: `GRAY42 FURU; prompts: common practice, no source`; add your own book to sources.extra.yaml";
        if written.is_empty() {
            self.add(&["source".into()], "these notes name no source", hint);
        }
        let codes = written.split(';').next().unwrap_or_default();
        if codes.contains("no source") || codes.contains("judgement") {
            return;
        }
        for code in codes.split_whitespace() {
            if self.model.sources.iter().all(|(known, _)| known != code) {
                self.add(
                    &["source".into()],
                    format!("`{}` is no code of a source", short(code)),
                    hint,
                );
            }
        }
    }

    fn of_site(&self, site: usize) -> Option<&'a Findings> {
        self.against.whole.get(site)
    }

    /// What is cited as affected is affected or open, what is cited as kept is kept and affected elsewhere.
    fn cited(&mut self) {
        for (i, c) in self.notes.cardinal.iter().enumerate() {
            if self.spared(c.finding) {
                let path = ["cardinal".into(), Step::Item(i), "finding".into()];
                self.add(
                    &path,
                    format!("{} is not affected by this lesion", self.name(c.finding)),
                    "name what fails here, or correct the model",
                );
            }
        }
        for (i, n) in self.notes.negatives.iter().enumerate() {
            let path = ["negatives".into(), Step::Item(i), "finding".into()];
            if self.found.is_some() && !self.spared(n.finding) {
                self.add(
                    &path,
                    format!("{} is not sure to be normal here", self.name(n.finding)),
                    "name what is kept for certain",
                );
            }
            if n.clears.is_empty() {
                self.add(
                    &path,
                    format!("{} clears no place", self.name(n.finding)),
                    "name under `clears:` the sites in which it would be affected",
                );
            }
            for (k, &site) in n.clears.iter().enumerate() {
                let there = self.of_site(site);
                if there.is_some_and(|f| f.get(n.finding).is_none_or(|f| f.spared())) {
                    let path = [
                        "negatives".into(),
                        Step::Item(i),
                        "clears".into(),
                        Step::Item(k),
                    ];
                    let label = self.model.sites.get(site).map_or("", |s| s.label.as_str());
                    self.add(
                        &path,
                        format!(
                            "{} is normal in a lesion of the {label} too",
                            self.name(n.finding)
                        ),
                        "take the site out, or name another finding",
                    );
                }
            }
        }
        for (i, c) in self.notes.card.iter().enumerate() {
            let wrong: Vec<String> =
                c.of.iter()
                    .filter(|s| self.spared(**s))
                    .map(|s| self.name(*s))
                    .collect();
            if !wrong.is_empty() {
                let path = ["card".into(), Step::Item(i), "of".into()];
                self.add(
                    &path,
                    format!(
                        "the patient would show what is normal: {}",
                        wrong.join(", ")
                    ),
                    "name movements that fail here; what is strong stands under `strong:`",
                );
            }
            if c.say.contains('\u{201c}') && c.of.iter().any(|s| s.kind.motor()) {
                let path = ["card".into(), Step::Item(i), "say".into()];
                self.add(
                    &path,
                    "what is only said cannot be done with a power",
                    "name the movement that is asked for; words for the patient stand under `if_asked:`",
                );
            }
        }
    }

    fn rivals(&mut self) {
        let mut used: Vec<Structure> = Vec::new();
        for (i, r) in self.notes.rivals.iter().enumerate() {
            let Some(there) = self.of_site(r.site) else {
                continue;
            };
            let path = ["rivals".into(), Step::Item(i), "decides".into()];
            let decides = |here| reasoning::decider(here, there, r.decides).is_some();
            if self.found.is_some_and(|here| !decides(here)) {
                self.add(
                    &path,
                    format!(
                        "{} does not tell the two places apart",
                        self.name(r.decides)
                    ),
                    "name a finding that is affected in one of them and kept in the other",
                );
            } else if used.contains(&r.decides) {
                self.add(
                    &path,
                    format!("{} decides against two rivals", self.name(r.decides)),
                    "give each rival a finding of its own",
                );
            }
            used.push(r.decides);
            if self.notes.equals.iter().any(|e| e.site == Some(r.site)) {
                let path = ["rivals".into(), Step::Item(i), "site".into()];
                self.add(
                    &path,
                    "this place is accepted as equal, so nothing decides against it",
                    "take it out of `rivals:` or out of `equals:`",
                );
            }
        }
    }

    fn blocks(&mut self, families: &Families) {
        let against = self.notes.compare_with.and_then(|site| self.of_site(site));
        for (id, block) in &self.notes.ask.0 {
            let at = [Step::from("ask"), Step::from(id.as_str())];
            if families.get(id).is_none() {
                let known = families.all().iter().map(|q| q.id.as_str());
                self.add(
                    &at,
                    format!("no question is called `{}`", short(id)),
                    did_you_mean(id, known, "the questions are the files of questions/"),
                );
            }
            self.lines(id, block, against);
            self.lengths(block, &at);
        }
    }

    fn lines(&mut self, id: &str, block: &Block, against: Option<&Findings>) {
        for (path, line) in located(id, block) {
            let problem = match (id, line.about) {
                ("muscles" | "lost", Some(s)) if self.spared(s) => {
                    Some("is not affected by this lesion")
                }
                ("kept", Some(s)) if self.found.is_some() && !self.spared(s) => {
                    Some("is not sure to be normal here")
                }
                ("deciders", Some(s))
                    if against.is_some_and(|there| {
                        let here = self.found;
                        here.is_some_and(|here| reasoning::decider(here, there, s).is_none())
                    }) =>
                {
                    Some("does not tell the two places apart")
                }
                _ => None,
            };
            if let (Some(problem), Some(s)) = (problem, line.about) {
                self.add(
                    &[&path[..], &["about".into()]].concat(),
                    format!("{} {problem}", self.name(s)),
                    "correct the line, or what it is about",
                );
            }
            if let Some(site) = line.to {
                let Some(there) = self.of_site(site) else {
                    continue;
                };
                for (k, &s) in line.flips.iter().enumerate() {
                    let same = |f: &Findings| f.get(s).is_none_or(|f| f.spared());
                    if self.found.is_some_and(|here| same(here) == same(there)) {
                        let path = [&path[..], &["flips".into(), Step::Item(k)]].concat();
                        self.add(
                            &path,
                            format!(
                                "{} does not change when the lesion is moved there",
                                self.name(s)
                            ),
                            "name a finding that changes",
                        );
                    }
                }
            }
        }
    }
}

/// A muscle and its own movement are one finding.
pub fn same(model: &Model, a: Structure, b: Structure) -> bool {
    let own = |muscle: Structure, movement: Structure| {
        let of = model.muscle(muscle).and_then(|m| m.movement);
        of.is_some_and(|m| model.structures(movement.kind).nth(m) == Some(movement))
            && model.movement(movement).is_some()
    };
    a == b || own(a, b) || own(b, a)
}

/// Every line of a block with its place in the file.
pub fn located<'b>(id: &str, block: &'b Block) -> Vec<(Vec<Step>, &'b Line)> {
    let at = |keys: &[Step], i: usize| {
        [&["ask".into(), Step::from(id)], keys, &[Step::Item(i)]].concat()
    };
    let points = block
        .points
        .iter()
        .enumerate()
        .map(|(i, l)| (at(&["points".into()], i), l));
    let any = block.any.iter().flat_map(|c| &c.of).enumerate();
    let any = any.map(|(i, l)| (at(&["any".into(), "of".into()], i), l));
    points.chain(any).collect()
}
