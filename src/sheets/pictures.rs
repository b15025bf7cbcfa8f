//! Which pictures go with the sheets of a case? Each for the sheets it serves and never for one it would spoil.

use crate::anatomy::{Model, SegmentIx};
use crate::case::{Case, Side};
use crate::diagnostic::Problem;
use crate::figure::{self, Figure, FigureStyle, Kind, Lettering, Map};
use crate::lesion::Lesion;
use crate::station::{Station, blank, by_dermatome};
use crate::typeset::{PageStyle, Paper};
use serde::Serialize;

/// A picture with the name of its file beside the Markdown.
#[derive(Debug, Clone)]
pub struct Picture {
    /// `VS-RC-7Q4M9XK-skin.svg`.
    pub file: String,
    /// "course", "skin", "outline", "skin_blank" or "plexus_blank".
    pub shows: &'static str,
    /// Ids of the sheets that show it.
    pub sheets: &'static [&'static str],
    pub figure: Figure,
}

/// What a template needs of a picture.
#[derive(Debug, Clone, Serialize)]
pub struct PictureLine {
    pub file: String,
    pub shows: &'static str,
    pub alt: String,
    /// Takes most of a page.
    pub tall: bool,
}

impl Picture {
    /// Everything that can be read in the picture or in its place.
    pub fn text(&self) -> String {
        let mut text = format!("{} \u{2013} {}", self.figure.title, self.figure.alt);
        for label in self.figure.labels() {
            text.push_str(" \u{2013} ");
            text.push_str(&label.text);
        }
        text
    }

    pub fn line(&self) -> PictureLine {
        PictureLine {
            file: self.file.clone(),
            shows: self.shows,
            alt: self.figure.alt.clone(),
            tall: self.figure.height_mm > TALL,
        }
    }
}

/// How large the type of pictures is on these pages. Where they leave less height than A4 in normal print the tallest picture is
/// made smaller, and its type shall not fall below 7 points.
pub fn lettering(page: PageStyle) -> Lettering {
    if page.print.large {
        Lettering::LARGE
    } else if page.print.spaced || page.paper == Paper::Letter {
        Lettering::new(1.15)
    } else {
        Lettering::NORMAL
    }
}

/// The blanks that the candidate has. They say nothing of the lesion: no label, no area, no mark.
///
/// # Errors
/// When the region has no charts.
pub fn blanks(
    model: &Model,
    case: &Case,
    station: &Station,
    style: &FigureStyle,
) -> Result<Vec<Picture>, Problem> {
    let kind = &station.kind;
    let drawn = drawn_blanks(model, case, &kind.blanks, kind.patient, style)?;
    Ok(named(drawn, &station.code))
}

/// [`blanks`] before the code of the station is known: their files have no names yet.
///
/// # Errors
/// As [`blanks`].
pub fn drawn_blanks(
    model: &Model,
    case: &Case,
    names: &[String],
    patient: bool,
    style: &FigureStyle,
) -> Result<Vec<Picture>, Problem> {
    let mut all = Vec::new();
    for shows in names
        .iter()
        .filter_map(|name| blank::BLANKS.into_iter().find(|b| b == name))
    {
        let figure = if shows == blank::SKIN {
            // Without a patient no side is told.
            let side = if patient {
                case.patient.side
            } else {
                Side::Right
            };
            figure::skin(model, None, Map::Peripheral, Kind::Blank, side, style)?
        } else {
            // A plexus that cannot be drawn is left out; `check` says so.
            match figure::plexus(model, None, Kind::Blank, style) {
                Ok(figure) => figure,
                Err(_) => continue,
            }
        };
        all.push(Picture {
            file: String::new(),
            shows,
            sheets: &["candidate"],
            figure,
        });
    }
    Ok(all)
}

/// The candidate's blanks; the nerve, or the plexus, for the model answer; the skin for the model answer, without names for who plays the patient. A station about
/// a nerve as such has no lesion to show.
///
/// # Errors
/// When a picture cannot be drawn: labels that find no room, a chart that misses an area.
pub fn pictures(
    model: &Model,
    case: &Case,
    station: &Station,
    style: &FigureStyle,
) -> Result<Vec<Picture>, Problem> {
    let mut all = blanks(model, case, station, style)?;
    let kind = &station.kind;
    let drawn = drawn(model, case, (kind.patient, station.card.is_some()), style)?;
    all.extend(named(drawn, &station.code));
    Ok(all)
}

