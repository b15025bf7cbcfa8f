//! Turns the embedded content and a user's folder into one set of named texts, the user's file winning.

use super::text::read_text;
use crate::diagnostic::{Failure, Problem};
use include_dir::{Dir, include_dir};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::Path;

static STATIONS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/stations");
static TEMPLATES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates");

/// Deepest folder and largest number of files read from a user's folder.
const MAX_DEPTH: usize = 6;
const MAX_FILES: usize = 2000;

/// One text of the content.
#[derive(Debug, Clone)]
pub struct Source {
    /// Name within the content, with `/`: `anatomy/upper_limb/muscles.yaml`, `templates/candidate.md.tera`.
    pub name: String,
    /// What messages call it: the path on the user's disk, or the name within the content.
    pub shown: String,
    pub text: Cow<'static, str>,
    /// From the user's folder.
    pub overlaid: bool,
}

/// Everything an anatomist may edit: the embedded files, overlaid by a user's folder file by file.
#[derive(Debug, Clone)]
pub struct Content {
    files: BTreeMap<String, Source>,
}

impl Content {
    /// What ships inside the program.
    pub fn embedded() -> Self {
        let mut files = BTreeMap::new();
        collect(&STATIONS, "", &mut files);
        collect(&TEMPLATES, "templates/", &mut files);
        Content { files }
    }

    /// The embedded content with the files of `folder` on top. The folder is laid out like `stations/`
    /// (`anatomy/`, `scenarios/`, `questions/`), with an optional `templates/`.
    ///
    /// # Errors
    /// Exit code 2 when `folder` is no folder, is too deep or too full, or a file is not UTF-8; 3 when it cannot be read.
    pub fn overlaid(folder: &Path) -> Result<Self, Failure> {
        let mut content = Content::embedded();
        if !folder.is_dir() {
            return Err(Failure::usage(
                Problem::new(format!("--content {}: is not a folder", folder.display()))
                    .hint("name the folder that holds your anatomy/, scenarios/ or questions/"),
            ));
        }
        let mut names = Vec::new();
        walk(folder, "", 0, &mut names)?;
        for name in names {
            let path = folder.join(&name);
            let text = read_text(&path)?;
            content.files.insert(
                name.clone(),
                Source {
                    name,
                    shown: path.display().to_string(),
                    text: Cow::Owned(text),
                    overlaid: true,
                },
            );
        }
        Ok(content)
    }

    pub fn get(&self, name: &str) -> Option<&Source> {
        self.files.get(name)
    }

    /// All files whose name starts with `prefix`, in order of name.
    pub fn under<'a>(&'a self, prefix: &'a str) -> impl Iterator<Item = &'a Source> {
        self.files
            .range(prefix.to_string()..)
            .map(|(_, s)| s)
            .take_while(move |s| s.name.starts_with(prefix))
    }

    /// A short fingerprint of all texts: the content version that a sheet prints.
    pub fn version(&self) -> String {
        let mut hash = 0xcbf2_9ce4_8422_2325_u64;
        for source in self.files.values() {
            for bytes in [source.name.as_bytes(), b"\0", source.text.as_bytes(), b"\0"] {
                hash = fnv(hash, bytes);
            }
        }
        format!("{:08x}", (hash >> 32) ^ (hash & 0xffff_ffff))
    }
}

/// FNV-1a over eight bytes at a time: fast, fixed on every machine; not for secrets.
fn fnv(mut hash: u64, bytes: &[u8]) -> u64 {
    for chunk in bytes.chunks(8) {
        let mut word = [0u8; 8];
        word[..chunk.len()].copy_from_slice(chunk);
        hash ^= u64::from_le_bytes(word) ^ (chunk.len() as u64) << 56;
        hash = hash.wrapping_mul(0x0000_0100_0000_01b3);
        hash ^= hash >> 29;
    }
    hash
}

fn collect(dir: &Dir<'static>, prefix: &str, files: &mut BTreeMap<String, Source>) {
    for file in dir.files() {
        if let (Some(path), Some(text)) = (file.path().to_str(), file.contents_utf8()) {
            let name = format!("{prefix}{}", path.replace('\\', "/"));
            files.insert(
                name.clone(),
                Source {
                    shown: name.clone(),
                    name,
                    text: Cow::Borrowed(text),
                    overlaid: false,
                },
            );
        }
    }
    for sub in dir.dirs() {
        collect(sub, prefix, files);
    }
}

fn walk(root: &Path, below: &str, depth: usize, names: &mut Vec<String>) -> Result<(), Failure> {
    let here = root.join(below);
    let shown = here.display();
    if depth > MAX_DEPTH {
        return Err(Failure::usage(
            Problem::new(format!(
                "{shown}: folders are nested more than {MAX_DEPTH} deep"
            ))
            .hint("point --content at the content folder itself"),
        ));
    }
    let entries = std::fs::read_dir(&here)
        .map_err(|e| Failure::disk(Problem::new(format!("{shown}: cannot be listed ({e})"))))?;
    let mut found = Vec::new();
    for entry in entries {
        let entry = entry
            .map_err(|e| Failure::disk(Problem::new(format!("{shown}: cannot be listed ({e})"))))?;
        // The type of the entry itself: a symbolic link is passed over, so nothing outside the folder is read.
        let kind = entry
            .file_type()
            .map_err(|e| Failure::disk(Problem::new(format!("{shown}: cannot be listed ({e})"))))?;
        if let Some(name) = entry.file_name().to_str() {
            found.push((name.to_string(), kind.is_dir(), kind.is_file()));
        }
    }
    found.sort();
    for (name, is_dir, is_file) in found {
        if name.starts_with('.') {
            continue;
        }
        let full = if below.is_empty() {
            name.clone()
        } else {
            format!("{below}/{name}")
        };
        if is_dir {
            walk(root, &full, depth + 1, names)?;
        } else if is_file && wanted(&full) {
            names.push(full);
        }
        if names.len() > MAX_FILES {
            return Err(Failure::usage(
                Problem::new(format!(
                    "{}: holds more than {MAX_FILES} content files",
                    root.display()
                ))
                .hint("point --content at the content folder itself"),
            ));
        }
    }
    Ok(())
}

fn wanted(name: &str) -> bool {
    let known = [
        "anatomy/",
        "scenarios/",
        "questions/",
        "approaches/",
        "circuits/",
    ];
    (known.iter().any(|k| name.starts_with(k)) && name.ends_with(".yaml"))
        || (name.starts_with("templates/") && name.ends_with(".tera"))
}
