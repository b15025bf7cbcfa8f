//! What stands on each sheet of a station? Fills the templates of sheets and other pages; every fixed phrase comes from
//! `templates/phrases.yaml`.

use super::engine::{Dialect, apart, engine, whole};
use super::guard::render;
use super::house::{House, eponyms, house};
use super::limits::{pages, too_long};
use super::pictures::{Picture, PictureLine, lettering};
use super::rows::{Reader, Row, SHEETS};
use crate::diagnostic::Failure;
use crate::figure::FigureStyle;
use crate::files::{Content, Grade};
use crate::station::{Station, check_candidate_picture, check_candidate_text};
use crate::typeset::{PageStyle, PdfMeta, fonts};
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};
use tera::{Context, Tera};

/// One sheet of a station, as CommonMark with tables.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    pub id: &'static str,
    pub row: Row,
    /// What its file and the edges of its pages say; of a candidate sheet nothing that the sheet does not.
    edges: PdfMeta,
    pub markdown: String,
}

impl Sheet {
    /// What its file and the edges of its pages say, on these pages.
    pub fn meta(&self, page: PageStyle) -> PdfMeta {
        PdfMeta {
            paper: page.paper,
            print: page.print,
            most_pages: Some(pages(&self.row, &self.markdown, page.print)),
            ..self.edges.clone()
        }
    }
}

/// [`Printer::figure_style`] for who prints no sheets.
///
/// # Errors
/// Exit code 2 when the phrases are no YAML of their shape; 1 when one is missing or uses what it is not given.
pub fn figure_style(content: &Content, page: PageStyle) -> Result<FigureStyle, Failure> {
    Ok(FigureStyle::new(house(content)?.phrases, fonts::width).lettered(lettering(page)))
}

/// The sheets of one station; [`Printer::sheets`] prints many.
///
/// # Errors
/// As [`Printer::new`] and [`Printer::sheets`].
pub fn sheets(content: &Content, station: &Station) -> Result<Vec<Sheet>, Failure> {
    Printer::new(content)?.sheets(station, &[])
}

/// The templates and phrases, read once for all sheets of a run.
pub struct Printer<'c> {
    pub content: &'c Content,
    /// With the templates of a station's sheets.
    engine: Arc<Tera>,
    /// With all templates.
    whole: OnceLock<Arc<Tera>>,
    pub(super) house: House,
}

impl<'c> Printer<'c> {
    /// # Errors
    /// Exit code 2 when the phrases are no YAML of their shape; 1 when a template is wrong.
    pub fn new(content: &'c Content) -> Result<Self, Failure> {
        Printer::of(content, house(content)?)
    }

    /// For sheets on a screen: what speaks of paper is said in other words.
    ///
    /// # Errors
    /// As [`Printer::new`].
    pub fn on_screen(content: &'c Content) -> Result<Self, Failure> {
        Printer::of(content, house(content)?.on_screen())
    }

    fn of(content: &'c Content, house: House) -> Result<Self, Failure> {
        Ok(Printer {
            engine: Arc::new(engine(content, &house, Dialect::Markdown)?),
            whole: OnceLock::new(),
            content,
            house,
        })
    }

    /// The template filled in.
    fn render(&self, template: &str, context: &Arc<Context>) -> Result<String, Failure> {
        let engine = match (apart(template), self.whole.get()) {
            (false, _) => &self.engine,
            (true, Some(whole)) => whole,
            (true, None) => {
                let made = whole(self.content, &self.engine, Dialect::Markdown)?;
                self.whole.get_or_init(|| Arc::new(made))
            }
        };
        render(
            self.content,
            engine,
            &format!("{template}.md.tera"),
            context,
        )
    }

    /// The grades of the global rating, best first.
    pub fn grades(&self) -> &[Grade] {
        &self.house.rating
    }

    /// A fixed phrase; empty when there is none of that key.
    pub fn phrase(&self, key: &str) -> &str {
        self.house.phrase(key)
    }

