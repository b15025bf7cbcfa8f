//! Turns a Markdown text into a layout or a file to be read back, for the tests of the sheets.

use vivasmith::typeset::item::{Item, Layout, Words};
use vivasmith::typeset::{Paper, PdfMeta, Print, lay_out, to_pdf};

pub fn meta() -> PdfMeta {
    PdfMeta {
        title: "Weak wrist & <odd> title".into(),
        subject: "Viva station".into(),
        language: "en-GB".into(),
        code: "UL-07-K3F9".into(),
        caution: "Teaching and assessment material, not clinical guidance.".into(),
        sheet: "Examiner sheet".into(),
        numbering: "Page {page} of {pages}".into(),
        paper: Paper::A4,
        print: Print::default(),
        ..PdfMeta::default()
    }
}

pub fn layout(markdown: &str) -> Layout {
    lay_out(markdown, &meta()).expect("the Markdown can be laid out")
}

pub fn pdf(markdown: &str) -> Vec<u8> {
    to_pdf(markdown, &meta()).expect("the Markdown can be printed")
}

pub fn load(bytes: &[u8]) -> lopdf::Document {
    lopdf::Document::load_mem(bytes).expect("the file can be read back")
}

/// The text of each page, as a reader that knows nothing of us extracts it.
pub fn page_texts(bytes: &[u8]) -> Vec<String> {
    let file = load(bytes);
    (1..=file.get_pages().len() as u32)
        .map(|n| file.extract_text(&[n]).expect("text comes out"))
        .collect()
}

pub fn words(items: &[Item]) -> impl Iterator<Item = &Words> {
    items.iter().filter_map(|item| match item {
        Item::Words(words) => Some(words),
        _ => None,
    })
}

/// Index of the page and the words of the first run of body text that holds this.
pub fn find<'a>(layout: &'a Layout, text: &str) -> (usize, &'a Words) {
    layout
        .pages
        .iter()
        .enumerate()
        .find_map(|(n, page)| {
            words(&page.body)
                .find(|w| w.text.contains(text))
                .map(|w| (n, w))
        })
        .unwrap_or_else(|| panic!("{text:?} is on no page"))
}

/// Nothing lies outside the frame of the text, nor off the paper.
pub fn assert_inside(layout: &Layout) {
    let frame = layout.frame;
    // Half a point for the thickness of rules and for rounding.
    let slack = 0.5;
    for (n, page) in layout.pages.iter().enumerate() {
        for item in &page.body {
            let (left, top, right, bottom) = item.area();
            assert!(
                left >= frame.left - slack
                    && right <= frame.right + slack
                    && top >= frame.top - slack
                    && bottom <= frame.bottom + slack,
                "page {}: {item:?} leaves {frame:?}",
                n + 1
            );
        }
        for item in &page.edge {
            let (left, top, right, bottom) = item.area();
            assert!(
                left >= frame.left - slack
                    && right <= frame.right + slack
                    && top >= 0.0
                    && bottom <= frame.paper_height
            );
            assert!(
                bottom <= frame.top || top >= frame.bottom,
                "page {}: {item:?} runs into the text",
                n + 1
            );
        }
    }
}
