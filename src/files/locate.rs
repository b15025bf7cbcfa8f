//! Turns a path inside a YAML text ("third muscle, its supply") into the line and column where it stands.

use super::content::Source;
use crate::diagnostic::Place;
use saphyr_parser::{Event, Parser, Span};

/// One step into a YAML text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    Key(String),
    Item(usize),
}

impl From<&str> for Step {
    fn from(key: &str) -> Self {
        Step::Key(key.to_string())
    }
}

impl From<usize> for Step {
    fn from(item: usize) -> Self {
        Step::Item(item)
    }
}

/// Where the value at the end of `path` starts; when the path ends early, where its last known step stands.
/// Only called when there is something to complain of, so it reads the text again rather than keep places for all.
pub fn locate(source: &Source, path: &[Step]) -> Place {
    let mut best = (1, 1);
    let mut events = Parser::new_from_str(&source.text)
        .map_while(Result::ok)
        .peekable();
    // Skip StreamStart and DocumentStart.
    while matches!(
        events.peek(),
        Some((Event::StreamStart | Event::DocumentStart(_), _))
    ) {
        events.next();
    }
    walk(&mut events, path, &mut best);
    Place {
        file: source.shown.clone(),
        line: best.0,
        column: best.1,
    }
}

type Events<'a, I> = std::iter::Peekable<I>;

fn walk<'a, I>(events: &mut Events<'a, I>, path: &[Step], best: &mut (usize, usize))
where
    I: Iterator<Item = (Event<'a>, Span)>,
{
    let Some((event, span)) = events.next() else {
        return;
    };
    let here = (span.start.line(), span.start.col() + 1);
    if path.is_empty() {
        *best = here;
        return;
    }
    match (event, &path[0]) {
        (Event::SequenceStart(..), Step::Item(wanted)) => {
            let mut at = 0;
            while !matches!(events.peek(), None | Some((Event::SequenceEnd, _))) {
                if at == *wanted {
                    if let Some((_, span)) = events.peek() {
                        *best = (span.start.line(), span.start.col() + 1);
                    }
                    return walk(events, &path[1..], best);
                }
                skip(events);
                at += 1;
            }
        }
        (Event::MappingStart(..), Step::Key(wanted)) => {
            while !matches!(events.peek(), None | Some((Event::MappingEnd, _))) {
                let found = match events.peek() {
                    Some((Event::Scalar(key, ..), span)) if *key == **wanted => {
                        *best = (span.start.line(), span.start.col() + 1);
                        true
                    }
                    _ => false,
                };
                skip(events);
                if found {
                    return walk(events, &path[1..], best);
                }
                skip(events);
            }
        }
        _ => {}
    }
}

/// Passes over one whole node.
fn skip<'a, I>(events: &mut Events<'a, I>)
where
    I: Iterator<Item = (Event<'a>, Span)>,
{
    let mut depth = 0usize;
    for (event, _) in events.by_ref() {
        match event {
            Event::SequenceStart(..) | Event::MappingStart(..) => depth += 1,
            Event::SequenceEnd | Event::MappingEnd => depth = depth.saturating_sub(1),
            _ => {}
        }
        if depth == 0 {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::borrow::Cow;

    #[test]
    fn a_value_is_found_by_its_path() {
        let source = Source {
            name: "m.yaml".into(),
            shown: "m.yaml".into(),
            text: Cow::Borrowed(
                "# comment\nmuscles:\n  - {id: a, roots: {C5: 1}}\n  - id: b\n    roots:\n      C6: 0.5\n",
            ),
            overlaid: false,
        };
        let at = |path: &[Step]| {
            let p = locate(&source, path);
            (p.line, p.column)
        };
        assert_eq!(at(&["muscles".into(), 0.into(), "id".into()]), (3, 10));
        assert_eq!(
            at(&["muscles".into(), 1.into(), "roots".into(), "C6".into()]),
            (6, 11)
        );
        assert_eq!(at(&["muscles".into(), 1.into(), "nothing".into()]), (4, 5));
    }
}
