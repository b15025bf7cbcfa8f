//! Which blanks may a candidate have?

use super::kind::Tells;
use crate::diagnostic::{Problem, did_you_mean, short};
use serde::{Deserialize, Serialize};

/// The outlines of the limb without areas, for the candidate to shade.
pub const SKIN: &str = "skin_blank";
/// The plexus with empty boxes for its names.
pub const PLEXUS: &str = "plexus_blank";
/// Every blank there is. None of one nerve: its levels and the number of its branches are what that drawing is marked by.
pub const BLANKS: [&str; 2] = [SKIN, PLEXUS];

/// Which pictures stand on which sheet beside those that every station has.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Wanted {
    /// Names of [`BLANKS`].
    #[serde(default)]
    pub candidate: Vec<String>,
}

/// What is wrong with the list, each with its position in it.
pub fn problems(wanted: &Wanted, tells: Option<Tells>) -> Vec<(usize, Problem)> {
    let mut found = Vec::new();
    let names = &wanted.candidate;
    for (i, name) in names.iter().enumerate() {
        let short = short(name);
        if !BLANKS.contains(&name.as_str()) {
            let problem = Problem::new(format!("`{short}` is no picture for a candidate"));
            let other = format!("use one of: {}", BLANKS.join(", "));
            found.push((i, problem.hint(did_you_mean(name, BLANKS, &other))));
        } else if names[..i].contains(name) {
            let problem = Problem::new(format!("`{short}` stands in the list twice"));
            found.push((i, problem.hint("remove one of the two")));
        } else if name == PLEXUS && tells.is_some_and(Tells::hides_the_place) {
            let problem = Problem::new(
                "a blank plexus would tell a candidate of this kind where to look for the lesion",
            );
            found.push((
                i,
                problem.hint(format!(
                    "leave it out, or use {SKIN}, which says nothing of the place"
                )),
            ));
        }
    }
    found
}
