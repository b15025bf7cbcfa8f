//! A content folder of a user's, on the disk for as long as one test runs.

use crate::cli_findings::{run, text};
use std::fs;
use std::path::{Path, PathBuf};

pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let path =
            std::env::temp_dir().join(format!("vivasmith-own-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("temp folder");
        Folder(path)
    }

    pub fn with(&self, file: &str, text: impl AsRef<[u8]>) -> &Self {
        let path = self.0.join(file);
        fs::create_dir_all(path.parent().expect("a folder")).expect("folders");
        fs::write(path, text).expect("write");
        self
    }

    pub fn path(&self, file: &str) -> String {
        self.0.join(file).to_string_lossy().into_owned()
    }

    pub fn shown(&self) -> String {
        self.0.to_string_lossy().into_owned()
    }

    pub fn read(&self, file: &str) -> String {
        fs::read_to_string(self.0.join(file)).expect("the file is there")
    }

    /// Every file below the folder, by its path within it.
    pub fn files(&self) -> Vec<String> {
        fn walk(root: &Path, here: &Path, all: &mut Vec<String>) {
            for entry in fs::read_dir(here).expect("list") {
                let path = entry.expect("entry").path();
                if path.is_dir() {
                    walk(root, &path, all);
                } else {
                    all.push(
                        path.strip_prefix(root)
                            .expect("below")
                            .to_string_lossy()
                            .into_owned(),
                    );
                }
            }
        }
        let mut all = Vec::new();
        walk(&self.0, &self.0, &mut all);
        all.sort();
        all
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Runs the program; gives exit code, standard output and standard error.
pub fn call(arguments: &[&str]) -> (i32, String, String) {
    let out = run(arguments);
    let code = out.status.code().expect("it ends by itself");
    (code, text(&out.stdout), text(&out.stderr))
}

/// Every word stands in the text, and the program did not panic.
pub fn says(text: &str, words: &[&str]) {
    assert!(!text.contains("panicked"), "{text}");
    for word in words {
        assert!(text.contains(word), "`{word}` is missing in:\n{text}");
    }
}
