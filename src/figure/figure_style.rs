//! In which words and how large does a picture speak? The phrases of the house, and the sizes of type that a picture is tried at.

use super::shape::Figure;
use crate::diagnostic::Problem;
use std::collections::BTreeMap;

/// Room for a picture on a page of either paper, in millimetres.
pub const PAGE: (f64, f64) = (170.0, 235.0);

/// How much larger than usual the type is: 1 (smallest type 7 pt) to 1.5 (10.5 pt).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lettering(f64);

impl Lettering {
    pub const NORMAL: Lettering = Lettering(1.0);
    pub const LARGE: Lettering = Lettering(1.5);

    /// The factor, held between 1 and 1.5.
    pub fn new(factor: f64) -> Lettering {
        let factor = if factor.is_finite() { factor } else { 1.0 };
        Lettering(factor.clamp(Self::NORMAL.0, Self::LARGE.0))
    }

    pub fn factor(self) -> f64 {
        self.0
    }
}

/// What all pictures of a run share: their fixed words, and the face and size of their type.
#[derive(Debug, Clone)]
pub struct FigureStyle {
    phrases: BTreeMap<String, String>,
    pub lettering: Lettering,
    /// Width of a text, bold or not, in thousandths of the type size.
    pub(super) measure: fn(&str, bool) -> f64,
}

impl FigureStyle {
    /// The words of the house, in type of the usual size.
    pub fn new(phrases: BTreeMap<String, String>, measure: fn(&str, bool) -> f64) -> FigureStyle {
        FigureStyle {
            phrases,
            lettering: Lettering::NORMAL,
            measure,
        }
    }

    /// The same words in type of another size.
    #[must_use]
    pub fn lettered(mut self, lettering: Lettering) -> FigureStyle {
        self.lettering = lettering;
        self
    }

    /// The phrase of that key as it is written; empty when there is none.
    pub fn phrase(&self, key: &str) -> &str {
        self.phrases.get(key).map_or("", |text| text.trim())
    }

    /// "the biceps, the triceps and the anconeus".
    pub fn list(&self, names: &[String]) -> String {
        match names.split_last() {
            Some((last, rest)) if !rest.is_empty() => {
                self.say("fig_and", &[("names", &rest.join(", ")), ("last", last)])
            }
            _ => names.concat(),
        }
    }

    /// The phrase of that key with its `{name}` filled in; what is not given stands for nothing.
    pub fn say(&self, key: &str, values: &[(&str, &str)]) -> String {
        let mut rest = self.phrase(key);
        let mut out = String::with_capacity(rest.len() + 64);
        while let Some((before, after)) = rest.split_once('{') {
            out.push_str(before);
            let (name, more) = after.split_once('}').unwrap_or((after, ""));
            let given = values.iter().find(|(n, _)| *n == name);
            out.push_str(given.map_or("", |(_, value)| value));
            rest = more;
        }
        out.push_str(rest);
        out
    }

    /// The picture in the largest type, from the wished size down to the usual one, at which its labels find room on a page.
    ///
    /// # Errors
    /// What stands in the way at the usual size.
    pub(super) fn fit(
        &self,
        draw: &dyn Fn(f64) -> Result<Figure, Problem>,
    ) -> Result<Figure, Problem> {
        // In twentieths: whole numbers, so that every machine tries the same sizes.
        let largest = (self.lettering.factor() * 20.0).floor() as u32;
        for twentieths in (21..=largest).rev() {
            if let Ok(figure) = draw(f64::from(twentieths) / 20.0)
                && figure.height_mm <= PAGE.1
            {
                return Ok(figure);
            }
        }
        draw(1.0)
    }
}
