//! On which line does a value of a YAML text stand? Its path ("third muscle, its supply") leads to line and column.

use saphyr_parser::{Event, Parser, Span};
use std::sync::OnceLock;

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

/// Line and column, from 1.
type Spot = (usize, usize);

/// Where everything in a text stands: read when the first problem in it is told.
#[derive(Debug, Clone, Default)]
pub struct Places(OnceLock<Option<Node>>);

#[derive(Debug, Clone)]
struct Node {
    at: Spot,
    items: Vec<Node>,
    keys: Vec<(String, Spot, Node)>,
}

/// Deeper than any content goes: what lies below has the place of what it lies in.
const DEEPEST: usize = 100;

impl Places {
    /// Line and column where the value at the end of `path` starts; when the path ends early, where its last known step stands.
    pub(super) fn of(&self, text: &str, path: &[Step]) -> Spot {
        let root = self.0.get_or_init(|| read(text)).as_ref();
        root.map_or((1, 1), |node| spot(node, path))
    }
}

fn spot(mut node: &Node, path: &[Step]) -> Spot {
    let mut best = if path.is_empty() { node.at } else { (1, 1) };
    for (i, step) in path.iter().enumerate() {
        let last = i + 1 == path.len();
        let (key_at, below) = match step {
            Step::Item(item) => match node.items.get(*item) {
                Some(below) => (below.at, below),
                None => return best,
            },
            Step::Key(key) => match node.keys.iter().find(|(k, ..)| k == key) {
                Some((_, at, below)) => (*at, below),
                None => return best,
            },
        };
        best = if last { below.at } else { key_at };
        node = below;
    }
    best
}

fn read(text: &str) -> Option<Node> {
    let mut events = Parser::new_from_str(text)
        .map_while(Result::ok)
        .filter(|(e, _)| !matches!(e, Event::StreamStart | Event::DocumentStart(_)))
        .peekable();
    node(&mut events, 0)
}

type Events<I> = std::iter::Peekable<I>;

fn node<'a, I>(events: &mut Events<I>, depth: usize) -> Option<Node>
where
    I: Iterator<Item = (Event<'a>, Span)>,
{
    let (event, span) = events.next()?;
    let mut node_here = Node {
        at: (span.start.line(), span.start.col() + 1),
        items: Vec::new(),
        keys: Vec::new(),
    };
    let open = matches!(event, Event::SequenceStart(..) | Event::MappingStart(..));
    if open && depth >= DEEPEST {
        skip(events);
        return Some(node_here);
    }
    match event {
        Event::SequenceStart(..) => {
            while !matches!(events.peek(), None | Some((Event::SequenceEnd, _))) {
                node_here.items.extend(node(events, depth + 1));
            }
            events.next();
        }
        Event::MappingStart(..) => {
            while let Some((event, span)) = events.peek() {
                let key = match event {
                    Event::MappingEnd => break,
                    Event::Scalar(key, ..) => key.to_string(),
                    _ => String::new(),
                };
                let at = (span.start.line(), span.start.col() + 1);
                node(events, depth + 1);
                // A text that breaks off behind a key has its place all the same.
                let value = node(events, depth + 1).unwrap_or(Node {
                    at,
                    items: Vec::new(),
                    keys: Vec::new(),
                });
                node_here.keys.push((key, at, value));
            }
            events.next();
        }
        _ => {}
    }
    Some(node_here)
}

/// Passes over the rest of a list or map that is open.
fn skip<'a, I>(events: &mut Events<I>)
where
    I: Iterator<Item = (Event<'a>, Span)>,
{
    let mut depth = 1usize;
    for (event, _) in events.by_ref() {
        match event {
            Event::SequenceStart(..) | Event::MappingStart(..) => depth += 1,
            Event::SequenceEnd | Event::MappingEnd => depth -= 1,
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
    use crate::files::{Source, locate};

    #[test]
    fn a_value_is_found_by_its_path() {
        let text = "# comment\nmuscles:\n  - {id: a, roots: {C5: 1}}\n  - id: b\n    roots:\n      C6: 0.5\n";
        let source = Source::new("m.yaml", "m.yaml", text.to_string());
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
        assert_eq!(at(&["nothing".into()]), (1, 1));
        assert_eq!(at(&[]), (2, 1));
    }

    /// Twenty thousand problems in one file: each place costs a step, not another reading of the text.
    #[test]
    fn many_places_are_found_in_one_reading() {
        let lines = (0..20_000).map(|i| format!("  - bad_{i}\n"));
        let text = "avoid:\n".to_string() + &lines.collect::<String>();
        let source = Source::new("m.yaml", "m.yaml", text);
        let started = std::time::Instant::now();
        for i in 0..20_000 {
            let place = locate(&source, &["avoid".into(), i.into()]);
            assert_eq!(place.line, i + 2);
        }
        assert!(started.elapsed().as_secs() < 5, "{:?}", started.elapsed());
    }
}
