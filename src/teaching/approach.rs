//! Which operations and fractures put a nerve at risk, and which site do they injure?

use crate::anatomy::Model;
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Listed, Step, parse_with_extra};
use serde::{Deserialize, Serialize};

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sort {
    Operation,
    Fracture,
}

/// One operation or fracture.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Approach {
    pub id: String,
    pub sort: Sort,
    /// What the candidate is told, which stands as a sentence: "a plate on the shaft of the humerus through its back".
    pub told: String,
    /// Id of the site that is injured when it goes wrong.
    pub site: String,
    /// Where exactly the nerve is in danger.
    pub place: String,
    /// The relation that explains it, a whole clause.
    pub relation: String,
    /// How the nerve is tested before and after, in a few words.
    #[serde(default)]
    pub test: String,
    /// How the nerve is protected, in general terms, one step an entry.
    pub protect: Vec<String>,
    pub source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    approaches: Vec<Approach>,
}

impl Listed for File {
    const LIST: &'static str = "approaches";
    type Entry = Approach;
    fn entries(&mut self) -> &mut Vec<Approach> {
        &mut self.approaches
    }
    fn id(entry: &Approach) -> String {
        entry.id.clone()
    }
}

/// All operations and fractures of the region, in the order of the file; none when there is no file.
///
/// # Errors
/// Exit code 2 when the file is no YAML of this shape; 1 with every problem of it at once.
pub fn approaches(content: &Content, model: &Model) -> Result<Vec<Approach>, Failure> {
    let Some(source) = content.get(&format!("approaches/{}.yaml", model.region)) else {
        return Ok(Vec::new());
    };
    let (file, origins): (File, _) = parse_with_extra(content, source)?;
    let all = file.approaches;
    let mut problems = Vec::new();
    for (i, a) in all.iter().enumerate() {
        let at = |key: &str| origins.locate(&["approaches".into(), Step::Item(i), Step::from(key)]);
        if model.site(&a.site).is_none() {
            let known = model.sites.iter().map(|s| s.id.as_str());
            let hint = did_you_mean(&a.site, known, "`vivasmith list sites` shows them all");
            problems.push(
                Problem::new(format!("no site is called `{}`", short(&a.site)))
                    .at(at("site"))
                    .hint(hint),
            );
        }
        if all.iter().take(i).any(|o| o.id == a.id) {
            let problem = Problem::new(format!("the id `{}` is used twice", short(&a.id)));
            problems.push(
                problem
                    .at(at("id"))
                    .hint("give each operation and fracture an id of its own"),
            );
        }
        let texts = [
            ("told", &a.told),
            ("place", &a.place),
            ("relation", &a.relation),
            ("source", &a.source),
        ];
        let mut empty: Vec<&str> = texts
            .iter()
            .filter(|(_, text)| text.trim().is_empty())
            .map(|(key, _)| *key)
            .collect();
        if a.protect.is_empty() || a.protect.iter().any(|p| p.trim().is_empty()) {
            empty.push("protect");
        }
        for key in empty {
            let problem = Problem::new(format!("`{}` has no `{key}`", short(&a.id)));
            problems.push(problem.at(at(key)).hint(
                "write at least one clause; a fact of the trade has the source \"common practice, no source\"",
            ));
        }
    }
    if problems.is_empty() {
        Ok(all)
    } else {
        Err(Failure::Content(problems))
    }
}
