//! Prints stations with the program and reads the files back: same bytes twice, and the PDF says what the Markdown says, by the word
//! of an independent reader (poppler's pdftotext; lopdf beside it, which is always there).

use crate::cli_findings::{run, text};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::process::Command;

struct Out(PathBuf);

impl Out {
    fn new(name: &str) -> Self {
        let path =
            std::env::temp_dir().join(format!("vivasmith-out-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        Out(path)
    }

    fn files(&self) -> BTreeMap<String, Vec<u8>> {
        std::fs::read_dir(&self.0)
            .expect("out folder")
            .map(|e| e.expect("entry").path())
            .map(|p| {
                (
                    p.file_name().expect("name").to_string_lossy().into_owned(),
                    std::fs::read(&p).expect("file"),
                )
            })
            .collect()
    }
}

impl Drop for Out {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn station(out: &Out, arguments: &[&str]) -> String {
    let folder = out.0.to_string_lossy().into_owned();
    let all = [&["station"], arguments, &["--out", &folder]].concat();
    let done = run(&all);
    assert!(
        done.status.success(),
        "{arguments:?}: {}",
        text(&done.stderr)
    );
    text(&done.stdout)
}

fn of<'f>(files: &'f BTreeMap<String, Vec<u8>>, end: &str) -> &'f [u8] {
    files
        .iter()
        .find(|(n, _)| n.ends_with(end))
        .map(|(_, b)| b.as_slice())
        .expect("the file is there")
}

/// Letters and digits only: layout, hyphens and line ends aside.
fn bare(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).collect()
}

/// The text of a PDF as poppler reads it; `None` where poppler is not installed and nobody insists.
fn poppler(pdf: &[u8], name: &str) -> Option<String> {
    let path =
        std::env::temp_dir().join(format!("vivasmith-read-{name}-{}.pdf", std::process::id()));
    std::fs::write(&path, pdf).expect("write");
    let out = Command::new("pdftotext")
        .args(["-raw", "-enc", "UTF-8"])
        .arg(&path)
        .arg("-")
        .output();
    let _ = std::fs::remove_file(&path);
    match out {
        Ok(out) if out.status.success() => Some(text(&out.stdout)),
        _ => {
            assert!(
                std::env::var_os("VIVASMITH_NEEDS_POPPLER").is_none(),
                "pdftotext is needed here (Debian: poppler-utils)"
            );
            None
        }
    }
}

fn lopdf_text(pdf: &[u8]) -> String {
    let doc = lopdf::Document::load_mem(pdf).expect("a PDF");
    let pages: Vec<u32> = doc.get_pages().keys().copied().collect();
    doc.extract_text(&pages).expect("text")
}

#[test]
fn the_same_seed_prints_the_same_bytes() {
    let (a, b) = (Out::new("same-a"), Out::new("same-b"));
    for arguments in [
        &["upper_trunk", "--seed", "5", "--level", "trainee"][..],
        &["--seed", "11"],
        &[
            "carpal_tunnel@partial",
            "--seed",
            "3",
            "--kind",
            "forecast",
            "--paper",
            "letter",
        ],
    ] {
        station(&a, arguments);
        station(&b, arguments);
    }
    assert_eq!(a.files(), b.files());
}

#[test]
fn the_command_on_the_examiner_sheet_prints_the_station_again() {
    let (a, b) = (Out::new("again-a"), Out::new("again-b"));
    station(&a, &["--seed", "12", "--formats", "md"]);
    let files = a.files();
    let examiner = text(of(&files, "examiner.md"));
    let line = examiner
        .split('`')
        .find(|t| t.starts_with("vivasmith station"))
        .expect("the command");
    let arguments: Vec<&str> = line
        .split_whitespace()
        .skip(2)
        .chain(["--formats", "md"])
        .collect();
    station(&b, &arguments);
    assert_eq!(files, b.files());
}

