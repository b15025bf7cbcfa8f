//! Turns the station options into a drawn case, a station and its sheets in a folder.

use super::args::{Format, LevelArg, PaperArg, SheetArgs, StationArgs};
use super::{fixed, load};
use crate::anatomy::Model;
use crate::case::{self, Case, Level, Request};
use crate::diagnostic::{Failure, Problem};
use crate::files::{Content, OutFile, PaperWord, settings, write_all};
use crate::lesion;
use crate::render::figure::{Figure, Look, to_svg};
use crate::render::pictures::{Picture, pictures};
use crate::render::{self, Paper, PdfMeta, words};
use crate::station::{self, Station, StationRequest};
use std::fmt::Write;
use std::time::{SystemTime, UNIX_EPOCH};

pub fn run(args: &StationArgs) -> Result<String, Failure> {
    let (content, model) = load(&args.shared)?;
    if let Some(id) = args.place.as_deref().and_then(|p| p.strip_prefix("own:")) {
        return own(&content, &model, id, args);
    }
    let seed = args.seed.unwrap_or_else(fresh_seed);
    let fixed = fixed(&model, &args.variants)?;
    let level = level(args.level);
    let kind = args
        .kind
        .as_deref()
        .map(|k| station::kind(&content, k))
        .transpose()?;
    let (site, whole) = place(&model, args.place.as_deref())?;
    let request = Request {
        site,
        lesion: whole,
        region: args.area.clone(),
        level,
        seed,
        fixed: fixed.clone(),
    };
    let case = case::draw(&model, &content, &request)?;
    let wanted = StationRequest {
        kind,
        level,
        minutes: args.minutes,
        seed,
        place: args.place.clone(),
        variants: args.variants.clone(),
        fixed,
    };
    let built = station::build(&model, &content, &case, &wanted)?;
    let look = Look::new(&content)?;
    let pictures = pictures(&model, &case, &built, &look).map_err(Failure::content)?;
    let mut text = format!("seed {seed}\n") + &write(&content, &built, &pictures, &args.sheets)?;
    if args.explain {
        text.push_str(&explanation(&built));
    }
    Ok(text)
}

/// A station of the teacher's own, when nothing is wrong with it.
fn own(content: &Content, model: &Model, id: &str, args: &StationArgs) -> Result<String, Failure> {
    let checked = station::own::read(model, content, station::own::find(content, id)?)?;
    let Some(built) = &checked.station else {
        return Err(Failure::Content(checked.problems));
    };
    let mut text = write_own(content, model, built, checked.case.as_ref(), &args.sheets)?;
    if args.explain {
        text.push_str(&explanation(built));
    }
    Ok(text)
}

/// The same for a station of the teacher's own, with the pictures of the patient it describes.
pub fn write_own(
    content: &Content,
    model: &Model,
    built: &Station,
    case: Option<&Case>,
    args: &SheetArgs,
) -> Result<String, Failure> {
    let pictures = match case {
        Some(case) => {
            pictures(model, case, built, &Look::new(content)?).map_err(Failure::content)?
        }
        None => Vec::new(),
    };
    write(content, built, &pictures, args)
}

/// Prints the sheets of a station into the out folder; gives what to tell on the terminal.
fn write(
    content: &Content,
    built: &Station,
    pictures: &[Picture],
    args: &SheetArgs,
) -> Result<String, Failure> {
    let sheets = words::sheets_with(content, built, pictures)?;
    let files = print_all(content, &built.code, &sheets, pictures, args)?;
    let mut text = format!("station {}\n", built.code);
    for path in write_all(&args.out, &files)? {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "  {}", path.display());
    }
    text.push_str("A named person must review the sheets before use.\n");
    Ok(text)
}

