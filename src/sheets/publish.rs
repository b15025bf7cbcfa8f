//! Which files come of the sheets? Documents and pictures become named PDF, SVG and Markdown files, worked on side by side.

use super::limits::longest;
use super::pack::{Part, pack};
use super::pictures::{Picture, pictures};
use super::rows::{Per, Reader};
use super::words::{Printer, Seat, Sheet};
use crate::anatomy::Model;
use crate::case::Case;
use crate::circuit::on_threads;
use crate::diagnostic::{Failure, Problem};
use crate::figure::{Figure, FigureStyle, to_svg};
use crate::files::OutFile;
use crate::station::Station;
use crate::typeset::{PageStyle, PdfMeta, lay_out_with, to_pdf_with};
use std::cmp::Reverse;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Which kinds of file are wanted; pictures stand beside Markdown only, in a PDF they are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Formats {
    pub pdf: bool,
    pub markdown: bool,
}

/// The contents page of a pack, from the page on which each part begins.
pub type Contents<'p> = Box<dyn Fn(&[usize]) -> Result<String, Failure> + Sync + 'p>;

pub enum Text<'p> {
    Sheet(String),
    /// Sheets that stand in other documents, once more and together; never as Markdown.
    Pack(Vec<Part>, Contents<'p>),
}

/// Something to print into files of one name.
pub struct Document<'p> {
    /// Path in the folder, without the ending.
    pub name: String,
    pub meta: PdfMeta,
    pub text: Text<'p>,
    pub figures: Vec<(&'p str, &'p Figure)>,
}

impl Document<'_> {
    fn length(&self) -> usize {
        match &self.text {
            Text::Sheet(markdown) => markdown.len(),
            Text::Pack(parts, _) => parts.iter().flat_map(|p| &p.sheets).map(String::len).sum(),
        }
    }

    fn pdf(&self) -> Result<Vec<u8>, Failure> {
        match &self.text {
            Text::Sheet(markdown) => to_pdf_with(markdown, &self.meta, &self.figures)
                .map_err(|problem| too_many_pages(problem, markdown)),
            Text::Pack(parts, contents) => pack(parts, &self.meta, &self.figures, contents),
        }
    }
}

fn too_many_pages(problem: Problem, markdown: &str) -> Failure {
    let long = problem.hint.is_empty();
    Failure::content(match long {
        true => problem.hint(longest(markdown)),
        false => problem,
    })
}

/// Everything that is printed about one station.
pub struct StationSheets {
    pub code: String,
    pub sheets: Vec<Sheet>,
    pub pictures: Vec<Picture>,
}

impl StationSheets {
    /// All sheets of a station, with their pictures.
    ///
    /// # Errors
    /// What [`Printer::sheets`] and [`pictures`] say.
    pub fn new(
        printer: &Printer<'_>,
        model: &Model,
        (case, station): (&Case, &Station),
        style: &FigureStyle,
    ) -> Result<StationSheets, Failure> {
        let pictures = pictures(model, case, station, style).map_err(Failure::content)?;
        Ok(StationSheets {
            code: station.code.clone(),
            sheets: printer.sheets(station, &pictures)?,
            pictures,
        })
    }

    /// The first sheet that cannot be laid out on these pages, where one is filled in with this seat.
    ///
    /// # Errors
    /// What [`Printer::filled`] says; a sheet takes more pages than it may.
    pub fn check(
        &self,
        printer: &Printer<'_>,
        station: &Station,
        page: PageStyle,
        seat: &Seat,
    ) -> Result<(), Failure> {
        for sheet in &self.sheets {
            let filled = match sheet.row.per {
                Per::Station => None,
                Per::Candidate => {
                    printer.filled(&sheet.row, [(station, seat.clone())].into_iter())?
                }
            };
            let sheet = filled.as_ref().unwrap_or(sheet);
            lay_out_with(&sheet.markdown, &sheet.meta(page), &self.figures())
                .map_err(|problem| too_many_pages(problem, &sheet.markdown))?;
        }
        Ok(())
    }

    pub fn figures(&self) -> Vec<(&str, &Figure)> {
        let all = self.pictures.iter();
        all.map(|p| (p.file.as_str(), &p.figure)).collect()
    }

    pub fn of(&self, reader: Reader) -> impl Iterator<Item = &Sheet> {
        self.sheets.iter().filter(move |s| s.row.reader == reader)
    }

    /// Each sheet by itself, in a file of this name and its id.
    pub fn documents(&self, before: &str, page: PageStyle) -> Vec<Document<'_>> {
        let document = |sheet: &Sheet| Document {
            name: format!("{before}{}", sheet.id),
            meta: sheet.meta(page),
            text: Text::Sheet(sheet.markdown.clone()),
            figures: self.figures(),
        };
        self.sheets.iter().map(document).collect()
    }
}

/// The files: of the documents as PDF, of the pictures, of the documents as Markdown. The same bytes on any number of threads; the first
/// failure in that order is told.
///
/// # Errors
/// What [`crate::typeset::to_pdf`] and [`pack`] say.
pub fn publish(
    documents: &[Document<'_>],
    pictures: &[(String, &Figure)],
    formats: Formats,
    threads: usize,
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Result<Vec<OutFile>, Failure> {
    let printed = documents.iter().filter(|_| formats.pdf).map(|d| {
        let make = Box::new(move || d.pdf()) as Make<'_>;
        (d.length(), format!("{}.pdf", d.name), make)
    });
    let drawn = pictures
        .iter()
        .filter(|_| formats.markdown)
        .map(|(name, figure)| {
            let make = Box::new(move || Ok(to_svg(figure).into_bytes())) as Make<'_>;
            (0, name.clone(), make)
        });
    let mut jobs: Vec<_> = printed.chain(drawn).enumerate().collect();
    // The long ones first, so that no thread is left with one at the end.
    jobs.sort_by_key(|(_, (length, ..))| Reverse(*length));
    let done = AtomicUsize::new(0);
    let made = on_threads(threads, &jobs, &|(place, (_, name, make))| {
        let bytes = make();
        progress(done.fetch_add(1, Ordering::Relaxed) + 1, jobs.len());
        (*place, name.clone(), bytes)
    });
    if made.len() != jobs.len() {
        return Err(Failure::content(Problem::new(
            "a sheet could not be laid out",
        )));
    }
    let mut made: Vec<_> = made.into_iter().map(|(_, file)| file).collect();
    made.sort_by_key(|(place, ..)| *place);
    let mut files = made
        .into_iter()
        .map(|(_, name, bytes)| {
            Ok(OutFile {
                name,
                bytes: bytes?,
            })
        })
        .collect::<Result<Vec<_>, Failure>>()?;
    for document in documents.iter().filter(|_| formats.markdown) {
        if let Text::Sheet(markdown) = &document.text {
            files.push(OutFile {
                name: format!("{}.md", document.name),
                bytes: markdown.clone().into_bytes(),
            });
        }
    }
    Ok(files)
}

/// Makes the bytes of one file.
type Make<'p> = Box<dyn Fn() -> Result<Vec<u8>, Failure> + Sync + 'p>;
