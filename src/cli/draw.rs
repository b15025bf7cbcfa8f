//! What does `vivasmith draw` do? From the options to a picture and its files.

use super::args::{DrawArgs, MapArg, PictureFormat, SideArg, Subject};
use super::{content, fixed, found_in, page_style};
use crate::anatomy::Model;
use crate::diagnostic::{Failure, Problem};
use crate::figure::{self, Figure, FigureStyle, Kind, Map, Side};
use crate::files::{OutFile, write_all};
use crate::findings;
use crate::lesion::{self, Lesion};
use crate::sheets::words::figure_style;
use crate::typeset::{self, PdfMeta};
use std::fmt::Write;

pub fn run(args: &DrawArgs) -> Result<String, Failure> {
    let content = content(&args.shared)?;
    let word = args.lesion.as_deref().or(args.nerve.as_deref());
    let wanted = (word.unwrap_or_default(), args.subject == Subject::Skin);
    let (model, lesion) = found_in(&content, &args.shared, wanted, |model| {
        if let (Some(id), Subject::Nerve) = (&args.nerve, args.subject) {
            figure::nerves_named(model, id).map_err(Failure::usage)?;
        }
        let lesion = args.lesion.as_deref();
        lesion.map(|text| lesion::parse(model, text)).transpose()
    })?;
    let page = page_style::of(args.paper, args.text);
    let style = figure_style(&content, page)?;
    let (mut name, picture) = picture(&model, lesion.as_ref(), args, &style)?;
    if args.blank {
        name.push_str("-blank");
    }
    if let Some(lesion) = &lesion {
        name.push('-');
        name.push_str(&file_word(&lesion.text()));
    }
    let mut files = Vec::new();
    if args.format.contains(&PictureFormat::Svg) {
        files.push(OutFile {
            name: format!("{name}.svg"),
            bytes: figure::to_svg(&picture).into_bytes(),
        });
    }
    if args.format.contains(&PictureFormat::Pdf) {
        let meta = PdfMeta {
            title: picture.title.clone(),
            subject: picture.alt.clone(),
            language: style.phrase("language").to_string(),
            code: style.say("content_version", &[("version", &content.version())]),
            caution: style.phrase("caution").to_string(),
            sheet: picture.title.clone(),
            numbering: style.phrase("page_of").to_string(),
            paper: page.paper,
            print: page.print,
            format: typeset::Format::Table,
            most_pages: None,
        };
        files.push(OutFile {
            name: format!("{name}.pdf"),
            bytes: typeset::figure_pdf(&picture, &meta).map_err(Failure::content)?,
        });
    }
    let mut text = String::new();
    for path in write_all(&args.out, &files)? {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "{}", path.display());
    }
    Ok(text)
}

/// The picture, and the first words of its file name.
fn picture(
    model: &Model,
    lesion: Option<&Lesion>,
    args: &DrawArgs,
    style: &FigureStyle,
) -> Result<(String, Figure), Failure> {
    let kind = match (args.blank, lesion) {
        (true, _) => Kind::Blank,
        (false, Some(_)) => Kind::Lesion,
        (false, None) => Kind::Plain,
    };
    match args.subject {
        Subject::Plexus => {
            let drawn = figure::plexus(model, lesion, kind, style).map_err(Failure::content)?;
            Ok(("plexus".into(), drawn))
        }
        Subject::Nerve => {
            let id = match (&args.nerve, lesion) {
                (Some(id), _) => id.clone(),
                (None, Some(lesion)) => nerve_of(model, lesion)?,
                (None, None) => {
                    return Err(Failure::usage(
                        Problem::new("no nerve is named")
                            .hint("add --nerve ID, for instance --nerve radial, or --lesion"),
                    ));
                }
            };
            let drawn = figure::nerve(model, &id, lesion, kind, style).map_err(Failure::content)?;
            Ok((format!("nerve-{}", file_word(&id)), drawn))
        }
        Subject::Skin => {
            let (map, word) = match args.map {
                MapArg::Nerves => (Map::Peripheral, "nerves"),
                MapArg::Dermatomes => (Map::Dermatome, "dermatomes"),
            };
            let (side, side_word) = match args.side {
                SideArg::Right => (Side::Right, "right"),
                SideArg::Left => (Side::Left, "left"),
            };
            let held = fixed(model, &args.variants)?;
            let found = lesion.map(|l| findings::derive(model, l, &held));
            let drawn = figure::skin(model, found.as_ref(), map, kind, side, style)
                .map_err(Failure::content)?;
            Ok((format!("skin-{word}-{side_word}"), drawn))
        }
    }
}

/// The nerve that the first injured place lies on.
fn nerve_of(model: &Model, lesion: &Lesion) -> Result<String, Failure> {
    let nerves: Vec<&str> = lesion
        .cuts
        .iter()
        .filter_map(|cut| model.segments.get(cut.segment))
        .filter_map(|s| model.nerve(&s.nerve))
        .map(|n| n.id.as_str())
        .collect();
    model.whole(&nerves).map(str::to_string).ok_or_else(|| {
        Failure::usage(
            Problem::new(format!("the {} lies on no named nerve", lesion.sentence()))
                .hint("add --nerve ID, or draw the plexus instead"),
        )
    })
}

/// Letters, digits, `_` and `-` of a lesion or an id: nothing that could lead out of the folder.
fn file_word(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            c if c.is_ascii_alphanumeric() || c == '_' => c,
            _ => '-',
        })
        .take(100)
        .collect()
}
