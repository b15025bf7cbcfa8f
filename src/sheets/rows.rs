//! Which sheets has a station, and who may see each? A new sheet costs a row here, its template and its phrases.

use crate::station::{ROOM_WORDS, Station};
use crate::typeset::Format;

/// Who a sheet is written for. Nobody's pages stand in one file with those of another reader.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reader {
    /// Kept clear of everything that gives the answer away.
    Candidate,
    Examiner,
    /// Who plays the patient.
    Patient,
    /// Who learns alone, answers beside the questions.
    Student,
}

/// For what one copy is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Per {
    Station,
    /// Filled in for each candidate of a circuit, in the order of its examiner's day.
    Candidate,
}

/// One kind of sheet. Its title is the phrase `title_ID`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row {
    /// Names its file and the list of its pictures.
    pub id: &'static str,
    /// `templates/NAME.md.tera`.
    pub template: &'static str,
    pub reader: Reader,
    pub per: Per,
    pub format: Format,
    /// Most pages of its first part in normal print; a page more for each page break.
    pub pages: usize,
    /// Most words.
    pub words: usize,
}

/// The sheets of a station, in the order they are made.
pub const SHEETS: [Row; 5] = [
    CANDIDATE,
    Row {
        id: "room",
        template: "room",
        reader: Reader::Examiner,
        per: Per::Candidate,
        format: Format::Held,
        pages: 1,
        words: ROOM_WORDS,
    },
    Row {
        id: "patient",
        template: "patient",
        reader: Reader::Patient,
        per: Per::Station,
        format: Format::Table,
        pages: 1,
        words: 300,
    },
    Row {
        id: "briefing",
        template: "briefing",
        reader: Reader::Examiner,
        per: Per::Station,
        format: Format::Table,
        pages: 1,
        words: 500,
    },
    Row {
        id: "answer",
        template: "answer",
        reader: Reader::Student,
        per: Per::Station,
        format: Format::Held,
        pages: 3,
        words: 950,
    },
];

impl Row {
    /// Whether a station has the sheet at all: a card only where somebody plays the patient.
    pub fn is_for(&self, station: &Station) -> bool {
        self.reader != Reader::Patient || station.card.is_some()
    }
}

/// What the candidate has before the door opens.
pub const CANDIDATE: Row = Row {
    id: "candidate",
    template: "candidate",
    reader: Reader::Candidate,
    per: Per::Station,
    format: Format::Table,
    pages: 1,
    words: 300,
};
