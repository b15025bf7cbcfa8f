//! Turns the phrases of the house into the words of pictures, and a wish for large type into the sizes that a picture is tried at.

use super::shape::Figure;
use crate::diagnostic::{Failure, Problem};
use crate::files::Content;
use crate::render::house::house;
use crate::render::meta::{PageStyle, Paper};
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

    /// What the pages of a sheet want. Where they leave less height than A4 in normal print the tallest picture is made smaller,
    /// and its type shall not fall below 7 points.
    pub fn of(page: PageStyle) -> Lettering {
        if page.print.large {
            Lettering::LARGE
        } else if page.print.spaced || page.paper == Paper::Letter {
            Lettering(1.15)
        } else {
            Lettering::NORMAL
        }
    }

    pub fn factor(self) -> f64 {
        self.0
    }
}

/// What all pictures of a run share: their fixed words and the size of their type.
#[derive(Debug, Clone)]
pub struct Look {
    phrases: BTreeMap<String, String>,
    pub lettering: Lettering,
}

impl Look {
    /// The words of the house, in type of the usual size.
    ///
    /// # Errors
    /// Exit code 2 when the phrases are no YAML of their shape; 1 when one is missing or uses what it is not given.
    pub fn new(content: &Content) -> Result<Look, Failure> {
        Ok(Look::of(house(content)?.phrases))
    }

    /// The same of phrases that were read before.
    pub(in crate::render) fn of(phrases: BTreeMap<String, String>) -> Look {
        Look {
            phrases,
            lettering: Lettering::NORMAL,
        }
    }

    /// The same words in type of another size.
    #[must_use]
    pub fn lettered(mut self, lettering: Lettering) -> Look {
        self.lettering = lettering;
        self
    }

    /// The phrase of that key with its `{name}` filled in; what is not given stands for nothing.
    pub fn say(&self, key: &str, values: &[(&str, &str)]) -> String {
        let mut rest = self.phrases.get(key).map_or("", |text| text.trim());
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
