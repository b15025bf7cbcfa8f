//! What do stations share, and is it read once? Each part is read when the first station asks for it.

use super::kind::{StationKind, kinds};
use crate::anatomy::Model;
use crate::diagnostic::Failure;
use crate::files::Content;
use crate::findings::Fixed;
use crate::localise::{self, Belief};
use crate::teaching::{self, Approach, Families, Notes, approaches};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock};

/// What stations share. It borrows content and model, so neither can change under it; several threads may build from one.
pub struct BuildCache<'a> {
    pub model: &'a Model,
    pub content: &'a Content,
    /// The variants that are held; a station that holds others has its rivals derived anew.
    fixed: Vec<Fixed>,
    kinds: OnceLock<Result<Vec<StationKind>, Failure>>,
    approaches: OnceLock<Result<Vec<Approach>, Failure>>,
    families: OnceLock<Result<Families, Failure>>,
    /// By the name of their file; none where there is no such file.
    notes: Mutex<BTreeMap<String, Option<Arc<Notes>>>>,
    belief: OnceLock<Belief>,
    version: OnceLock<String>,
}

fn read<T>(
    slot: &OnceLock<Result<T, Failure>>,
    reading: impl FnOnce() -> Result<T, Failure>,
) -> Result<&T, Failure> {
    match slot.get_or_init(reading) {
        Ok(all) => Ok(all),
        Err(failure) => Err(failure.clone()),
    }
}

impl<'a> BuildCache<'a> {
    /// Nothing is read yet.
    pub fn new(model: &'a Model, content: &'a Content, fixed: &[Fixed]) -> Self {
        BuildCache {
            model,
            content,
            fixed: fixed.to_vec(),
            kinds: OnceLock::new(),
            approaches: OnceLock::new(),
            families: OnceLock::new(),
            notes: Mutex::new(BTreeMap::new()),
            belief: OnceLock::new(),
            version: OnceLock::new(),
        }
    }

    /// # Errors
    /// As [`kinds`].
    pub fn kinds(&self) -> Result<&[StationKind], Failure> {
        let families = self.families()?;
        read(&self.kinds, || kinds(self.content, families)).map(Vec::as_slice)
    }

    /// # Errors
    /// As [`approaches`].
    pub fn approaches(&self) -> Result<&[Approach], Failure> {
        read(&self.approaches, || approaches(self.content, self.model)).map(Vec::as_slice)
    }

    /// # Errors
    /// As [`teaching::families`].
    pub fn families(&self) -> Result<&Families, Failure> {
        read(&self.families, || teaching::families(self.content))
    }

    /// The notes of a site, of a nerve (`nerves/ID`) or of an operation (`approaches/ID`).
    ///
    /// # Errors
    /// As [`teaching::read`].
    pub fn notes(&self, name: &str) -> Result<Option<Arc<Notes>>, Failure> {
        let known = self
            .notes
            .lock()
            .ok()
            .and_then(|all| all.get(name).cloned());
        if let Some(known) = known {
            return Ok(known);
        }
        let found =
            teaching::notes_of(self.content, self.model, name)?.map(|(notes, _)| Arc::new(notes));
        if let Ok(mut all) = self.notes.lock() {
            all.insert(name.to_string(), found.clone());
        }
        Ok(found)
    }

    /// The rivals of every proof in a limb with the variants that this stock holds.
    pub fn belief(&self) -> &Belief {
        self.belief
            .get_or_init(|| localise::rivals(self.model, &self.fixed))
    }

    /// [`BuildCache::belief`], or that of other variants.
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
