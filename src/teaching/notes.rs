//! What a teacher says and rewards at one place. Every field is optional in a file: what is missing is derived from the model.

use super::block::Block;
use super::names::Names;
use crate::anatomy::Structure;
use crate::files::{Step, UniqueMap};
use serde::{Deserialize, Serialize};

/// The last day of the last row: from then on nothing changes.
pub const LATER: u32 = 9999;

/// The notes of one site. `F` names a finding and `P` a site: as written (`String`), or as positions in the model.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(
    default,
    deny_unknown_fields,
    bound(deserialize = "F: Deserialize<'de>, P: Deserialize<'de>")
)]
pub struct Notes<F = Structure, P = usize> {
    #[serde(skip_serializing_if = "String::is_empty")]
    pub site: String,
    /// The answer in a few words: "C7 root".
    #[serde(skip_serializing_if = "String::is_empty")]
    pub short: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub source: String,
    /// What the station tests, in a sentence.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub idea: String,
    /// Why there is one answer, as told to an examiner.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub why_one: String,
    /// How often the classic picture is met.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub classic: String,
    /// What a teacher names first. The patient of a station has it all, even where limbs differ.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cardinal: Vec<Cardinal<F>>,
    /// What is kept and decides.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub negatives: Vec<Negative<F, P>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rivals: Vec<RivalNote<F, P>>,
    /// What the bedside cannot part from it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub equals: Vec<Equal<P>>,
    /// Findings that earn and lose nothing, with the reason.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub open: Vec<OpenNote<F>>,
    /// What is no lesion of a nerve and looks alike.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub mimic: String,
    /// Complaints in the patient's own voice.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub says: Vec<String>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub daily: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub vulnerable: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub landmarks: String,

    /// What the place brings to each question, by the question's id.
    #[serde(skip_serializing_if = "UniqueMap::is_empty")]
    pub ask: UniqueMap<Block<F, P>>,
    /// The second place of a comparison.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub compare_with: Option<P>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub replies: Vec<Reply>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub neither: Vec<F>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub danger: Vec<String>,
    /// The one question that gives a dangerous answer a second chance.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub second_chance: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub candidates: Vec<UsualCandidate>,
    /// One line for each grade, best first; empty: those of the kind.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub anchors: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<SpokenStep>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub first_steps: Vec<FirstStep>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub red_flags: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub card: Vec<CardLine<F>>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub strong: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub if_asked: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub stop: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub revise: Vec<String>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub rule: String,
    /// The site with the same reasoning.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub twin: Option<P>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cardinal<F> {
    pub finding: F,
    /// In plain words; empty: the model's.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub say: String,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(
    deny_unknown_fields,
    bound(deserialize = "F: Deserialize<'de>, P: Deserialize<'de>")
)]
pub struct Negative<F, P> {
    pub finding: F,
    /// The sites in which it would be affected.
    pub clears: Vec<P>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub say: String,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RivalNote<F, P> {
    pub site: P,
    pub decides: F,
    /// Why one might think of it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub tempts: String,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "P: Deserialize<'de>"))]
pub struct Equal<P> {
    #[serde(default = "Option::default", skip_serializing_if = "Option::is_none")]
    pub site: Option<P>,
    /// Another name for it, where it is no site of the model.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub say: String,
    /// What would part the two.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub parted_by: String,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OpenNote<F> {
    pub findings: Vec<F>,
    pub because: String,
}

/// A wrong answer that is often heard, and the question to ask back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reply {
    pub to: String,
    pub ask: String,
    /// The question (its id) in which it is heard.
    pub at: String,
    /// The answer is right all the same.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub credit: bool,
}

/// One of the three candidates that every examiner meets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UsualCandidate {
    pub says: String,
    pub shows: String,
    /// What the examiner does.
    #[serde(rename = "do")]
    pub then: String,
}

/// A step of the reasoning as one would say it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpokenStep {
    pub say: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub then: String,
}

