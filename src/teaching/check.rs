//! Do the notes of a site agree with the model, keep their length and give nothing away?

use super::block::{Block, Line};
use super::family::Families;
use super::notes::Notes;
use super::vocabulary::Vocabulary;
use crate::anatomy::{Model, Structure};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Source, Step, locate};
use crate::findings::{self, Findings};
use crate::lesion::{self, Severity};
use crate::reasoning;
use crate::wording::count_words;
use std::collections::BTreeSet;

/// Most words of what is said or ticked, so that a room sheet keeps to its two sides.
const OPENING: usize = 18;
const CLARIFY: usize = 9;
const PROBE: usize = 24;
const LEAD: usize = 22;
const LINE: usize = 13;
const REPLY: usize = 12;
const CARD: usize = 8;

struct Checker<'a> {
    model: &'a Model,
    notes: &'a Notes,
    source: &'a Source,
    found: Findings,
    problems: Vec<Problem>,
}

/// Everything wrong with the notes of a site. `orders`: the questions of each kind of station in the order they are asked.
///
/// # Errors
/// As [`lesion::at`]: the site of a checked model can be injured.
pub fn check(
    model: &Model,
    source: &Source,
    notes: &Notes,
    families: &Families,
    orders: &[Vec<String>],
) -> Result<Vec<Problem>, Failure> {
    let stem = source
        .name
        .rsplit('/')
        .next()
        .and_then(|n| n.strip_suffix(".yaml"))
        .unwrap_or_default();
    let mut c = Checker {
        model,
        notes,
        source,
        found: findings::derive(model, &lesion::at(model, stem, Severity::Complete)?, &[]),
        problems: Vec::new(),
    };
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
    c.cited();
    c.rivals()?;
    c.blocks(families)?;
    c.words();
    c.days();
    for order in orders {
        c.order(order);
    }
    let mut problems = c.problems;
    problems.sort_by(|a, b| a.place.cmp(&b.place));
    problems.dedup();
    Ok(problems)
}

