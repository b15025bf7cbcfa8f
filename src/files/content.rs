//! Which texts is everything made of? The embedded content with a user's folder on top, the user's file winning.

use super::locate::{Places, Step};
use super::shipped::{SHIPPED, Shipped};
use super::text::read_text;
use super::text_mark::text_mark;
use super::walk::{FOLDERS, walk};
use crate::diagnostic::{Failure, Place, Problem, did_you_mean};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::Path;

const LAYOUT: &str = "content stands in anatomy/REGION/, scenarios/, questions/, teaching/REGION/, approaches/, circuits/ or own/ (.yaml), templates/ (.md.tera, phrases*.yaml) or settings.yaml";

/// Most text read from a user's folder, in bytes.
const MAX_TOTAL: usize = 32 * 1024 * 1024;

/// End of the name of a file that adds to the shipped file of the same name, or corrects single entries of it.
const EXTRA: &str = ".extra.yaml";

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
    pub(super) places: Places,
    /// The text is this one of the program's own.
    shipped: Option<&'static Shipped>,
}

impl Source {
    /// A text of the user's.
    pub fn new(name: impl Into<String>, shown: impl Into<String>, text: String) -> Self {
        Source {
            name: name.into(),
            shown: shown.into(),
            text: Cow::Owned(text),
            overlaid: true,
            places: Places::default(),
            shipped: None,
        }
    }

    fn shipped(file: &'static Shipped) -> Self {
        Source {
            name: file.name.to_string(),
            shown: file.name.to_string(),
            text: Cow::Borrowed(file.text),
            overlaid: false,
            places: Places::default(),
            shipped: Some(file),
        }
    }

    /// Adds to another file instead of replacing it: `muscles.extra.yaml`.
    pub fn is_extra(&self) -> bool {
        self.name.ends_with(EXTRA)
    }

    /// What the build made of this text, when it is a shipped one.
    pub(super) fn json(&self) -> Option<&'static [u8]> {
        self.shipped?.json
    }

    fn mark(&self) -> u64 {
        self.shipped
            .map_or_else(|| text_mark(&self.text), |file| file.mark)
    }

    /// The name of the file that an extra file adds to.
    pub fn extends(&self) -> Option<String> {
        self.name
            .strip_suffix(EXTRA)
            .map(|stem| format!("{stem}.yaml"))
    }
}

/// Where the value at the end of `path` starts; when the path ends early, where its last known step stands.
pub fn locate(source: &Source, path: &[Step]) -> Place {
    let (line, column) = source.places.of(&source.text, path);
    Place {
        file: source.shown.clone(),
        line,
        column,
    }
}

/// Everything an anatomist may edit: the embedded files, overlaid by a user's folder file by file.
#[derive(Debug, Clone)]
pub struct Content {
    files: BTreeMap<String, Source>,
    unread: Vec<Problem>,
    /// The user's folder as it was named.
    folder: Option<String>,
}

impl Content {
    /// What ships inside the program.
    pub fn embedded() -> Self {
        let files = SHIPPED.iter().map(Source::shipped);
        Content {
            files: files.map(|s| (s.name.clone(), s)).collect(),
            unread: Vec::new(),
            folder: None,
        }
    }

    /// One shipped file.
    pub fn shipped(name: &str) -> Option<Source> {
        let at = SHIPPED.binary_search_by(|file| file.name.cmp(name)).ok()?;
        SHIPPED.get(at).map(Source::shipped)
    }

    /// The embedded content with the files of `folder` on top. The folder is laid out like `stations/`
    /// (`anatomy/`, `scenarios/`, `questions/`, `circuits/`), with an optional `own/`, `templates/` and `settings.yaml`.
    ///
    /// # Errors
    /// Exit code 2 when `folder` is no folder, is too deep or too full, or holds a link or files that are no UTF-8 text (all of
    /// these at once); 3 when it cannot be read.
    pub fn overlaid(folder: &Path) -> Result<Self, Failure> {
        let mut content = Content::embedded();
        if !folder.is_dir() {
            return Err(Failure::usage(
                Problem::new(format!("--content {}: is not a folder", folder.display()))
                    .hint("name the folder that holds your anatomy/, scenarios/ or questions/"),
            ));
        }
        let found = walk(folder)?;
        content.folder = Some(folder.display().to_string());
        let mut failures = Vec::new();
        let mut total = 0;
        for name in found.names {
            let path = folder.join(&name);
            let text = match read_text(&path) {
                Ok(text) => text,
                Err(failure) => {
                    failures.push(failure);
                    continue;
                }
            };
            total += text.len();
            if total > MAX_TOTAL {
                failures.push(Failure::usage(
                    Problem::new(format!(
                        "{}: holds more than {} MiB of content",
                        folder.display(),
                        MAX_TOTAL >> 20
                    ))
                    .hint("keep only your own files here: the shipped ones are always there"),
                ));
                break;
            }
            content.insert(&name, &path.display().to_string(), text);
        }
        let unread = found.unread.iter();
        content.unread = unread
            .map(|name| {
                let shown = folder.join(name).display().to_string();
                Problem::new(format!(
                    "{shown}: nothing reads a file or folder of this place and name"
                ))
                .hint(content.place_for(name))
            })
            .collect();
        match Failure::of_all(failures) {
            None => Ok(content),
            Some(failure) => Err(failure),
        }
    }

