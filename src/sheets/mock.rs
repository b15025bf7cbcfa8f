//! What does a mock on a screen hold? One HTML page with both sides of each station, and the figures that its script reckons with.

use super::engine::{Dialect, engine};
use super::guard::render;
use super::house::eponyms;
use super::pictures::Picture;
use super::rows::Row;
use super::words::{Printer, Sheet};
use crate::circuit::report::mark_sheet::{self, letter};
use crate::circuit::report::round::{Bells, GroupRound, Way};
use crate::diagnostic::{Failure, Problem};
use crate::figure::Album;
use crate::files::{sha256_base64, to_json_line};
use crate::station::{Group, Question, Station, blank};
use crate::typeset::html::to_html;
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::Arc;
use tera::Context;

/// A station with the pictures of its sheets.
pub struct Shown {
    pub station: Station,
    pub pictures: Vec<Picture>,
}

/// One mock: a station alone, or the round of a group of a circuit.
pub struct Mock {
    /// What marks are kept under: the code of the station or the circuit.
    pub code: String,
    /// Of a circuit; empty for a station alone.
    pub title: String,
    pub stations: Vec<Shown>,
    pub round: Option<GroupRound>,
    /// Of a station alone.
    pub alone: Option<Bells>,
}

impl Mock {
    fn ways(&self) -> &[Way] {
        self.round.as_ref().map_or(&[], |r| &r.ways)
    }
}

/// Seconds before the end of a station alone at which the bell warns. Common practice, no source.
const WARNING: u32 = 60;

/// The bells of a station alone.
pub fn alone_bells(station: &Station) -> Bells {
    let begin = 60 * station.reading_minutes;
    let stop = begin + 60 * station.minutes;
    Bells {
        read: 0,
        begin,
        warn: stop.saturating_sub(WARNING).max(begin),
        stop,
    }
}

/// The parts of a station that come from its printed sheets.
#[derive(Serialize)]
struct Parts<'s> {
    station: &'s Station,
    candidate: String,
    lookup: String,
    /// Empty where nobody plays the patient.
    card: String,
    answer: String,
    /// The candidate has something to draw on.
    draws: bool,
}

/// What the script reckons with.
#[derive(Serialize)]
struct Data<'m> {
    code: &'m str,
    words: BTreeMap<&'m str, &'m str>,
    /// Best first.
    grades: Vec<&'m str>,
    stations: Vec<StationData<'m>>,
    /// When reading begins by the clock of the day, and the bells of it.
    calls: Vec<(&'m str, Bells)>,
    /// The words of the mark sheet's first columns.
    cells: Vec<&'m str>,
    /// Of each visit its station, its call and its cells, by their numbers.
    visits: Vec<(Option<usize>, usize, Vec<usize>)>,
    ways: &'m [Way],
    alone: Option<Bells>,
    columns: Vec<String>,
    no_question: &'static str,
}

#[derive(Serialize)]
struct StationData<'m> {
    code: &'m str,
    begin_again: String,
    total: u32,
    questions: Vec<QuestionData>,
}

#[derive(Serialize)]
struct QuestionData {
    marks: u32,
    domain: String,
    from: u32,
    seconds: u32,
    /// Letter and cap of each prompt, in the order they are given.
    caps: Vec<(&'static str, f64)>,
    /// Of each group how many of its points count (all where nothing is said), and the marks of each point.
    groups: Vec<(Option<u32>, Vec<u32>)>,
}

/// What stands in no page: eponyms are spelled to its end.
const NOWHERE: &str = "\0";

/// Phrases that the script says begin so.
const SPOKEN: &str = "mock_say_";

/// The page. The same mock gives the same bytes.
///
/// # Errors
/// As [`Printer::sheets`], and when the template of the page is wrong.
pub fn page(printer: &Printer<'_>, mock: &Mock) -> Result<String, Failure> {
    let content = printer.content;
    let own = |name: &str| {
        let missing = || {
            Failure::content(
                Problem::new(format!("the content has no file {name}"))
                    .hint("put the shipped file back, or leave --content out"),
            )
        };
        content.get(name).map(|s| s.text.trim()).ok_or_else(missing)
    };
    let pictures = mock.stations.iter().flat_map(|s| &s.pictures);
    let album = Album::new(&pictures.map(|p| &p.figure).collect::<Vec<_>>());
    let css = bare(own("templates/mock.css")?) + &album.style;
    let js = bare(own("templates/mock.js")?);
    let mut svgs = album.svgs.into_iter();
    let parts = mock.stations.iter().map(|shown| {
        let own: Vec<String> = svgs.by_ref().take(shown.pictures.len()).collect();
        parts(printer, shown, &own)
    });
    let parts = parts.collect::<Result<Vec<_>, Failure>>()?;
    let data = to_json_line(&data(printer, mock))?;
    let mut context = Context::new();
    context.insert("code", &mock.code);
    context.insert("title", &mock.title);
    context.insert("stations", &parts);
    context.insert("ways", mock.ways());
    context.insert("rating", printer.grades());
    context.insert("institution", &printer.house.settings.institution);
    // No element begins within it, so none can end it.
    context.insert("data", &data.trim().replace('<', "\\u003c"));
    context.insert("pictures", &album.shared);
    context.insert("css", &css);
    context.insert("js", &js);
    context.insert("policy", &policy(&css, &js));
    let engine = Arc::new(engine(content, &printer.house, Dialect::Html)?);
    let text = render(content, &engine, "mock.html.tera", &Arc::new(context))?;
    Ok(eponyms(&text, &printer.house.settings, NOWHERE))
}

/// The text without indents and comments, which help nobody who runs it.
fn bare(text: &str) -> String {
    let lines = text.lines().map(str::trim_start);
    let said = lines.filter(|line| !line.starts_with("//"));
    said.map(|line| line.to_string() + "\n").collect()
}

/// What the page may do: run this style and this script, by their digests, and ask for nothing.
fn policy(css: &str, js: &str) -> String {
    let [css, js] = [css, js].map(|text| sha256_base64(text.as_bytes()));
    format!(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; script-src 'sha256-{js}'; style-src 'sha256-{css}'; base-uri 'none'; form-action 'none'\">"
    )
}

fn parts<'s>(
    printer: &Printer<'_>,
    shown: &'s Shown,
    svgs: &[String],
) -> Result<Parts<'s>, Failure> {
    let station = &shown.station;
    // The room sheet comes alive on the page, and nobody marks others beside it.
    let shows = |row: &Row| !matches!(row.id, "room" | "briefing");
    let sheets = printer.some(station, &shown.pictures, shows)?;
    // The level at which a heading of the sheet stands on the page.
    let html = |markdown: &str, first: u8| {
        to_html(markdown, first, &|file| picture(shown, svgs, file)).map_err(Failure::content)
    };
    let sheet = |id: &str, first: u8| {
        let found = sheets.iter().find(|s: &&Sheet| s.id == id);
        found.map_or(Ok(String::new()), |s| html(&s.markdown, first))
    };
    let candidate = sheet("candidate", 1)?;
    Ok(Parts {
        draws: candidate.contains("<svg"),
        candidate,
        lookup: html(&printer.part("room_lookup", station)?, 1)?,
        card: sheet("patient", 3)?,
        answer: sheet("answer", 2)?,
        station,
    })
}