/// The nearest other lesions and how far the station's findings set them apart.
fn explanation(built: &Station) -> String {
    let mut rows = vec![vec![
        "  other lesion".to_string(),
        "bits".to_string(),
        "this lesion is likelier by".to_string(),
    ]];
    for row in &built.proof.table {
        rows.push(vec![
            format!("  {}", row.lesion),
            row.bits.clone(),
            row.times.clone(),
        ]);
    }
    format!(
        "{}; a margin of {} bits is needed, less means that both are accepted\n{}",
        built.lesion.sentence_capital,
        crate::localise::MARGIN_BITS,
        super::print::columns(&rows)
    )
}

/// A bare site leaves the severity to the scenario; anything more is a lesion of its own.
fn place(
    model: &Model,
    word: Option<&str>,
) -> Result<(Option<String>, Option<lesion::Lesion>), Failure> {
    match word {
        None => Ok((None, None)),
        Some(word) if word.contains(['@', '+']) => Ok((None, Some(lesion::parse(model, word)?))),
        Some(word) => {
            let found = lesion::parse(model, word)?;
            Ok((found.parts.first().map(|p| p.place.clone()), None))
        }
    }
}

/// All sheets in all formats; the PDFs side by side, in the order asked for.
fn print_all(
    content: &Content,
    code: &str,
    sheets: &[words::Sheet],
    pictures: &[Picture],
    args: &SheetArgs,
) -> Result<Vec<OutFile>, Failure> {
    let mut files = Vec::new();
    let figures: Vec<(&str, &Figure)> = pictures
        .iter()
        .map(|p| (p.file.as_str(), &p.figure))
        .collect();
    let figures = figures.as_slice();
    if args.formats.contains(&Format::Pdf) {
        let paper = paper(content, args.paper)?;
        let pdfs: Vec<Result<Vec<u8>, Problem>> = std::thread::scope(|scope| {
            let jobs: Vec<_> = sheets
                .iter()
                .map(|sheet| {
                    scope.spawn(move || {
                        render::to_pdf_with(&sheet.markdown, &meta(code, sheet, paper), figures)
                    })
                })
                .collect();
            jobs.into_iter()
                .map(|job| {
                    job.join()
                        .unwrap_or_else(|_| Err(Problem::new("a sheet could not be laid out")))
                })
                .collect()
        });
        for (sheet, pdf) in sheets.iter().zip(pdfs) {
            files.push(OutFile {
                name: format!("{code}-{}.pdf", sheet.id),
                bytes: pdf.map_err(Failure::content)?,
            });
        }
    }
    if args.formats.contains(&Format::Md) {
        for picture in pictures {
            files.push(OutFile {
                name: picture.file.clone(),
                bytes: to_svg(&picture.figure).into_bytes(),
            });
        }
        for sheet in sheets {
            files.push(OutFile {
                name: format!("{code}-{}.md", sheet.id),
                bytes: sheet.markdown.clone().into_bytes(),
            });
        }
    }
    Ok(files)
}

pub(super) fn meta(code: &str, sheet: &words::Sheet, paper: Paper) -> PdfMeta {
    PdfMeta {
        title: sheet.title.clone(),
        subject: sheet.subject.clone(),
        language: sheet.language.clone(),
        code: code.to_string(),
        caution: sheet.caution.clone(),
        sheet: sheet.name.clone(),
        paper,
    }
}

/// The paper asked for, else the one of the settings.
pub(super) fn paper(content: &Content, arg: Option<PaperArg>) -> Result<Paper, Failure> {
    Ok(match arg {
        Some(PaperArg::A4) => Paper::A4,
        Some(PaperArg::Letter) => Paper::Letter,
        None => match settings(content)?.paper {
            PaperWord::A4 => Paper::A4,
            PaperWord::Letter => Paper::Letter,
        },
    })
}

fn level(arg: LevelArg) -> Level {
    match arg {
        LevelArg::Early => Level::Early,
        LevelArg::Clinical => Level::Clinical,
        LevelArg::Trainee => Level::Trainee,
    }
}

/// Six figures that a person can read out and type again.
pub(super) fn fresh_seed() -> u64 {
    let now = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |d| d.as_nanos() as u64);
    let mixed = (now ^ u64::from(std::process::id()) << 32).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    mixed >> 40 & 0xf_ffff
}
