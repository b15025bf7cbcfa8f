//! What is read and written as JSON? The shipped YAML, which the build has written so because that reads ten times as fast, and
//! what a command prints for other programs.

use super::content::Source;
use crate::diagnostic::{Failure, Place, Problem};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// A shipped text as typed data; `None` for a text of the user's, and where YAML takes more than JSON does (a number for a text).
pub(super) fn precompiled<T: DeserializeOwned>(source: &Source) -> Option<T> {
    serde_json::from_slice(source.json()?).ok()
}

/// A record that this program wrote.
///
/// # Errors
/// Exit code 2 with the place when it is not as it was written.
pub fn from_json<T: DeserializeOwned>(source: &Source) -> Result<T, Failure> {
    serde_json::from_str(&source.text).map_err(|e| {
        Failure::usage(
            Problem::new("this is no record that this program wrote, or it was changed")
                .hint("take the file as the program wrote it, or let the program write it again")
                .at(Place {
                    file: source.shown.clone(),
                    line: e.line().max(1),
                    column: e.column().max(1),
                }),
        )
    })
}

/// A value as JSON in one line.
///
/// # Errors
/// Exit code 3 when the value cannot be said in JSON.
pub fn to_json_line(value: &impl Serialize) -> Result<String, Failure> {
    serde_json::to_string(value)
        .map(|text| text + "\n")
        .map_err(unwritten)
}

/// One JSON object and a line end.
///
/// # Errors
/// Exit code 3 when the value cannot be said in JSON.
pub fn to_json(value: &impl Serialize) -> Result<String, Failure> {
    serde_json::to_string_pretty(value)
        .map(|text| text + "\n")
        .map_err(unwritten)
}

fn unwritten(e: serde_json::Error) -> Failure {
    Failure::disk(Problem::new(format!("the JSON could not be written ({e})")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::Content;

    /// The YAML library is the measure: every shipped file has its JSON, and that says what the library reads in the text.
    #[test]
    fn every_shipped_file_reads_as_its_yaml() {
        let content = Content::embedded();
        let mut files = 0;
        for source in content.all().filter(|s| s.name.ends_with(".yaml")) {
            let json: serde_yaml::Value =
                precompiled(source).unwrap_or_else(|| panic!("{}", source.name));
            let yaml: serde_yaml::Value = serde_yaml::from_str(&source.text)
                .unwrap_or_else(|e| panic!("{}: {e}", source.name));
            assert_eq!(json, yaml, "{}", source.name);
            files += 1;
        }
        assert!(files > 50, "{files}");
    }

    /// A text of the user's with the name of a shipped file is never mistaken for it.
    #[test]
    fn another_text_has_no_json() {
        let mut content = Content::embedded();
        let name = "questions/kinds.yaml";
        let text = content.get(name).map(|s| s.text.to_string());
        content.insert(name, name, text.unwrap_or_default());
        assert!(content.get(name).is_some_and(|s| s.json().is_none()));
    }
}
