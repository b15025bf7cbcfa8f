//! Keeps the order of the modules, one home for each outside crate, and small files.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

fn sources() -> Vec<(PathBuf, String)> {
    fn walk(dir: &Path, all: &mut Vec<(PathBuf, String)>) {
        let mut entries: Vec<PathBuf> = fs::read_dir(dir)
            .expect("src is there")
            .map(|e| e.expect("entry").path())
            .collect();
        entries.sort();
        for path in entries {
            if path.is_dir() {
                walk(&path, all);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let text = fs::read_to_string(&path).expect("source is text");
                all.push((path, text));
            }
        }
    }
    let mut all = Vec::new();
    walk(
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/src")),
        &mut all,
    );
    all
}

fn module_of(path: &Path) -> String {
    let below = path
        .strip_prefix(concat!(env!("CARGO_MANIFEST_DIR"), "/src"))
        .expect("below src");
    let first = below
        .components()
        .next()
        .expect("a name")
        .as_os_str()
        .to_string_lossy()
        .into_owned();
    first.trim_end_matches(".rs").to_string()
}

#[test]
fn a_module_imports_only_modules_above_it() {
    let lib =
        fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/src/lib.rs")).expect("lib.rs");
    let order: Vec<&str> = lib
        .lines()
        .filter_map(|l| l.strip_prefix("pub mod ")?.strip_suffix(';'))
        .collect();
    assert!(order.len() >= 6, "lib.rs lists the modules");
    let mut broken = Vec::new();
    for (path, text) in sources() {
        let module = module_of(&path);
        let Some(own) = order.iter().position(|m| *m == module) else {
            continue;
        };
        for (at, _) in text.match_indices("crate::") {
            let word: String = text[at + 7..]
                .chars()
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect();
            // The order is the rule for the code; a module's own tests may look down.
            let in_tests = text[..at].contains("#[cfg(test)]");
            if let (Some(used), false) = (order.iter().position(|m| *m == word), in_tests)
                && used > own
            {
                broken.push(format!("{} uses {word}", path.display()));
            }
        }
    }
    assert!(
        broken.is_empty(),
        "imports that point down:\n{}",
        broken.join("\n")
    );
}

#[test]
fn each_outside_crate_has_one_home() {
    let homes = [
        ("clap", "cli"),
        ("clap_complete", "cli"),
        ("ctrlc", "cli"),
        ("serde_yaml", "files"),
        ("saphyr_parser", "files"),
        ("tera", "sheets"),
        ("pulldown_cmark", "typeset"),
        ("printpdf", "typeset"),
        ("lopdf", "typeset"),
        ("allsorts", "typeset"),
        ("dejavu", "typeset"),
        ("flate2", "typeset"),
        ("kurbo", "figure"),
        ("rand", "case"),
        ("strsim", "diagnostic"),
        ("microlp", "circuit"),
        ("serde_json", "files"),
        ("csv", "files"),
        ("base64", "files"),
        ("sha2", "files"),
        ("pathfinding", "circuit"),
    ];
    let mut strays = Vec::new();
    for (path, text) in sources() {
        let module = module_of(&path);
        for (name, home) in homes {
            let used = [
                format!("use {name}::"),
                format!("{name}::"),
                format!("use {name};"),
            ]
            .iter()
            .any(|w| {
                text.match_indices(w.as_str()).any(|(i, _)| {
                    !text[..i].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':')
                })
            });
            // The build writes for the program, and shares no module with it.
            if used && module != home && !path.ends_with("src/build.rs") {
                strays.push(format!(
                    "{} uses {name}, whose home is {home}",
                    path.display()
                ));
            }
        }
    }
    assert!(strays.is_empty(), "{}", strays.join("\n"));
}

