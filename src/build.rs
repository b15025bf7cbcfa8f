//! How does the program read its own YAML so fast? The build has written it as JSON; and a new content file leads to a rebuild.

use serde_yaml::Value;
use std::error::Error;
use std::path::{Path, PathBuf};
use std::{env, fs};

fn main() -> Result<(), Box<dyn Error>> {
    // The folders are embedded by a macro that only notices changed files, not new ones.
    for watched in ["stations", "templates", "src/build.rs"] {
        println!("cargo::rerun-if-changed={watched}");
    }
    let out = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default()).join("json");
    if out.exists() {
        fs::remove_dir_all(&out)?;
    }
    write(Path::new("stations"), &out)?;
    write(Path::new("templates"), &out.join("templates"))
}

/// One folder with all below it. What is no YAML, or says more than JSON can, stays YAML: the program then tells what is wrong.
fn write(from: &Path, to: &Path) -> Result<(), Box<dyn Error>> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let path = entry?.path();
        let Some(name) = path.file_name() else {
            continue;
        };
        if path.is_dir() {
            write(&path, &to.join(name))?;
        } else if path.extension().is_some_and(|e| e == "yaml")
            && let Ok(value) = serde_yaml::from_str::<Value>(&fs::read_to_string(&path)?)
            && let Ok(json) = serde_json::to_vec(&value)
        {
            fs::write(to.join(name), json)?;
        }
    }
    Ok(())
}
