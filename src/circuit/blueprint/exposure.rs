//! Which stations have candidates met before? A record that one circuit writes and the next one reads.

use crate::diagnostic::{Failure, Problem};
use crate::files::{Source, parse};
use serde::Deserialize;
use std::fmt::Write;

/// One station met by the candidates of one form.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Met {
    pub code: String,
    pub site: String,
    pub kind: String,
    pub level: String,
    pub minutes: u32,
    pub seed: u64,
    pub circuit: String,
    #[serde(default)]
    pub date: String,
    pub group: String,
    pub candidates: usize,
}

#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Exposure {
    pub met: Vec<Met>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    stations: Vec<Met>,
}

/// Most entries of all records together.
const MOST: usize = 20_000;

impl Exposure {
    /// Adds a record.
    ///
    /// # Errors
    /// Exit code 2 when it is no exposure record or far too long.
    pub fn add(&mut self, source: &Source) -> Result<(), Failure> {
        let file: File = parse(source)?;
        self.met.extend(file.stations);
        if self.met.len() > MOST {
            return Err(Failure::usage(
                Problem::new(format!(
                    "{}: the records hold more than {MOST} stations",
                    source.shown
                ))
                .hint("leave out the oldest ones"),
            ));
        }
        Ok(())
    }

    pub fn has_code(&self, code: &str) -> bool {
        self.met.iter().any(|m| m.code == code)
    }

    /// In how many forms the site was met.
    pub fn of_site(&self, site: &str) -> usize {
        self.met.iter().filter(|m| m.site == site).count()
    }

    /// The record as a file; older entries stand first.
    pub fn text(&self) -> String {
        let mut out = String::from(
            "# Stations that candidates have met. Name this file under `exposure:` in the next blueprint:\n\
             # none of these stations is printed again, and sites that were used are drawn last.\nstations:\n",
        );
        if self.met.is_empty() {
            return out.replace("stations:\n", "stations: []\n");
        }
        for m in &self.met {
            // Writing to a String cannot fail.
            let _ = writeln!(
                out,
                "  - {{code: {}, site: {}, kind: {}, level: {}, minutes: {}, seed: {}, circuit: {}, date: {}, group: {}, candidates: {}}}",
                quoted(&m.code),
                quoted(&m.site),
                quoted(&m.kind),
                quoted(&m.level),
                m.minutes,
                m.seed,
                quoted(&m.circuit),
                quoted(&m.date),
                quoted(&m.group),
                m.candidates
            );
        }
        out
    }
}

/// A YAML text in double quotes.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_reads_back_as_it_was_written() {
        let record = Exposure {
            met: vec![Met {
                code: "VS-RC-1234567".into(),
                site: "ulnar_elbow".into(),
                kind: "trace".into(),
                level: "clinical".into(),
                minutes: 8,
                seed: 123_456,
                circuit: "peer_mock".into(),
                date: "a \"spring\" day: \\ #1".into(),
                group: "01".into(),
                candidates: 6,
            }],
        };
        let source = Source::new("exposure.yaml", "exposure.yaml", record.text());
        let mut back = Exposure::default();
        back.add(&source).unwrap();
        assert_eq!(back, record);
        assert!(back.has_code("VS-RC-1234567") && !back.has_code("VS-RC-1234568"));
        assert_eq!(back.of_site("ulnar_elbow"), 1);
    }
}