#[test]
fn the_pdf_says_what_the_markdown_says() {
    let out = Out::new("read");
    station(&out, &["radial_spiral_groove", "--seed", "7"]);
    let files = out.files();
    for sheet in ["candidate", "examiner", "answer"] {
        let markdown = text(of(&files, &format!("{sheet}.md")));
        let pdf = of(&files, &format!("{sheet}.pdf"));
        let read = [Some(lopdf_text(pdf)), poppler(pdf, sheet)];
        for read in read.into_iter().flatten() {
            let read = bare(&read);
            for line in markdown
                .lines()
                .filter(|l| !l.starts_with("<!--") && !l.starts_with("|--"))
            {
                // Headings and list entries stand in one piece; table cells each by themselves.
                for cell in line.trim_start_matches(['#', '-', ' ']).split('|') {
                    let cell = bare(&cell.replace("\\", ""));
                    let cell = cell.trim_start_matches(|c: char| c.is_ascii_digit());
                    if cell.chars().count() < 60 {
                        assert!(read.contains(cell), "{sheet}: `{cell}` is not in the PDF");
                    }
                }
            }
            assert!(read.contains(&bare("Page 1 of")), "{sheet}");
        }
    }
}

#[test]
fn a_candidate_page_never_shares_a_file_with_answers() {
    let out = Out::new("apart");
    station(&out, &["pin_supinator", "--kind", "trace", "--seed", "2"]);
    let files = out.files();
    let candidate = lopdf_text(of(&files, "candidate.pdf")).to_lowercase();
    for word in [
        "interosseous",
        "radial nerve",
        "supinator",
        "arcade",
        "marks",
        "expected",
    ] {
        assert!(!candidate.contains(word), "{word}");
    }
    let raw = of(&files, "candidate.pdf").to_ascii_lowercase();
    assert!(
        !raw.windows(12).any(|w| w == b"interosseous"),
        "nor in the document's properties"
    );
}

#[test]
fn every_sheet_says_what_it_is_not() {
    let out = Out::new("caution");
    station(&out, &["--seed", "4"]);
    for (name, bytes) in out
        .files()
        .into_iter()
        .filter(|(n, _)| !n.ends_with(".svg"))
    {
        let said = if name.ends_with(".pdf") {
            lopdf_text(&bytes)
        } else {
            text(&bytes)
        };
        let said = bare(&said);
        for words in [
            "not clinical guidance",
            "local curriculum",
            "licensed practice come first",
            "named person must review",
        ] {
            assert!(said.contains(&bare(words)), "{name}: {words}");
        }
    }
}

#[test]
fn wrong_options_are_answered_and_nothing_is_written() {
    let out = Out::new("wrong");
    let folder = out.0.to_string_lossy().into_owned();
    for (arguments, code, said) in [
        (
            &["station", "radial_spiral_grove"][..],
            2,
            "did you mean `radial_spiral_groove`?",
        ),
        (&["station", "--area", "elbo"], 2, "name a nerve"),
        (&["station", "--kind", "trase"], 2, "did you mean `trace`?"),
        (&["station", "--minutes", "400"], 2, "ask for"),
        (&["station", "--level", "expert"], 2, "early"),
        (
            &["station", "ulnar_elbow", "--variant", "mag"],
            2,
            "did you mean `mga`?",
        ),
        (&["station", "--content", "/nowhere"], 2, "is not a folder"),
    ] {
        let done = run(&[arguments, &["--out", &folder]].concat());
        assert_eq!(
            done.status.code(),
            Some(code),
            "{arguments:?}: {}",
            text(&done.stderr)
        );
        assert!(
            text(&done.stderr).contains(said),
            "{arguments:?}: {}",
            text(&done.stderr)
        );
        assert!(!out.0.exists(), "{arguments:?}");
    }
    let done = run(&["station", "--seed", "1", "--out", "/proc/nowhere"]);
    assert_eq!(done.status.code(), Some(3));
}

#[test]
fn a_seed_is_drawn_and_told() {
    let out = Out::new("seed");
    let said = station(&out, &["--formats", "md"]);
    assert!(said.starts_with("seed "), "{said}");
    let sheets = out.files().into_keys().filter(|n| n.ends_with(".md"));
    assert_eq!(sheets.count(), 3);
}