    /// What the pictures of the run share, in type as large as these pages want it.
    pub fn figure_style(&self, page: PageStyle) -> FigureStyle {
        FigureStyle::new(self.house.phrases.clone(), fonts::width).lettered(lettering(page))
    }

    /// A page by the template of that name, with its values by name.
    ///
    /// # Errors
    /// Exit code 1 when the template or a phrase is wrong.
    pub fn page(
        &self,
        template: &str,
        values: &[(&'static str, &dyn Value)],
    ) -> Result<String, Failure> {
        let mut context = Context::new();
        for (name, value) in values {
            value.put(name, &mut context);
        }
        context.insert("institution", &self.house.settings.institution);
        Ok(tidy(&self.render(template, &Arc::new(context))?))
    }

    /// A part of a sheet by its template.
    ///
    /// # Errors
    /// Exit code 1 when the template or a phrase is wrong.
    pub fn part(&self, template: &str, station: &Station) -> Result<String, Failure> {
        let context = Arc::new(self.context(station, &[]));
        Ok(tidy(&self.render(template, &context)?))
    }

    /// Pages about one station, spelt as its sheets are; what they share is made once.
    ///
    /// # Errors
    /// As [`Printer::page`].
    pub fn pages_about(
        &self,
        station: &Station,
        templates: &[&str],
        values: &[(&'static str, &dyn Value)],
    ) -> Result<Vec<String>, Failure> {
        let mut context = self.context(station, &[]);
        for (name, value) in values {
            value.put(name, &mut context);
        }
        let context = Arc::new(context);
        let pages = templates.iter().map(|template| {
            let text = self.render(template, &context)?;
            Ok(tidy(&eponyms(&text, &self.house.settings, NO_SOURCES)))
        });
        pages.collect()
    }

    /// Every sheet of a station, with the pictures that stand beside them.
    ///
    /// # Errors
    /// As [`Printer::sheet`].
    pub fn sheets(&self, station: &Station, pictures: &[Picture]) -> Result<Vec<Sheet>, Failure> {
        self.some(station, pictures, |_| true)
    }

    /// Some of the sheets of a station.
    ///
    /// # Errors
    /// As [`Printer::sheet`].
    pub fn some(
        &self,
        station: &Station,
        pictures: &[Picture],
        asked: fn(&Row) -> bool,
    ) -> Result<Vec<Sheet>, Failure> {
        let context = Arc::new(self.context(station, pictures));
        let own = SHEETS
            .iter()
            .filter(|row| asked(row) && row.is_for(station));
        own.map(|row| self.fill(row, station, pictures, &context))
            .collect()
    }

    /// One sheet of a station.
    ///
    /// # Errors
    /// Exit code 1 when a template or a phrase is wrong, or when a sheet for the candidate gives the answer away or takes too
    /// long to read.
    pub fn sheet(
        &self,
        row: &Row,
        station: &Station,
        pictures: &[Picture],
    ) -> Result<Sheet, Failure> {
        let context = Arc::new(self.context(station, pictures));
        self.fill(row, station, pictures, &context)
    }

    /// The sheet of each of these visits, filled in; all are sides of one file.
    ///
    /// # Errors
    /// As [`Printer::sheet`].
    pub fn filled<'s>(
        &self,
        row: &Row,
        visits: impl Iterator<Item = (&'s Station, Seat)>,
    ) -> Result<Option<Sheet>, Failure> {
        let mut all: Option<Sheet> = None;
        // Who marks a station sees one candidate after the other: what all their sheets share is made once.
        let mut shared: Option<(&Station, Context)> = None;
        for (station, seat) in visits {
            let known = shared.take().filter(|(of, _)| std::ptr::eq(*of, station));
            let (_, context) = shared.insert(match known {
                Some(known) => known,
                None => (station, self.context(station, &[])),
            });
            let mut context = context.clone();
            context.insert("seat", &seat);
            let sheet = self.fill(row, station, &[], &Arc::new(context))?;
            match &mut all {
                None => all = Some(sheet),
                Some(before) => {
                    before.markdown.push_str("\n<!-- page break -->\n\n");
                    before.markdown.push_str(&sheet.markdown);
                }
            }
        }
        Ok(all)
    }

    /// What every template of a sheet may use.
    fn context(&self, station: &Station, pictures: &[Picture]) -> Context {
        let beside = |id: &str| -> Vec<PictureLine> {
            let shown = pictures.iter().filter(|p| p.sheets.contains(&id));
            shown.map(Picture::line).collect()
        };
        let by_sheet: BTreeMap<&str, Vec<PictureLine>> =
            SHEETS.iter().map(|row| (row.id, beside(row.id))).collect();
        let mut context = Context::new();
        context.insert("station", station);
        context.insert("rating", &self.house.rating);
        context.insert("pictures", &by_sheet);
        context.insert("institution", &self.house.settings.institution);
        context.insert("seat", &Seat::default());
        context.insert("stop", &station.stop());
        context
    }

    fn fill(
        &self,
        row: &Row,
        station: &Station,
        pictures: &[Picture],
        context: &Arc<Context>,
    ) -> Result<Sheet, Failure> {
        let house = &self.house;
        let text = self.render(row.template, context)?;
        let sources = format!("\n## {}\n", house.phrase("sources"));
        let markdown = tidy(&eponyms(&text, &house.settings, &sources));
        if row.reader == Reader::Candidate {
            let mut problems = check_candidate_text(station, &markdown);
            for picture in pictures.iter().filter(|p| p.sheets.contains(&row.id)) {
                let text = picture.text();
                problems.extend(check_candidate_picture(station, &picture.file, &text));
            }
            if !problems.is_empty() {
                return Err(Failure::Content(problems));
            }
        }
        if let Some(problem) = too_long(row, &station.code, &markdown) {
            return Err(Failure::content(problem));
        }
        let subject = format!("{} \u{2013} {}", station.kind.label, station.region);
        let title = format!("title_{}", row.id);
        Ok(Sheet {
            id: row.id,
            row: *row,
            edges: PdfMeta {
                // The sheets of a station say their caution themselves.
                caution: String::new(),
                format: row.format,
                ..self.edges(&title, &station.code, subject, &station.code)
            },
            markdown,
        })
    }

    /// What the edges of pages say: the sheet by its phrase, what it is about, and a code.
    pub fn edges(&self, sheet: &str, about: &str, subject: String, code: &str) -> PdfMeta {
        let phrase = |key| self.phrase(key).to_string();
        PdfMeta {
            title: format!("{} \u{2013} {about}", self.phrase(sheet)),
            subject,
            language: phrase("language"),
            code: code.to_string(),
            caution: phrase("caution"),
            sheet: phrase(sheet),
            numbering: phrase("page_of"),
            ..PdfMeta::default()
        }
    }
}

/// No page holds this: all of it is spelt as the house does.
const NO_SOURCES: &str = "\0";

/// Who sits where, filled in on the sheets of a circuit.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Seat {
    pub candidate: String,
    pub examiner: String,
    pub start: String,
    /// As it is called on the round.
    pub position: String,
    /// Minutes inside, where the sitting gives more time than the station has; else empty.
    pub longer: String,
}

/// Anything that a template can read.
pub trait Value {
    fn put(&self, name: &'static str, context: &mut Context);
}

impl<T: Serialize> Value for T {
    fn put(&self, name: &'static str, context: &mut Context) {
        context.insert(name, self);
    }
}

/// No blank at the end of a line, never two empty lines, one line break at the end.
fn tidy(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut empty = true;
    for line in text.lines().map(str::trim_end) {
        if line.is_empty() && empty {
            continue;
        }
        empty = line.is_empty();
        out.push_str(line);
        out.push('\n');
    }
    while out.ends_with("\n\n") {
        out.pop();
    }
    out
}
