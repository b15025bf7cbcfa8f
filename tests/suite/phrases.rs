//! Every phrase that a shipped template asks for is there: a page that nobody printed lately would else stop a whole circuit.

use crate::own_support::{Folder, call};
use vivasmith::files::Content;

#[test]
fn every_phrase_that_a_template_asks_for_is_shipped() {
    let content = Content::embedded();
    let phrases = &content.get("templates/phrases.yaml").expect("phrases").text;
    let keys: Vec<&str> = phrases
        .lines()
        .filter_map(|line| line.strip_prefix("  ")?.split_once(':'))
        .map(|(key, _)| key)
        .collect();
    let mut asked = 0;
    let mut missing = Vec::new();
    for source in content
        .under("templates/")
        .filter(|s| s.name.ends_with(".tera"))
    {
        for head in ["t(k=\"", "tm(k=\""] {
            for (at, _) in source.text.match_indices(head) {
                let rest = &source.text[at + head.len()..];
                let (key, after) = rest.split_once('"').expect("a closing mark");
                asked += 1;
                // A key that goes on (`"domain_" ~ id`) needs one phrase or more that begin so.
                let goes_on = after.trim_start().starts_with('~');
                let there = keys
                    .iter()
                    .any(|k| *k == key || (goes_on && k.starts_with(key)));
                if !there {
                    missing.push(format!("{}: {key}", source.name));
                }
            }
        }
    }
    assert!(asked > 100, "{asked}");
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

/// Every phrase of the shipped file replaced by a mark that keeps its placeholders.
fn marked(phrases: &str) -> String {
    let mut lines = Vec::new();
    for (n, line) in phrases.lines().enumerate() {
        let pair = line.strip_prefix("  ").and_then(|l| l.split_once(": \""));
        let Some((key, text)) = pair.filter(|(key, _)| !key.contains([' ', '-', '#'])) else {
            lines.push(line.to_string());
            continue;
        };
        let mut kept: Vec<&str> = text
            .split('{')
            .skip(1)
            .filter_map(|rest| rest.split_once('}'))
            .map(|(name, _)| name)
            .collect();
        kept.sort_unstable();
        kept.dedup();
        let kept: Vec<String> = kept.iter().map(|name| format!("{{{name}}}")).collect();
        lines.push(format!("  {key}: \"zq{n} {}\"", kept.join(" ")));
    }
    lines.join("\n")
}

/// Pieces of the string literals of a source file, without its tests, that read like words in a row.
fn sayings(source: &str) -> Vec<String> {
    let code = source.split("#[cfg(test)]").next().unwrap_or_default();
    let mut literals: Vec<String> = Vec::new();
    let mut rest = code;
    while let Some(at) = rest.find(['"', '/']) {
        let (start, from) = (&rest[..at], &rest[at..]);
        if from.starts_with("//") {
            rest = from.split_once('\n').map_or("", |(_, after)| after);
            continue;
        }
        if from.starts_with('/') || start.ends_with('\'') {
            rest = &from[1..];
            continue;
        }
        let mut text = String::new();
        let mut characters = from[1..].char_indices();
        let mut end = from.len();
        while let Some((i, c)) = characters.next() {
            match c {
                '"' => {
                    end = i + 2;
                    break;
                }
                '\\' => text.extend(characters.next().map(|(_, escaped)| escaped)),
                c => text.push(c),
            }
        }
        literals.push(text);
        rest = &from[end.min(from.len())..];
    }
    let row = |piece: &str| {
        let words: Vec<&str> = piece.split_whitespace().collect();
        let plain = |w: &&str| w.len() > 1 && w.chars().all(|c| c.is_ascii_lowercase());
        words.windows(2).any(|pair| pair.iter().all(plain))
    };
    let mut all = Vec::new();
    for literal in literals {
        // What stands between the values that are filled in.
        for (n, piece) in literal.split('{').enumerate() {
            let piece = match (n, piece.split_once('}')) {
                (0, _) | (_, None) => piece,
                (_, Some((_, after))) => after,
            };
            let piece = flat(piece);
            if row(&piece) {
                all.push(piece);
            }
        }
    }
    all
}

/// White space made single, without the marks of Markdown.
fn flat(text: &str) -> String {
    let plain: String = text.chars().filter(|c| !"*\\".contains(*c)).collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn texts(folder: &std::path::Path, ending: &str, all: &mut Vec<(String, String)>) {
    for entry in std::fs::read_dir(folder).expect("a folder").flatten() {
        let path = entry.path();
        if path.is_dir() {
            texts(&path, ending, all);
        } else if path.to_string_lossy().ends_with(ending) {
            let text = std::fs::read_to_string(&path).expect("text");
            all.push((path.to_string_lossy().into_owned(), text));
        }
    }
}

/// The words of a sheet are phrases or content: with every phrase replaced by a mark, no saying of the source is left on a sheet. What
/// stands word for word in the content as well is the content's.
#[test]
fn no_saying_of_the_source_is_printed() {
    let folder = Folder::new("marked");
    let content = Content::embedded();
    let phrases = &content.get("templates/phrases.yaml").expect("phrases").text;
    folder.with("templates/phrases.zz.yaml", marked(phrases));
    folder.with("settings.yaml", "language: zz\n");
    folder.with("day.yaml", "title: Qq\ntime: {station: 8, reading: 2}\npositions: [{times: 2}, {rest: same}]\n\
        groups: [{id: A, count: 3, sittings: [{id: qq, start: \"09:00\"}]}]\nexaminers: [{id: X1}, {id: X2}]\n");
    let (out, own) = (folder.path("out"), folder.shown());
    for (site, kind) in [
        ("radial_spiral_groove", "trace"),
        ("root_c7", "examine"),
        ("ulnar_elbow", "compare"),
        ("common_fibular", "forecast"),
        ("carpal_tunnel", "nerve"),
        ("radial_spiral_groove", "risk"),
    ] {
        let command = [
            "station",
            site,
            "--kind",
            kind,
            "--seed",
            "3",
            "--formats",
            "md",
            "--out",
            &out,
            "--content",
            &own,
        ];
        let (code, _, said) = call(&command);
        assert_eq!(code, 0, "{site} {kind}: {said}");
    }
    let day = folder.path("day.yaml");
    let command = [
        "circuit",
        &day,
        "--seed",
        "3",
        "--formats",
        "md",
        "--out",
        &format!("{out}/day"),
        "--content",
        &own,
    ];
    let (code, _, said) = call(&command);
    assert_eq!(code, 0, "{said}");

    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let (mut printed, mut written, mut source) = (Vec::new(), Vec::new(), Vec::new());
    texts(std::path::Path::new(&out), ".md", &mut printed);
    // What the report notes is an answer to whoever wrote the blueprint, as messages are.
    printed.retain(|(file, _)| !file.ends_with("blueprint_and_equality.md"));
    texts(&root.join("stations"), ".yaml", &mut written);
    texts(&root.join("src"), ".rs", &mut source);
    let join = |all: &[(String, String)]| {
        flat(
            &all.iter()
                .map(|(_, t)| t.as_str())
                .collect::<Vec<_>>()
                .join(" "),
        )
    };
    let (printed, written) = (
        join(&printed).replace("<!-- page break -->", ""),
        join(&written),
    );
    assert!(printed.matches("zq").count() > 1000);
    let mut left: Vec<String> = Vec::new();
    for (file, text) in &source {
        // How a lesion is named, and the command that prints a station again.
        let names = ["lesion/words.rs", "station/code.rs", "sheets/mock.rs"];
        if names.iter().any(|name| file.ends_with(name)) {
            continue;
        }
        let own = sayings(text).into_iter();
        left.extend(
            own.filter(|s| printed.contains(s.as_str()) && !written.contains(s.as_str()))
                .map(|s| format!("{file}: {s}")),
        );
    }
    assert!(left.is_empty(), "{}", left.join("\n"));
}
