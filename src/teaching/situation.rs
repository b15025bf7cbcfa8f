//! What is known of one station when its questions are worded: the conditions a question may ask for, and the facts its wording may use.

/// One station, as far as wordings depend on it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Situation {
    pub newborn: bool,
    /// The candidate examines somebody.
    pub examined: bool,
    pub told_lesion: bool,
    /// The lesion lies on one named nerve.
    pub one_nerve: bool,
    /// Muscles affected for certain, heads counted as one.
    pub muscles: usize,
    pub sensory: bool,
    /// Another place that a bedside finding parts from this one.
    pub rival: bool,
    /// An operation or fracture that endangers the place.
    pub at_risk: bool,
    pub name: String,
    pub side: String,
    pub since: String,
    pub minutes: String,
    pub short: String,
    /// Two weak movements, of different nerves where there are such, in plain words.
    pub first: String,
    pub second: String,
    /// Something that is kept and decides.
    pub kept: String,
    pub first_decider: String,
    /// The places to which the lesion is moved, "in the axilla, at C6".
    pub moves: String,
}

type Condition = fn(&Situation) -> bool;

/// Every condition that a kind or a wording may ask for.
const CONDITIONS: [(&str, Condition); 11] = [
    ("newborn", |s| s.newborn),
    ("older", |s| !s.newborn),
    ("examined", |s| s.examined),
    ("told_lesion", |s| s.told_lesion),
    ("one_nerve", |s| s.one_nerve),
    ("several_nerves", |s| !s.one_nerve && s.muscles > 1),
    ("one_muscle", |s| s.muscles == 1),
    ("several_muscles", |s| s.muscles > 1),
    ("no_motor", |s| s.muscles == 0),
    ("rival", |s| s.rival),
    ("at_risk", |s| s.at_risk),
];

type Fact = fn(&Situation) -> &str;

/// Every fact that a wording may use in braces. One that is empty makes its wording unusable.
const FACTS: [(&str, Fact); 11] = [
    ("name", |s| &s.name),
    ("side", |s| &s.side),
    ("since", |s| &s.since),
    ("since_capital", |s| &s.since),
    ("minutes", |s| &s.minutes),
    ("short", |s| &s.short),
    ("first", |s| &s.first),
    ("second", |s| &s.second),
    ("kept", |s| &s.kept),
    ("first_decider", |s| &s.first_decider),
    ("moves", |s| &s.moves),
];

/// The names of all conditions.
pub fn conditions() -> impl Iterator<Item = &'static str> {
    CONDITIONS.iter().map(|(name, _)| *name)
}

/// The names of all facts.
pub fn facts() -> impl Iterator<Item = &'static str> {
    FACTS.iter().map(|(name, _)| *name)
}

impl Situation {
    /// All of the conditions hold.
    pub fn holds(&self, when: &[String]) -> bool {
        let one = |word: &String| CONDITIONS.iter().any(|(name, is)| name == word && is(self));
        when.iter().all(one)
    }

    /// The fact of that name; `None` when there is none, or nothing is known of it here.
    pub fn fact(&self, name: &str) -> Option<String> {
        let (_, get) = FACTS.iter().find(|(n, _)| *n == name)?;
        let value = get(self);
        (!value.is_empty()).then(|| value.to_string())
    }
}