/// What is done in a span of days since it began.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FirstStep {
    /// Days, both included.
    pub from: u32,
    pub to: u32,
    pub when: String,
    #[serde(rename = "do")]
    pub then: String,
    /// What earns a mark on that day.
    pub pay: Vec<String>,
    /// Ids of the mechanisms that it is for; empty: all that have no row of their own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub only: Vec<String>,
}

/// One thing that whoever plays the patient does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardLine<F> {
    pub of: Vec<F>,
    pub say: String,
}

impl<F, P> Default for Notes<F, P> {
    fn default() -> Self {
        Notes {
            site: String::new(),
            short: String::new(),
            source: String::new(),
            idea: String::new(),
            why_one: String::new(),
            classic: String::new(),
            cardinal: Vec::new(),
            negatives: Vec::new(),
            rivals: Vec::new(),
            equals: Vec::new(),
            open: Vec::new(),
            mimic: String::new(),
            says: Vec::new(),
            daily: String::new(),
            vulnerable: String::new(),
            landmarks: String::new(),
            ask: UniqueMap::default(),
            compare_with: None,
            replies: Vec::new(),
            neither: Vec::new(),
            danger: Vec::new(),
            second_chance: String::new(),
            candidates: Vec::new(),
            anchors: Vec::new(),
            steps: Vec::new(),
            first_steps: Vec::new(),
            red_flags: String::new(),
            card: Vec::new(),
            strong: String::new(),
            if_asked: String::new(),
            stop: String::new(),
            revise: Vec::new(),
            rule: String::new(),
            twin: None,
        }
    }
}

impl<F, P> Notes<F, P> {
    /// What the place brings to a question.
    pub fn block(&self, question: &str) -> Option<&Block<F, P>> {
        let found = self.ask.0.iter().find(|(id, _)| id == question);
        found.map(|(_, block)| block)
    }

    /// The same notes with their names looked up, or their positions named. What has no counterpart is left out.
    pub fn map<G, Q>(self, names: &mut dyn Names<F, P, G, Q>) -> Notes<G, Q> {
        let ask = self.ask.0.into_iter().map(|(id, block)| {
            let path = [Step::from("ask"), Step::from(id.as_str())];
            let block = block.map(names, &path);
            (id, block)
        });
        let ask = UniqueMap(ask.collect());
        Notes {
            cardinal: each("cardinal", self.cardinal, |at, c| c.map(names, at)),
            negatives: each("negatives", self.negatives, |at, n| n.map(names, at)),
            rivals: each("rivals", self.rivals, |at, r| r.map(names, at)),
            equals: each("equals", self.equals, |at, e| Some(e.map(names, at))),
            open: each("open", self.open, |at, o| Some(o.map(names, at))),
            card: each("card", self.card, |at, c| Some(c.map(names, at))),
            compare_with: self
                .compare_with
                .and_then(|p| names.site(&["compare_with".into()], p)),
            neither: names.findings(&["neither".into()], self.neither),
            twin: self.twin.and_then(|p| names.site(&["twin".into()], p)),
            ask,
            site: self.site,
            short: self.short,
            source: self.source,
            idea: self.idea,
            why_one: self.why_one,
            classic: self.classic,
            mimic: self.mimic,
            says: self.says,
            daily: self.daily,
            vulnerable: self.vulnerable,
            landmarks: self.landmarks,
            replies: self.replies,
            danger: self.danger,
            second_chance: self.second_chance,
            candidates: self.candidates,
            anchors: self.anchors,
            steps: self.steps,
            first_steps: self.first_steps,
            red_flags: self.red_flags,
            strong: self.strong,
            if_asked: self.if_asked,
            stop: self.stop,
            revise: self.revise,
            rule: self.rule,
        }
    }