/// The pictures with the code of their station in front of their names.
pub fn named(mut pictures: Vec<Picture>, code: &str) -> Vec<Picture> {
    for picture in &mut pictures {
        picture.file = format!("{code}-{}.svg", picture.shows);
    }
    pictures
}

/// How high a picture of the skin may be, in millimetres: among the text of an answer, on a card.
const LOW: f64 = 118.0;
const LOWEST: f64 = 44.0;

/// [`pictures`] without blanks, before the code of the station is known: their files have no names yet.
///
/// # Errors
/// As [`pictures`].
pub fn drawn(
    model: &Model,
    case: &Case,
    (injured, played): (bool, bool),
    style: &FigureStyle,
) -> Result<Vec<Picture>, Problem> {
    // None of these is as tall as a page of either paper: nothing makes them smaller, and their type need not make up for it.
    let style = &match style.lettering == Lettering::LARGE {
        true => style.clone(),
        false => style.clone().lettered(Lettering::NORMAL),
    };
    let mut all = Vec::new();
    let lesion = injured.then_some(&case.lesion);
    let kind = if injured { Kind::Lesion } else { Kind::Plain };
    let course = injured_course(model, case, lesion, kind, style);
    // What a tall course takes, the skin gives.
    let course = course.ok();
    let over = course
        .as_ref()
        .map_or(0.0, |c| (c.height_mm - TALL).max(0.0));
    // What cannot be drawn is left out; `check` says so.
    all.extend(course.map(|figure| Picture {
        file: String::new(),
        shows: "course",
        sheets: &["answer"],
        figure,
    }));
    let touched = injured && case.findings.skin.iter().any(|f| !f.spared());
    if touched && !model.charts.views.is_empty() {
        let map = if by_dermatome(model, case) {
            Map::Dermatome
        } else {
            Map::Peripheral
        };
        let side = case.patient.side;
        let found = Some(&case.findings);
        let mut add = |shows, sheets, kind, tallest| -> Result<(), Problem> {
            all.push(Picture {
                file: String::new(),
                shows,
                sheets,
                figure: figure::skin_within(model, found, map, kind, side, style, tallest)?,
            });
            Ok(())
        };
        add(
            "skin",
            &["answer"],
            Kind::Lesion,
            (LOW - 3.0 * over).max(LOWEST),
        )?;
        if played {
            add("outline", &["patient"], Kind::Unnamed, LOWEST)?;
        }
    }
    Ok(all)
}

/// The course of the injured nerve, from the nerve that it comes from or that binds it with others; else the plexus.
fn injured_course(
    model: &Model,
    case: &Case,
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
) -> Result<Figure, Problem> {
    let cuts = case.lesion.cuts.iter();
    let mut places: Vec<Vec<&str>> = cuts.map(|c| nerves_above(model, c.segment)).collect();
    let known: Vec<&str> = places.iter().filter_map(|p| p.first().copied()).collect();
    // A lesion whose first place is none of a nerve is one of the plexus.
    let on_nerve = places.first().and_then(|p| p.first());
    match on_nerve.and_then(|_| model.whole(&known)) {
        Some(nerve) => {
            // From the nerve that binds them all, or from further down the one nerve.
            let nerves = match places.swap_remove(0) {
                nerves if nerves.first() == Some(&nerve) => nerves,
                _ => vec![nerve],
            };
            course(&nerves, &|nerve, tallest| {
                figure::nerve_within(model, nerve, lesion, kind, style, tallest)
            })
        }
        None => figure::plexus(model, lesion, kind, style),
    }
}

/// The nerves from which the injured one comes, the first above all, and itself: the radial nerve, its deep branch. Empty for roots, trunks
/// and cords.
fn nerves_above(model: &Model, segment: SegmentIx) -> Vec<&str> {
    let up = model.up_the_nerve(segment);
    let mut all: Vec<&str> = up
        .iter()
        .rev()
        .skip_while(|s| !s.kind.named)
        .map(|s| s.nerve.as_str())
        .collect();
    all.dedup();
    all
}

