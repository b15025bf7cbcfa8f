//! Turns the YAML of the content folders into bytes that the program reads faster than YAML, and a new content file into a rebuild.

use std::path::{Path, PathBuf};
use std::{env, fs, io};

#[path = "files/encode.rs"]
mod encode;
#[path = "files/marks.rs"]
mod marks;

fn main() -> io::Result<()> {
    // The folders are embedded by a macro that only notices changed files, not new ones.
    println!("cargo::rerun-if-changed=stations");
    println!("cargo::rerun-if-changed=templates");
    println!("cargo::rerun-if-changed=src/build.rs");
    println!("cargo::rerun-if-changed=src/files/encode.rs");
    println!("cargo::rerun-if-changed=src/files/marks.rs");
    let out = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default()).join("ready");
    if out.exists() {
        fs::remove_dir_all(&out)?;
    }
    fold(Path::new("stations"), &out)?;
    fold(Path::new("templates"), &out.join("templates"))
}

/// One folder with all below it; what cannot be encoded stays YAML.
fn fold(from: &Path, to: &Path) -> io::Result<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let path = entry?.path();
        let Some(name) = path.file_name() else {
            continue;
        };
        if path.is_dir() {
            fold(&path, &to.join(name))?;
        } else if path.extension().is_some_and(|e| e == "yaml")
            && let Some(bytes) = encode::encode(&fs::read_to_string(&path)?)
        {
            fs::write(to.join(name), bytes)?;
        }
    }
    Ok(())
}
