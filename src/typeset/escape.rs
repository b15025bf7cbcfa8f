//! How does a plain value stand in Markdown so that it reads as that value, breaks no table and starts no list?

use std::io::{self, Write};

/// Escapes for CommonMark with tables; a line break becomes a blank.
///
/// # Errors
/// What the writer reports.
pub fn markdown(text: &str, out: &mut dyn Write) -> io::Result<()> {
    let mut start = true;
    let mut digits = false;
    let mut before = ' ';
    let mut buffer = [0u8; 4];
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        let c = if c.is_control() { ' ' } else { c };
        let next = letters.peek().copied().unwrap_or(' ');
        let special = match c {
            // Within a word it is plain.
            '_' => !(before.is_alphanumeric() && next.is_alphanumeric()),
            '\\' | '`' | '*' | '[' | ']' | '<' | '>' | '|' | '&' | '~' => true,
            // These mean something at the start of a line only.
            '#' | '-' | '+' | '=' | ':' => start,
            // "1. " and "1) " would start a list; "1.5" would not.
            '.' | ')' => digits && next.is_whitespace(),
            _ => false,
        };
        if special {
            out.write_all(b"\\")?;
        }
        out.write_all(c.encode_utf8(&mut buffer).as_bytes())?;
        digits = c.is_ascii_digit() && (start || digits);
        start = start && c == ' ';
        before = c;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use pulldown_cmark::{Event, Options, Parser, Tag};

    fn escaped(text: &str) -> String {
        let mut out = Vec::new();
        markdown(text, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn every_value_comes_back_as_it_went_in() {
        // Independent reader: pulldown-cmark, a CommonMark parser.
        for text in [
            "a | b",
            "*bold* _it_ `code` [x](y) <b> &amp; ~~s~~ \\",
            "- no list",
            "+ none",
            "1. none",
            "12) none",
            "1.",
            "2.5",
            "radial_axilla _x_ _y",
            "# none",
            "> none",
            "=== none",
            "<!-- page break -->",
            "5 \u{2265} 3 \u{2610} \u{2713} \u{2192} \u{e9} \u{b0}",
            "C5, C6 (upper trunk)",
        ] {
            let marked = format!("| h |\n|---|\n| {} |\n", escaped(text));
            let mut back = String::new();
            let mut in_body = false;
            let mut cells = 0;
            for event in Parser::new_ext(&marked, Options::ENABLE_TABLES) {
                match event {
                    Event::Start(Tag::TableRow) => in_body = true,
                    Event::Start(Tag::TableCell) if in_body => cells += 1,
                    Event::Text(t) | Event::Code(t) if in_body => back.push_str(&t),
                    Event::Html(h) | Event::InlineHtml(h) => panic!("{h}"),
                    _ => {}
                }
            }
            assert_eq!((back.as_str(), cells), (text, 1), "{marked}");
            let alone = escaped(text);
            let events: Vec<Event<'_>> = Parser::new(&alone).collect();
            assert!(
                matches!(events.first(), Some(Event::Start(Tag::Paragraph))),
                "{alone}: {events:?}"
            );
        }
    }

    #[test]
    fn a_line_break_cannot_leave_its_cell() {
        assert_eq!(escaped("a\nb\r\tc"), "a b  c");
    }
}
