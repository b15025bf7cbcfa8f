//! How hard did stations turn out to be on earlier days? A record that the results of one day write and the next circuit reads.

use crate::diagnostic::Failure;
use crate::files::{Source, parse};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What one day taught.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Learned {
    pub circuit: String,
    pub date: String,
    pub kinds: Vec<Harder>,
    pub sites: Vec<Harder>,
    pub questions: Vec<Asked>,
}

/// How much harder (+) or easier (-) than declared, in points of declared difficulty.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Harder {
    pub id: String,
    pub candidates: usize,
    pub harder: f64,
}

/// Share of the marks of a question that was won, in per cent; for whoever writes questions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    pub id: String,
    pub candidates: usize,
    pub won: f64,
}

/// What all records together add to the declared difficulty of stations. Each day measures against what was declared for it, with the
/// records before it counted in, so that records add up.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Experience {
    kinds: BTreeMap<String, f64>,
    sites: BTreeMap<String, f64>,
}

impl Experience {
    /// Adds a record.
    ///
    /// # Errors
    /// Exit code 2 when it is no such record.
    pub fn add(&mut self, source: &Source) -> Result<(), Failure> {
        let record: Learned = parse(source)?;
        for (sums, found) in [
            (&mut self.kinds, record.kinds),
            (&mut self.sites, record.sites),
        ] {
            for one in found.into_iter().filter(|h| h.harder.is_finite()) {
                *sums.entry(one.id).or_default() += one.harder;
            }
        }
        Ok(())
    }

    /// A declared difficulty with what is known of the kind and the site; never below none.
    pub fn difficulty(&self, declared: f64, kind: &str, site: &str) -> f64 {
        let known = |sums: &BTreeMap<String, f64>, id: &str| sums.get(id).copied().unwrap_or(0.0);
        let sum = declared + known(&self.kinds, kind) + known(&self.sites, site);
        ((sum * 10.0).round() / 10.0).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn records_add_up_and_change_only_what_they_name() {
        let text = "circuit: day\ndate: ''\nkinds: [{id: trace, candidates: 20, harder: 1.5}]\n\
                    sites: [{id: ulnar_elbow, candidates: 20, harder: -0.5}]\nquestions: []\n";
        let mut known = Experience::default();
        for _ in 0..2 {
            let source = Source::new("learned.yaml", "learned.yaml", text.to_string());
            known.add(&source).unwrap();
        }
        assert_eq!(known.difficulty(10.0, "trace", "ulnar_elbow"), 12.0);
        assert_eq!(known.difficulty(10.0, "forecast", "ulnar_elbow"), 9.0);
        assert_eq!(known.difficulty(0.5, "forecast", "ulnar_elbow"), 0.0);
        let wrong = Source::new("x.yaml", "x.yaml", "stations: []\n".to_string());
        assert_eq!(known.add(&wrong).unwrap_err().exit_code(), 2);
    }
}
