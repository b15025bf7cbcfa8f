//! How does the program read its own texts and fonts so fast? The build lists the texts, writes their YAML as JSON too, and cuts the
//! fonts down to their usual characters.

#[path = "typeset/cut.rs"]
mod cut;
#[path = "files/text_mark.rs"]
mod text_mark;

use dejavu::sans_condensed;
use serde_yaml::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::error::Error;
use std::path::{Path, PathBuf};
use std::{env, fs};

/// Latin with its accents, dashes and quotation marks, arrows, signs of comparison, boxes to tick. A font keeps 5,900 glyphs;
/// each printed file read them all to find its eighty.
const USUAL: [std::ops::RangeInclusive<u32>; 6] = [
    0x20..=0x17f,
    0x2010..=0x2044,
    0x2190..=0x2194,
    0x2212..=0x2212,
    0x2264..=0x2265,
    0x2610..=0x2612,
];

fn main() -> Result<(), Box<dyn Error>> {
    for watched in [
        "stations",
        "templates",
        "src/build.rs",
        "src/typeset/cut.rs",
        "src/files/text_mark.rs",
    ] {
        println!("cargo::rerun-if-changed={watched}");
    }
    let out = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default());
    let mut texts = BTreeMap::new();
    collect(Path::new("stations"), "", &mut texts)?;
    collect(Path::new("templates"), "templates/", &mut texts)?;
    fs::write(out.join("shipped.rs"), listed(&texts, &out.join("json"))?)?;
    let faces = out.join("faces");
    fs::create_dir_all(&faces)?;
    for (name, font) in [
        ("DejaVuSansCondensed", sans_condensed::regular()),
        ("DejaVuSansCondensed-Bold", sans_condensed::bold()),
        ("DejaVuSansCondensed-Oblique", sans_condensed::oblique()),
        (
            "DejaVuSansCondensed-BoldOblique",
            sans_condensed::bold_oblique(),
        ),
    ] {
        let font = usual(font).ok_or("a font of the package dejavu cannot be read")?;
        fs::write(faces.join(name).with_extension("ttf"), font)?;
    }
    Ok(())
}

/// The texts of a folder and of all below it, by their name in the content.
fn collect(
    folder: &Path,
    prefix: &str,
    texts: &mut BTreeMap<String, PathBuf>,
) -> Result<(), Box<dyn Error>> {
    for entry in fs::read_dir(folder)? {
        let path = fs::canonicalize(entry?.path())?;
        let name = path
            .file_name()
            .and_then(|n| n.to_str())
            .ok_or("a file name that is no text")?;
        if path.is_dir() {
            collect(&path, &format!("{prefix}{name}/"), texts)?;
        } else {
            texts.insert(format!("{prefix}{name}"), path);
        }
    }
    Ok(())
}

/// The table of the texts as Rust. What is no YAML, or says more than JSON can, has no JSON: the program then tells what is wrong.
fn listed(texts: &BTreeMap<String, PathBuf>, json: &Path) -> Result<String, Box<dyn Error>> {
    fs::create_dir_all(json)?;
    let mut rows = String::new();
    for (number, (name, path)) in texts.iter().enumerate() {
        let text = fs::read_to_string(path)?;
        let mark = text_mark::text_mark(&text);
        let mut again = "None".to_string();
        if name.ends_with(".yaml")
            && let Ok(value) = serde_yaml::from_str::<Value>(&text)
            && let Ok(bytes) = serde_json::to_vec(&value)
        {
            let file = json.join(number.to_string());
            fs::write(&file, bytes)?;
            again = format!("Some(include_bytes!({file:?}))");
        }
        rows += &format!(
            "Shipped {{ name: {name:?}, text: include_str!({path:?}), json: {again}, mark: {mark} }},\n"
        );
    }
    Ok(format!(
        "pub static SHIPPED: [Shipped; {}] = [\n{rows}];\n",
        texts.len()
    ))
}

/// The font with the usual characters only, in the order it has them in.
fn usual(font: &[u8]) -> Option<Vec<u8>> {
    let mut glyphs = BTreeSet::from([0]);
    cut::characters(&cut::tables(font)?, |character, glyph| {
        if USUAL.iter().any(|range| range.contains(&character)) {
            glyphs.insert(glyph);
        }
    })?;
    cut::cut(font, &glyphs.into_iter().collect::<Vec<u16>>(), true)
}
