//! Do examiners mark alike? One recorded performance that all mark before the day, and the sheet to compare their marks on.

use super::equality::{Head, head};
use crate::circuit::plan::Circuit;
use serde::Serialize;

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Calibration {
    pub head: Head,
    pub code: String,
    pub kind: String,
    pub minutes: u32,
    pub total: u32,
    /// Marks of each question.
    pub questions: Vec<u32>,
    /// Ids.
    pub examiners: Vec<String>,
}

/// `None` when the blueprint asks for none, or nobody is named.
pub fn calibration(circuit: &Circuit) -> Option<Calibration> {
    let station = &circuit.calibration.as_ref()?.station;
    let examiners = circuit.blueprint.examiners.iter().filter(|e| !e.absent);
    Some(Calibration {
        head: head(circuit),
        code: station.code.clone(),
        kind: station.kind.label.clone(),
        minutes: station.minutes,
        total: station.total_marks,
        questions: station.questions.iter().map(|q| q.marks).collect(),
        examiners: examiners.map(|e| e.id.clone()).collect(),
    })
}
