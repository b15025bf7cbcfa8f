//! What is a mark a part of? The tree from which a tagged file is written, for readers that listen.

/// Index into [`Parts`].
pub type PartIx = usize;

/// What a part is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartKind {
    /// 1 to 4.
    Heading(u8),
    Paragraph,
    List,
    Entry,
    /// Number, bullet or tick box of an entry.
    Label,
    EntryBody,
    Quote,
    Code,
    Table,
    Row,
    /// Heads its column.
    HeadCell,
    /// Heads its row.
    RowHead,
    Cell,
    Figure,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    pub kind: PartKind,
    /// The part it stands in; none: the sheet itself. Always before its children.
    pub parent: Option<PartIx>,
    /// What a picture shows, in words.
    pub alt: Option<String>,
}

/// All parts of a sheet, in reading order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Parts(Vec<Part>);

impl Parts {
    pub fn add(&mut self, kind: PartKind, parent: Option<PartIx>) -> PartIx {
        self.0.push(Part {
            kind,
            parent,
            alt: None,
        });
        self.0.len() - 1
    }

    /// A picture with its words.
    pub fn add_figure(&mut self, alt: &str, parent: Option<PartIx>) -> PartIx {
        let index = self.add(PartKind::Figure, parent);
        if let Some(part) = self.0.get_mut(index) {
            part.alt = Some(alt.to_string());
        }
        index
    }

    pub fn get(&self, index: PartIx) -> Option<&Part> {
        self.0.get(index)
    }

    pub fn iter(&self) -> std::slice::Iter<'_, Part> {
        self.0.iter()
    }

    pub fn len(&self) -> usize {
        self.0.len()
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}
