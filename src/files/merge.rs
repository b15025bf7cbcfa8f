//! Which entries has a list, when the user adds to it (`muscles.yaml`, `muscles.extra.yaml`), and where was each written?

use super::content::locate;
use super::content::{Content, Source};
use super::locate::Step;
use super::yaml::parse;
use crate::diagnostic::{Failure, Place};
use serde::de::DeserializeOwned;

/// A file that is in the main one list of entries, each with an id.
pub trait Listed: DeserializeOwned {
    /// The key under which the list stands.
    const LIST: &'static str;
    type Entry;
    fn entries(&mut self) -> &mut Vec<Self::Entry>;
    fn id(entry: &Self::Entry) -> String;
    /// Takes over what stands beside the list in an extra file.
    fn absorb(&mut self, _extra: Self) {}
}

/// Where each entry of a merged list was written.
#[derive(Debug, Clone)]
pub struct Origins<'c> {
    base: &'c Source,
    extra: Option<&'c Source>,
    list: &'static str,
    /// For each entry: it comes from the extra file; its position there.
    at: Vec<(bool, usize)>,
}

impl<'c> Origins<'c> {
    /// A file that nothing was merged into.
    pub fn alone(base: &'c Source) -> Self {
        Origins {
            base,
            extra: None,
            list: "",
            at: Vec::new(),
        }
    }

    /// The file that others add to.
    pub fn base(&self) -> &'c Source {
        self.base
    }

    /// The place of a path in the merged file: in the file where the entry was written.
    pub fn locate(&self, path: &[Step]) -> Place {
        if let (Some(extra), [Step::Key(list), Step::Item(i), rest @ ..]) = (self.extra, path)
            && list == self.list
            && let Some(&(from_extra, at)) = self.at.get(*i)
        {
            let source = if from_extra { extra } else { self.base };
            return locate(source, &[&path[..1], &[Step::Item(at)], rest].concat());
        }
        locate(self.base, path)
    }

    /// The file where an entry was written, as messages call it.
    pub fn file(&self, entry: usize) -> &str {
        match (self.extra, self.at.get(entry)) {
            (Some(extra), Some((true, _))) => &extra.shown,
            _ => &self.base.shown,
        }
    }
}

/// Reads a file and, when the user has one, the extra file of the same name. An entry of the extra file whose id is known
/// takes the place of that entry; any other is added at the end.
///
/// # Errors
/// Exit code 2 when one of the two is no YAML of this shape.
pub fn parse_with_extra<'c, T: Listed>(
    content: &'c Content,
    source: &'c Source,
) -> Result<(T, Origins<'c>), Failure> {
    let mut all: T = parse(source)?;
    let mut at: Vec<(bool, usize)> = (0..all.entries().len()).map(|i| (false, i)).collect();
    let extra = content.extra_of(&source.name);
    if let Some(extra) = extra {
        let mut more: T = parse(extra)?;
        let added = std::mem::take(more.entries());
        let known: std::collections::HashMap<String, usize> = all
            .entries()
            .iter()
            .enumerate()
            .rev()
            .map(|(i, e)| (T::id(e), i))
            .collect();
        for (n, entry) in added.into_iter().enumerate() {
            // Written twice in the extra file: both stay, so that the check finds the id twice.
            let old = known.get(&T::id(&entry)).copied();
            match old.filter(|&i| at.get(i).is_some_and(|(from_extra, _)| !from_extra)) {
                Some(i) => {
                    if let (Some(place), Some(origin)) = (all.entries().get_mut(i), at.get_mut(i)) {
                        *place = entry;
                        *origin = (true, n);
                    }
                }
                None => {
                    all.entries().push(entry);
                    at.push((true, n));
                }
            }
        }
        all.absorb(more);
    }
    let origins = Origins {
        base: source,
        extra,
        list: T::LIST,
        at,
    };
    Ok((all, origins))
}
