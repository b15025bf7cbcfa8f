//! Turns what an examiner observed into a ranked list of lesions, the next best test, and the proof that a station has one answer.
//!
//! How it reckons. Each hypothesis (a lesion with a severity) has derived chances that a structure is lost, weak or spared, variants
//! included; an examiner misreads at the rates of [`examiner`]; findings are taken as independent given the lesion; priors are the
//! sites' weights. The product, brought to 1, is the probability of the hypothesis.

mod battery;
mod belief;
pub mod examiner;
mod hypotheses;
mod lookalikes;
mod next;
mod observe;
mod prove;
mod rank;

pub use battery::{Battery, battery, battery_against, battery_among};
pub use belief::{Belief, Outcomes};
pub use hypotheses::{Hypothesis, PAIR_SHARE, SEVERITIES, Scope, hypotheses};
pub use lookalikes::{Lookalike, lookalikes};
pub use next::{Branch, NextTest, next_test, reliable};
pub use observe::{Observation, Seen, name, observation, observations_of, parse, parse_all};
pub use prove::{Known, MARGIN_BITS, MOST_ADDED, Proof, prove, rivals};
pub use rank::{Ranked, Ranking, rank};
