//! How do folders become content and sheets files? The only door to the disk.

mod content;
mod csv_text;
mod fingerprint;
mod folder;
mod json;
mod locate;
mod merge;
mod settings;
mod shipped;
mod staged;
mod table;
mod text;
mod text_mark;
mod walk;
mod write;
mod yaml;
mod yaml_message;

pub use content::{Content, Source, locate};
pub use csv_text::to_csv;
pub use fingerprint::{fnv1a, sha256_base64};
pub use folder::{ready_folder, write_folder};
pub use json::{from_json, to_json, to_json_line};
pub use locate::Step;
pub use merge::{Listed, Origins, parse_with_extra};
pub use settings::{Eponyms, Grade, PaperWord, Settings, TextWord, phrase_in_settings, settings};
pub use staged::interrupted;
pub use table::{Table, TableRow, read_table};
pub use text::{MAX_BYTES, read_text, read_text_up_to, resident_bytes};
pub use walk::{FOLDERS, SETTINGS};
pub use write::{OutFile, write_all, write_new, write_sets};
pub use yaml::{UniqueMap, parse, to_yaml};