    /// Fills what is missing here from `base`: a text or a list that is empty, a question that is not there.
    #[must_use]
    pub fn over(mut self, base: Self) -> Self {
        fn text(own: &mut String, base: String) {
            if own.trim().is_empty() {
                *own = base;
            }
        }
        fn list<T>(own: &mut Vec<T>, base: Vec<T>) {
            if own.is_empty() {
                *own = base;
            }
        }
        text(&mut self.site, base.site);
        text(&mut self.short, base.short);
        text(&mut self.source, base.source);
        text(&mut self.idea, base.idea);
        text(&mut self.why_one, base.why_one);
        text(&mut self.classic, base.classic);
        text(&mut self.mimic, base.mimic);
        text(&mut self.daily, base.daily);
        text(&mut self.vulnerable, base.vulnerable);
        text(&mut self.landmarks, base.landmarks);
        text(&mut self.second_chance, base.second_chance);
        text(&mut self.red_flags, base.red_flags);
        text(&mut self.strong, base.strong);
        text(&mut self.if_asked, base.if_asked);
        text(&mut self.stop, base.stop);
        text(&mut self.rule, base.rule);
        list(&mut self.cardinal, base.cardinal);
        list(&mut self.negatives, base.negatives);
        list(&mut self.rivals, base.rivals);
        list(&mut self.equals, base.equals);
        list(&mut self.open, base.open);
        list(&mut self.says, base.says);
        list(&mut self.replies, base.replies);
        list(&mut self.neither, base.neither);
        list(&mut self.danger, base.danger);
        list(&mut self.candidates, base.candidates);
        list(&mut self.anchors, base.anchors);
        list(&mut self.steps, base.steps);
        list(&mut self.first_steps, base.first_steps);
        list(&mut self.card, base.card);
        list(&mut self.revise, base.revise);
        self.compare_with = self.compare_with.or(base.compare_with);
        self.twin = self.twin.or(base.twin);
        for (id, block) in base.ask.0 {
            if self.block(&id).is_none() {
                self.ask.0.push((id, block));
            }
        }
        self
    }
}

/// The path of a key of one entry.
type At<'a> = &'a dyn Fn(&str) -> [Step; 3];

/// Every entry of a list that the change keeps.
fn each<T, U>(list: &str, all: Vec<T>, mut change: impl FnMut(At<'_>, T) -> Option<U>) -> Vec<U> {
    let entries = all.into_iter().enumerate();
    entries
        .filter_map(|(i, entry)| {
            let at = |key: &str| [Step::from(list), Step::Item(i), Step::from(key)];
            change(&at, entry)
        })
        .collect()
}

impl<F> Cardinal<F> {
    fn map<P, G, Q>(self, names: &mut dyn Names<F, P, G, Q>, at: At<'_>) -> Option<Cardinal<G>> {
        Some(Cardinal {
            finding: names.finding(&at("finding"), self.finding)?,
            say: self.say,
        })
    }
}

impl<F, P> Negative<F, P> {
    fn map<G, Q>(self, names: &mut dyn Names<F, P, G, Q>, at: At<'_>) -> Option<Negative<G, Q>> {
        let clears = names.sites(&at("clears"), self.clears);
        Some(Negative {
            finding: names.finding(&at("finding"), self.finding)?,
            clears,
            say: self.say,
        })
    }
}

impl<F, P> RivalNote<F, P> {
    fn map<G, Q>(self, names: &mut dyn Names<F, P, G, Q>, at: At<'_>) -> Option<RivalNote<G, Q>> {
        let site = names.site(&at("site"), self.site);
        let decides = names.finding(&at("decides"), self.decides);
        Some(RivalNote {
            site: site?,
            decides: decides?,
            tempts: self.tempts,
        })
    }
}

impl<P> Equal<P> {
    fn map<F, G, Q>(self, names: &mut dyn Names<F, P, G, Q>, at: At<'_>) -> Equal<Q> {
        Equal {
            site: self.site.and_then(|p| names.site(&at("site"), p)),
            say: self.say,
            parted_by: self.parted_by,
        }
    }
}

impl<F> OpenNote<F> {
    fn map<P, G, Q>(self, names: &mut dyn Names<F, P, G, Q>, at: At<'_>) -> OpenNote<G> {
        OpenNote {
            findings: names.findings(&at("findings"), self.findings),
            because: self.because,
        }
    }
}

impl<F> CardLine<F> {
    fn map<P, G, Q>(self, names: &mut dyn Names<F, P, G, Q>, at: At<'_>) -> CardLine<G> {
        CardLine {
            of: names.findings(&at("of"), self.of),
            say: self.say,
        }
    }
}
