//! Runs `vivasmith circuit` as a user does and reads the folder back.

use crate::cli_findings::{run, text};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

pub struct Out(pub PathBuf);

impl Out {
    pub fn new(name: &str) -> Self {
        let path =
            std::env::temp_dir().join(format!("vivasmith-circuit-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        Out(path)
    }

    pub fn path(&self) -> String {
        self.0.to_string_lossy().into_owned()
    }

    pub fn files(&self) -> BTreeMap<String, Vec<u8>> {
        let mut all = BTreeMap::new();
        collect(&self.0, &self.0, &mut all);
        all
    }
}

impl Drop for Out {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn collect(root: &Path, here: &Path, all: &mut BTreeMap<String, Vec<u8>>) {
    for entry in std::fs::read_dir(here).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            collect(root, &path, all);
        } else {
            let name = path
                .strip_prefix(root)
                .expect("below")
                .to_string_lossy()
                .into_owned();
            all.insert(name, std::fs::read(&path).expect("a file"));
        }
    }
}

/// A small circuit: four stations of two kinds, one rest, staggered starts, two tracks.
const SMALL: &str = "\
title: Small day
time: {station: 6, reading: 2, changeover: 1, warning: 1, starts: staggered}
positions:
  - {times: 2, kind: trace, minutes: 8}
  - {times: 2, kind: forecast}
  - {rest: 5}
groups:
  - id: A-1
    candidates: [{id: A1, name: Wenrop Acornquist}, {id: A2, name: Zinmott Velvetcoe}, {id: A3, name: Imvick Cornetwade}, {id: A4, name: Olzel Dimplestow}]
    sittings: [{id: early, start: \"09:00\", tracks: 2}]
examiners:
  - {id: X1, name: Yarsett Knapperlaw, knows: [A2]}
  - {id: X2}
  - {id: X3}
  - {id: X4}
  - {id: X5}
  - {id: X6}
  - {id: X7}
  - {id: X8}
  - {id: X9}
";

fn small(name: &str, more: &[&str]) -> (Out, String) {
    let out = Out::new(name);
    let file = std::env::temp_dir().join(format!(
        "vivasmith-small-{name}-{}.yaml",
        std::process::id()
    ));
    std::fs::write(&file, SMALL).expect("written");
    let path = file.to_string_lossy().into_owned();
    let folder = out.path();
    let done = run(&[&["circuit", &path, "--seed", "4", "--out", &folder], more].concat());
    let _ = std::fs::remove_file(&file);
    assert!(done.status.success(), "{}", text(&done.stderr));
    assert!(done.stderr.is_empty(), "no bar where nobody looks");
    (out, text(&done.stdout))
}

/// The whole folder, PDFs included, made once.
pub fn whole() -> &'static (BTreeMap<String, Vec<u8>>, String) {
    static WHOLE: OnceLock<(BTreeMap<String, Vec<u8>>, String)> = OnceLock::new();
    WHOLE.get_or_init(|| {
        let (out, said) = small("whole", &[]);
        (out.files(), said)
    })
}

fn markdown(name: &str) -> String {
    let files = &whole().0;
    text(
        files
            .get(name)
            .unwrap_or_else(|| panic!("{name}: {:?}", files.keys())),
    )
}

#[test]
fn one_folder_holds_all_that_the_day_needs() {
    let (files, said) = whole();
    for name in [
        "blueprint_and_equality.pdf",
        "equipment_and_patients.pdf",
        "exposure.yaml",
        "mark_sheet.csv",
        "pack_A-1_candidate.pdf",
        "print_plan.pdf",
        "rooms/X1.pdf",
        "rest_R1.pdf",
        "sign_in.pdf",
        "labels.pdf",
        "quarantine.pdf",
        "timetable_candidates.pdf",
        "timetable_examiners.pdf",
        "timetable_timekeeper.pdf",
    ] {
        assert!(files.contains_key(name), "{name}");
    }
    for position in ["01", "02", "03", "04"] {
        let start = format!("group_A-1/{position}-VS-");
        for end in [
            "/door.pdf",
            "/candidate.pdf",
            "/room.pdf",
            "/briefing.pdf",
            "/answer.pdf",
            "/candidate.md",
        ] {
            assert!(
                files
                    .keys()
                    .any(|n| n.starts_with(&start) && n.ends_with(end)),
                "{start}*{end}"
            );
        }
    }
    assert!(
        said.contains("circuit vivasmith_small_whole") || said.contains("(seed 4): Small day"),
        "{said}"
    );
    // Every picture that a sheet names lies beside it.
    for (name, bytes) in files.iter().filter(|(n, _)| n.ends_with(".md")) {
        for line in text(bytes).lines().filter(|l| l.starts_with("![")) {
            let file = line
                .rsplit_once('(')
                .map(|(_, f)| f.trim_end_matches(')'))
                .expect("a file");
            let folder = name.rsplit_once('/').map_or("", |(f, _)| f);
            assert!(
                files.contains_key(&format!("{folder}/{file}")),
                "{name}: {file}"
            );
        }
    }
}

#[test]
fn the_same_seed_writes_the_same_bytes_and_replaces_only_its_own() {
    let (out, _) = small("same", &["--formats", "md"]);
    let first = out.files();
    let markdown = |files: &BTreeMap<String, Vec<u8>>| -> BTreeMap<String, Vec<u8>> {
        files
            .iter()
            .filter(|(n, _)| !n.ends_with(".pdf"))
            .map(|(n, b)| (n.clone(), b.clone()))
            .collect()
    };
    // The exposure record names the circuit after its file, which has another name here.
    let strip = |mut files: BTreeMap<String, Vec<u8>>| {
        files.remove("exposure.yaml");
        files.remove(".vivasmith");
        files.remove("marking_key.json");
        files.remove("round.json");
        files.retain(|n, _| !n.starts_with("blueprint"));
        files
    };
    assert_eq!(strip(markdown(&first)), strip(markdown(&whole().0)));

    let file =
        std::env::temp_dir().join(format!("vivasmith-small-same-{}.yaml", std::process::id()));
    std::fs::write(&file, SMALL).expect("written");
    let (path, folder) = (file.to_string_lossy().into_owned(), out.path());
    let again = [
        "circuit",
        &path,
        "--seed",
        "4",
        "--formats",
        "md",
        "--out",
        &folder,
    ];
    let done = run(&again);
    assert_eq!(done.status.code(), Some(2), "a full folder is left alone");
    assert!(
        text(&done.stderr).contains("--replace"),
        "{}",
        text(&done.stderr)
    );
    assert_eq!(out.files(), first);
    let replaced = |says: &str| {
        let done = run(&[&again[..], &["--replace"]].concat());
        assert_eq!(done.status.code(), Some(2));
        assert!(text(&done.stderr).contains(says), "{}", text(&done.stderr));
    };
    // Work of the user's is never lost: neither a file added nor marks entered.
    std::fs::write(out.0.join("notes.txt"), "x").expect("written");
    replaced("notes.txt was changed or added");
    std::fs::remove_file(out.0.join("notes.txt")).expect("removed");
    let sheet = out.0.join("mark_sheet.csv");
    let blank = std::fs::read(&sheet).expect("the mark sheet");
    std::fs::write(&sheet, "marks entered").expect("written");
    replaced("mark_sheet.csv was changed or added");
    std::fs::write(&sheet, blank).expect("written");
    let done = run(&[&again[..], &["--replace"]].concat());
    assert!(done.status.success(), "{}", text(&done.stderr));
    assert_eq!(out.files(), first, "the same bytes");
    let name = out.0.file_name().expect("a name").to_string_lossy();
    let beside = std::fs::read_dir(out.0.parent().expect("a folder above")).expect("a list");
    let left: Vec<String> = beside
        .filter_map(|e| Some(e.ok()?.file_name().to_string_lossy().into_owned()))
        .filter(|n| n.starts_with(&format!(".{name}.")))
        .collect();
    assert!(left.is_empty(), "the old folder is gone: {left:?}");
    std::fs::remove_file(out.0.join(".vivasmith")).expect("the mark");
    replaced("was not written by this program");
    let _ = std::fs::remove_file(&file);
}

#[test]
fn nothing_is_written_when_the_disk_refuses() {
    let done = run(&[
        "circuit",
        "peer_mock",
        "--seed",
        "1",
        "--formats",
        "md",
        "--nodes",
        "0",
        "--out",
        "/proc/nowhere/day",
    ]);
    assert_eq!(done.status.code(), Some(3), "{}", text(&done.stderr));
}

#[test]
fn the_mark_sheet_has_a_line_for_each_mark_and_no_names() {
    let sheet = markdown("mark_sheet.csv");
    let rows: Vec<Vec<&str>> = sheet.lines().map(|l| l.split(',').collect()).collect();
    assert!(sheet.contains("\r\n"), "RFC 4180");
    assert_eq!(rows.len(), 1 + 4 * 4, "four candidates at four stations");
    assert!(rows.iter().all(|r| r.len() == rows[0].len()));
    for name in [
        "Wenrop",
        "Acornquist",
        "Yarsett",
        "Knapperlaw",
        "Cornetwade",
    ] {
        assert!(!sheet.contains(name), "{name}");
    }
    let column = |name: &str| rows[0].iter().position(|c| *c == name).expect("the column");
    let (candidate, examiner, marks) = (column("candidate"), column("examiner"), column("marks"));
    for row in &rows[1..] {
        assert!(
            row[candidate] != "A2" || row[examiner] != "X1",
            "X1 knows A2"
        );
        assert!(!row[examiner].is_empty() && row[marks].is_empty());
    }
}

fn pdf(name: &str) -> lopdf::Document {
    lopdf::Document::load_mem(&whole().0[name]).expect("a PDF")
}

fn pages(doc: &lopdf::Document) -> Vec<String> {
    let numbers: Vec<u32> = doc.get_pages().keys().copied().collect();
    numbers
        .iter()
        .map(|n| doc.extract_text(&[*n]).expect("text"))
        .collect()
}

#[test]
fn a_pack_tells_the_page_of_every_station_and_has_an_outline() {
    {
        let name = "pack_A-1_candidate.pdf";
        let doc = pdf(name);
        let pages = pages(&doc);
        for station in 1..=4 {
            let heading = format!("Station {station}");
            let lines: Vec<&str> = pages[0].lines().map(str::trim).collect();
            let at = lines
                .iter()
                .position(|l| *l == heading)
                .unwrap_or_else(|| panic!("{name}: {}", pages[0]));
            // Cells are read in the order of the row: station, kind, code, page.
            let page: usize = lines[at..]
                .iter()
                .find_map(|l| l.parse().ok())
                .expect("a page number");
            assert!(
                pages[page - 1].lines().any(|l| l.trim() == heading),
                "{name}: {heading} on page {page}"
            );
        }
        let catalog = doc.catalog().expect("a catalog");
        let outlines = catalog
            .get(b"Outlines")
            .and_then(lopdf::Object::as_reference)
            .expect("an outline");
        let outlines = doc.get_dictionary(outlines).expect("its root");
        assert!(outlines.has(b"First"));
    }
}

/// The group is called `A-1`: its name and the code of a station are told apart all the same.
#[test]
fn every_page_of_a_station_and_every_line_of_the_contents_bears_its_code() {
    let sheet = text(&whole().0["mark_sheet.csv"]);
    let codes: BTreeSet<&str> = sheet
        .lines()
        .skip(1)
        .filter_map(|l| l.split(',').nth(5))
        .collect();
    assert_eq!(codes.len(), 4);
    let contents = pages(&pdf("pack_A-1_candidate.pdf"))[0].clone();
    for code in codes {
        let cell = |l: &str| l.trim() == code;
        assert!(contents.lines().any(cell), "{code} in {contents}");
        for name in whole()
            .0
            .keys()
            .filter(|n| n.contains(code) && n.ends_with(".pdf"))
        {
            for page in pages(&pdf(name)) {
                assert!(
                    page.lines()
                        .any(|l| l.split_whitespace().any(|w| w == code)),
                    "{name}: {page}"
                );
            }
        }
    }
}

#[test]
fn a_candidate_pack_holds_no_answers() {
    let all = pages(&pdf("pack_A-1_candidate.pdf"))
        .join(" ")
        .to_lowercase();
    let tells = ["answer:", "danger", "before you add up", "keep this rule"];
    for word in tells {
        assert!(!all.contains(word), "{word}");
    }
    let room = pages(&pdf("rooms/X1.pdf")).join(" ").to_lowercase();
    assert!(tells[..3].iter().all(|word| room.contains(word)), "{room}");
}

/// One leaf a candidate, in the order of the day, with number, examiner, time and position filled in as the mark sheet has them.
#[test]
fn room_sheets_are_filled_in_and_lie_in_the_order_of_the_day() {
    let sheet = markdown("mark_sheet.csv");
    let rows: Vec<Vec<&str>> = sheet
        .lines()
        .skip(1)
        .map(|l| l.split(',').collect())
        .collect();
    let seats = rows.iter().map(|r| (r[0], r[7]));
    assert!(seats.is_sorted(), "by candidate, then by time: {sheet}");
    let examiners: BTreeSet<&str> = rows.iter().map(|r| r[6]).collect();
    for examiner in examiners {
        let mut own: Vec<&Vec<&str>> = rows.iter().filter(|r| r[6] == examiner).collect();
        own.sort_by_key(|r| r[7]);
        let pages = pages(&pdf(&format!("rooms/{examiner}.pdf")));
        assert_eq!(pages.len(), 2 * own.len(), "{examiner}: two sides each");
        for (row, page) in own.iter().zip(pages.iter().step_by(2)) {
            let position = format!("Station {}", row[4]);
            for what in [row[0], row[5], examiner, row[7], &position] {
                assert!(page.contains(what), "{examiner}: {what} in {page}");
            }
        }
    }
}

#[test]
fn timetables_agree_with_each_other() {
    let sheet = markdown("mark_sheet.csv");
    let candidates = markdown("timetable_candidates.md");
    let examiners = markdown("timetable_examiners.md");
    let bells = markdown("timetable_timekeeper.md");
    for line in sheet.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (candidate, position, examiner, time) = (cells[0], cells[4], cells[6], cells[7]);
        let part = |whole: &str, head: &str| -> String {
            let from = whole.find(head).unwrap_or_else(|| panic!("{head}"));
            let rest = &whole[from + head.len()..];
            rest[..rest.find("\n## ").unwrap_or(rest.len())].to_string()
        };
        let own = part(&candidates, &format!("## Candidate {candidate}"));
        let row = own
            .lines()
            .find(|l| l.starts_with(&format!("| Station {position} |")))
            .expect("the station");
        assert!(row.contains(time), "{row} {time}");
        let theirs = part(&examiners, &format!("## Examiner {examiner}"));
        let row = theirs
            .lines()
            .find(|l| l.contains(&format!("| {time} |")))
            .expect("the time");
        assert!(
            row.contains(&format!("| {candidate} |"))
                && row.contains(&format!("| {position} \u{b7}")),
            "{row}"
        );
        let called = bells
            .lines()
            .find(|l| l.contains(&format!("\u{2610} {time} |")));
        let called = called.unwrap_or_else(|| panic!("{time}: {bells}"));
        let go_in = called.split("**Go in** ").nth(1).expect("a call");
        let go_in = go_in.split([';', '|']).next().expect("positions");
        assert!(go_in.split(", ").any(|p| p.trim() == position), "{called}");
    }
    // Whoever rings goes down a column, then down the next; each moment stands once, with everything that belongs to it.
    let rows: Vec<Vec<String>> = bells
        .lines()
        .filter(|l| l.contains('\u{2610}'))
        .map(|l| {
            l.split('|')
                .skip(2)
                .map(|c| c.trim().replace("\u{2610} ", ""))
                .collect()
        })
        .collect();
    let columns = rows[0].len();
    let times: Vec<&String> = (0..columns)
        .flat_map(|c| rows.iter().filter_map(move |r| r.get(c)))
        .filter(|t| !t.is_empty())
        .collect();
    assert!(
        times.len() > 10 && times.windows(2).all(|w| w[0] < w[1]),
        "{bells}"
    );
    // What comes again is written once.
    assert!(3 * rows.len() < 2 * times.len(), "{bells}");
    assert!(examiners.contains("## Examiner X9"));
}

#[test]
fn every_document_of_the_day_says_what_it_is_not() {
    for name in [
        "pack_A-1_candidate.pdf",
        "timetable_candidates.pdf",
        "blueprint_and_equality.pdf",
        "equipment_and_patients.pdf",
        "timetable_timekeeper.pdf",
        "sign_in.pdf",
        "quarantine.pdf",
    ] {
        let all: String = pages(&pdf(name))
            .join(" ")
            .chars()
            .filter(|c| c.is_alphanumeric())
            .collect();
        assert!(
            all.contains("notclinicalguidance") && all.contains("namedpersonmustreview"),
            "{name}"
        );
    }
}

#[test]
fn the_print_plan_counts_every_sheet_that_is_written_on() {
    let plan = markdown("print_plan.md");
    let row = |start: &str| {
        plan.lines()
            .find(|l| l.starts_with(start))
            .unwrap_or_else(|| panic!("{start}: {plan}"))
    };
    let copies = |position: usize| {
        row(&format!("| Group A-1 | Station {position} |"))
            .split(" | ")
            .nth(3)
    };
    // Two tracks: a door and a table each. Four candidates shade a chart of their own.
    assert_eq!((copies(1), copies(3)), (Some("4"), Some("6")), "{plan}");
    assert!(row("| rest_R1 |").ends_with("| the doors of the rests | 2 |"));
}