/// What is outside the program, too: the renderer of the tests, and the bare library that a benchmark compares with.
#[test]
fn tests_and_benches_keep_outside_crates_in_one_file_each() {
    for (folder, name, home) in [
        ("tests/suite", "hayro", "pages_raster.rs"),
        ("benches", "printpdf", "pages.rs"),
    ] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        let users: Vec<String> = fs::read_dir(folder)
            .expect("a folder")
            .map(|e| e.expect("entry").path())
            .filter(|p| {
                let text = fs::read_to_string(p).unwrap_or_default();
                text.contains(&format!("use {name}::")) || text.contains(&format!(" {name}::"))
            })
            .filter_map(|p| Some(p.file_name()?.to_string_lossy().into_owned()))
            .collect();
        assert_eq!(users, [home], "{name}");
    }
}

/// Rooms whose files still import each other in rings, and rooms that still have longer functions. The lists only shrink.
const ROOMS_WITH_RINGS: [&str; 4] = ["anatomy", "case", "cli", "station"];
const ROOMS_WITH_LONG_FUNCTIONS: [&str; 4] = ["circuit", "cli", "findings", "station"];

/// Lines of a file, and of a function from `fn` to its closing brace.
const MOST_LINES: usize = 500;
const MOST_OF_A_FUNCTION: usize = 80;

/// Faults outside the rooms that may still have them, and rooms of the list that have none any more.
fn judge(faults: &BTreeMap<String, String>, rooms: &[&str]) {
    let room = |file: &str| {
        file.split(['/', '.'])
            .next()
            .unwrap_or_default()
            .to_string()
    };
    let new: Vec<String> = faults
        .iter()
        .filter(|(file, _)| !rooms.contains(&room(file).as_str()))
        .map(|(file, fault)| format!("{file} {fault}"))
        .collect();
    assert!(new.is_empty(), "{}", new.join("\n"));
    let left: BTreeSet<String> = faults.keys().map(|file| room(file)).collect();
    let mended: Vec<_> = rooms.iter().filter(|r| !left.contains(**r)).collect();
    assert!(mended.is_empty(), "off the list by now: {mended:?}");
}

#[test]
fn files_import_each_other_in_no_ring() {
    let crate_files = CrateFiles::read();
    let imports: BTreeMap<&str, BTreeSet<&str>> = crate_files.imports();
    let reached = |start: &str| {
        let mut open: Vec<&str> = imports[start].iter().copied().collect();
        let mut seen = BTreeSet::new();
        while let Some(file) = open.pop() {
            if seen.insert(file) {
                open.extend(&imports[file]);
            }
        }
        seen
    };
    let ring: BTreeSet<&str> = imports
        .keys()
        .copied()
        .filter(|file| reached(file).contains(file))
        .collect();
    let faults = ring.iter().map(|file| {
        let to: Vec<&str> = imports[file].intersection(&ring).copied().collect();
        (
            file.to_string(),
            format!("stands in a ring with {}", to.join(", ")),
        )
    });
    judge(&faults.collect(), &ROOMS_WITH_RINGS);
}

/// The files of the crate by the path of their module: "sheets::words".
struct CrateFiles {
    /// File name below `src`, and its code without comments, strings and tests.
    files: BTreeMap<String, (String, String)>,
}

impl CrateFiles {
    fn read() -> CrateFiles {
        let mut files = BTreeMap::new();
        for (path, text) in sources() {
            let below = path
                .strip_prefix(concat!(env!("CARGO_MANIFEST_DIR"), "/src"))
                .expect("below src");
            let name = below.to_string_lossy().replace('\\', "/");
            if ["lib.rs", "main.rs", "build.rs"].contains(&name.as_str()) {
                continue;
            }
            let module = name.trim_end_matches(".rs").trim_end_matches("/mod");
            let code = text.split("#[cfg(test)]").next().unwrap_or_default();
            files.insert(module.replace('/', "::"), (name, bare(code)));
        }
        CrateFiles { files }
    }

