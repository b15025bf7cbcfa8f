//! Turns the scenario files into typed mechanisms and people; only the file of the site in hand is read.

use super::NerveInjury;
use super::check;
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Listed, Origins, Source, parse, parse_with_extra};
use serde::Deserialize;

/// A file of mechanisms: `scenarios/<site>.yaml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scenarios {
    /// Id of the site, which is the name of the file; or [`GENERAL`] or [`GENERAL_AVULSION`].
    pub site: String,
    pub mechanisms: Vec<Mechanism>,
}

/// The file used for a place that has no file of its own, and for several places at once.
pub const GENERAL: &str = "general";
/// The same for torn roots, which nothing but great force tears.
pub const GENERAL_AVULSION: &str = "general_avulsion";

/// One way to injure a site.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mechanism {
    pub id: String,
    /// How often, relative to the others in the file.
    pub weight: f64,
    /// Where the weight comes from; for the editor of the file.
    pub why_weight: String,
    /// Years, both included; a newborn has `age_days` instead.
    #[serde(default)]
    pub age: Option<(u32, u32)>,
    #[serde(default)]
    pub age_days: Option<(u32, u32)>,
    pub side: SideRule,
    pub occupations: Vec<String>,
    /// Each completes "You meet the patient in ...".
    pub settings: Vec<String>,
    /// For the candidate, with placeholders.
    pub story: String,
    /// Days between injury (or first symptom) and today, both included.
    pub since_days: (u32, u32),
    pub onset: Onset,
    pub severity: Chances,
    pub nerve_injury: NerveInjury,
    pub also_damaged: Vec<String>,
    /// What brought the lesion about, where that is a thing of its own: a cervical rib, a ganglion. For the examiner.
    #[serde(default)]
    pub causes: Vec<String>,
    /// First steps in care where those of the site do not fit this way of injury; empty: those of the site.
    #[serde(default)]
    pub care: Vec<String>,
    /// One more sentence for the candidate, with placeholders, or empty.
    pub stem_note: String,
    pub examiner_note: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SideRule {
    Any,
    Left,
    Right,
    Dominant,
    NonDominant,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Onset {
    Sudden,
    Gradual,
}

/// Relative chances of a complete and a partial lesion.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Chances {
    #[serde(default)]
    pub complete: f64,
    #[serde(default)]
    pub partial: f64,
}

/// The invented people of `scenarios/people.yaml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct People {
    pub people: Vec<Person>,
    /// Family names: a newborn is called "Baby Bucklefen".
    pub newborns: Vec<String>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    pub given: String,
    pub family: String,
}

impl Listed for Scenarios {
    const LIST: &'static str = "mechanisms";
    type Entry = Mechanism;
    fn entries(&mut self) -> &mut Vec<Mechanism> {
        &mut self.mechanisms
    }
    fn id(entry: &Mechanism) -> String {
        entry.id.clone()
    }
}

impl Listed for People {
    const LIST: &'static str = "people";
    type Entry = Person;
    fn entries(&mut self) -> &mut Vec<Person> {
        &mut self.people
    }
    fn id(entry: &Person) -> String {
        format!("{} {}", entry.given, entry.family)
    }
    fn absorb(&mut self, extra: Self) {
        for name in extra.newborns {
            if !self.newborns.contains(&name) {
                self.newborns.push(name);
            }
        }
    }
}

/// The name within the content of a site's scenario file.
pub fn file_of(site: &str) -> String {
    format!("scenarios/{site}.yaml")
}

/// Reads and checks one file of mechanisms.
///
/// # Errors
/// Exit code 2 when it is no YAML of this shape; 1 with every problem at once when what it says does not hold together.
pub fn read(source: &Source, sites: &[&str]) -> Result<Scenarios, Failure> {
    let scenarios: Scenarios = parse(source)?;
    sound(scenarios, &Origins::alone(source), sites)
}

/// Reads and checks one file of mechanisms with what the user adds to it.
fn read_all(content: &Content, source: &Source, sites: &[&str]) -> Result<Scenarios, Failure> {
    let (scenarios, origins) = parse_with_extra(content, source)?;
    sound(scenarios, &origins, sites)
}

fn sound(
    scenarios: Scenarios,
    origins: &Origins<'_>,
    sites: &[&str],
) -> Result<Scenarios, Failure> {
    match check::scenarios(origins, &scenarios, sites) {
        problems if problems.is_empty() => Ok(scenarios),
        problems => Err(Failure::Content(problems)),
    }
}

/// Reads the mechanisms of a site, or `None` when it has no file.
///
/// # Errors
/// As [`read`].
pub fn of_site(
    content: &Content,
    site: &str,
    sites: &[&str],
) -> Result<Option<Scenarios>, Failure> {
    content
        .get(&file_of(site))
        .map(|source| read_all(content, source, sites))
        .transpose()
}

/// Reads and checks the people.
///
/// # Errors
/// As [`read`]; also when the file is missing.
pub fn people(content: &Content) -> Result<People, Failure> {
    let source = content
        .get(&file_of("people"))
        .ok_or_else(|| missing("people"))?;
    let (people, origins): (People, _) = parse_with_extra(content, source)?;
    match check::people(&origins, &people) {
        problems if problems.is_empty() => Ok(people),
        problems => Err(Failure::Content(problems)),
    }
}

pub(super) fn missing(stem: &str) -> Failure {
    Failure::content(
        Problem::new(format!("the content has no file {}", file_of(stem)))
            .hint("put the shipped file back, or leave --content out"),
    )
}

/// Every problem of every scenario file, and the files that cannot be read at all. `sites`: ids of all regions.
pub fn check_all(content: &Content, sites: &[&str]) -> Vec<Problem> {
    let failures = failures(content, sites);
    failures
        .iter()
        .flat_map(|f| f.problems().to_vec())
        .collect()
}

/// As [`check_all`], one failure a file, so that what cannot be read stays apart from what is wrong.
pub fn failures(content: &Content, sites: &[&str]) -> Vec<Failure> {
    let files = content.under("scenarios/").filter(|s| !s.is_extra());
    files
        .filter_map(|source| {
            if source.name == file_of("people") {
                people(content).err()
            } else {
                read_all(content, source, sites).err()
            }
        })
        .collect()
}

/// The hint for a site id that no region has.
pub(super) fn site_hint(word: &str, sites: &[&str]) -> String {
    did_you_mean(
        &short(word),
        sites.iter().copied(),
        "`vivasmith list sites` shows them all",
    )
}
