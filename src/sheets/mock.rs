//! What does a mock on a screen hold? One HTML page with both sides of each station, and the figures that its script reckons with.

use super::engine::{Dialect, engine};
use super::guard::render;
use super::house::eponyms;
use super::pictures::Picture;
use super::words::{Printer, Sheet};
use crate::circuit::report::mark_sheet::{self, letter};
use crate::circuit::report::round::{Bells, GroupRound, Visit, Way};
use crate::diagnostic::{Failure, Problem};
use crate::figure::to_inline_svg;
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
    visits: &'m [Visit],
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
    questions: Vec<QuestionData<'m>>,
}

#[derive(Serialize)]
struct QuestionData<'m> {
    marks: u32,
    domain: String,
    from: u32,
    seconds: u32,
    /// Letter and cap of each prompt, in the order they are given.
    caps: Vec<(&'static str, f64)>,
    groups: Vec<GroupData>,
    opening: &'m str,
}

#[derive(Serialize)]
struct GroupData {
    choose: Option<u32>,
    /// Marks of each point.
    points: Vec<u32>,
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
    let (css, js) = (own("templates/mock.css")?, own("templates/mock.js")?);
    let parts = mock.stations.iter().map(|shown| parts(printer, shown));
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
    context.insert("css", css);
    context.insert("js", js);
    context.insert("policy", &policy(css, js));
    let engine = Arc::new(engine(content, &printer.house, Dialect::Html)?);
    let text = render(content, &engine, "mock.html.tera", &Arc::new(context))?;
    let text = eponyms(&text, &printer.house.settings, NOWHERE);
    Ok(drawn_once(&text))
}

/// What the page may do: run this style and this script, by their digests, and ask for nothing.
fn policy(css: &str, js: &str) -> String {
    let [css, js] = [css, js].map(|text| sha256_base64(text.as_bytes()));
    format!(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; script-src 'sha256-{js}'; style-src 'sha256-{css}'; base-uri 'none'; form-action 'none'\">"
    )
}

/// Lines of pictures that are drawn again and again (outlines of a limb in each station) stand once, and are shown from there.
fn drawn_once(text: &str) -> String {
    const OPEN: &str = "<path d=\"";
    const LONG: usize = 100;
    let line = |from: usize| {
        let end = text[from..].find("/>")?;
        Some(&text[from..from + end + 2])
    };
    let lines = text.match_indices(OPEN).filter_map(|(at, _)| line(at));
    let mut met: BTreeMap<&str, usize> = BTreeMap::new();
    for line in lines.filter(|l| l.len() > LONG) {
        *met.entry(line).or_default() += 1;
    }
    met.retain(|_, times| *times > 1);
    if met.is_empty() {
        return text.to_string();
    }
    let numbers: BTreeMap<&str, usize> = met.keys().enumerate().map(|(n, l)| (*l, n)).collect();
    let mut out = String::with_capacity(text.len());
    let mut rest = 0;
    for (at, _) in text.match_indices(OPEN) {
        if let Some((line, number)) = line(at).and_then(|l| Some((l, numbers.get(l)?))) {
            out.push_str(&text[rest..at]);
            out.push_str(&format!("<use href=\"#l{number}\"/>"));
            rest = at + line.len();
        }
    }
    out.push_str(&text[rest..]);
    let named =
        |(line, n): (&&str, &usize)| line.replacen("<path", &format!("<path id=\"l{n}\""), 1);
    let all: String = numbers.iter().map(named).collect();
    let all =
        format!("<body>\n<svg class=\"unseen\" aria-hidden=\"true\"><defs>{all}</defs></svg>");
    out.replacen("<body>", &all, 1)
}

fn parts<'s>(printer: &Printer<'_>, shown: &'s Shown) -> Result<Parts<'s>, Failure> {
    let station = &shown.station;
    let sheets = printer.sheets(station, &shown.pictures)?;
    // The level at which a heading of the sheet stands on the page.
    let html = |markdown: &str, first: u8| {
        to_html(markdown, first, &|file| picture(shown, file)).map_err(Failure::content)
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
fn picture(shown: &Shown, file: &str) -> Option<String> {
    let picture = shown.pictures.iter().find(|p| p.file == file)?;
    let svg = to_inline_svg(&picture.figure);
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
    Data {
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
        visits: mock.round.as_ref().map_or(&[], |r| &r.visits),
        ways: mock.ways(),
        alone: mock.alone,
        columns: mark_sheet::columns(most.max().unwrap_or(0)),
        no_question: mark_sheet::NO_QUESTION,
    }
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

fn question<'m>(printer: &Printer<'_>, q: &'m Question) -> QuestionData<'m> {
    QuestionData {
        marks: q.marks,
        domain: printer.phrase(&format!("domain_{}", q.domain)).to_string(),
        from: q.from,
        seconds: q.seconds,
        caps: q.prompts.iter().map(|p| (letter(p.rung), p.cap)).collect(),
        groups: q.groups.iter().map(group).collect(),
        opening: &q.opening,
    }
}

fn group(group: &Group) -> GroupData {
    let marks = |own: u32| group.choose.map_or(own, |_| group.each);
    GroupData {
        choose: group.choose,
        points: group.points.iter().map(|p| marks(p.marks)).collect(),
    }
}