    /// For each file those it imports from. What a `mod.rs` only passes on (`pub use`) counts for the file it comes from.
    fn imports(&self) -> BTreeMap<&str, BTreeSet<&str>> {
        let mut all = BTreeMap::new();
        for (module, (name, code)) in &self.files {
            let own = uses(code, false).into_iter().chain(paths(code));
            let targets = own
                .filter_map(|path| self.follow(&absolute(module, &path)?, 0))
                .filter(|target| *target != name.as_str())
                .collect();
            all.insert(name.as_str(), targets);
        }
        all
    }

    /// The file in which the thing of this path is written.
    fn follow(&self, path: &[String], depth: usize) -> Option<&str> {
        // The longest head of the path that is a file.
        let most = (1..=path.len())
            .rev()
            .find(|n| self.files.contains_key(&path[..*n].join("::")))?;
        let module = path[..most].join("::");
        let (name, code) = &self.files[&module];
        if depth < 8
            && let Some(item) = path.get(most)
        {
            for used in uses(code, true) {
                let last = used.rsplit("::").next().unwrap_or_default();
                if (last == item || last == "*")
                    && let Some(mut to) = absolute(&module, &used)
                {
                    if last == "*" {
                        to.pop();
                        to.push(item.clone());
                        let parent = to[..to.len() - 1].join("::");
                        let there = self.files.get(&parent);
                        if !there.is_some_and(|(_, code)| defines(code, item)) {
                            continue;
                        }
                    }
                    return self.follow(&to, depth + 1);
                }
            }
        }
        Some(name)
    }
}

/// Code without what stands in comments and strings.
fn bare(code: &str) -> String {
    let mut out = String::with_capacity(code.len());
    for line in code.lines() {
        let mut rest = line;
        let mut in_string = false;
        while let Some(c) = rest.chars().next() {
            if !in_string && rest.starts_with("//") {
                break;
            }
            if in_string && c == '\\' {
                rest = rest.get(2..).unwrap_or_default();
                continue;
            }
            if c == '"' && !rest.starts_with("\"'") {
                in_string = !in_string;
            } else if !in_string {
                out.push(c);
            }
            rest = &rest[c.len_utf8()..];
        }
        out.push('\n');
    }
    out
}

/// True when a public thing of that name is written here.
fn defines(code: &str, item: &str) -> bool {
    ["fn", "struct", "enum", "const", "type", "trait", "static"]
        .iter()
        .any(|kind| {
            let text = format!("{kind} {item}");
            code.match_indices(&text).any(|(at, _)| {
                !code[at + text.len()..].starts_with(|c: char| c.is_alphanumeric() || c == '_')
            })
        })
}

/// Every path that a `use` names, `{...}` taken apart, `self` and `as` names left out: those passed on, or the others.
fn uses(code: &str, passed_on: bool) -> Vec<String> {
    let mut all = Vec::new();
    for statement in code.split_inclusive(';') {
        let Some(at) = statement.rfind("use ") else {
            continue;
        };
        let before = statement[..at]
            .rsplit('\n')
            .next()
            .unwrap_or_default()
            .trim();
        let is_use = before.is_empty() || before.starts_with("pub");
        if is_use && before.starts_with("pub") == passed_on {
            let tree: String = statement[at + 4..]
                .trim_end_matches(';')
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ");
            spread(&tree, "", &mut all);
        }
    }
    all
}

fn spread(tree: &str, head: &str, all: &mut Vec<String>) {
    let tree = tree.trim();
    match tree.split_once('{') {
        Some((path, rest)) => {
            let head = format!("{head}{}", path.trim());
            let inner = rest.rsplit_once('}').map_or(rest, |(inner, _)| inner);
            let (mut depth, mut from) = (0, 0);
            for (at, c) in inner.char_indices().chain([(inner.len(), ',')]) {
                match c {
                    '{' => depth += 1,
                    '}' => depth -= 1,
                    ',' if depth == 0 => {
                        spread(&inner[from..at], &head, all);
                        from = at + 1;
                    }
                    _ => {}
                }
            }
        }
        None if tree.is_empty() => {}
        None => {
            let name = tree.split(" as ").next().unwrap_or_default().trim();
            let path = format!("{head}{name}");
            all.push(path.trim_end_matches("::self").to_string());
        }
    }
}