/// How high the picture of a nerve may be among the text of an answer, in millimetres.
const TALL: f64 = 165.0;

/// The picture of the first nerve that leaves room for the text, else of the injured one.
fn course(
    nerves: &[&str],
    draw: &dyn Fn(&str, f64) -> Result<Figure, Problem>,
) -> Result<Figure, Problem> {
    let (last, above) = nerves.split_last().unwrap_or((&"", &[]));
    for nerve in above {
        let figure = draw(nerve, figure::PAGE.1)?;
        if figure.height_mm <= TALL {
            return Ok(figure);
        }
    }
    draw(last, TALL)
}

/// How high charts of a practice booklet are, in millimetres: to shade beside questions, in a key, two on a page.
const SHADED: f64 = 76.0;
const IN_KEY: f64 = 44.0;
const SPARE: f64 = 115.0;

/// Large words leave little of a picture: it is larger too.
fn tallest(mm: f64, style: &FigureStyle) -> f64 {
    match style.lettering == Lettering::LARGE {
        true => 1.6 * mm,
        false => mm,
    }
}

/// The chart to shade of a practice case, where its candidate has one.
///
/// # Errors
/// When the region has no charts.
pub fn small_blank(
    model: &Model,
    case: &Case,
    station: &Station,
    style: &FigureStyle,
) -> Result<Option<Picture>, Problem> {
    if !station.kind.blanks.iter().any(|b| b == blank::SKIN) {
        return Ok(None);
    }
    let side = case.patient.side;
    let (map, kind) = (Map::Peripheral, Kind::Blank);
    let most = tallest(SHADED, style);
    let figure = figure::skin_within(model, None, map, kind, side, style, most)?;
    Ok(Some(of_code(&station.code, "chart", figure)))
}

/// For a key: where feeling is changed, or the branches where the course of a nerve is the answer.
///
/// # Errors
/// When a chart misses an area.
pub fn key_picture(
    model: &Model,
    case: &Case,
    station: &Station,
    style: &FigureStyle,
) -> Result<Option<Picture>, Problem> {
    if !station.room.key.is_empty() {
        let first = case.lesion.cuts.first().map(|c| c.segment);
        let nerve = first.and_then(|s| nerves_above(model, s).first().copied());
        let drawn = nerve.map(|nerve| figure::nerve(model, nerve, None, Kind::Plain, style));
        // What cannot be drawn is left out, as in an answer.
        return Ok(drawn
            .and_then(Result::ok)
            .map(|figure| of_code(&station.code, "key", figure)));
    }
    let touched = case.findings.skin.iter().any(|f| !f.spared());
    if !touched || model.charts.views.is_empty() {
        return Ok(None);
    }
    let map = match by_dermatome(model, case) {
        true => Map::Dermatome,
        false => Map::Peripheral,
    };
    let (found, side) = (Some(&case.findings), case.patient.side);
    let (kind, most) = (Kind::Unnamed, tallest(IN_KEY, style));
    let figure = figure::skin_within(model, found, map, kind, side, style, most)?;
    Ok(Some(of_code(&station.code, "key", figure)))
}

/// An outline of each limb, to be shaded; none where the region has no charts.
///
/// # Errors
/// When the outlines cannot be drawn.
pub fn spare_charts(
    model: &Model,
    code: &str,
    style: &FigureStyle,
) -> Result<Vec<Picture>, Problem> {
    if model.charts.views.is_empty() {
        return Ok(Vec::new());
    }
    let (map, kind) = (Map::Peripheral, Kind::Blank);
    let sides = [(Side::Right, "spare_right"), (Side::Left, "spare_left")];
    let chart = |(side, shows)| {
        let most = tallest(SPARE, style);
        let figure = figure::skin_within(model, None, map, kind, side, style, most)?;
        Ok(of_code(code, shows, figure))
    };
    sides.into_iter().map(chart).collect()
}

fn of_code(code: &str, shows: &'static str, figure: Figure) -> Picture {
    Picture {
        file: format!("{code}-{shows}.svg"),
        shows,
        sheets: &[],
        figure,
    }
}
