//! Which bookmarks has the file? Its headings as a tree, in reading order, nested by level.

use lopdf::{Dictionary, Document, Object, ObjectId, StringFormat, dictionary};

use super::item::Bookmark;

/// A PDF text string in UTF-16 with its byte order mark, which every viewer reads.
pub fn text_string(text: &str) -> Object {
    let mut bytes = vec![0xfe, 0xff];
    bytes.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    Object::String(bytes, StringFormat::Hexadecimal)
}

/// For each bookmark the index of the one it stands under: the nearest before it with a lower level.
fn parents(bookmarks: &[Bookmark]) -> Vec<Option<usize>> {
    let mut open: Vec<(u8, usize)> = Vec::new();
    bookmarks
        .iter()
        .enumerate()
        .map(|(i, bookmark)| {
            while open
                .last()
                .is_some_and(|(level, _)| *level >= bookmark.level)
            {
                open.pop();
            }
            let parent = open.last().map(|(_, index)| *index);
            open.push((bookmark.level, i));
            parent
        })
        .collect()
}

/// Adds the bookmarks to the file and returns the root of their tree, or `None` when there are none.
///
/// `pages` are the page objects in order; `height` is that of the paper.
pub fn write(
    file: &mut Document,
    bookmarks: &[Bookmark],
    pages: &[ObjectId],
    height: f32,
) -> Option<ObjectId> {
    if bookmarks.is_empty() {
        return None;
    }
    let root = file.new_object_id();
    let ids: Vec<ObjectId> = bookmarks.iter().map(|_| file.new_object_id()).collect();
    let parents = parents(bookmarks);
    let mut children: Vec<Vec<usize>> = vec![Vec::new(); bookmarks.len()];
    let mut top = Vec::new();
    for (i, parent) in parents.iter().enumerate() {
        match parent.and_then(|p| children.get_mut(p)) {
            Some(siblings) => siblings.push(i),
            None => top.push(i),
        }
    }
    // Open items count all that is visible below them; children come after their parents, so sum from the end.
    let mut below = vec![0i64; bookmarks.len()];
    for (i, parent) in parents.iter().enumerate().rev() {
        let own = below.get(i).copied().unwrap_or(0);
        if let Some(sum) = parent.and_then(|p| below.get_mut(p)) {
            *sum += own + 1;
        }
    }
    let id = |i: usize| ids.get(i).copied().unwrap_or(root);
    let ends = |dictionary: &mut Dictionary, family: &[usize]| {
        if let (Some(first), Some(last)) = (family.first(), family.last()) {
            dictionary.set("First", id(*first));
            dictionary.set("Last", id(*last));
        }
    };
    let families = std::iter::once(&top).chain(&children);
    for family in families {
        for (n, &i) in family.iter().enumerate() {
            let Some(bookmark) = bookmarks.get(i) else {
                continue;
            };
            let Some(page) = pages.get(bookmark.page) else {
                continue;
            };
            let parent = parents.get(i).copied().flatten().map_or(root, id);
            let mut entry = dictionary! {
                "Title" => text_string(&bookmark.title),
                "Parent" => parent,
                "Dest" => vec![
                    (*page).into(),
                    "XYZ".into(),
                    Object::Null,
                    Object::Real((height - bookmark.y + 4.0).round()),
                    Object::Null,
                ],
            };
            if let Some(before) = n.checked_sub(1).and_then(|b| family.get(b)) {
                entry.set("Prev", id(*before));
            }
            if let Some(next) = family.get(n + 1) {
                entry.set("Next", id(*next));
            }
            if let Some(own) = children.get(i) {
                ends(&mut entry, own);
                if !own.is_empty() {
                    entry.set("Count", below.get(i).copied().unwrap_or(0));
                }
            }
            file.set_object(id(i), entry);
        }
    }
    let mut tree = dictionary! { "Type" => "Outlines", "Count" => bookmarks.len() as i64 };
    ends(&mut tree, &top);
    file.set_object(root, tree);
    Some(root)
}
