//! Turns a station into three Markdown sheets by templates; every fixed phrase comes from `templates/phrases.yaml`.

use super::escape;
use super::template_error::failure;
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, UniqueMap, parse};
use crate::station::{Station, capital, check_candidate_text, fill};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;
use tera::{Context, Kwargs, State, Tera};

/// One sheet of a station, as CommonMark with tables.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    /// "candidate", "examiner", "answer".
    pub id: &'static str,
    /// Title of the document.
    pub title: String,
    /// One line for the document's properties; of a candidate sheet it says nothing that the sheet does not.
    pub subject: String,
    /// What the sheet is called, for the head of each page: "Candidate sheet".
    pub name: String,
    /// For the foot of each page.
    pub caution: String,
    /// BCP 47 tag of the phrases, `en-GB`.
    pub language: String,
    pub markdown: String,
}

const SHEETS: [&str; 3] = ["candidate", "examiner", "answer"];
const PHRASES: &str = "templates/phrases.yaml";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Phrases {
    phrases: UniqueMap<String>,
    /// The global rating, best grade first, each with its anchor.
    rating: Vec<Grade>,
}

#[derive(Deserialize, Serialize, Clone)]
#[serde(deny_unknown_fields)]
struct Grade {
    grade: String,
    anchor: String,
    #[serde(default)]
    borderline: bool,
}

/// The candidate sheet, the examiner sheet and the model answer.
///
/// # Errors
/// Exit code 2 when the phrases are no YAML of their shape; 1 when a template or a phrase is wrong, or when the printed candidate
/// sheet gives the answer away or takes too long to read.
pub fn sheets(content: &Content, station: &Station) -> Result<Vec<Sheet>, Failure> {
    let phrases = phrases(content)?;
    let engine = engine(content, &phrases)?;
    let mut context = Context::new();
    context.insert("station", station);
    context.insert("rating", &phrases.rating);
    let mut all = Vec::new();
    for id in SHEETS {
        let text = engine
            .render(&format!("{id}.md.tera"), &context)
            .map_err(|e| failure(content, &e))?;
        let phrase = |key: &str| {
            let text = phrases.phrases.0.iter().find(|(k, _)| k == key);
            text.map_or("", |(_, t)| t.as_str())
        };
        let title = format!(
            "{} \u{2013} {}",
            phrase(&format!("title_{id}")),
            station.code
        );
        all.push(Sheet {
            id,
            title,
            subject: format!("{} \u{2013} {}", station.kind.label, station.region),
            name: phrase(&format!("title_{id}")).to_string(),
            caution: phrase("caution").to_string(),
            language: phrase("language").to_string(),
            markdown: tidy(&text),
        });
    }
    if let Some(candidate) = all.first() {
        let problems = check_candidate_text(station, &candidate.markdown);
        if !problems.is_empty() {
            return Err(Failure::Content(problems));
        }
    }
    Ok(all)
}

fn phrases(content: &Content) -> Result<Phrases, Failure> {
    let source = content.get(PHRASES).ok_or_else(|| {
        Failure::content(
            Problem::new(format!("the content has no file {PHRASES}"))
                .hint("put the shipped file back, or leave --content out"),
        )
    })?;
    let phrases: Phrases = parse(source)?;
    let enough = phrases.rating.len() >= 4 && phrases.rating.iter().any(|g| g.borderline);
    if enough {
        Ok(phrases)
    } else {
        Err(Failure::content(
            Problem::new(format!(
                "{}: the rating needs four grades or more, one of them borderline",
                source.shown
            ))
            .hint("add grades under `rating:`, and `borderline: true` to one"),
        ))
    }
}

/// The engine with the shipped templates, and a user's templates in front of them. A user's template may extend
/// `builtin/<name>`.
fn engine(content: &Content, phrases: &Phrases) -> Result<Tera, Failure> {
    let wrong = |e: tera::Error| failure(content, &e);
    let mut tera = Tera::new();
    tera.autoescape_on([".md.tera"]);
    tera.set_escape_fn(escape::markdown);
    tera.set_fallback_prefixes(["user/", "builtin/"])
        .map_err(wrong)?;
    let texts: Arc<BTreeMap<String, String>> =
        Arc::new(phrases.phrases.0.iter().cloned().collect());
    tera.register_function("t", move |args: Kwargs, _: &State<'_>| {
        phrase(&texts, &args)
    });
    tera.register_filter("cap", |text: &str, _: Kwargs, _: &State<'_>| capital(text));
    let shipped = Content::embedded();
    let named = |s: &crate::files::Source, prefix: &str| {
        let bare = s.name.strip_prefix("templates/").unwrap_or(&s.name);
        (format!("{prefix}{bare}"), s.text.to_string())
    };
    let is_template = |s: &&crate::files::Source| s.name.ends_with(".tera");
    let builtin = shipped
        .under("templates/")
        .filter(is_template)
        .map(|s| named(s, "builtin/"));
    let user = content
        .under("templates/")
        .filter(|s| s.overlaid)
        .filter(is_template)
        .map(|s| named(s, "user/"));
    let all: Vec<(String, String)> = builtin.chain(user).collect();
    tera.add_raw_templates(all).map_err(wrong)?;
    Ok(tera)
}

/// `{{ t(k="since", since=...) }}`: the phrase of that key with its placeholders filled in.
fn phrase(texts: &BTreeMap<String, String>, args: &Kwargs) -> Result<String, tera::Error> {
    let key = args.must_get::<&str>("k")?;
    let Some(text) = texts.get(key) else {
        let hint = did_you_mean(
            key,
            texts.keys().map(String::as_str),
            "add it to phrases.yaml",
        );
        return Err(tera::Error::message(format!(
            "phrases.yaml has no phrase `{}`; {hint}",
            short(key)
        )));
    };
    let given = |name: &str| {
        args.iter()
            .find(|(k, _)| k.as_str() == Some(name))
            .map(|(_, v)| v.to_string())
    };
    fill(text, &given).map_err(|missing| {
        tera::Error::message(format!(
            "the phrase `{key}` needs {}, which the template does not give it",
            missing.join(", ")
        ))
    })
}

/// No blank at the end of a line, never two empty lines, one line break at the end.
fn tidy(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut empty = true;
    for line in text.lines().map(str::trim_end) {
        if line.is_empty() && empty {
            continue;
        }
        empty = line.is_empty();
        out.push_str(line);
        out.push('\n');
    }
    while out.ends_with("\n\n") {
        out.pop();
    }
    out
}
