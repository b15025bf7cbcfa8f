//! What lies in the folder of results? The report of the day, results by number, and a sheet for each who took part.

use super::publish::{Document, Formats, Text, publish};
use super::words::{Printer, Value};
use crate::diagnostic::{Failure, Problem};
use crate::figure::Figure;
use crate::figure::intervals::{Interval, ROWS, intervals};
use crate::figure::marks_on_grades::{PANELS, Panel, marks_on_grades};
use crate::figure::shares::{BARS, Share, shares};
use crate::files::{OutFile, to_csv, to_yaml};
use crate::marks::feedback::{candidate_sheets, examiner_sheets, station_sheets};
use crate::marks::judgements::Judgements;
use crate::marks::learned::learned;
use crate::marks::report::{DayHead, day_head, report};
use crate::marks::results::Results;
use crate::marks::stations::StationResult;
use crate::marks::table::Day;
use crate::marks::tallies::cells;
use crate::typeset::{PageStyle, PdfMeta};
use serde::Serialize;

pub struct Folder<'a> {
    pub printer: &'a Printer<'a>,
    pub day: &'a Day<'a>,
    pub results: &'a Results,
    pub judged: &'a Judgements,
    pub page: PageStyle,
    pub formats: Formats,
    pub threads: usize,
}

/// A picture with the name of its file, and the form that it is about; empty: all.
struct Picture {
    form: String,
    /// Code of the station, where it shows one alone.
    station: String,
    file: String,
    figure: Figure,
}

/// What a template needs of a picture.
#[derive(Clone, Serialize)]
struct PictureLine<'p> {
    form: &'p str,
    file: &'p str,
    alt: &'p str,
}

/// Normal quantile of a 95 % interval.
const REACH: f64 = 1.96;

