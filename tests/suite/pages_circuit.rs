//! Looks at every page that a circuit prints, from its files alone: pixels, places of texts, and the words of the Markdown beside it.

use crate::circuit_files::whole;
use crate::pages_check::{empty, outside, overlaps};
use crate::pages_raster::rasterise;
use crate::pages_read::from_runs;
use crate::pages_runs::{Run, runs};
use crate::pages_sheets::sheets;
use crate::pages_words::Said;
use crate::typeset_support::load;
use vivasmith::typeset::style::MM;
use vivasmith::typeset::{Format, Paper, PdfMeta, Print, lay_out};

#[test]
fn every_page_of_a_circuit_is_whole() {
    let files = &whole().0;
    // All have the caution at their foot, but room sheets, which are set closer.
    let frame_of = |format: Format, caution: &str| {
        let meta = PdfMeta {
            paper: Paper::A4,
            print: Print::default(),
            format,
            caution: caution.to_string(),
            ..sheets()[0].meta.clone()
        };
        lay_out("x", &meta).expect("a page").frame
    };
    let world = crate::station_support::world();
    let printer = vivasmith::sheets::words::Printer::new(&world.content).expect("phrases");
    let caution = printer.phrase("caution");
    let (usual, dense, answer) = (
        frame_of(Format::Table, caution),
        frame_of(Format::Held, ""),
        frame_of(Format::Held, caution),
    );
    let (mut found, mut pages, mut read) = (Vec::new(), 0, 0);
    for (name, bytes) in files.iter().filter(|(name, _)| name.ends_with(".pdf")) {
        let room = name.starts_with("rooms/") || name.ends_with("/room.pdf");
        let frame = match name.ends_with("/answer.pdf") {
            true => answer,
            false if room => dense,
            false => usual,
        };
        let texts = runs(&load(bytes));
        let images = rasterise(bytes);
        assert_eq!(images.len(), texts.len(), "{name}");
        pages += images.len();
        for (n, (ink, runs)) in images.iter().zip(&texts).enumerate() {
            let boxes: Vec<_> = runs.iter().map(Run::as_box).collect();
            let mut faults = outside(ink, &frame);
            faults.extend(overlaps(&boxes));
            faults.extend(empty(ink, &frame).then(|| "no text".to_string()));
            found.extend(
                faults
                    .iter()
                    .take(3)
                    .map(|f| format!("{name}, page {}: {f}", n + 1)),
            );
        }
        let Some(markdown) = files.get(&name.replace(".pdf", ".md")) else {
            continue;
        };
        let folder = name.rsplit_once('/').map_or("", |(folder, _)| folder);
        let svg: Vec<(String, String)> = files
            .iter()
            .filter(|(n, _)| n.ends_with(".svg") && n.starts_with(folder))
            .map(|(n, b)| {
                let file = n.rsplit('/').next().unwrap_or_default();
                (file.to_string(), String::from_utf8_lossy(b).into_owned())
            })
            .collect();
        let said = Said::of(&String::from_utf8_lossy(markdown), &svg, &[]);
        read += 1;
        if let Err(e) = said.compare(&from_runs(&texts, &frame), false) {
            found.push(format!("{name}, {e}"));
        }
    }
    assert!(pages > 40 && read > 10, "{pages} pages, {read} files read");
    assert!(
        found.is_empty(),
        "{} faults\n{}",
        found.len(),
        found.join("\n")
    );
}

/// Capitals a 300th of two metres high and more (common practice, no source); those of the face stand 0.729 em.
#[test]
fn a_notice_is_read_from_two_metres_and_is_one_page() {
    let notices = |name: &str| {
        let file = name.rsplit('/').next().unwrap_or_default();
        name.ends_with(".pdf") && (file.starts_with("door") || file.starts_with("rest_"))
    };
    let least = 2000.0 / 300.0 * MM / 0.729;
    let mut met = 0;
    for (name, bytes) in whole().0.iter().filter(|(name, _)| notices(name)) {
        let pages = runs(&load(bytes));
        assert_eq!(pages.len(), 1, "{name}");
        let frame = |run: &&Run| run.y > 20.0 * MM && run.y < (297.0 - 25.0) * MM;
        let words: Vec<&Run> = pages[0].iter().filter(frame).collect();
        let small = words.iter().find(|run| run.size < least);
        assert!(small.is_none(), "{name}: {small:?}");
        assert!(words.len() > 5, "{name}: {} runs of words", words.len());
        met += 1;
    }
    assert!(met > 2, "{met} notices");
}
