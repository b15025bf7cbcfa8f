//! The parts that the folder of a circuit is put together from, and the threads that do the work in order.

use crate::circuit::{on_threads, report};
use crate::diagnostic::{Failure, Problem};
use crate::figure::Figure;
use crate::files::OutFile;
use crate::sheets::pack::Part;
use crate::sheets::pictures::Picture;
use crate::sheets::words;
use crate::typeset::PdfMeta;
use serde::Serialize;

/// The Markdown of everything about one station of one form.
pub(super) struct Sheets {
    pub form: usize,
    pub position: usize,
    /// "A/03-VS-RC-1234567".
    pub folder: String,
    pub door: String,
    pub candidate: words::Sheet,
    pub examiner: words::Sheet,
    pub answer: words::Sheet,
    pub pictures: Vec<Picture>,
}

/// A PDF still to be laid out.
pub(super) enum Job<'s> {
    Sheet {
        name: String,
        markdown: String,
        meta: PdfMeta,
        figures: Vec<(&'s str, &'s Figure)>,
    },
    Pack {
        name: String,
        parts: Vec<Part>,
        meta: PdfMeta,
        figures: Vec<(&'s str, &'s Figure)>,
        contents: Contents<'s>,
    },
}

#[derive(Clone, Serialize)]
pub(super) struct Contents<'s> {
    pub title: String,
    pub head: &'s report::Head,
    pub group: String,
    pub answers: bool,
    pub rows: Vec<ContentsRow>,
}

#[derive(Clone, Serialize)]
pub(super) struct ContentsRow {
    pub number: String,
    pub kind: String,
    pub code: String,
    pub page: usize,
}

#[derive(Serialize)]
pub(super) struct Door {
    pub title: String,
    pub group: String,
    pub number: String,
    pub reading: u32,
    pub minutes: u32,
    pub next: String,
}

impl Sheets {
    pub fn figures(&self) -> Vec<(&str, &Figure)> {
        let all = self.pictures.iter();
        all.map(|p| (p.file.as_str(), &p.figure)).collect()
    }
}

pub(super) fn text_file(name: String, text: String) -> OutFile {
    OutFile {
        name,
        bytes: text.into_bytes(),
    }
}

/// Without its first heading.
pub(super) fn headless(markdown: &str) -> String {
    let mut lines = markdown.lines();
    if markdown.starts_with("# ") {
        lines.next();
    }
    lines.fold(String::new(), |all, l| all + l + "\n")
}

/// Does the work on all threads and gives the results in the order of the list; the first failure in that order wins.
pub(super) fn in_order<T: Sync, R: Send>(
    threads: usize,
    all: &[T],
    work: &(dyn Fn(&T) -> Result<R, Failure> + Sync),
) -> Result<Vec<R>, Failure> {
    let made = on_threads(threads, all, work);
    if made.len() != all.len() {
        return Err(Failure::content(Problem::new(
            "a sheet could not be laid out",
        )));
    }
    made.into_iter().map(|(_, r)| r).collect()
}
