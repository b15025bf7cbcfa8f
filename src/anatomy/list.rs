//! How every file of a region but its head is read: as one list of entries, with an id and a source each.

use super::raw;
use crate::files::Listed;
use serde::Deserialize;
use serde::de::{DeserializeOwned, Deserializer, Error, MapAccess, Visitor};
use std::fmt;
use std::marker::PhantomData;

/// One entry of a list.
pub trait Entry: DeserializeOwned {
    /// "muscles.yaml".
    const FILE: &'static str;
    /// The key under which the list stands, the only one of its file.
    const LIST: &'static str;
    const KEYS: &'static [&'static str] = &[Self::LIST];
    fn id(&self) -> &str;
    /// What it rests on; none where a list has no sources.
    fn source(&self) -> Option<&str>;
}

macro_rules! entries {
    ($($entry:path, $file:literal, $list:literal, $id:ident, $source:expr;)*) => { $(
        impl Entry for $entry {
            const FILE: &'static str = $file;
            const LIST: &'static str = $list;
            fn id(&self) -> &str {
                &self.$id
            }
            fn source(&self) -> Option<&str> {
                let source: fn(&Self) -> Option<&str> = $source;
                source(self)
            }
        } )*
        /// The files of a region that are one list each.
        pub const FILES: &[&str] = &[$($file),*];
    };
}

entries! {
    raw::Segment, "plexus.yaml", "segments", id, |x| Some(&x.source);
    raw::Nerve, "nerves.yaml", "nerves", id, |x| Some(&x.source);
    raw::Muscle, "muscles.yaml", "muscles", id, |x| Some(&x.source);
    raw::Movement, "movements.yaml", "movements", id, |x| Some(&x.source);
    raw::SkinArea, "skin.yaml", "skin", id, |x| Some(&x.source);
    raw::Reflex, "reflexes.yaml", "reflexes", id, |x| Some(&x.source);
    raw::Sign, "signs.yaml", "signs", id, |x| Some(&x.source);
    raw::Variant, "variants.yaml", "variants", id, |x| Some(&x.source);
    raw::Site, "sites.yaml", "sites", id, |x| Some(&x.source);
    raw::Source, "sources.yaml", "sources", code, |_| None;
    raw::Called, "names.yaml", "names", id, |x| Some(&x.source);
    raw::View, "charts.yaml", "views", id, |_| None;
}

/// A file as it is written: its list and nothing else.
pub struct List<E>(pub Vec<E>);

impl<'de, E: Entry> Deserialize<'de> for List<E> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct File<E>(PhantomData<E>);
        impl<'de, E: Entry> Visitor<'de> for File<E> {
            type Value = Vec<E>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "`{}:` and its list", E::LIST)
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Vec<E>, A::Error> {
                let mut list = None;
                while let Some(key) = map.next_key::<String>()? {
                    if key != E::LIST {
                        return Err(A::Error::unknown_field(&key, E::KEYS));
                    }
                    if list.replace(map.next_value()?).is_some() {
                        return Err(A::Error::duplicate_field(E::LIST));
                    }
                }
                list.ok_or_else(|| A::Error::missing_field(E::LIST))
            }
        }
        deserializer.deserialize_map(File(PhantomData)).map(List)
    }
}

impl<E: Entry> Listed for List<E> {
    const LIST: &'static str = E::LIST;
    type Entry = E;
    fn entries(&mut self) -> &mut Vec<E> {
        &mut self.0
    }
    fn id(entry: &E) -> String {
        entry.id().to_string()
    }
}
