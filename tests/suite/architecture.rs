//! Keeps the order of the modules, one home for each outside crate, and small files.

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
        ("serde_yaml", "files"),
        ("saphyr_parser", "files"),
        ("include_dir", "files"),
        ("tera", "sheets"),
        ("pulldown_cmark", "typeset"),
        ("printpdf", "typeset"),
        ("lopdf", "typeset"),
        ("allsorts", "typeset"),
        ("dejavu", "typeset"),
        ("flate2", "typeset"),
        ("rand", "case"),
        ("strsim", "diagnostic"),
        ("microlp", "circuit"),
        ("serde_json", "cli"),
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
            if used && module != home {
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

#[test]
fn files_are_small_and_say_what_they_do() {
    for (path, text) in sources() {
        assert!(
            text.starts_with("//!"),
            "{} does not open with what it turns into what",
            path.display()
        );
        assert!(
            text.lines().count() <= 500,
            "{} has {} lines",
            path.display(),
            text.lines().count()
        );
    }
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
