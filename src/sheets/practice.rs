//! What stands in a practice booklet? A leaf for each case, the keys together behind all of them, each part on pages of its own.

use super::limits::longest;
use super::pictures::{Picture, key_picture, small_blank, spare_charts};
use super::publish::{Document, Formats, Text, publish};
use super::words::{Printer, Value};
use crate::anatomy::Model;
use crate::case::Level;
use crate::circuit::on_threads;
use crate::diagnostic::{Failure, Problem};
use crate::figure::Figure;
use crate::files::OutFile;
use crate::practice::{Chosen, key_rows, late, shared_out, widened, wrong};
use crate::station::{level_id, print_of};
use crate::typeset::{Format, PageStyle, PdfMeta, free_lines, lay_out_with};
use serde::Serialize;
use std::iter::repeat_n;

/// Pages beside three for each case: how to use it, index, what was practised, plan, charts.
const BESIDE: usize = 5;
/// A booklet is folded from sheets of so many pages.
const SHEET: usize = 4;

/// So many neighbours stand in a key beside every reply of the room sheet before its figure makes room for them, and so many at most where
/// it is short of room.
const LEAST: usize = 2;
const FEW: usize = 4;
/// Empty lines between hints and what lies beyond the line that is not to be passed; fewer where the back of a leaf is short of room.
const GAP: usize = 4;
/// With or without the figure, so many neighbours beside the replies, so many empty lines.
type Room = (bool, usize, usize);

/// What was trained, case by case.
const DONE: &str = "practice_done";

pub struct Booklet<'a> {
    pub printer: &'a Printer<'a>,
    pub model: &'a Model,
    pub cases: &'a [Chosen],
    pub page: PageStyle,
    pub formats: Formats,
    pub threads: usize,
}

/// What is laid out by itself and begins a page.
struct Part {
    text: String,
    /// How many it takes.
    pages: usize,
}

/// On which page each part begins, as far as pages are referred to.
#[derive(Clone, PartialEq, Serialize)]
struct Numbers {
    leaves: Vec<usize>,
    keys: Vec<usize>,
    done: usize,
    plan: usize,
}

/// A row of the index, of what was practised, and of the plan.
#[derive(Serialize)]
struct Row<'a> {
    n: usize,
    kind: &'a str,
    level: &'static str,
    minutes: u32,
    marks: u32,
    leaf: usize,
    key: usize,
    /// "left ulnar nerve at the elbow": told at the end only.
    side: &'a str,
    short: &'a str,
    patient: bool,
    idea: &'a str,
    twin: Option<Twin>,
    domains: Vec<Vec<Asked>>,
}

#[derive(Serialize)]
struct Twin {
    /// 0: in no case of this booklet.
    case: usize,
    /// What prints it, after `vivasmith station`.
    words: String,
}

#[derive(Serialize)]
struct Asked {
    number: usize,
    marks: u32,
}

