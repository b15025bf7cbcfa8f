//! Which files of a user's folder are content? What is no ordinary file is refused, not followed.

use crate::diagnostic::{Failure, Problem, nearest};
use std::path::Path;

/// Deepest folder and largest number of files read from a user's folder.
const MAX_DEPTH: usize = 6;
const MAX_FILES: usize = 2000;
/// Most entries looked at: a home folder named by mistake ends here.
const MAX_ENTRIES: usize = 20_000;

/// What a folder holds.
#[derive(Debug, Default)]
pub struct Found {
    /// Content files, by their name within the content.
    pub names: Vec<String>,
    /// YAML files and templates that stand where nothing reads them, and folders whose name is nearly one that is read.
    pub unread: Vec<String>,
    entries: usize,
}

/// Where content may stand, below the folder.
pub const FOLDERS: [&str; 8] = [
    "anatomy/",
    "scenarios/",
    "questions/",
    "teaching/",
    "approaches/",
    "circuits/",
    "own/",
    "templates/",
];

/// The house style, at the top of the folder.
pub const SETTINGS: &str = "settings.yaml";

/// The names of all content files below `root`, in order.
///
/// # Errors
/// Exit code 2 for a symbolic link, something that is no file, a folder too deep or too full, a name that is not UTF-8;
/// 3 when a folder cannot be listed.
pub fn walk(root: &Path) -> Result<Found, Failure> {
    let mut found = Found::default();
    below(root, "", 0, &mut found)?;
    Ok(found)
}

fn below(root: &Path, name: &str, depth: usize, found: &mut Found) -> Result<(), Failure> {
    let here = if name.is_empty() {
        root.to_path_buf()
    } else {
        root.join(name)
    };
    let shown = here.display();
    if depth > MAX_DEPTH {
        return Err(refuse(
            format!("{shown}: folders are nested more than {MAX_DEPTH} deep"),
            "point --content at the content folder itself",
        ));
    }
    let unlisted = |e: std::io::Error| {
        Failure::disk(
            Problem::new(format!("{shown}: cannot be listed ({e})"))
                .hint("check that you may read the folder"),
        )
    };
    let mut entries = Vec::new();
    for entry in std::fs::read_dir(&here).map_err(unlisted)? {
        found.entries += 1;
        if found.entries > MAX_ENTRIES {
            return Err(too_full(root));
        }
        let entry = entry.map_err(unlisted)?;
        // The type of the entry itself, so that a symbolic link shows as one.
        entries.push((entry.file_name(), entry.file_type().map_err(unlisted)?));
    }
    entries.sort_by(|a, b| a.0.cmp(&b.0));
    for (entry, kind) in entries {
        let Some(word) = entry.to_str() else {
            return Err(refuse(
                format!("{}: its name is not UTF-8", here.join(&entry).display()),
                "give the file a name of plain letters, digits and _",
            ));
        };
        if word.starts_with('.') {
            continue;
        }
        let full = if name.is_empty() {
            word.to_string()
        } else {
            format!("{name}/{word}")
        };
        let looks_like_content = wanted(&full) || readable(&full);
        if kind.is_symlink() && (looks_like_content || leads_to(&full)) {
            return Err(refuse(
                format!("{}: is a symbolic link", here.join(word).display()),
                "links are not followed, so that nothing outside the folder is read: put the file itself here",
            ));
        }
        if kind.is_dir() {
            if leads_to(&full) {
                below(root, &full, depth + 1, found)?;
            } else if depth == 0
                && nearest(word, FOLDERS.map(|f| f.trim_end_matches('/'))).is_some()
            {
                found.unread.push(format!("{word}/"));
            }
        } else if !kind.is_file() && looks_like_content {
            return Err(refuse(
                format!("{}: is no ordinary file", here.join(word).display()),
                "put a text file here",
            ));
        } else if wanted(&full) {
            found.names.push(full);
        } else if readable(&full) {
            found.unread.push(full);
        }
        if found.names.len() > MAX_FILES {
            return Err(too_full(root));
        }
    }
    Ok(())
}

fn refuse(message: String, hint: &str) -> Failure {
    Failure::usage(Problem::new(message).hint(hint))
}

fn too_full(root: &Path) -> Failure {
    refuse(
        format!(
            "{}: holds more than {MAX_FILES} content files or {MAX_ENTRIES} entries",
            root.display()
        ),
        "point --content at the content folder itself",
    )
}

/// A folder that may hold content, or a link by the name of one.
fn leads_to(name: &str) -> bool {
    FOLDERS.iter().any(|f| format!("{name}/").starts_with(f))
}

fn readable(name: &str) -> bool {
    let name = name.to_ascii_lowercase();
    [".yaml", ".yml", ".tera"].iter().any(|e| name.ends_with(e))
}

fn wanted(name: &str) -> bool {
    if name == SETTINGS {
        return true;
    }
    let Some(folder) = FOLDERS.iter().find(|f| name.starts_with(**f)) else {
        return false;
    };
    let bare = &name[folder.len()..];
    match *folder {
        "templates/" => {
            name.ends_with(".tera") || (bare.starts_with("phrases") && name.ends_with(".yaml"))
        }
        // A file of a region stands in the folder of its region.
        "anatomy/" => name.ends_with(".yaml") && bare.matches('/').count() == 1,
        _ => name.ends_with(".yaml"),
    }
}
