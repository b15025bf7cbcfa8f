//! What do findings lead back to: a ranked list of lesions, the next best test, the proof that a station has one answer.
//!
//! How it reckons. Each hypothesis (a place with a severity) has derived chances that a structure is lost, weak or spared, variants
//! included; an examiner misreads at the rates of [`examiner`]. A station is proved by these alone ([`prove`]). What a person reports
//! ([`read`], [`Places::rank`]) says less: statements may be slips, and names may mean several structures; severities of a place
//! are one answer, and an answer explains something that is abnormal.

mod battery;
mod belief;
mod called;
mod clause;
pub mod examiner;
mod hypotheses;
mod lexicon;
mod lookalikes;
mod next;
mod observe;
mod pairs;
mod prove;
mod rank;
mod report;
mod told;

pub use battery::{Battery, battery, battery_against, battery_among};
pub use belief::{Belief, Outcomes};
pub use called::Names;
pub use hypotheses::{Hypothesis, SEVERITIES, Setting};
pub use lookalikes::{Lookalike, lookalikes};
pub use next::{Branch, NextTest, reliable};
pub use observe::{Observation, Seen, name, observation, observations_of, parse};
pub use prove::{Known, MARGIN_BITS, MOST_ADDED, Proof, prove, rivals};
pub use rank::{Places, Ranked, Ranking, Verdict};
pub use report::{Statement, add, read, statements};
pub use told::{Told, What};