/// A picture on the page; a blank lies in an element to draw in.
fn picture(shown: &Shown, svgs: &[String], file: &str) -> Option<String> {
    let mut both = shown.pictures.iter().zip(svgs);
    let (picture, svg) = both.find(|(p, _)| p.file == file)?;
    Some(match picture.shows {
        blank::SKIN => format!("<div class=\"blank shade\">{svg}</div>\n"),
        blank::PLEXUS => format!("<div class=\"blank\">{svg}</div>\n"),
        // On a phone it is wider than the screen, and is moved by finger or keys.
        _ => format!("<figure tabindex=\"0\">{svg}</figure>\n"),
    })
}

fn data<'m>(printer: &'m Printer<'_>, mock: &'m Mock) -> Data<'m> {
    let phrases = &printer.house.phrases;
    let words = phrases.range(SPOKEN.to_string()..);
    let most = mock.stations.iter().map(|s| s.station.questions.len());
    let (mut calls, mut cells) = (Vec::new(), Vec::new());
    let planned = mock.round.as_ref().map_or(&[][..], |r| &r.visits);
    let visits = planned.iter().map(|visit| {
        let call = number(&mut calls, (visit.clock.as_str(), visit.bells));
        let own = visit.planned.iter().map(|c| number(&mut cells, c.as_str()));
        (visit.station, call, own.collect())
    });
    Data {
        visits: visits.collect(),
        calls,
        cells,
        code: &mock.code,
        words: words
            .filter_map(|(key, text)| Some((key.strip_prefix(SPOKEN)?, text.as_str())))
            .collect(),
        grades: printer.grades().iter().map(|g| g.grade.as_str()).collect(),
        stations: mock
            .stations
            .iter()
            .map(|s| station(printer, &s.station))
            .collect(),
        ways: mock.ways(),
        alone: mock.alone,
        columns: mark_sheet::columns(most.max().unwrap_or(0)),
        no_question: mark_sheet::NO_QUESTION,
    }
}

/// The number of a value in the list, where it is put if it is new.
fn number<T: PartialEq>(list: &mut Vec<T>, value: T) -> usize {
    list.iter().position(|v| *v == value).unwrap_or_else(|| {
        list.push(value);
        list.len() - 1
    })
}

fn station<'m>(printer: &Printer<'_>, station: &'m Station) -> StationData<'m> {
    StationData {
        code: &station.code,
        begin_again: again(station),
        total: station.total_marks,
        questions: station
            .questions
            .iter()
            .map(|q| question(printer, q))
            .collect(),
    }
}

/// The command for a new case of the kind: the same without its seed.
fn again(station: &Station) -> String {
    let command = station
        .command
        .replacen("vivasmith station", "vivasmith mock", 1);
    match command.split_once(" --seed ") {
        Some((before, _)) => before.to_string(),
        None => command,
    }
}

fn question(printer: &Printer<'_>, q: &Question) -> QuestionData {
    QuestionData {
        marks: q.marks,
        domain: printer.phrase(&format!("domain_{}", q.domain)).to_string(),
        from: q.from,
        seconds: q.seconds,
        caps: q.prompts.iter().map(|p| (letter(p.rung), p.cap)).collect(),
        groups: q.groups.iter().map(group).collect(),
    }
}

fn group(group: &Group) -> (Option<u32>, Vec<u32>) {
    let marks = |own: u32| group.choose.map_or(own, |_| group.each);
    let points = group.points.iter().map(|p| marks(p.marks)).collect();
    (group.choose, points)
}
