//! How long the sheets of one station take: Markdown in, PDF bytes out.

use vivasmith::typeset::{Paper, PdfMeta, Print, lay_out, to_pdf};

fn main() {
    divan::main();
}

fn meta(sheet: &str) -> PdfMeta {
    PdfMeta {
        title: "Weak wrist after a fall".into(),
        subject: "Viva station".into(),
        language: "en-GB".into(),
        code: "UL-07-K3F9".into(),
        caution: "Teaching and assessment material, not clinical guidance. Local curriculum, exam rules and licensed \
                  practice come first; a named person must review this sheet before use."
            .into(),
        sheet: sheet.into(),
        numbering: "Page {page} of {pages}".into(),
        paper: Paper::A4,
        print: Print::default(),
        ..PdfMeta::default()
    }
}

/// A sheet of two to three pages with text, a ladder of questions and a grid.
fn sheet(rows: usize) -> String {
    let mut text = String::from(
        "# Weak wrist after a fall\n\n**Ash Vellory**, 34, woke with a hand that \u{201c}won\u{2019}t lift\u{201d} – no pain.\n\n",
    );
    for n in 1..=5 {
        text.push_str(&format!(
            "## {n}. Which nerve is affected, and *which* findings tell you so?\n\n1. Open question: full marks for two findings \
             that fit, ≥ 2 reasons → next.\n   - Prompt A: which group of muscles has lost its power?\n   - Prompt B: what do \
             these muscles share?\n\n<!-- space: 3 lines -->\n\n"
        ));
    }
    text.push_str("<!-- columns: 6 54 10 10 20 -->\n| No. | Criterion | Full | Part | Notes |\n|--:|:--|:-:|:-:|:--|\n");
    for n in 1..=rows {
        text.push_str(&format!(
            "| {n} | Names a muscle of the posterior compartment with its action and root | ☐ | ☐ | |\n"
        ));
    }
    text
}

#[divan::bench]
fn layout_of_one_sheet(bencher: divan::Bencher<'_, '_>) {
    let text = sheet(20);
    let meta = meta("Examiner sheet");
    bencher.bench(|| lay_out(divan::black_box(&text), &meta));
}

/// The goal is less than 20 ms in a release build on one core.
#[divan::bench]
fn three_sheets_of_one_station(bencher: divan::Bencher<'_, '_>) {
    let text = sheet(20);
    let metas = ["Candidate sheet", "Examiner sheet", "Model answer"].map(meta);
    bencher.bench(|| {
        metas
            .iter()
            .map(|meta| to_pdf(divan::black_box(&text), meta).map_or(0, |bytes| bytes.len()))
            .sum::<usize>()
    });
}

#[divan::bench]
fn a_grid_of_a_thousand_rows(bencher: divan::Bencher<'_, '_>) {
    let text = sheet(1000);
    let meta = meta("Examiner sheet");
    bencher.bench(|| to_pdf(divan::black_box(&text), &meta).map_or(0, |bytes| bytes.len()));
}
