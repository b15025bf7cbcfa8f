//! How do laid-out pages become a PDF 1.7 file with its fonts cut down, its bookmarks and a reproducible identity?

use lopdf::{Object, SaveOptions, StringFormat, dictionary};
use printpdf::{Mm, PdfDocument, PdfPage, PdfSaveOptions, Pt, Rect};

use super::embed::{broken, embed, hash};
use super::item::Layout;
use super::meta::PdfMeta;
use super::paint::Painter;
use super::style::{MM, round};
use super::{outline, recompress, tree};
use crate::diagnostic::Problem;

/// Writes the file. `source` is what the layout was made from; it gives the file its identity.
///
/// # Errors
/// When an embedded font cannot be cut down, or the file cannot be put together.
pub fn write(layout: &Layout, meta: &PdfMeta, source: &str) -> Result<Vec<u8>, Problem> {
    let mut document = PdfDocument::new(&meta.title);
    document.metadata.info.subject.clone_from(&meta.subject);
    document.metadata.info.creator = "vivasmith".into();
    document.metadata.info.producer = concat!("vivasmith ", env!("CARGO_PKG_VERSION")).into();
    embed(&mut document, layout)?;
    let frame = &layout.frame;
    let mut marked = Vec::with_capacity(layout.pages.len());
    for page in &layout.pages {
        let (ops, parts) = Painter::paint(page, frame.paper_height, &layout.parts);
        marked.push(parts);
        document.pages.push(PdfPage::new(
            Mm(frame.paper_width / MM),
            Mm(frame.paper_height / MM),
            ops,
        ));
    }

    // The paper size exactly as the layout has it, not as it comes back from millimetres.
    for page in &mut document.pages {
        let paper = Rect::from_wh(Pt(round(frame.paper_width)), Pt(round(frame.paper_height)));
        page.media_box = paper.clone();
        page.trim_box = paper.clone();
        page.crop_box = paper;
    }
    let mut file = document.to_lopdf_document(&PdfSaveOptions::default(), &mut Vec::new());
    file.version = "1.7".into();
    tidy_info(&mut file);
    let pages: Vec<_> = file.get_pages().into_values().collect();
    let tree = outline::write(&mut file, &layout.bookmarks, &pages, frame.paper_height);
    let structure = tree::write(&mut file, layout, &marked, &pages);
    let catalog = file.catalog_mut().map_err(|e| broken(&e))?;
    catalog.set("Lang", Object::string_literal(meta.language.as_str()));
    catalog.set(
        "ViewerPreferences",
        dictionary! { "DisplayDocTitle" => true },
    );
    catalog.set("StructTreeRoot", structure);
    catalog.set("MarkInfo", dictionary! { "Marked" => true });
    let mode: &str = match tree {
        Some(tree) => {
            catalog.set("Outlines", tree);
            "UseOutlines"
        }
        None => "UseNone",
    };
    catalog.set("PageMode", Object::Name(mode.into()));
    // printpdf numbers files from a counter of the process; here the same content has the same identity.
    let identity = Object::String(identity(meta, source), StringFormat::Hexadecimal);
    file.trailer
        .set("ID", Object::Array(vec![identity.clone(), identity]));
    recompress::recompress(&mut file);
    let mut bytes = Vec::with_capacity(64 * 1024);
    // Many small objects of one kind: packed together they take a tenth of the room.
    let packed = SaveOptions::builder()
        .use_object_streams(true)
        .use_xref_streams(true)
        .max_objects_per_stream(400)
        .compression_level(3)
        .build();
    file.save_with_options(&mut bytes, packed)
        .map_err(|e| broken(&e))?;
    Ok(bytes)
}

/// Takes out what printpdf writes but the sheet does not mean: dates of 1970, an empty claim to be PDF/X, empty fields.
fn tidy_info(file: &mut lopdf::Document) {
    let Ok(info) = file.trailer.get(b"Info").and_then(Object::as_reference) else {
        return;
    };
    let Ok(info) = file.get_dictionary_mut(info) else {
        return;
    };
    for key in [
        "Trapped",
        "CreationDate",
        "ModDate",
        "GTS_PDFXVersion",
        "Identifier",
        "Author",
        "Keywords",
    ] {
        info.remove(key.as_bytes());
    }
}

fn identity(meta: &PdfMeta, source: &str) -> Vec<u8> {
    let paper = format!("{:?} {:?}", meta.paper, meta.print);
    let parts = [
        env!("CARGO_PKG_VERSION"),
        &meta.title,
        &meta.subject,
        &meta.language,
        &meta.code,
        &meta.caution,
        &meta.sheet,
        &paper,
        source,
    ];
    [hash(1, &parts), hash(2, &parts)]
        .into_iter()
        .flat_map(u64::to_be_bytes)
        .collect()
}