impl Checker<'_> {
    fn add(&mut self, path: &[Step], message: impl Into<String>, hint: impl Into<String>) {
        self.problems.push(
            Problem::new(message)
                .hint(hint)
                .at(locate(self.source, path)),
        );
    }

    fn name(&self, s: Structure) -> String {
        format!("{} ({})", self.model.plain(s), self.model.id(s))
    }

    fn spared(&self, s: Structure) -> bool {
        self.found.get(s).is_none_or(|f| f.spared())
    }

    fn of_site(&self, site: usize) -> Result<Findings, Failure> {
        let id = self.model.sites.get(site).map_or("", |s| s.id.as_str());
        Ok(findings::derive(
            self.model,
            &lesion::at(self.model, id, Severity::Complete)?,
            &[],
        ))
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
            if !self.spared(n.finding) {
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
                if there.is_ok_and(|f| f.get(n.finding).is_none_or(|f| f.spared())) {
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
        }
    }

    fn rivals(&mut self) -> Result<(), Failure> {
        let mut used: Vec<Structure> = Vec::new();
        for (i, r) in self.notes.rivals.iter().enumerate() {
            let there = self.of_site(r.site)?;
            let path = ["rivals".into(), Step::Item(i), "decides".into()];
            if reasoning::decider(&self.found, &there, r.decides).is_none() {
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
        Ok(())
    }

    fn blocks(&mut self, families: &Families) -> Result<(), Failure> {
        let against = self
            .notes
            .compare_with
            .map(|site| self.of_site(site))
            .transpose()?;
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
            self.lines(id, block, against.as_ref())?;
            self.lengths(block, &at);
        }
        Ok(())
    }

    fn lines(
        &mut self,
        id: &str,
        block: &Block,
        against: Option<&Findings>,
    ) -> Result<(), Failure> {
        for (path, line) in located(id, block) {
            let problem = match (id, line.about) {
                ("muscles" | "lost", Some(s)) if self.spared(s) => {
                    Some("is not affected by this lesion")
                }
                ("kept", Some(s)) if !self.spared(s) => Some("is not sure to be normal here"),
                ("deciders", Some(s))
                    if against.is_some_and(|there| {
                        reasoning::decider(&self.found, there, s).is_none()
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
                let there = self.of_site(site)?;
                for (k, &s) in line.flips.iter().enumerate() {
                    let same = |f: &Findings| f.get(s).is_none_or(|f| f.spared());
                    if same(&self.found) == same(&there) {
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
        Ok(())
    }

    fn lengths(&mut self, block: &Block, at: &[Step]) {
        let path = |key: &str| [at, &[Step::from(key)]].concat();
        let mut too_long = Vec::new();
        let mut look = |path: Vec<Step>, text: &str, most: usize| {
            let words = count_words(text);
            if words > most {
                too_long.push((path, words, most));
            }
        };
        for (i, say) in block.say.iter().enumerate() {
            look([&path("say")[..], &[Step::Item(i)]].concat(), say, OPENING);
        }
        for (key, prompt, most) in [
            ("c", &block.clarify, CLARIFY),
            ("p", &block.probe, PROBE),
            ("l", &block.lead, LEAD),
        ] {
            look(path(key), prompt.as_deref().unwrap_or_default(), most);
        }
        let id = match at.last() {
            Some(Step::Key(id)) => id.clone(),
            _ => String::new(),
        };
        for (line, text) in located(&id, block) {
            look(line, &text.say, LINE);
        }
        for (path, words, most) in too_long {
            self.add(
                &path,
                format!("{words} words, {} too many", words - most),
                format!("say it in {most} words: it is spoken once or ticked in a second"),
            );
        }
    }

    fn words(&mut self) {
        for (i, r) in self.notes.replies.iter().enumerate() {
            let path = ["replies".into(), Step::Item(i), "ask".into()];
            if !r.ask.trim_end_matches(['\u{201d}', '"']).ends_with('?') {
                self.add(
                    &path,
                    "this reply is no question",
                    "end it with a question mark: a reply asks, it does not tell",
                );
            }
            let words = count_words(&r.ask);
            if words > REPLY {
                self.add(
                    &path,
                    format!("{words} words, {} too many", words - REPLY),
                    format!("ask it in {REPLY} words"),
                );
            }
            if self.notes.block(&r.at).is_none() {
                self.add(
                    &["replies".into(), Step::Item(i), "at".into()],
                    format!("`{}` is no question of these notes", short(&r.at)),
                    "name the question in which it is heard, such as place",
                );
            }
        }
        if self.notes.card.len() > CARD {
            self.add(
                &["card".into()],
                format!(
                    "{} lines for the patient, {} too many",
                    self.notes.card.len(),
                    self.notes.card.len() - CARD
                ),
                format!("keep {CARD}: nobody can remember more"),
            );
        }
        if !self.notes.candidates.is_empty() && self.notes.candidates.len() != 3 {
            self.add(
                &["candidates".into()],
                format!("{} usual candidates", self.notes.candidates.len()),
                "describe three",
            );
        }
        if !self.notes.anchors.is_empty() && self.notes.anchors.len() != 5 {
            self.add(
                &["anchors".into()],
                format!("{} anchors", self.notes.anchors.len()),
                "write five lines, the best first, or leave the key out",
            );
        }
    }

    /// The general rows follow each other without a gap.
    fn days(&mut self) {
        let mut next = 0;
        for (i, row) in self.notes.first_steps.iter().enumerate() {
            let path = ["first_steps".into(), Step::Item(i), "from".into()];
            if row.from > row.to {
                self.add(
                    &path,
                    format!("the days run backwards: {} to {}", row.from, row.to),
                    "write the smaller number under `from:`",
                );
            }
            if row.only.is_empty() {
                if row.from != next {
                    self.add(
                        &path,
                        format!(
                            "day {next} comes next, and this row begins at day {}",
                            row.from
                        ),
                        format!("write from: {next}"),
                    );
                }
                next = row.to.saturating_add(1);
            }
        }
    }

    /// Within one kind of station: nothing is paid twice, and no prompt says what its own points or those before it pay.
    fn order(&mut self, order: &[String]) {
        let vocabulary = Vocabulary::of(self.model);
        let mut paid: Vec<(Structure, &str)> = Vec::new();
        let mut answers: BTreeSet<String> = BTreeSet::new();
        for id in order {
            let Some((id, block)) = self.notes.ask.0.iter().find(|(k, _)| k == id) else {
                continue;
            };
            answers.extend(block.lines().flat_map(|l| vocabulary.named(&l.say)));
            for (key, prompt) in [
                ("c", &block.clarify),
                ("p", &block.probe),
                ("l", &block.lead),
            ] {
                let said = vocabulary.named(prompt.as_deref().unwrap_or_default());
                let given: Vec<&str> = said.intersection(&answers).map(String::as_str).collect();
                if !given.is_empty() {
                    let path = ["ask".into(), Step::from(id.as_str()), Step::from(key)];
                    let message = format!(
                        "this prompt says \u{201c}{}\u{201d}, for which a mark is paid in this question or in one before it",
                        given.join(", ")
                    );
                    self.add(&path, message, "ask for it without naming it");
                }
            }
            for (path, line) in located(id, block) {
                let Some(s) = line.about else { continue };
                if let Some((_, first)) = paid.iter().find(|(p, _)| same(self.model, *p, s)) {
                    let message = format!("{} is paid in `{first}` already", self.name(s));
                    self.add(
                        &[&path[..], &["about".into()]].concat(),
                        message,
                        "pay each finding once in a station: take another here",
                    );
                }
            }
            paid.extend(block.lines().filter_map(|l| Some((l.about?, id.as_str()))));
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
fn located<'b>(id: &str, block: &'b Block) -> Vec<(Vec<Step>, &'b Line)> {
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
