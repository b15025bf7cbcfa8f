//! Turns a planned circuit into the files of its folder: sheets for each station, packs, timetables, lists and records.

use super::args::Format;
use super::circuit_parts::*;
use crate::anatomy::Model;
use crate::circuit::report::{self, lists, slips};
use crate::circuit::{Banked, Circuit, Exposure, Form};
use crate::diagnostic::{Failure, Problem};
use crate::figure::to_svg;
use crate::files::OutFile;
use crate::sheets::pack::{Part, pack};
use crate::sheets::pictures::pictures;
use crate::sheets::words::Printer;
use crate::typeset::{self, PageStyle, PdfMeta};
use std::sync::atomic::{AtomicUsize, Ordering};

pub struct Folder<'a> {
    pub printer: &'a Printer<'a>,
    pub model: &'a Model,
    pub circuit: &'a Circuit,
    pub before: &'a Exposure,
    pub page: PageStyle,
    pub formats: &'a [Format],
    pub threads: usize,
}

impl Folder<'_> {
    /// Every file, in a fixed order. The same circuit gives the same bytes on any number of threads.
    pub fn files(&self, progress: &(dyn Fn(usize, usize) + Sync)) -> Result<Vec<OutFile>, Failure> {
        let printer = self.printer;
        let head = report::head(self.circuit);
        let sheets = self.sheets(printer, &head)?;
        let mut files = Vec::new();
        let mut jobs = Vec::new();
        let markdown = self.formats.contains(&Format::Md);
        for s in &sheets {
            for (name, text, sheet_meta) in self.of_station(printer, &head, s) {
                if markdown {
                    files.push(text_file(format!("{}/{name}.md", s.folder), text.clone()));
                }
                jobs.push(Job::Sheet {
                    name: format!("{}/{name}.pdf", s.folder),
                    markdown: text,
                    meta: sheet_meta,
                    figures: s.figures(),
                });
            }
            if markdown {
                for picture in &s.pictures {
                    let svg = to_svg(&picture.figure);
                    files.push(text_file(format!("{}/{}", s.folder, picture.file), svg));
                }
            }
        }
        for (name, key, text) in self.documents(printer)? {
            if markdown {
                files.push(text_file(format!("{name}.md"), text.clone()));
            }
            jobs.push(Job::Sheet {
                name: format!("{name}.pdf"),
                markdown: text,
                meta: self.meta(printer, &head, &head.id, key),
                figures: Vec::new(),
            });
        }
        for f in 0..self.circuit.forms.len() {
            jobs.extend(self.packs(printer, &head, &sheets, f));
        }
        if self.formats.contains(&Format::Pdf) {
            files.extend(self.print(printer, jobs, progress)?);
        }
        files.push(text_file(
            "mark_sheet.csv".into(),
            slips::mark_sheet(self.circuit),
        ));
        let record = report::record(self.model, self.circuit, self.before);
        files.push(text_file("exposure.yaml".into(), record.text()));
        files.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(files)
    }

    fn group(&self, form: usize) -> &str {
        let group = self.circuit.blueprint.groups.get(form);
        group.map_or("", |g| g.id.as_str())
    }

    fn position(&self, position: usize) -> &str {
        let found = self.circuit.blueprint.positions.get(position);
        found.map_or("", |p| p.name.as_str())
    }

    /// Door notices and the three sheets of every station, rendered on all threads.
    fn sheets(&self, printer: &Printer<'_>, head: &report::Head) -> Result<Vec<Sheets>, Failure> {
        let all: Vec<(usize, usize, &Banked)> = self
            .circuit
            .forms
            .iter()
            .enumerate()
            .flat_map(|(f, form): (usize, &Form)| form.used().map(move |(p, b)| (f, p, b)))
            .collect();
        let style = printer.figure_style(self.page);
        in_order(self.threads, &all, &|(form, position, banked)| {
            let station = &banked.station;
            let pictures =
                pictures(self.model, &banked.case, station, &style).map_err(Failure::content)?;
            let mut three = printer.sheets(station, &pictures)?.into_iter();
            let (Some(candidate), Some(examiner), Some(answer)) =
                (three.next(), three.next(), three.next())
            else {
                return Err(Failure::content(Problem::new(
                    "a station lost one of its three sheets",
                )));
            };
            let name = self.position(*position);
            Ok(Sheets {
                form: *form,
                position: *position,
                folder: format!(
                    "group_{}/{name:0>2}-{}",
                    self.group(*form),
                    banked.station.code
                ),
                door: self.door(printer, head, *form, *position, banked)?,
                candidate,
                examiner,
                answer,
                pictures,
            })
        })
    }

    fn door(
        &self,
        printer: &Printer<'_>,
        head: &report::Head,
        form: usize,
        position: usize,
        banked: &Banked,
    ) -> Result<String, Failure> {
        let positions = &self.circuit.blueprint.positions;
        let next = (position + 1) % positions.len().max(1);
        let next = match positions.get(next) {
            Some(p) if p.station.is_some() => printer
                .phrase("c_next_station")
                .replace("{number}", &p.name),
            _ => printer.phrase("c_next_rest").to_string(),
        };
        let door = Door {
            title: head.title.clone(),
            group: self.group(form).to_string(),
            number: self.position(position).to_string(),
            reading: banked.reading,
            minutes: banked.minutes,
            next,
        };
        printer.page("circuit_door", &[("door", &door)])
    }

    /// Name, Markdown and page edges of the station's three files.
    fn of_station(
        &self,
        printer: &Printer<'_>,
        head: &report::Head,
        s: &Sheets,
    ) -> Vec<(&'static str, String, PdfMeta)> {
        let code = s.folder.split_once('-').map_or("", |(_, c)| c);
        let answer = format!(
            "{}\n<!-- page break -->\n\n{}",
            s.examiner.markdown, s.answer.markdown
        );
        let examiner = PdfMeta {
            sheet: printer.phrase("c_pack_station").to_string(),
            ..s.examiner.meta(code, self.page)
        };
        vec![
            (
                "door",
                s.door.clone(),
                self.meta(printer, head, code, "c_door"),
            ),
            (
                "candidate",
                s.candidate.markdown.clone(),
                s.candidate.meta(code, self.page),
            ),
            ("examiner_pack", answer, examiner),
        ]
    }

    fn meta(&self, printer: &Printer<'_>, head: &report::Head, code: &str, sheet: &str) -> PdfMeta {
        PdfMeta {
            title: format!("{} \u{2013} {}", printer.phrase(sheet), head.title),
            subject: head.title.clone(),
            language: printer.phrase("language").to_string(),
            code: code.to_string(),
            caution: printer.phrase("caution").to_string(),
            sheet: printer.phrase(sheet).to_string(),
            paper: self.page.paper,
            print: self.page.print,
        }
    }

    /// Timetables, report and lists.
    fn documents(
        &self,
        printer: &Printer<'_>,
    ) -> Result<Vec<(&'static str, &'static str, String)>, Failure> {
        let head = report::head(self.circuit);
        let report = report::report(self.model, self.circuit);
        let lists = lists::lists(self.circuit);
        let candidates = slips::candidate_slips(self.circuit);
        let examiners = slips::examiner_slips(self.circuit);
        let bells = slips::bell_tables(self.circuit);
        Ok(vec![
            (
                "blueprint_and_equality",
                "c_title_report",
                printer.page("circuit_report", &[("r", &report)])?,
            ),
            (
                "equipment_and_patients",
                "c_title_lists",
                printer.page("circuit_lists", &[("l", &lists)])?,
            ),
            (
                "timetable_candidates",
                "c_title_candidates",
                printer.page(
                    "circuit_candidates",
                    &[("head", &head), ("slips", &candidates)],
                )?,
            ),
            (
                "timetable_examiners",
                "c_title_examiners",
                printer.page(
                    "circuit_examiners",
                    &[("head", &head), ("slips", &examiners)],
                )?,
            ),
            (
                "timetable_timekeeper",
                "c_title_bells",
                printer.page("circuit_bells", &[("head", &head), ("tables", &bells)])?,
            ),
        ])
    }

    /// The two packs of a form. A candidate page never shares a file with answers.
    fn packs<'s>(
        &self,
        printer: &Printer<'_>,
        head: &'s report::Head,
        sheets: &'s [Sheets],
        form: usize,
    ) -> Vec<Job<'s>> {
        let group = self.group(form).to_string();
        let own = || sheets.iter().filter(move |s| s.form == form);
        [("candidate", false), ("examiner", true)]
            .into_iter()
            .map(|(name, answers)| {
                let key = if answers {
                    "c_pack_examiner"
                } else {
                    "c_pack_candidate"
                };
                let heading = |s: &Sheets| {
                    printer
                        .phrase("c_station")
                        .replace("{number}", self.position(s.position))
                };
                Job::Pack {
                    name: format!("pack_{group}_{name}.pdf"),
                    parts: own()
                        .map(|s| Part {
                            heading: heading(s),
                            sheets: if answers {
                                vec![s.examiner.markdown.clone(), s.answer.markdown.clone()]
                            } else {
                                // The notice stands under the heading of its station.
                                vec![headless(&s.door), s.candidate.markdown.clone()]
                            },
                        })
                        .collect(),
                    meta: self.meta(printer, head, &format!("{} {group}", head.id), key),
                    figures: own().flat_map(Sheets::figures).collect(),
                    contents: Contents {
                        title: printer.phrase(key).to_string(),
                        head,
                        group: group.clone(),
                        answers,
                        rows: own()
                            .map(|s| ContentsRow {
                                number: self.position(s.position).to_string(),
                                kind: self.kind(s),
                                code: s.folder.split_once('-').map_or("", |(_, c)| c).to_string(),
                                page: 0,
                            })
                            .collect(),
                    },
                }
            })
            .collect()
    }

    fn kind(&self, s: &Sheets) -> String {
        let form = self.circuit.forms.get(s.form);
        let banked = form
            .and_then(|f| f.stations.get(s.position))
            .and_then(Option::as_ref);
        banked.map_or(String::new(), |b| b.station.kind.label.clone())
    }

    fn print(
        &self,
        printer: &Printer<'_>,
        mut jobs: Vec<Job<'_>>,
        progress: &(dyn Fn(usize, usize) + Sync),
    ) -> Result<Vec<OutFile>, Failure> {
        // The long ones first, so that no thread is left with one at the end.
        jobs.sort_by_key(|j| matches!(j, Job::Sheet { .. }));
        let done = AtomicUsize::new(0);
        in_order(self.threads, &jobs, &|job| {
            let file = match job {
                Job::Sheet {
                    name,
                    markdown,
                    meta,
                    figures,
                } => OutFile {
                    name: name.clone(),
                    bytes: typeset::to_pdf_with(markdown, meta, figures)
                        .map_err(Failure::content)?,
                },
                Job::Pack {
                    name,
                    parts,
                    meta,
                    figures,
                    contents,
                } => OutFile {
                    name: name.clone(),
                    bytes: pack(parts, meta, figures, &|pages| {
                        let mut own = contents.clone();
                        for (row, page) in own.rows.iter_mut().zip(pages) {
                            row.page = *page;
                        }
                        printer.page("circuit_contents", &[("c", &own)])
                    })?,
                },
            };
            progress(done.fetch_add(1, Ordering::Relaxed) + 1, jobs.len());
            Ok(file)
        })
    }
}
