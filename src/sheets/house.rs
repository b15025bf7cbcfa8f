//! In which words do the sheets of this institution speak? The phrases file, the settings' own phrases, the spelling of eponyms.

use crate::diagnostic::{Failure, Place, Problem, did_you_mean, short};
use crate::files::{
    Content, Eponyms, Grade, Settings, Source, UniqueMap, locate, parse, phrase_in_settings,
    settings,
};
use crate::wording::placeholders;
use serde::Deserialize;
use std::collections::BTreeMap;

/// More than this many problems are not gathered: each costs a look into the file.
const MOST: usize = 20;

const PHRASES: &str = "templates/phrases.yaml";

/// Keys of phrases that are said on a screen begin so.
const SCREEN: &str = "screen_";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Phrases {
    phrases: UniqueMap<String>,
    /// The global rating, best grade first, each with its anchor.
    #[serde(default)]
    rating: Vec<Grade>,
}

/// Every fixed word of the sheets.
pub struct House {
    pub phrases: BTreeMap<String, String>,
    pub rating: Vec<Grade>,
    pub settings: Settings,
}

impl House {
    /// A phrase, or nothing when there is none of that key.
    pub fn phrase(&self, key: &str) -> &str {
        self.phrases.get(key).map_or("", String::as_str)
    }

    /// The house as it speaks on a screen: the phrase `screen_KEY` stands for the phrase `KEY`.
    pub fn on_screen(mut self) -> House {
        let own = |(key, text): (&String, &String)| {
            Some((key.strip_prefix(SCREEN)?.to_string(), text.clone()))
        };
        let all: Vec<_> = self.phrases.iter().filter_map(own).collect();
        self.phrases.extend(all);
        self
    }
}

/// Reads phrases and house style. What a phrases file leaves out is said as the shipped English one says it.
///
/// # Errors
/// Exit code 2 when a file is no YAML of its shape; 1 when a phrase is unknown, drops a placeholder or uses one that its
/// template does not fill, or the rating has too few grades.
pub fn house(content: &Content) -> Result<House, Failure> {
    let settings = settings(content)?;
    let (source, written) = written(content, &settings)?;
    let mut problems = Vec::new();
    let mut phrases: BTreeMap<String, String> = written.phrases.0.into_iter().collect();
    let mut rating = written.rating;
    if source.overlaid || !settings.phrases.is_empty() {
        let (english, grades) = shipped()?;
        let own = |key: &str| locate(source, &["phrases".into(), key.into()]);
        let start = || Place {
            file: source.shown.clone(),
            line: 1,
            column: 1,
        };
        let set = |key: &str| phrase_in_settings(content, key).unwrap_or_else(start);
        for (key, text) in &phrases {
            check(key, text, &english, &|| own(key), &mut problems);
        }
        for (key, text) in &settings.phrases {
            if phrases.contains_key(key) || english.contains_key(key) {
                check(key, text, &english, &|| set(key), &mut problems);
            } else if problems.len() < MOST {
                let known = english.keys().map(String::as_str);
                let hint = did_you_mean(key, known, "the keys stand in templates/phrases.yaml");
                let problem = Problem::new(format!("there is no phrase `{}`", short(key)));
                problems.push(problem.hint(hint).at(set(key)));
            }
        }
        for (key, text) in english {
            phrases.entry(key).or_insert(text);
        }
        if rating.is_empty() {
            rating = grades;
        }
        phrases.extend(settings.phrases.iter().cloned());
    }
    if !settings.rating.is_empty() {
        rating.clone_from(&settings.rating);
    }
    if rating.len() < 4 || !rating.iter().any(|g| g.borderline) {
        problems.push(
            Problem::new(format!(
                "{}: the rating needs four grades or more, one of them borderline",
                source.shown
            ))
            .hint("add grades under `rating:`, and `borderline: true` to one"),
        );
    }
    if !problems.is_empty() {
        return Err(Failure::Content(problems));
    }
    Ok(House {
        phrases,
        rating,
        settings,
    })
}

fn written<'c>(
    content: &'c Content,
    settings: &Settings,
) -> Result<(&'c Source, Phrases), Failure> {
    let name = match settings.language.as_str() {
        "en" => PHRASES.to_string(),
        language => format!("templates/phrases.{language}.yaml"),
    };
    let source = content.get(&name).ok_or_else(|| {
        let all = content.under("templates/phrases").map(|s| s.name.as_str());
        let known: Vec<&str> = all.collect();
        Failure::content(
            Problem::new(format!("the content has no file {name}")).hint(format!(
                "translate templates/phrases.yaml and call it so; there are: {}",
                known.join(", ")
            )),
        )
    })?;
    Ok((source, parse(source)?))
}

/// The English phrases inside the program: which keys there are, and what each template fills in; and the grades.
fn shipped() -> Result<(BTreeMap<String, String>, Vec<Grade>), Failure> {
    match Content::shipped(PHRASES) {
        Some(source) => {
            let all = parse::<Phrases>(&source)?;
            Ok((all.phrases.0.into_iter().collect(), all.rating))
        }
        None => Ok(Default::default()),
    }
}