/// Paths written out in code: `super::page::write(...)`, `crate::files::text`, and `page::write(...)` where `page` is a child.
fn paths(code: &str) -> Vec<String> {
    let mut all = Vec::new();
    let children: Vec<&str> = code
        .lines()
        .filter_map(|l| l.trim().strip_suffix(';')?.split_once("mod "))
        .map(|(_, name)| name)
        .collect();
    let word = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
    for (at, _) in code.match_indices("::") {
        if code[..at].ends_with(word) {
            let start = code[..at].rfind(|c| !word(c)).map_or(0, |i| i + 1);
            let end = code[at..].find(|c| !word(c)).map_or(code.len(), |i| at + i);
            let path = code[start..end].trim_end_matches(':');
            let first = path.split("::").next().unwrap_or_default();
            let line = code[..start].rsplit('\n').next().unwrap_or_default();
            let in_use = line.contains("use ") || line.trim().is_empty() && path.ends_with(';');
            if !in_use {
                if ["super", "crate", "self"].contains(&first) {
                    all.push(path.to_string());
                } else if children.contains(&first) {
                    all.push(format!("self::{path}"));
                }
            }
        }
    }
    all
}

/// The path from the root of the crate; none for other crates.
fn absolute(module: &str, path: &str) -> Option<Vec<String>> {
    let mut base: Vec<String> = module.split("::").map(String::from).collect();
    let mut parts = path.split("::").peekable();
    match *parts.peek()? {
        "crate" => {
            base.clear();
            parts.next();
        }
        "self" => {
            parts.next();
        }
        "super" => {
            while parts.peek() == Some(&"super") {
                base.pop();
                parts.next();
            }
        }
        // In a `mod.rs` a child is named without more.
        _ => {}
    }
    base.extend(parts.map(String::from));
    Some(base)
}

#[test]
fn files_are_small_and_say_what_they_do() {
    for (path, text) in sources() {
        assert!(
            text.starts_with("//!"),
            "{} does not open with what a reader would ask of it",
            path.display()
        );
        assert!(
            text.lines().count() <= MOST_LINES,
            "{} has {} lines",
            path.display(),
            text.lines().count()
        );
    }
}

#[test]
fn functions_are_short() {
    let mut long = BTreeMap::new();
    for (path, text) in sources() {
        let below = path.strip_prefix(concat!(env!("CARGO_MANIFEST_DIR"), "/src"));
        let file = below
            .expect("below src")
            .to_string_lossy()
            .replace('\\', "/");
        let lines: Vec<&str> = text.lines().collect();
        for (at, line) in lines.iter().enumerate() {
            let head = line.trim_start();
            let indent = line.len() - head.len();
            let starts = ["fn ", "pub fn ", "const fn ", "pub const fn "]
                .iter()
                .any(|s| head.starts_with(s))
                || (head.starts_with("pub(") && head.contains(" fn "));
            // As rustfmt writes it, a function ends with the first brace as far in as its head.
            let end = format!("{}}}", " ".repeat(indent));
            if starts
                && !line.ends_with('}')
                && let Some(length) = lines[at..].iter().position(|l| *l == end)
                && length + 1 > MOST_OF_A_FUNCTION
            {
                let name = head.split("fn ").nth(1).unwrap_or_default();
                let name: String = name
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || *c == '_')
                    .collect();
                long.insert(
                    format!("{file}: {name}"),
                    format!("has {} lines", length + 1),
                );
            }
        }
    }
    judge(&long, &ROOMS_WITH_LONG_FUNCTIONS);
}

#[test]
fn no_unwrap_where_a_user_can_reach_it() {
    for (path, text) in sources() {
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        for word in [".unwrap()", ".expect(", "todo!(", "unimplemented!("] {
            assert!(!code.contains(word), "{} holds {word}", path.display());
        }
    }
}