impl Folder<'_> {
    /// Every file, in a fixed order.
    ///
    /// # Errors
    /// What [`Printer::page`] and [`publish`] say, and when a picture has no room.
    pub fn files(&self, progress: &(dyn Fn(usize, usize) + Sync)) -> Result<Vec<OutFile>, Failure> {
        let head = day_head(self.day);
        let report_pictures = self.report_pictures()?;
        let station_pictures = self.station_pictures()?;
        let mut documents = vec![self.report(&head, &report_pictures)?];
        for form in 0..self.day.key.forms.len() {
            for sheet in candidate_sheets(self.day, self.results, form) {
                documents.push(self.document(
                    &head,
                    &format!("candidates/{}", sheet.id),
                    &sheet.id,
                    "candidate",
                    &[("s", &sheet)],
                )?);
            }
            for sheet in station_sheets(self.day, self.results, form) {
                let (code, group) = (&sheet.row.code, &sheet.row.form);
                let own = station_pictures
                    .iter()
                    .find(|p| p.station == *code && p.form == *group);
                let line = own.map(|p| p.line_beside());
                let name = format!("stations/group_{group}-{code}");
                let mut document = self.document(
                    &head,
                    &name,
                    code,
                    "station",
                    &[("s", &sheet), ("picture", &line)],
                )?;
                document.figures = own
                    .zip(line)
                    .map(|(p, line)| (line.file, &p.figure))
                    .into_iter()
                    .collect();
                documents.push(document);
            }
        }
        for sheet in examiner_sheets(self.day, self.results) {
            documents.push(self.document(
                &head,
                &format!("examiners/{}", sheet.id),
                &sheet.id,
                "examiner",
                &[("s", &sheet)],
            )?);
        }
        let pictures: Vec<(String, &Figure)> = report_pictures
            .iter()
            .chain(&station_pictures)
            .map(|p| (p.file.clone(), &p.figure))
            .collect();
        let mut files = publish(&documents, &pictures, self.formats, self.threads, progress)?;
        for (name, text) in [
            ("results.csv", self.table()?),
            ("learned.yaml", self.learned()?),
        ] {
            files.push(OutFile {
                name: name.to_string(),
                bytes: text.into_bytes(),
            });
        }
        files.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(files)
    }

    fn document(
        &self,
        head: &DayHead,
        name: &str,
        code: &str,
        kind: &str,
        values: &[(&'static str, &dyn Value)],
    ) -> Result<Document<'static>, Failure> {
        let title = format!("m_title_{kind}");
        Ok(Document {
            name: name.to_string(),
            meta: PdfMeta {
                paper: self.page.paper,
                print: self.page.print,
                ..self
                    .printer
                    .edges(&title, &head.title, head.title.clone(), code)
            },
            text: Text::Sheet(self.printer.page(&format!("marks_{kind}"), values)?),
            figures: Vec::new(),
        })
    }

    fn report<'p>(&self, head: &DayHead, pictures: &'p [Picture]) -> Result<Document<'p>, Failure> {
        let report = report(self.day, self.results, self.judged);
        let lines: Vec<PictureLine<'_>> = pictures.iter().map(|p| p.line()).collect();
        let made = self.document(
            head,
            "report",
            &self.day.key.circuit,
            "report",
            &[("r", &report), ("pictures", &lines)],
        )?;
        Ok(Document {
            figures: pictures
                .iter()
                .map(|p| (p.file.as_str(), &p.figure))
                .collect(),
            ..made
        })
    }

    /// Results by number, a row a candidate.
    fn table(&self) -> Result<String, Failure> {
        to_csv(&self.results.candidates)
    }

    /// What the next circuit may read.
    fn learned(&self) -> Result<String, Failure> {
        let fail = |e| {
            Failure::disk(Problem::new(format!(
                "the record of the day could not be written ({e})"
            )))
        };
        let head = "# How hard stations turned out to be. Name this file with --learned when you make the next circuit:\n\
                    # its forms are then made alike in what was found, not only in what was declared.\n";
        let record = to_yaml(&learned(self.day)).map_err(fail)?;
        Ok(format!("{head}{record}"))
    }

    fn report_pictures(&self) -> Result<Vec<Picture>, Failure> {
        let style = self.printer.figure_style(self.page);
        let mut all = Vec::new();
        for (number, form) in self.day.key.forms.iter().enumerate() {
            let panels: Vec<Panel> = self
                .of_form(number)
                .map(|(s, at)| self.panel(number, at, s))
                .collect();
            for (at, some) in panels.chunks(PANELS).enumerate() {
                let figure = marks_on_grades(some, &style).map_err(Failure::content)?;
                all.push(Picture::new(
                    &form.group,
                    format!("marks_{}_{}.svg", form.group, at + 1),
                    figure,
                ));
            }
            let rows: Vec<Share> = cells(self.day, number)
                .into_iter()
                .filter_map(|(label, won)| {
                    Some(Share {
                        name: label.to_string(),
                        won: won.percent()?,
                    })
                })
                .collect();
            for (at, some) in rows.chunks(BARS).enumerate() {
                let figure = shares(some, &style).map_err(Failure::content)?;
                all.push(Picture::new(
                    &form.group,
                    format!("cells_{}_{}.svg", form.group, at + 1),
                    figure,
                ));
            }
        }
        let known = self.results.examiners.iter().filter_map(|e| {
            Some(Interval {
                name: e.id.clone(),
                middle: e.effect?,
                half: e.se.map(|se| REACH * se),
            })
        });
        for (at, some) in known.collect::<Vec<_>>().chunks(ROWS).enumerate() {
            let figure = intervals(some, &style).map_err(Failure::content)?;
            all.push(Picture::new(
                "",
                format!("stringency_{}.svg", at + 1),
                figure,
            ));
        }
        Ok(all)
    }

    fn station_pictures(&self) -> Result<Vec<Picture>, Failure> {
        let style = self.printer.figure_style(self.page);
        let mut all = Vec::new();
        for (number, form) in self.day.key.forms.iter().enumerate() {
            for (result, at) in self.of_form(number) {
                let panel = self.panel(number, at, result);
                let figure = marks_on_grades(&[panel], &style).map_err(Failure::content)?;
                let file = format!("stations/group_{}-{}.svg", form.group, result.code);
                all.push(Picture {
                    station: result.code.clone(),
                    ..Picture::new(&form.group, file, figure)
                });
            }
        }
        Ok(all)
    }

    /// Results of the stations of a form, with their positions in the key.
    fn of_form(&self, form: usize) -> impl Iterator<Item = (&StationResult, usize)> {
        let of = self.day.key.forms.get(form);
        let group = of.map_or("", |f| f.group.as_str());
        let route = of.map_or(&[][..], |f| &f.route);
        let own = self
            .results
            .stations
            .iter()
            .filter(move |s| s.form == group);
        own.zip(route).map(|(s, (_, at))| (s, *at))
    }

    fn panel(&self, form: usize, station: usize, result: &StationResult) -> Panel {
        let line = result.cuts.borderline_regression;
        let cut = result.cuts.by(self.day.key.passing.cut);
        let title = match cut {
            Some(cut) => self
                .printer
                .phrase("m_panel")
                .replace("{code}", &result.code)
                .replace("{cut}", &format!("{cut:.2}")),
            None => result.code.clone(),
        };
        let points = self
            .day
            .at(form, station)
            .filter_map(|e| Some((e.grade? as f64, e.marks)));
        Panel {
            title,
            grades: self.day.key.grades.len(),
            border: self.day.border(),
            max: f64::from(result.max),
            points: points.collect(),
            line: line.map(|l| (l.slope, l.intercept)),
            cut,
        }
    }
}

impl Picture {
    fn new(form: &str, file: String, figure: Figure) -> Self {
        Picture {
            form: form.to_string(),
            station: String::new(),
            file,
            figure,
        }
    }

    fn line(&self) -> PictureLine<'_> {
        self.line_called(&self.file)
    }

    /// For a sheet that lies in the folder of the picture.
    fn line_beside(&self) -> PictureLine<'_> {
        self.line_called(self.file.rsplit('/').next().unwrap_or(&self.file))
    }

    fn line_called<'p>(&'p self, file: &'p str) -> PictureLine<'p> {
        PictureLine {
            form: &self.form,
            file,
            alt: &self.figure.alt,
        }
    }
}
