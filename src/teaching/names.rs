//! Which structure or site does a name in the notes stand for, and how is it written?

use crate::anatomy::{Kind, Model, Structure, fold};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Source, Step, locate};

/// Turns the names of findings and sites in notes into something else: positions in the model, or back.
pub trait Names<F, P, G, Q> {
    fn finding(&mut self, path: &[Step], name: F) -> Option<G>;
    fn site(&mut self, path: &[Step], name: P) -> Option<Q>;

    fn findings(&mut self, path: &[Step], all: Vec<F>) -> Vec<G> {
        let found = all.into_iter().enumerate();
        found
            .filter_map(|(i, f)| self.finding(&[path, &[Step::Item(i)]].concat(), f))
            .collect()
    }

    fn sites(&mut self, path: &[Step], all: Vec<P>) -> Vec<Q> {
        let found = all.into_iter().enumerate();
        found
            .filter_map(|(i, p)| self.site(&[path, &[Step::Item(i)]].concat(), p))
            .collect()
    }
}

/// Looks names up, and keeps what is wrong with each, with its place in the file.
pub struct LookUp<'a> {
    pub model: &'a Model,
    pub source: &'a Source,
    /// Where in the file they stand.
    pub path: &'a [Step],
    pub problems: Vec<Problem>,
}

impl LookUp<'_> {
    pub fn add(&mut self, path: &[Step], message: impl Into<String>, hint: impl Into<String>) {
        let place = locate(self.source, &[self.path, path].concat());
        self.problems
            .push(Problem::new(message).hint(hint).at(place));
    }

    /// What was looked up, when every name is known.
    pub fn done<T>(self, looked_up: T) -> Result<T, Failure> {
        match self.problems.is_empty() {
            true => Ok(looked_up),
            false => Err(Failure::Content(self.problems)),
        }
    }
}

impl Names<String, String, Structure, usize> for LookUp<'_> {
    fn finding(&mut self, path: &[Step], name: String) -> Option<Structure> {
        let found = structure_named(self.model, &name);
        if found.is_none() {
            let known = Kind::ALL.into_iter().flat_map(|k| self.model.structures(k));
            let known: Vec<&str> = known.map(|s| self.model.id(s)).collect();
            let hint = did_you_mean(
                &name,
                known,
                "use an id of `vivasmith list movements`, `skin`, `reflexes`, `signs` or `muscles`",
            );
            self.add(
                path,
                format!("no finding is called `{}`", short(&name)),
                hint,
            );
        }
        found
    }

    fn site(&mut self, path: &[Step], name: String) -> Option<usize> {
        let found = self.model.sites.iter().position(|s| s.id == name.trim());
        if found.is_none() {
            let known = self.model.sites.iter().map(|s| s.id.as_str());
            let hint = did_you_mean(&name, known, "`vivasmith list sites` shows them all");
            self.add(path, format!("no site is called `{}`", short(&name)), hint);
        }
        found
    }
}

/// Names positions, for writing notes out again.
pub struct NameOf<'a>(pub &'a Model);

impl Names<Structure, usize, String, String> for NameOf<'_> {
    fn finding(&mut self, _: &[Step], s: Structure) -> Option<String> {
        Some(name_of(self.0, s))
    }

    fn site(&mut self, _: &[Step], site: usize) -> Option<String> {
        self.0.sites.get(site).map(|s| s.id.clone())
    }
}

/// `ID`, or `KIND:ID` where several kinds have it. A movement is meant before skin, reflex, sign and muscle.
pub fn structure_named(model: &Model, name: &str) -> Option<Structure> {
    let name = name.trim();
    if let Some((kind, id)) = name.split_once(':') {
        let kind = Kind::ALL.into_iter().find(|k| k.word() == kind.trim())?;
        return model.structure(kind, &fold(id));
    }
    const ORDER: [Kind; 5] = [
        Kind::Movement,
        Kind::Skin,
        Kind::Reflex,
        Kind::Sign,
        Kind::Muscle,
    ];
    let with_id = |kind: Kind| model.structures(kind).find(|s| model.id(*s) == name);
    ORDER.into_iter().find_map(with_id)
}

/// The shortest name that [`structure_named`] reads as this structure.
pub fn name_of(model: &Model, s: Structure) -> String {
    let id = model.id(s);
    if structure_named(model, id) == Some(s) {
        id.to_string()
    } else {
        format!("{}:{id}", s.kind.word())
    }
}
