//! Which templates and functions may a sheet use? The shipped ones, a user's own in front of them, and the phrases of the house.

use super::house::House;
use super::template_error::failure;
use crate::diagnostic::{Failure, did_you_mean, short};
use crate::figure;
use crate::files::{Content, Source};
use crate::typeset::escape;
use crate::typeset::html::inline;
use crate::wording::{capital, fill};
use std::collections::BTreeMap;
use std::io::{self, Write};
use std::sync::Arc;
use tera::{Kwargs, State, Tera, Value};

/// What the templates write: how a plain value and a phrase with marks stand in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dialect {
    Markdown,
    Html,
}

impl Dialect {
    /// The end of its templates' names.
    fn ending(self) -> &'static str {
        match self {
            Dialect::Markdown => ".md.tera",
            Dialect::Html => ".html.tera",
        }
    }
}

fn html(text: &str, out: &mut dyn Write) -> io::Result<()> {
    out.write_all(figure::escape(text).as_bytes())
}

/// The templates that no sheet of a station is printed by, by the beginnings of their names.
const APART: [&str; 3] = ["circuit_", "marks_", "practice_"];

/// Whether the template is read only when it is asked for.
pub fn apart(template: &str) -> bool {
    APART.iter().any(|family| template.starts_with(family))
}

/// The engine with the shipped templates of a station, and a user's templates in front of them. A user's template may extend
/// `builtin/<name>`.
pub fn engine(content: &Content, house: &House, dialect: Dialect) -> Result<Tera, Failure> {
    let wrong = |e: tera::Error| failure(content, &e);
    let mut tera = Tera::new();
    tera.autoescape_on([dialect.ending()]);
    tera.set_escape_fn(match dialect {
        Dialect::Markdown => escape::markdown,
        Dialect::Html => html,
    });
    tera.set_fallback_prefixes(["user/", "builtin/"])
        .map_err(wrong)?;
    let texts = Arc::new(house.phrases.clone());
    let marked = Arc::clone(&texts);
    tera.register_function("t", move |args: Kwargs, _: &State<'_>| {
        phrase(&texts, &args, &|value| value)
    });
    // A phrase with marks of its own (bold, code): what is filled in is escaped, the phrase is not.
    tera.register_function("tm", move |args: Kwargs, _: &State<'_>| {
        let escaped = |value: String| {
            let mut out = Vec::new();
            match escape::markdown(&value, &mut out) {
                Ok(()) => String::from_utf8_lossy(&out).into_owned(),
                Err(_) => value,
            }
        };
        let text = phrase(&marked, &args, &escaped)?;
        Ok(Value::safe_string(&match dialect {
            Dialect::Markdown => text,
            Dialect::Html => inline(&text),
        }))
    });
    tera.register_filter("cap", |text: &str, _: Kwargs, _: &State<'_>| capital(text));
    if !overlaid(content) {
        let own = templates(content, dialect, "builtin/");
        let own = own.filter(|(name, _)| !apart(name.trim_start_matches("builtin/")));
        tera.add_raw_templates(own).map_err(wrong)?;
        return Ok(tera);
    }
    // A user's templates are read at once, whatever is printed: what is wrong with one is said.
    let shipped = Content::embedded();
    let builtin = templates(&shipped, dialect, "builtin/");
    let user = content.under("templates/").filter(|s| s.overlaid);
    let user = user.filter_map(|s| template(s, dialect, "user/"));
    tera.add_raw_templates(builtin.chain(user)).map_err(wrong)?;
    Ok(tera)
}

/// The engine with all templates.
pub fn whole(content: &Content, engine: &Tera, dialect: Dialect) -> Result<Tera, Failure> {
    let mut tera = engine.clone();
    if !overlaid(content) {
        let rest = templates(content, dialect, "builtin/");
        let rest = rest.filter(|(name, _)| apart(name.trim_start_matches("builtin/")));
        let added = tera.add_raw_templates(rest);
        added.map_err(|e| failure(content, &e))?;
    }
    Ok(tera)
}

/// Without templates of the user's own the content holds the shipped ones as they are.
fn overlaid(content: &Content) -> bool {
    content.under("templates/").any(|s| s.overlaid)
}

/// The templates of a dialect by their names in the engine.
fn templates<'c>(
    content: &'c Content,
    dialect: Dialect,
    prefix: &'c str,
) -> impl Iterator<Item = (String, &'c str)> {
    let all = content.under("templates/");
    all.filter_map(move |s| template(s, dialect, prefix))
}

fn template<'s>(source: &'s Source, dialect: Dialect, prefix: &str) -> Option<(String, &'s str)> {
    let bare = source.name.strip_prefix("templates/")?;
    let html = bare.ends_with(Dialect::Html.ending());
    let own = bare.ends_with(".tera") && html == (dialect == Dialect::Html);
    own.then(|| (format!("{prefix}{bare}"), source.text.as_ref()))
}

/// `{{ t(k="since", since=...) }}`: the phrase of that key with its placeholders filled in.
fn phrase(
    texts: &BTreeMap<String, String>,
    args: &Kwargs,
    put: &dyn Fn(String) -> String,
) -> Result<String, tera::Error> {
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
            .map(|(_, v)| put(v.to_string()))
    };
    fill(text, &given).map_err(|missing| {
        tera::Error::message(format!(
            "the phrase `{key}` needs {}, which the template does not give it",
            missing.join(", ")
        ))
    })
}
