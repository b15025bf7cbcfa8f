//! Turns each file of a region into a list with ids, so that a user's extra file can add entries or correct single ones.

use super::raw;
use crate::files::Listed;

macro_rules! listed {
    ($($file:ident, $entry:ident, $list:ident, $id:ident;)*) => { $(
        impl Listed for raw::$file {
            const LIST: &'static str = stringify!($list);
            type Entry = raw::$entry;
            fn entries(&mut self) -> &mut Vec<Self::Entry> {
                &mut self.$list
            }
            fn id(entry: &Self::Entry) -> String {
                entry.$id.clone()
            }
        }
    )* };
}

listed! {
    Plexus, Segment, segments, id;
    Nerves, Nerve, nerves, id;
    Muscles, Muscle, muscles, id;
    Movements, Movement, movements, id;
    Skin, SkinArea, skin, id;
    Reflexes, Reflex, reflexes, id;
    Signs, Sign, signs, id;
    Variants, Variant, variants, id;
    Sites, Site, sites, id;
    Sources, SourceEntry, sources, code;
}
