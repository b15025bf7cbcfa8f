//! What lies in the folder of a circuit? Sheets of each station, packs, timetables, lists and records.

use super::pack::{Part, headless};
use super::publish::{Document, Formats, StationSheets, Text, publish};
use super::rows::{Per, Reader, SHEETS};
use super::words::{Printer, Seat, Value};
use crate::circuit::blueprint::{Position, clock};
use crate::circuit::report::round::{ROUND_FILE, round};
use crate::circuit::report::{
    self, arrivals, bells, calibration, lists, mark_sheet, plan_of_print, quarantine, seats, slips,
};
use crate::circuit::{Banked, Circuit, Exposure, Form, Limbs, on_threads};
use crate::diagnostic::{Failure, Problem};
use crate::figure::{Figure, FigureStyle};
use crate::files::{OutFile, to_json_line};
use crate::typeset::{Format, PageStyle, PdfMeta};
use serde::Serialize;

pub struct Folder<'a> {
    pub printer: &'a Printer<'a>,
    pub limbs: &'a Limbs<'a>,
    pub circuit: &'a Circuit,
    pub before: &'a Exposure,
    pub page: PageStyle,
    pub formats: Formats,
    pub threads: usize,
}

/// The sheets of one station of one form.
struct Stop<'a> {
    form: usize,
    /// Where it stands on the round, as it is called there.
    number: &'a str,
    banked: &'a Banked,
    door: String,
    of_station: StationSheets,
}

