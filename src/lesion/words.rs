//! Turns a lesion back into words: the argument that names it and the phrase that a sentence uses.

use super::{Lesion, Severity};

impl Lesion {
    /// The argument that gives this lesion again: `radial_axilla@partial+ain`.
    pub fn text(&self) -> String {
        let parts: Vec<String> = self
            .parts
            .iter()
            .map(|p| match p.severity {
                Severity::Complete => p.place.clone(),
                _ => format!("{}@{}", p.place, p.severity_word),
            })
            .collect();
        parts.join("+")
    }

    /// A phrase for a sentence: "complete lesion of the radial nerve in the spiral groove".
    pub fn sentence(&self) -> String {
        let phrases: Vec<String> = self
            .parts
            .iter()
            .map(|p| {
                let place = with_article(&p.label);
                match &p.severity {
                    _ if p.label.starts_with("avulsion") => p.label.clone(),
                    Severity::Complete => format!("complete lesion of {place}"),
                    Severity::Partial(_) if p.severity_word == "partial" => {
                        format!("partial lesion of {place}")
                    }
                    Severity::Partial(share) => {
                        format!(
                            "partial lesion ({:.0} % of the fibres) of {place}",
                            share * 100.0
                        )
                    }
                    Severity::Roots(_) => {
                        format!("lesion of the {} fibres in {place}", p.severity_word)
                    }
                    Severity::Avulsion => format!("avulsion of {place}"),
                }
            })
            .collect();
        match phrases.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
            _ => phrases.concat(),
        }
    }
}

/// A place as it stands in a sentence: "the C6 root", but "avulsion of the C5 and C6 roots".
pub fn with_article(label: &str) -> String {
    match ["avulsion", "direct"].iter().any(|w| label.starts_with(w)) {
        true => label.to_string(),
        false => format!("the {label}"),
    }
}