impl Booklet<'_> {
    /// "VP-7Q4M9XK": which cases are in it, and nothing of them.
    pub fn code(&self) -> String {
        let codes: Vec<&str> = self.cases.iter().map(|c| c.station.code.as_str()).collect();
        format!("VP-{}", print_of(&codes.join(" ")))
    }

    /// The booklet as PDF and Markdown, and its pictures. The same cases give the same bytes on any number of threads.
    ///
    /// # Errors
    /// As [`Booklet::printed`].
    pub fn files(&self) -> Result<Vec<OutFile>, Failure> {
        let (text, meta, pictures) = self.printed()?;
        let figures = || pictures.iter().map(|p| (p.file.as_str(), &p.figure));
        let document = Document {
            name: format!("{}-practice", self.code()),
            meta,
            text: Text::Sheet(text),
            figures: figures().collect(),
        };
        let named: Vec<(String, &Figure)> = figures()
            .map(|(file, figure)| (file.to_string(), figure))
            .collect();
        publish(&[document], &named, self.formats, self.threads, &|_, _| ())
    }

    /// Its Markdown, what its file and the edges of its pages say, and the pictures that are shown.
    ///
    /// # Errors
    /// Exit code 1 when a template is wrong, or a page cannot hold what belongs on it.
    pub fn printed(&self) -> Result<(String, PdfMeta, Vec<Picture>), Failure> {
        let pictures = self.pictures()?;
        let figures: Vec<(&str, &Figure)> = pictures
            .iter()
            .flatten()
            .map(|p| (p.file.as_str(), &p.figure))
            .collect();
        let mut numbers = self.numbers(&vec![1; 3 * self.cases.len() + BESIDE]).0;
        let mut parts = self.parts(&numbers, &pictures, &figures)?;
        let found = self.numbers(&takes(&parts)).0;
        if found != numbers {
            // Larger print moves what follows; the numbers themselves move nothing.
            numbers = found;
            parts = self.parts(&numbers, &pictures, &figures)?;
        }
        let (text, total) = self.assembled(&parts)?;
        let meta = PdfMeta {
            most_pages: Some(total),
            ..self.meta()
        };
        // A figure that its key had no room for is printed nowhere.
        let mut shown: Vec<Picture> = pictures.into_iter().flatten().collect();
        shown.retain(|p| text.contains(&p.file));
        Ok((text, meta, shown))
    }

    fn meta(&self) -> PdfMeta {
        let subject = self.model.label.clone();
        let code = self.code();
        PdfMeta {
            paper: self.page.paper,
            print: self.page.print,
            format: Format::Held,
            ..self.printer.edges("p_title", &code, subject, &code)
        }
    }

    /// Of each case the chart to shade and the figure of its key; then the spare charts.
    fn pictures(&self) -> Result<Vec<Vec<Picture>>, Failure> {
        let style = self.printer.figure_style(self.page);
        let drawn = on_threads(self.threads, self.cases, &|c: &Chosen| {
            let chart = small_blank(self.model, &c.case, &c.station, &style)?;
            let key = key_picture(self.model, &c.case, &c.station, &style)?;
            Ok::<_, Problem>(chart.into_iter().chain(key).collect::<Vec<_>>())
        });
        let mut all = Vec::new();
        for (_, pictures) in drawn {
            all.push(pictures.map_err(Failure::content)?);
        }
        let spare = spare_charts(self.model, &self.code(), &style);
        all.push(spare.map_err(Failure::content)?);
        Ok(all)
    }

    /// From the pages that each part takes: where parts begin, and how many pages for notes stand before each.
    fn numbers(&self, pages: &[usize]) -> (Numbers, Vec<usize>) {
        let n = self.cases.len();
        let mut starts = Vec::new();
        let mut padding = Vec::new();
        let mut page = 1;
        for (at, takes) in pages.iter().enumerate() {
            let recto = (2..2 + 2 * n).contains(&at) && at % 2 == 0;
            padding.push(usize::from(recto && page % 2 == 0));
            page += padding.last().unwrap_or(&0);
            starts.push(page);
            page += takes;
        }
        let at = |i: usize| starts.get(i).copied().unwrap_or_default();
        let numbers = Numbers {
            leaves: (0..n).map(|i| at(2 + 2 * i)).collect(),
            keys: (0..n).map(|i| at(2 + 2 * n + i)).collect(),
            done: at(2 + 3 * n),
            plan: at(3 + 3 * n),
        };
        (numbers, padding)
    }

    /// A part, laid out. In normal print it takes one page, which is what the booklet promises; what was trained may need two.
    fn part(
        &self,
        (name, most): (String, usize),
        text: String,
        figures: &[(&str, &Figure)],
    ) -> Result<Part, Failure> {
        let layout = lay_out_with(&text, &self.meta(), figures).map_err(Failure::content)?;
        let pages = layout.pages.len();
        match pages > most && self.one_page() {
            true => Err(Failure::content(too_long(&name, &text, pages))),
            false => Ok(Part { text, pages }),
        }
    }

    fn one_page(&self) -> bool {
        !self.page.print.large && !self.page.print.spaced
    }

    /// One text, and its pages: rounded up to whole sheets by pages for notes.
    fn assembled(&self, parts: &[Part]) -> Result<(String, usize), Failure> {
        let pages = takes(parts);
        let ruled = |lines: usize| {
            let text = self.printer.page("practice_notes", &[("lines", &lines)]);
            let layout =
                |text: &String| lay_out_with(text, &self.meta(), &[]).map_err(Failure::content);
            text.and_then(|text| Ok((free_lines(&layout(&text)?, &self.meta()), text)))
        };
        let notes = ruled(1 + ruled(1)?.0)?.1;
        let (_, padding) = self.numbers(&pages);
        let mut total = pages.iter().chain(&padding).sum::<usize>();
        let last = total.next_multiple_of(SHEET) - total;
        total += last;
        let mut texts: Vec<&str> = Vec::new();
        for (part, notes_before) in parts.iter().zip(padding) {
            texts.extend(repeat_n(notes.as_str(), notes_before));
            texts.push(&part.text);
        }
        texts.extend(repeat_n(notes.as_str(), last));
        Ok((texts.join("\n<!-- page break -->\n\n"), total))
    }

    fn parts(
        &self,
        numbers: &Numbers,
        pictures: &[Vec<Picture>],
        figures: &[(&str, &Figure)],
    ) -> Result<Vec<Part>, Failure> {
        let domains = self.domains();
        let rows = self.rows(numbers, &domains);
        let spare = pictures.last().map_or(&[][..], Vec::as_slice);
        let charts: Vec<_> = spare.iter().map(Picture::line).collect();
        let page = |template: &str| {
            let text = self.printer.page(
                template,
                &[
                    ("rows", &rows),
                    ("numbers", numbers),
                    ("domains", &domains),
                    ("charts", &charts),
                ],
            )?;
            let most = 1 + usize::from(template == DONE);
            let name = format!("templates/{template}.md.tera");
            self.part((name, most), text, figures)
        };
        let numbered: Vec<(usize, &Chosen)> = self.cases.iter().enumerate().collect();
        let made = on_threads(self.threads, &numbered, &|&(i, c)| {
            let own = pictures.get(i).map_or(&[][..], Vec::as_slice);
            self.of_case(i, c, numbers, own, figures)
        });
        let (mut leaves, mut keys) = (Vec::new(), Vec::new());
        for (_, case) in made {
            let [front, back, key] = case?;
            leaves.extend([front, back]);
            keys.push(key);
        }
        let mut all = vec![page("practice_how")?, page("practice_index")?];
        all.extend(leaves);
        all.extend(keys);
        for last in [DONE, "practice_plan", "practice_charts"] {
            all.push(page(last)?);
        }
        Ok(all)
    }

    /// Front and back of the leaf, and the key.
    fn of_case(
        &self,
        i: usize,
        c: &Chosen,
        numbers: &Numbers,
        pictures: &[Picture],
        figures: &[(&str, &Figure)],
    ) -> Result<[Part; 3], Failure> {
        let station = &c.station;
        let n = i + 1;
        let key = numbers.keys.get(i).copied().unwrap_or_default();
        let shown = |shows: &str| {
            pictures
                .iter()
                .find(|p| p.shows == shows)
                .map(Picture::line)
        };
        let (chart, figure) = (shown("chart"), shown("key"));
        let (wrong, points) = (wrong(station), key_rows(station));
        let (late, replies) = (late(station), station.room.replies.len());
        let texts = |lines: &[usize], (pictured, beside, gap): Room, templates: &[&str]| {
            let figure = figure.as_ref().filter(|_| pictured);
            let wrong = wrong
                .get(..replies.saturating_add(beside))
                .unwrap_or(&wrong);
            let values: [(&'static str, &dyn Value); 9] = [
                ("n", &n),
                ("gap", &gap),
                ("key", &key),
                ("lines", &lines),
                ("chart", &chart),
                ("figure", &figure),
                ("wrong", &wrong),
                ("points", &points),
                ("late", &late),
            ];
            self.printer.pages_about(station, templates, &values)
        };
        let part = |name: &str, text: String| {
            let name = format!("{name} of case {n} ({}: {})", station.code, station.command);
            self.part((name, 1), text, figures)
        };
        let least = vec![1; station.questions.len()];
        let all = ["practice_case", "practice_hints", "practice_key"];
        let whole = (true, usize::MAX, GAP);
        let [mut front, back, key] = three(texts(&least, whole, &all)?);
        let layout =
            |text: &str| lay_out_with(text, &self.meta(), figures).map_err(Failure::content);
        let bare = layout(&front)?;
        let free = free_lines(&bare, &self.meta());
        let fits = |lines: &[usize]| {
            let text = texts(lines, whole, &all[..1])?.concat();
            Ok(layout(&text)?.pages.len() <= bare.pages.len())
        };
        let lines = match self.one_page() {
            true => shared_out(free + least.len(), &station.questions),
            false => widened(free, &station.questions, &fits)?,
        };
        if lines != least {
            front = texts(&lines, whole, &all[..1])?.concat();
        }
        let again = |room: Room, template: usize| -> Result<String, Failure> {
            Ok(texts(&least, room, &all[template..=template])?.concat())
        };
        let gaps = (1..GAP).rev().map(|gap| (true, usize::MAX, gap));
        let back = self.fitting(back, gaps, &|room| again(room, 1), figures)?;
        let rooms = shorter(chart.is_some());
        let key = self.fitting(key, rooms, &|room| again(room, 2), figures)?;
        Ok([
            part("front", front)?,
            part("back", back)?,
            part("key", key)?,
        ])
    }

    /// The text in the first of the rooms in which it keeps to its page; in the last, where it keeps to it in none.
    fn fitting(
        &self,
        mut text: String,
        rooms: impl Iterator<Item = Room>,
        make: &dyn Fn(Room) -> Result<String, Failure>,
        figures: &[(&str, &Figure)],
    ) -> Result<String, Failure> {
        for room in rooms.filter(|_| self.one_page()) {
            let layout = lay_out_with(&text, &self.meta(), figures).map_err(Failure::content)?;
            if layout.pages.len() == 1 {
                break;
            }
            text = make(room)?;
        }
        Ok(text)
    }

    /// The domains that are asked, in the order in which they first are.
    fn domains(&self) -> Vec<String> {
        let mut all: Vec<String> = Vec::new();
        for q in self.cases.iter().flat_map(|c| &c.station.questions) {
            if !all.contains(&q.domain) {
                all.push(q.domain.clone());
            }
        }
        all
    }

    fn rows(&self, numbers: &Numbers, domains: &[String]) -> Vec<Row<'_>> {
        let page = |of: &[usize], i: usize| of.get(i).copied().unwrap_or_default();
        let rows = self.cases.iter().enumerate().map(|(i, c)| {
            let s = &c.station;
            let asked = |domain: &String| {
                let own = s.questions.iter().filter(|q| q.domain == *domain);
                own.map(|q| Asked {
                    number: q.number,
                    marks: q.marks,
                })
                .collect()
            };
            Row {
                n: i + 1,
                kind: &s.kind.label,
                level: s.level.id,
                minutes: s.minutes,
                marks: s.total_marks,
                leaf: page(&numbers.leaves, i),
                key: page(&numbers.keys, i),
                side: s.patient.side,
                short: &s.lesion.short,
                patient: s.kind.patient,
                idea: &s.briefing.idea,
                twin: self.twin(c),
                domains: domains.iter().map(asked).collect(),
            }
        });
        rows.collect()
    }

    fn twin(&self, c: &Chosen) -> Option<Twin> {
        let site = self.model.sites.get(c.twin?)?;
        let case = self.cases.iter().position(|o| Some(o.site) == c.twin);
        let (kind, level) = (&c.station.kind.id, c.station.level.id);
        let level = match level == level_id(Level::Clinical) {
            true => String::new(),
            false => format!(" --level {level}"),
        };
        Some(Twin {
            case: case.map_or(0, |i| i + 1),
            words: format!("{} --kind {kind}{level}", site.id),
        })
    }
}

/// What a key leaves out, step by step: neighbours of which no reply speaks give way to the figure, and a figure to the last of them; one that
/// answers a chart gives way last.
fn shorter(charted: bool) -> impl Iterator<Item = Room> {
    let fewer = |pictured, least| (least..=FEW).rev().map(move |n| (pictured, n, GAP));
    let least = if charted { 0 } else { LEAST };
    fewer(true, least).chain(fewer(false, 0))
}

fn too_long(name: &str, text: &str, pages: usize) -> Problem {
    Problem::new(format!(
        "practice booklet, {name}: it takes {pages} pages, and may take one"
    ))
    .hint(longest(text))
}

fn takes(parts: &[Part]) -> Vec<usize> {
    parts.iter().map(|p| p.pages).collect()
}

/// The first three; what is missing is empty.
fn three(texts: Vec<String>) -> [String; 3] {
    let mut all = texts.into_iter();
    [(); 3].map(|()| all.next().unwrap_or_default())
}
