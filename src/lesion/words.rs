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
                let the = if p.label.starts_with("avulsion") || p.label.starts_with("direct") {
                    ""
                } else {
                    "the "
                };
                match &p.severity {
                    _ if p.label.starts_with("avulsion") => p.label.clone(),
                    Severity::Complete => format!("complete lesion of {the}{}", p.label),
                    Severity::Partial(_) if p.severity_word == "partial" => {
                        format!("partial lesion of {the}{}", p.label)
                    }
                    Severity::Partial(share) => {
                        format!(
                            "partial lesion ({:.0} % of the fibres) of {the}{}",
                            share * 100.0,
                            p.label
                        )
                    }
                    Severity::Roots(_) => format!(
                        "lesion of the {} fibres in {the}{}",
                        p.severity_word, p.label
                    ),
                    Severity::Avulsion => format!("avulsion of {the}{}", p.label),
                }
            })
            .collect();
        match phrases.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
            _ => phrases.concat(),
        }
    }
}
