//! What does somebody want to get better at? Read from a feedback sheet of `vivasmith marks`, or from ids of sites.

use crate::anatomy::Model;
use crate::case::Level;
use crate::diagnostic::{Failure, Place, Problem, did_you_mean, short};
use crate::files::Source;
use crate::station::{LEVELS, StationKind, kind_named, level_id};

/// A place at which marks were lost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weak {
    /// Position in the model's sites.
    pub site: usize,
    /// Id of the kind of station; `None`: any.
    pub kind: Option<String>,
    pub level: Option<Level>,
}

/// What a feedback sheet prints for each case to practise, in Markdown.
const COMMAND: &str = "`vivasmith station ";

/// What is practised, and ids of what cannot be, for it lies in the other limb.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Like {
    pub weak: Vec<Weak>,
    pub elsewhere: Vec<String>,
}

/// The site by which a feedback sheet is known to be of a limb: the first it names.
pub fn first_site(sheet: &Source) -> Option<&str> {
    let (_, rest) = sheet.text.split_once(COMMAND)?;
    rest.split([' ', '`']).next()
}

/// Adds one entry of `--like`: the text of a feedback sheet, or the name of a site.
///
/// # Errors
/// Exit code 2 when the sheet names nothing to practise in this limb, or a site or kind is unknown.
pub fn like(
    model: &Model,
    kinds: &[StationKind],
    (word, sheet): (&str, Option<&Source>),
    all: &mut Like,
) -> Result<(), Failure> {
    let mut add = |weak: Weak| {
        if !all.weak.iter().any(|w| w.site == weak.site) {
            all.weak.push(weak);
        }
    };
    let Some(sheet) = sheet else {
        let site = site(model, word).ok_or_else(|| unknown(model, word))?;
        add(Weak {
            site,
            kind: None,
            level: None,
        });
        return Ok(());
    };
    let (mut found, mut elsewhere) = (false, None);
    for (row, line) in sheet.text.lines().enumerate() {
        let Some((before, rest)) = line.split_once(COMMAND) else {
            continue;
        };
        let command = rest.split('`').next().unwrap_or_default();
        let place = Place {
            file: sheet.shown.clone(),
            line: row + 1,
            column: before.chars().count() + 1,
        };
        match read(model, kinds, command) {
            Ok(Some(weak)) => {
                found = true;
                add(weak);
            }
            Ok(None) => {
                let name = command.split_whitespace().next().unwrap_or_default();
                all.elsewhere.push(name.to_string());
                elsewhere.get_or_insert((name.to_string(), place));
            }
            Err(problem) => return Err(Failure::usage(problem.at(place))),
        }
    }
    match (found, elsewhere) {
        (true, _) => Ok(()),
        (false, Some((name, place))) => Err(Failure::usage(
            Problem::new(format!(
                "the sheet names the site `{}`, which the {} has not",
                short(&name),
                model.label
            ))
            .hint("leave --region out, or add the content folder of that day: --content")
            .at(place),
        )),
        (false, None) => Err(Failure::usage(
            Problem::new(format!("{}: names nothing to practise", sheet.shown)).hint(
                "give the feedback sheet of one candidate that `vivasmith marks` wrote as Markdown, or ids of sites",
            ),
        )),
    }
}

fn site(model: &Model, word: &str) -> Option<usize> {
    let id = &model.site(word)?.id;
    model.sites.iter().position(|s| s.id == *id)
}

/// "carpal_tunnel --kind trace --level clinical"; nothing where the site lies in no place of this limb.
fn read(model: &Model, kinds: &[StationKind], command: &str) -> Result<Option<Weak>, Problem> {
    let words: Vec<&str> = command.split_whitespace().collect();
    let after = |option: &str| {
        let at = words.iter().position(|w| *w == option)?;
        words.get(at + 1).copied()
    };
    let Some(site) = words.first().and_then(|name| site(model, name)) else {
        return Ok(None);
    };
    let kind = match after("--kind") {
        Some(word) => Some(kind_named(kinds, word).map_err(|_| {
            Problem::new(format!(
                "the sheet names the kind `{}`, which there is not",
                short(word)
            ))
            .hint("add the content folder of that day: --content")
        })?),
        None => None,
    };
    let level = after("--level").and_then(|w| LEVELS.into_iter().find(|l| level_id(*l) == w));
    Ok(Some(Weak {
        site,
        kind: kind.map(|k| k.id.clone()),
        level,
    }))
}

fn unknown(model: &Model, word: &str) -> Failure {
    let known = model.sites.iter().map(|s| s.id.as_str());
    Failure::usage(
        Problem::new(format!(
            "the {} has no site `{}`, and there is no file of that name",
            model.label,
            short(word)
        ))
        .hint(did_you_mean(
            word,
            known,
            "`vivasmith list sites` shows them all; a feedback sheet is named with its path",
        )),
    )
}
