//! Turns folders into content and sheets into files: the only door to the disk.

mod content;
mod fingerprint;
mod folder;
mod locate;
mod marks;
mod merge;
mod ready;
mod settings;
mod text;
mod walk;
mod write;
mod yaml;

pub use content::{Content, Source};
pub use fingerprint::fnv1a;
pub use folder::{ready_folder, write_folder};
pub use locate::{Step, locate};
pub use merge::{Listed, Origins, parse_with_extra};
pub use settings::{Eponyms, Grade, PaperWord, Settings, TextWord, phrase_in_settings, settings};
pub use text::{MAX_BYTES, read_text, resident_bytes};
pub use walk::{FOLDERS, SETTINGS};
pub use write::{OutFile, write_all, write_new};
pub use yaml::{UniqueMap, parse};
