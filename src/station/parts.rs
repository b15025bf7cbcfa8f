//! Turns what only some kinds of station need into plain values for the sheets.

use super::approach::Approach;
use crate::findings::Finding;
use serde::Serialize;

/// What a kind needs beside the lesion and its findings; each is empty where the kind does not use it.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Parts {
    /// The examination in order.
    pub tests: Vec<TestRow>,
    /// What tells the two lesions of a pair apart, best first.
    pub deciders: Vec<Decider>,
    /// The two, in the order told: "a lesion of ...".
    pub pair: Vec<String>,
    pub rival: String,
    pub nerve: Option<NerveInfo>,
    pub approach: Option<Approach>,
}

/// One test of the examination.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestRow {
    /// muscle, movement, skin, reflex, sign.
    pub kind: String,
    pub label: String,
    /// The order to the patient, the patch to touch, or what to look at; empty for a reflex.
    pub how: String,
    pub state: String,
    /// Power 0-5 of muscles and movements.
    pub power: Option<u8>,
    /// The nearest places that this result speaks against and that no earlier test had ruled out.
    pub against: String,
    /// How many more it rules out.
    pub more: usize,
    /// Found by touch: other muscles make the movement too.
    pub felt: bool,
    #[serde(skip)]
    pub about: Finding,
}

/// A finding that is certain in both lesions and not the same.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Decider {
    pub kind: String,
    pub label: String,
    pub how: String,
    pub here: String,
    pub there: String,
    pub reason: String,
    /// Found by touch: other muscles make the movement too.
    pub felt: bool,
    #[serde(skip)]
    pub about: Finding,
}

/// A nerve with its branches by level.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NerveInfo {
    pub label: String,
    pub label_capital: String,
    /// "posterior cord".
    pub from: String,
    pub levels: Vec<NerveLevel>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NerveLevel {
    /// "in the axilla".
    pub level: String,
    /// "triceps brachii (long head) and ...", or empty.
    pub branches: String,
    /// Branches that leave here in some limbs only, or empty.
    pub open: String,
}
