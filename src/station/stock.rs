//! Turns content and model into what every station is built from, each part read once, when the first station asks for it.

use super::approach::{Approach, approaches};
use super::family::{Family, families};
use super::kind::{StationKind, kinds};
use crate::anatomy::Model;
use crate::diagnostic::Failure;
use crate::files::Content;
use crate::findings::Fixed;
use crate::localise::{self, Belief};
use std::borrow::Cow;
use std::sync::OnceLock;

/// What stations share. It borrows content and model, so neither can change under it; several threads may build from one.
pub struct Stock<'a> {
    pub model: &'a Model,
    pub content: &'a Content,
    /// The variants that are held; a station that holds others has its rivals derived anew.
    fixed: Vec<Fixed>,
    kinds: OnceLock<Result<Vec<StationKind>, Failure>>,
    approaches: OnceLock<Result<Vec<Approach>, Failure>>,
    families: OnceLock<Result<Vec<Family>, Failure>>,
    belief: OnceLock<Belief>,
    version: OnceLock<String>,
}

fn read<T>(
    slot: &OnceLock<Result<Vec<T>, Failure>>,
    reading: impl FnOnce() -> Result<Vec<T>, Failure>,
) -> Result<&[T], Failure> {
    match slot.get_or_init(reading) {
        Ok(all) => Ok(all),
        Err(failure) => Err(failure.clone()),
    }
}

impl<'a> Stock<'a> {
    /// Nothing is read yet.
    pub fn new(model: &'a Model, content: &'a Content, fixed: &[Fixed]) -> Self {
        Stock {
            model,
            content,
            fixed: fixed.to_vec(),
            kinds: OnceLock::new(),
            approaches: OnceLock::new(),
            families: OnceLock::new(),
            belief: OnceLock::new(),
            version: OnceLock::new(),
        }
    }

    /// # Errors
    /// As [`kinds`].
    pub fn kinds(&self) -> Result<&[StationKind], Failure> {
        read(&self.kinds, || kinds(self.content))
    }

    /// # Errors
    /// As [`approaches`].
    pub fn approaches(&self) -> Result<&[Approach], Failure> {
        read(&self.approaches, || approaches(self.content, self.model))
    }

    /// # Errors
    /// As [`kinds`] and [`families`].
    pub fn families(&self) -> Result<&[Family], Failure> {
        let kinds = self.kinds()?;
        read(&self.families, || families(self.content, kinds))
    }

    /// The rivals of every proof in a limb with the variants that this stock holds.
    pub fn belief(&self) -> &Belief {
        self.belief
            .get_or_init(|| localise::rivals(self.model, &self.fixed))
    }

    /// [`Stock::belief`], or that of other variants.
    pub fn belief_with(&self, fixed: &[Fixed]) -> Cow<'_, Belief> {
        if fixed == self.fixed {
            Cow::Borrowed(self.belief())
        } else {
            Cow::Owned(localise::rivals(self.model, fixed))
        }
    }

    /// The content version that sheets print.
    pub fn version(&self) -> &str {
        self.version.get_or_init(|| self.content.version())
    }
}