impl Folder<'_> {
    /// Every file, in a fixed order. The same circuit gives the same bytes on any number of threads.
    ///
    /// # Errors
    /// What [`Printer::sheets`], [`pictures`] and [`publish`] say.
    pub fn files(&self, progress: &(dyn Fn(usize, usize) + Sync)) -> Result<Vec<OutFile>, Failure> {
        let head = report::head(self.circuit);
        let stops = self.stops(&head)?;
        let reserve = self.reserve()?;
        let mut documents = Vec::new();
        let mut pictures: Vec<(String, &Figure)> = Vec::new();
        for stop in &stops {
            let station = &stop.of_station;
            let folder = format!(
                "group_{}/{:0>2}-{}",
                self.group(stop.form),
                stop.number,
                station.code
            );
            documents.push(Document {
                name: format!("{folder}/door"),
                meta: self.notice(&head, &station.code, "c_door"),
                text: Text::Sheet(stop.door.clone()),
                figures: Vec::new(),
            });
            documents.extend(station.documents(&format!("{folder}/"), self.page));
            let figures = station.figures().into_iter();
            pictures.extend(figures.map(|(file, figure)| (format!("{folder}/{file}"), figure)));
        }
        for (folder, station) in &reserve {
            documents.extend(station.documents(folder, self.page));
            let figures = station.figures().into_iter();
            pictures.extend(figures.map(|(file, figure)| (format!("{folder}{file}"), figure)));
        }
        documents.extend(self.notices(&head)?);
        documents.extend(self.of_the_day(&head)?);
        for form in 0..self.circuit.forms.len() {
            documents.push(self.pack(&head, &stops, form));
        }
        documents.extend(self.filled(&head)?);
        let mut files = publish(&documents, &pictures, self.formats, self.threads, progress)?;
        let record = report::record(self.limbs, self.circuit, self.before);
        let key = report::marking_key(self.limbs, self.circuit, self.printer.grades());
        for (name, text) in [
            ("mark_sheet.csv", mark_sheet::mark_sheet(self.circuit)?),
            (report::KEY_FILE, to_json_line(&key)?),
            (ROUND_FILE, to_json_line(&round(self.limbs, self.circuit))?),
            ("exposure.yaml", record.text()),
        ] {
            files.push(OutFile {
                name: name.to_string(),
                bytes: text.into_bytes(),
            });
        }
        files.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(files)
    }

    fn group(&self, form: usize) -> &str {
        let group = self.circuit.blueprint.groups.get(form);
        group.map_or("", |g| g.id.as_str())
    }

    fn number(&self, position: usize) -> &str {
        let found = self.circuit.blueprint.positions.get(position);
        found.map_or("", |p| p.name.as_str())
    }

    /// Door notices and sheets of every station, rendered on all threads.
    fn stops(&self, head: &report::Head) -> Result<Vec<Stop<'_>>, Failure> {
        let all: Vec<(usize, usize, &Banked)> = self
            .circuit
            .forms
            .iter()
            .enumerate()
            .flat_map(|(f, form): (usize, &Form)| form.used().map(move |(p, b)| (f, p, b)))
            .collect();
        let style = self.printer.figure_style(self.page);
        let made = on_threads(self.threads, &all, &|&(form, position, banked)| {
            Ok(Stop {
                form,
                number: self.number(position),
                banked,
                door: self.door(head, form, position, &Times::of(banked))?,
                of_station: self.of_station(banked, &style)?,
            })
        });
        if made.len() != all.len() {
            return Err(not_made());
        }
        made.into_iter().map(|(_, stop)| stop).collect()
    }

    fn of_station(&self, banked: &Banked, style: &FigureStyle) -> Result<StationSheets, Failure> {
        let model = self.limbs.model_of(banked.site).ok_or_else(not_made)?;
        let own = (&banked.case, &banked.station);
        StationSheets::new(self.printer, model, own, style)
    }

    /// What is printed of stations that nobody meets as planned: in reserve, and for examiners before the day. With their folders.
    fn reserve(&self) -> Result<Vec<(String, StationSheets)>, Failure> {
        let style = self.printer.figure_style(self.page);
        let mut all = Vec::new();
        for (f, form) in self.circuit.forms.iter().enumerate() {
            for banked in &form.spares {
                let code = &banked.station.code;
                let folder = format!("group_{}/spare-{code}/", self.group(f));
                all.push((folder, self.of_station(banked, &style)?));
            }
        }
        if let Some(banked) = &self.circuit.calibration {
            all.push(("calibration/".to_string(), self.of_station(banked, &style)?));
        }
        Ok(all)
    }

    /// What hangs at rests, and at the doors of sittings with more time.
    fn notices(&self, head: &report::Head) -> Result<Vec<Document<'static>>, Failure> {
        let blueprint = &self.circuit.blueprint;
        let mut all = Vec::new();
        let mut add = |name: String, key: &str, text: String| {
            all.push(Document {
                name,
                meta: self.notice(head, &head.id, key),
                text: Text::Sheet(text),
                figures: Vec::new(),
            });
        };
        for (position, place) in blueprint.positions.iter().enumerate() {
            if place.station.is_none() {
                let notice = Door {
                    title: head.title.clone(),
                    group: String::new(),
                    number: place.name.clone(),
                    reading: String::new(),
                    minutes: clock::minutes(place.length),
                    next: self.next(position),
                };
                let text = self.printer.page("circuit_rest", &[("door", &notice)])?;
                add(format!("rest_{}", place.name), "c_rest", text);
            }
        }
        for (f, (form, group)) in self.circuit.forms.iter().zip(&blueprint.groups).enumerate() {
            for sitting in group.sittings.iter().filter(|s| s.extra > 0) {
                let route = blueprint.route(sitting.extra);
                for (position, banked) in form.used() {
                    let Some(place) = route.get(position) else {
                        continue;
                    };
                    let text = self.door(head, f, position, &Times::at(place))?;
                    let number = self.number(position);
                    let code = &banked.station.code;
                    add(
                        format!("group_{}/{number:0>2}-{code}/door-{}", group.id, sitting.id),
                        "c_door",
                        text,
                    );
                }
            }
        }
        Ok(all)
    }

    /// What comes after a position, in words.
    fn next(&self, position: usize) -> String {
        let positions = &self.circuit.blueprint.positions;
        let next = (position + 1) % positions.len().max(1);
        let phrase = |key| self.printer.phrase(key);
        match positions.get(next) {
            Some(p) if p.station.is_some() => phrase("c_next_station").replace("{number}", &p.name),
            _ => phrase("c_next_rest").to_string(),
        }
    }

    fn door(
        &self,
        head: &report::Head,
        form: usize,
        position: usize,
        times: &Times,
    ) -> Result<String, Failure> {
        let door = Door {
            title: head.title.clone(),
            group: self.group(form).to_string(),
            number: self.number(position).to_string(),
            reading: times.reading.clone(),
            minutes: times.minutes.clone(),
            next: self.next(position),
        };
        self.printer.page("circuit_door", &[("door", &door)])
    }

    fn meta(&self, head: &report::Head, code: &str, sheet: &str) -> PdfMeta {
        let subject = head.title.clone();
        PdfMeta {
            paper: self.page.paper,
            print: self.page.print,
            ..self.printer.edges(sheet, &head.title, subject, code)
        }
    }

    /// Of what hangs on a door.
    fn notice(&self, head: &report::Head, code: &str, sheet: &str) -> PdfMeta {
        PdfMeta {
            format: Format::Hung,
            ..self.meta(head, code, sheet)
        }
    }

    /// Timetables, report and lists.
    fn of_the_day(&self, head: &report::Head) -> Result<Vec<Document<'static>>, Failure> {
        let report = report::report(self.limbs, self.circuit);
        let lists = lists::lists(self.circuit);
        let candidates = slips::candidate_slips(self.circuit);
        let examiners = slips::examiner_slips(self.circuit);
        let bells = bells::bell_tables(self.circuit);
        let sign_in = arrivals::sign_in(self.circuit);
        let quarantine = quarantine::quarantine(self.limbs, self.circuit);
        let print = plan_of_print::plan(self.circuit);
        let legend = mark_sheet::legend(self.circuit, self.printer.grades());
        let document = |name: &str, template: &str, values: &[(&'static str, &dyn Value)]| {
            Ok(Document {
                name: name.to_string(),
                meta: self.meta(
                    head,
                    &head.id,
                    &template.replacen("circuit_", "c_title_", 1),
                ),
                text: Text::Sheet(self.printer.page(template, values)?),
                figures: Vec::new(),
            })
        };
        let mut all: Result<Vec<Document<'static>>, Failure> = [
            document(
                "blueprint_and_equality",
                "circuit_report",
                &[("r", &report)],
            ),
            document("equipment_and_patients", "circuit_lists", &[("l", &lists)]),
            document("print_plan", "circuit_print", &[("plan", &print)]),
            document("mark_sheet_legend", "circuit_legend", &[("l", &legend)]),
            document(
                "timetable_candidates",
                "circuit_candidates",
                &[("head", head), ("slips", &candidates)],
            ),
            document(
                "timetable_examiners",
                "circuit_examiners",
                &[("head", head), ("slips", &examiners)],
            ),
            document(
                "timetable_timekeeper",
                "circuit_bells",
                &[("head", head), ("tables", &bells)],
            ),
            document("sign_in", "circuit_sign_in", &[("s", &sign_in)]),
            document("labels", "circuit_labels", &[("s", &sign_in)]),
            document("quarantine", "circuit_quarantine", &[("q", &quarantine)]),
        ]
        .into_iter()
        .collect();
        if let (Some(sheet), Ok(all)) = (calibration::calibration(self.circuit), &mut all) {
            let values: &[(&'static str, &dyn Value)] = &[("c", &sheet)];
            all.push(document(
                "calibration/sheet",
                "circuit_calibration",
                values,
            )?);
        }
        all
    }

    /// What is filled in for each candidate, for each examiner in the order of the day, with number, time and position.
    fn filled(&self, head: &report::Head) -> Result<Vec<Document<'_>>, Failure> {
        let desks = seats::seats(self.circuit);
        let mut all = Vec::new();
        for row in SHEETS.iter().filter(|row| row.per == Per::Candidate) {
            let made = on_threads(self.threads, &desks, &|desk: &seats::Desk<'_>| {
                let visits = desk.visits.iter().map(|v| {
                    let seat = Seat {
                        candidate: v.candidate.clone(),
                        examiner: v.examiner.clone(),
                        start: v.start.clone(),
                        position: v.position.clone(),
                        longer: v.longer.clone(),
                    };
                    (v.station, seat)
                });
                self.printer.filled(row, visits)
            });
            for (desk, (_, sheet)) in desks.iter().zip(made) {
                all.extend(sheet?.map(|sheet| Document {
                    name: format!("{}s/{}", row.id, desk.name),
                    meta: PdfMeta {
                        code: head.id.clone(),
                        ..sheet.meta(self.page)
                    },
                    text: Text::Sheet(sheet.markdown),
                    figures: Vec::new(),
                }));
            }
        }
        Ok(all)
    }

    /// What hangs at the doors of a form. A candidate page never shares a file with answers.
    fn pack<'s>(
        &'s self,
        head: &'s report::Head,
        stops: &'s [Stop<'s>],
        form: usize,
    ) -> Document<'s> {
        let group = self.group(form);
        let key = "c_pack_candidate";
        let own = || stops.iter().filter(move |s| s.form == form);
        let part = |stop: &Stop<'_>| {
            let sheets = stop
                .of_station
                .of(Reader::Candidate)
                .map(|s| s.markdown.clone());
            // The notice stands under the heading of its station.
            let door = std::iter::once(headless(&stop.door));
            Part {
                heading: self
                    .printer
                    .phrase("c_station")
                    .replace("{number}", stop.number),
                sheets: door.chain(sheets).collect(),
            }
        };
        let row = |stop: &Stop<'_>| ContentsRow {
            number: stop.number.to_string(),
            kind: stop.banked.station.kind.label.clone(),
            code: stop.of_station.code.clone(),
            page: 0,
        };
        let contents = Contents {
            title: self.printer.phrase(key).to_string(),
            head,
            group: group.to_string(),
            rows: own().map(row).collect(),
        };
        Document {
            name: format!("pack_{group}_candidate"),
            meta: self.meta(head, &format!("{} {group}", head.id), key),
            text: Text::Pack(
                own().map(part).collect(),
                Box::new(move |pages| {
                    let mut contents = contents.clone();
                    for (row, page) in contents.rows.iter_mut().zip(pages) {
                        row.page = *page;
                    }
                    self.printer.page("circuit_contents", &[("c", &contents)])
                }),
            ),
            figures: own().flat_map(|s| s.of_station.figures()).collect(),
        }
    }
}

fn not_made() -> Failure {
    Failure::content(Problem::new("the sheets of a station could not be made"))
}

#[derive(Clone, Serialize)]
struct Contents<'s> {
    title: String,
    head: &'s report::Head,
    group: String,
    rows: Vec<ContentsRow>,
}

#[derive(Clone, Serialize)]
struct ContentsRow {
    number: String,
    kind: String,
    code: String,
    page: usize,
}

#[derive(Serialize)]
struct Door {
    title: String,
    group: String,
    number: String,
    reading: String,
    minutes: String,
    next: String,
}

/// Minutes to read and inside.
struct Times {
    reading: String,
    minutes: String,
}

impl Times {
    fn of(banked: &Banked) -> Times {
        Times {
            reading: banked.reading.to_string(),
            minutes: banked.minutes.to_string(),
        }
    }

    /// As a sitting gives them.
    fn at(place: &Position) -> Times {
        Times {
            reading: clock::minutes(place.reading),
            minutes: clock::minutes(place.length),
        }
    }
}
