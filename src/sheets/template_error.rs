//! What is wrong with a template? One message with the template, the line and the missing name.

use crate::diagnostic::{Failure, Place, Problem};
use crate::files::Content;

/// A template that cannot be read or filled in is content that is wrong: exit code 1.
pub fn failure(content: &Content, error: &tera::Error) -> Failure {
    let mut text = error.to_string();
    let mut cause = std::error::Error::source(error);
    while let Some(inner) = cause {
        text.push('\n');
        text.push_str(&inner.to_string());
        cause = inner.source();
    }
    // What our own sink says is buried under the engine's word for it.
    if let Some((_, ours)) = text.split_once("the sheet grows beyond") {
        return Failure::content(
            Problem::new(format!("the sheet grows beyond{ours}"))
                .hint("a sheet has some 20 KB: count what the loops of your templates print"),
        );
    }
    for quote in ['\'', '"', '`'] {
        text = text.replace(&format!("{quote}user/"), &format!("{quote}templates/"));
    }
    let place = text.lines().find_map(|l| place(content, l));
    // The engine's first line says what is wrong; the rest draws the place.
    let mut lines = text.lines().map(str::trim).filter(|l| {
        !l.is_empty()
            && !l.starts_with("-->")
            && !l.contains('|')
            && !l.starts_with(char::is_numeric)
    });
    let message = lines
        .next()
        .unwrap_or("the template cannot be filled in")
        .trim_start_matches("error: ")
        .to_string();
    let more: Vec<&str> = lines.filter(|l| *l != message).take(2).collect();
    let hint = if more.is_empty() {
        "compare the template with the shipped one of the same name".to_string()
    } else {
        more.join(" ").trim_start_matches("= help: ").to_string()
    };
    let problem = Problem::new(message).hint(hint);
    Failure::content(match place {
        Some(place) => problem.at(place),
        None => problem,
    })
}

/// "  --> user/candidate.md.tera:3:9".
fn place(content: &Content, line: &str) -> Option<Place> {
    let rest = line.split_once("--> ").map(|(_, r)| r.trim())?;
    let mut parts = rest.trim_end_matches([']', ' ']).rsplitn(3, ':');
    let column = parts.next()?.parse().ok()?;
    let line = parts.next()?.parse().ok()?;
    let name = parts.next()?;
    let bare = name.rsplit('/').next().unwrap_or(name);
    let shown = content
        .get(&format!("templates/{bare}"))
        .filter(|s| s.overlaid == name.starts_with("user/"))
        .map_or_else(|| format!("templates/{bare}"), |s| s.shown.clone());
    Some(Place {
        file: shown,
        line,
        column,
    })
}
