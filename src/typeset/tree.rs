//! What does a screen reader follow? The structure tree of the file: headings, lists, tables, pictures.
//!
//! Tagged PDF after ISO 32000-1, 14.7 and 14.8. Standard structure types only, so that no role map is needed.

use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};

use super::item::Layout;
use super::outline::text_string;
use super::part::{Part, PartIx, PartKind};
use super::style::round;

/// The standard structure type of a part (ISO 32000-1, 14.8.4).
pub fn tag(kind: PartKind) -> &'static str {
    match kind {
        PartKind::Heading(1) => "H1",
        PartKind::Heading(2) => "H2",
        PartKind::Heading(3) => "H3",
        PartKind::Heading(_) => "H4",
        PartKind::Paragraph => "P",
        PartKind::List => "L",
        PartKind::Entry => "LI",
        PartKind::Label => "Lbl",
        PartKind::EntryBody => "LBody",
        PartKind::Quote => "BlockQuote",
        PartKind::Code => "Code",
        PartKind::Table => "Table",
        PartKind::Row => "TR",
        PartKind::HeadCell | PartKind::RowHead => "TH",
        PartKind::Cell => "TD",
        PartKind::Figure => "Figure",
    }
}

/// Adds the tree to the file and returns its root. `marked` holds for each page the part of each marked sequence, by its
/// number; `pages` are the page objects.
pub fn write(
    file: &mut Document,
    layout: &Layout,
    marked: &[Vec<PartIx>],
    pages: &[ObjectId],
) -> ObjectId {
    let root = file.new_object_id();
    let sheet = file.new_object_id();
    let ids: Vec<ObjectId> = layout.parts.iter().map(|_| file.new_object_id()).collect();
    let id = |part: PartIx| ids.get(part).copied().unwrap_or(sheet);

    let mut children: Vec<Vec<Object>> = vec![Vec::new(); ids.len()];
    let mut top = Vec::new();
    let mut add = |parent: Option<PartIx>, child: Object| match parent {
        Some(parent) => {
            if let Some(siblings) = children.get_mut(parent) {
                siblings.push(child);
            }
        }
        None => top.push(child),
    };
    // No part holds both words of its own and other parts but the body of an entry, whose number stands in its label.
    for (n, part) in layout.parts.iter().enumerate() {
        add(part.parent, Object::Reference(id(n)));
    }
    let mut home: Vec<Option<ObjectId>> = vec![None; ids.len()];
    let mut numbers = Vec::with_capacity(2 * pages.len());
    for (n, (page, parts)) in pages.iter().zip(marked).enumerate() {
        for (number, &part) in parts.iter().enumerate() {
            let number = Object::Integer(number as i64);
            let first = home.get(part).copied().flatten();
            if let (None, Some(slot)) = (first, home.get_mut(part)) {
                *slot = Some(*page);
            }
            // A part that goes on overleaf names the page of each further sequence.
            let elsewhere = first.is_some_and(|first| first != *page);
            add(
                Some(part),
                if elsewhere {
                    dictionary! { "Type" => "MCR", "Pg" => *page, "MCID" => number }.into()
                } else {
                    number
                },
            );
        }
        numbers.push(Object::Integer(n as i64));
        let parents: Vec<Object> = parts.iter().map(|p| id(*p).into()).collect();
        numbers.push(Object::Reference(file.add_object(parents)));
        if let Ok(page) = file.get_dictionary_mut(*page) {
            page.set("StructParents", n as i64);
            page.set("Tabs", Object::Name(b"S".to_vec()));
        }
    }

    for (n, (part, kids)) in layout.parts.iter().zip(children).enumerate() {
        let parent = part.parent.map_or(sheet, id);
        let page = home.get(n).copied().flatten();
        file.set_object(id(n), entry(layout, n, part, parent, page, kids));
    }
    file.set_object(
        sheet,
        dictionary! { "S" => "Document", "P" => root, "K" => top },
    );
    let tree = file.add_object(dictionary! { "Nums" => numbers });
    file.set_object(
        root,
        dictionary! {
            "Type" => "StructTreeRoot",
            "K" => sheet,
            "ParentTree" => tree,
            "ParentTreeNextKey" => pages.len() as i64,
        },
    );
    root
}

/// What a part says of itself. Its type may be left out: there are hundreds of them.
fn entry(
    layout: &Layout,
    n: PartIx,
    part: &Part,
    parent: ObjectId,
    page: Option<ObjectId>,
    kids: Vec<Object>,
) -> Dictionary {
    let mut entry = dictionary! { "S" => tag(part.kind), "P" => parent };
    if let Some(page) = page {
        entry.set("Pg", page);
    }
    if !kids.is_empty() {
        entry.set("K", kids);
    }
    let scope = match part.kind {
        PartKind::HeadCell => Some("Column"),
        PartKind::RowHead => Some("Row"),
        _ => None,
    };
    if let Some(scope) = scope {
        entry.set("A", dictionary! { "O" => "Table", "Scope" => scope });
    }
    if let Some(alt) = &part.alt {
        entry.set("Alt", text_string(alt));
        entry.set("A", figure_box(layout, n));
    }
    entry
}

/// The place of a picture on its page, from the lower left corner (ISO 32000-1, table 344).
fn figure_box(layout: &Layout, part: PartIx) -> Dictionary {
    let height = layout.frame.paper_height;
    let marks = layout.pages.iter().flat_map(|page| &page.body);
    let (left, top, right, bottom) = marks
        .filter(|item| item.part() == Some(part))
        .map(|item| item.area())
        .fold(
            (f32::MAX, f32::MAX, 0.0f32, 0.0f32),
            |(left, top, right, bottom), (l, t, r, b)| {
                (left.min(l), top.min(t), right.max(r), bottom.max(b))
            },
        );
    let corners = [left, height - bottom, right, height - top];
    dictionary! {
        "O" => "Layout",
        "Placement" => "Block",
        "BBox" => corners.map(|v| Object::Real(round(v))).to_vec(),
    }
}
