//! Which texts ship inside the program? Those the build found under `stations/` and `templates/`, in order of name.

/// One text of the program's own.
#[derive(Debug)]
pub struct Shipped {
    /// As in the content: `anatomy/upper_limb/muscles.yaml`, `templates/candidate.md.tera`.
    pub name: &'static str,
    pub text: &'static str,
    /// Its YAML as the build wrote it again; none for what is no YAML, or says more than JSON can.
    pub json: Option<&'static [u8]>,
    /// Its [`text_mark`](super::text_mark::text_mark).
    pub mark: u64,
}

include!(concat!(env!("OUT_DIR"), "/shipped.rs"));
