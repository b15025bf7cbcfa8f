//! What marks does a candidate at the border have? Two pass marks of a station from its marks and global ratings.
//!
//! Borderline regression: the line of marks on grades, read at the borderline grade; its standard error is that of the line there. Pell,
//! Fuller, Homer and Roberts, How to measure the quality of the OSCE, Medical Teacher 2010, 32:802-811 (AMEE guide 49).
//! Borderline group: the mean of the marks of those with the borderline grade. Livingston and Zieky, Passing Scores, 1982; the mean, not
//! the median, as is common for circuits of stations.

use super::line_fit::line;
use serde::Serialize;

/// Fewer candidates than this bear no regression.
pub const LEAST: usize = 10;
/// Below this the pass mark is uncertain and the report says so.
pub const FEW: usize = 50;

/// A pass mark by borderline regression.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Regression {
    pub cut: f64,
    pub se: f64,
    pub slope: f64,
    pub intercept: f64,
    pub r2: f64,
}

/// Why there is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    TooFew,
    /// All have the same grade.
    OneGrade,
    /// Those with better grades have no more marks.
    FallsOrFlat,
}

/// `points` are (grade, marks); grades count up from the worst.
///
/// # Errors
/// When the ratings bear no line, or one that does not rise.
pub fn regression(points: &[(f64, f64)], border: f64) -> Result<Regression, Refused> {
    if points.len() < LEAST {
        return Err(Refused::TooFew);
    }
    let line = line(points).ok_or(Refused::OneGrade)?;
    if line.slope <= 0.0 {
        return Err(Refused::FallsOrFlat);
    }
    Ok(Regression {
        cut: line.at(border),
        se: line.error_at(border),
        slope: line.slope,
        intercept: line.intercept,
        r2: line.r2,
    })
}

/// None when nobody has the borderline grade.
pub fn group(points: &[(f64, f64)], border: f64) -> Option<f64> {
    let of: Vec<f64> = points
        .iter()
        .filter(|p| p.0 == border)
        .map(|p| p.1)
        .collect();
    (!of.is_empty()).then(|| of.iter().sum::<f64>() / of.len() as f64)
}