/// A phrase uses what the English one fills in, all of it and nothing else: whatever stands in a placeholder would be lost.
fn check(
    key: &str,
    text: &str,
    shipped: &BTreeMap<String, String>,
    place: &dyn Fn() -> Place,
    problems: &mut Vec<Problem>,
) {
    let Some(english) = shipped.get(key).filter(|_| problems.len() < MOST) else {
        return;
    };
    let known = placeholders(english);
    let used = placeholders(text);
    if let Some(gone) = known.iter().find(|name| !used.contains(name)) {
        let hint = if key.starts_with("fig_") {
            "keep it: a picture and the words that stand for it have to say the same"
        } else {
            "keep it: what it stands for would be missing on the sheet"
        };
        problems.push(
            Problem::new(format!("the phrase `{key}` leaves out {{{gone}}}"))
                .hint(hint)
                .at(place()),
        );
    }
    for name in used.iter().filter(|name| !known.contains(name)) {
        let hint = if known.is_empty() {
            "this phrase has no placeholder".to_string()
        } else {
            format!("this phrase may use {{{}}}", known.join("}, {"))
        };
        problems.push(
            Problem::new(format!(
                "the phrase `{key}` uses {{{}}}, which no template fills in",
                short(name)
            ))
            .hint(hint)
            .at(place()),
        );
    }
}

/// Spells the eponyms of a finished sheet as the house does; below `until` (the list of sources) nothing is changed.
pub fn eponyms(text: &str, settings: &Settings, until: &str) -> String {
    let end = text.find(until).unwrap_or(text.len());
    let (body, rest) = text.split_at(end);
    let names = &settings.eponym_names;
    let out = match settings.eponyms {
        Eponyms::Plain => plain(body, names),
        Eponyms::Possessive => names.iter().fold(body.to_string(), |text, name| {
            possessive(&text, name, names)
        }),
    };
    out + rest
}

fn of_word(c: Option<char>) -> bool {
    c.is_some_and(|c| c.is_alphanumeric() || c == '-')
}

/// The parts of a text between the whole-word uses of a name.
fn around<'t>(text: &'t str, name: &str) -> Vec<&'t str> {
    let mut parts = Vec::new();
    let mut from = 0;
    for (at, _) in text.match_indices(name) {
        let before = text[..at].chars().next_back();
        let after = text[at + name.len()..].chars().next();
        if at >= from && !of_word(before) && !of_word(after) {
            parts.push(&text[from..at]);
            from = at + name.len();
        }
    }
    parts.push(&text[from..]);
    parts
}

/// Nothing after a name: pages are long and such endings few, so these are looked for.
fn plain(text: &str, names: &[String]) -> String {
    let named = |at: usize| {
        let before = |name: &String| text[..at].strip_suffix(name.as_str());
        let mut all = names.iter().filter_map(before);
        all.any(|before| !of_word(before.chars().next_back()))
    };
    let endings = ["'s ", "\u{2019}s "].into_iter();
    let endings = endings.flat_map(|ending| text.match_indices(ending));
    let mut cuts: Vec<(usize, &str)> = endings.filter(|(at, _)| named(*at)).collect();
    cuts.sort_unstable();
    let mut out = String::with_capacity(text.len());
    let mut from = 0;
    for (at, ending) in cuts {
        out.push_str(&text[from..at]);
        from = at + ending.trim_end().len();
    }
    out.push_str(&text[from..]);
    out
}

/// Before a noun (Froment sign), and before "and" with another name (Phalen and Tinel signs).
fn possessive(text: &str, name: &str, names: &[String]) -> String {
    let mut parts = around(text, name).into_iter();
    let mut out = parts.next().unwrap_or_default().to_string();
    for part in parts {
        out.push_str(name);
        let next = part.strip_prefix(' ').unwrap_or_default();
        let word: String = next.chars().take_while(|c| c.is_alphabetic()).collect();
        let paired = next
            .strip_prefix("and ")
            .is_some_and(|rest| names.iter().any(|n| rest.starts_with(n.as_str())));
        let noun = [
            "sign",
            "syndrome",
            "test",
            "canal",
            "palsy",
            "paralysis",
            "point",
        ]
        .iter()
        .any(|n| word == *n || word == format!("{n}s"));
        if noun || paired {
            out.push_str("\u{2019}s");
        }
        out.push_str(part);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_get_or_lose_their_s() {
        let names = ["Phalen".to_string(), "Tinel".to_string(), "Erb".to_string()];
        let with = |t: &str| {
            names
                .iter()
                .fold(t.to_string(), |t, n| possessive(&t, n, &names))
        };
        let without = |t: &str| plain(t, &names);
        let text =
            "Phalen and Tinel signs; Erb palsy, Erb-Duchenne palsy; Herb sign; Tinel was first.";
        assert_eq!(
            with(text),
            "Phalen\u{2019}s and Tinel\u{2019}s signs; Erb\u{2019}s palsy, Erb-Duchenne palsy; Herb sign; Tinel was first."
        );
        assert_eq!(with(&with(text)), with(text));
        assert_eq!(without(&with(text)), text);
        assert_eq!(without("Tinel's sign"), "Tinel sign");
        let kept = "Herb's sign, her Tinel's, Ash's sign";
        assert_eq!(without(kept), kept);
    }
}