    /// YAML files and templates of the user's folder that stand where nothing reads them.
    pub fn unread(&self) -> &[Problem] {
        &self.unread
    }

    /// Where a file that nothing reads should lie.
    fn place_for(&self, name: &str) -> String {
        let (folder, file) = name.rsplit_once('/').unwrap_or(("", name));
        if file.is_empty() {
            let known = FOLDERS.map(|f| f.trim_end_matches('/'));
            return did_you_mean(folder, known, LAYOUT);
        }
        let lower = file.to_ascii_lowercase();
        let (stem, end) = lower.split_once('.').unwrap_or((&lower, ""));
        let plain = format!("{stem}.{}", end.replace("yml", "yaml"));
        let shipped = |s: &&Source| {
            let own = s.name.rsplit('/').next().unwrap_or_default();
            let extended = plain.strip_suffix(EXTRA);
            own == plain || extended.is_some_and(|stem| own.strip_suffix(".yaml") == Some(stem))
        };
        let homes = self.files.values().filter(|s| !s.overlaid).filter(shipped);
        let homes: Vec<String> = homes
            .filter_map(|s| Some(format!("{}/{plain}", s.name.rsplit_once('/')?.0)))
            .collect();
        match homes.is_empty() {
            false => format!("move it to {} in your content folder", homes.join(" or ")),
            true if plain != file && !folder.is_empty() => format!("call it {folder}/{plain}"),
            true => LAYOUT.to_string(),
        }
    }

    /// The file that adds to, or corrects entries of, the file of this name: `anatomy/upper_limb/muscles.extra.yaml`.
    pub fn extra_of(&self, name: &str) -> Option<&Source> {
        let stem = name.strip_suffix(".yaml")?;
        self.get(&format!("{stem}{EXTRA}"))
    }

    /// One more file on top, as if it stood in the user's folder.
    pub fn insert(&mut self, name: &str, shown: &str, text: String) {
        self.files
            .insert(name.to_string(), Source::new(name, shown, text));
    }

    /// Every file there is, in order of name.
    pub fn all(&self) -> impl Iterator<Item = &Source> {
        self.files.values()
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

    /// How a command names the user's folder: " --content DIR", or nothing when there is none.
    pub fn argument(&self) -> String {
        match &self.folder {
            None => String::new(),
            Some(folder)
                if folder.contains(|c: char| c.is_whitespace() || "'\"$`\\&;()".contains(c)) =>
            {
                format!(" --content '{}'", folder.replace('\'', "'\\''"))
            }
            Some(folder) => format!(" --content {folder}"),
        }
    }

    /// A short fingerprint of all texts that can change a drawn station: the content version that a sheet prints. Stations of
    /// a teacher's own, blueprints, the starters of `vivasmith new` and the page of a mock change no other station.
    pub fn version(&self) -> String {
        self.fingerprint(None)
    }

    /// [`Content::version`] for a station of a teacher's own: its file counts too.
    pub fn version_with(&self, own: &Source) -> String {
        self.fingerprint(Some(own))
    }

    fn fingerprint(&self, own: Option<&Source>) -> String {
        let mut all = String::new();
        let apart = ["own/", "circuits/", "templates/new/", "templates/mock."];
        for source in self.files.values() {
            let counts = own.is_some_and(|own| own.name == source.name);
            if !counts && apart.iter().any(|folder| source.name.starts_with(folder)) {
                continue;
            }
            all.push_str(&source.name);
            all.push_str(&format!(" {:x}\n", source.mark()));
        }
        let mark = text_mark(&all);
        format!("{:08x}", (mark >> 32) ^ (mark & 0xffff_ffff))
    }
}
