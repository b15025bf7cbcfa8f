//! One content folder for all commands: named, or the folder `content` where the program runs; and sheets that say what they were made of.

use crate::cli_findings::text;
use crate::own_support::{Folder, call, says};
use std::process::Command;

/// Runs the program in a folder.
fn within(folder: &Folder, arguments: &[&str]) -> (i32, String, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_vivasmith"))
        .args(arguments)
        .current_dir(&folder.0)
        .output()
        .expect("it starts");
    let code = out.status.code().expect("it ends by itself");
    (code, text(&out.stdout), text(&out.stderr))
}

#[test]
fn the_folder_content_is_used_where_it_is_there_and_the_tool_says_so() {
    let folder = Folder::new("default");
    let (_, _, err) = within(&folder, &["list", "circuits"]);
    assert!(err.is_empty(), "{err}");
    let (code, _, err) = within(&folder, &["new", "blueprint", "our_day"]);
    assert_eq!(code, 0, "{err}");
    let (code, _, err) = within(&folder, &["new", "station", "mine"]);
    assert_eq!(code, 0, "{err}");
    for (arguments, words) in [
        (&["list", "circuits"][..], "our_day"),
        (&["check"], "files of your own"),
        (&["station", "own:mine", "--formats", "md"], "station VS-"),
        (&["findings", "ulnar_elbow"], "Muscles"),
        (&["draw", "plexus", "--format", "svg"], "plexus.svg"),
        (&["localise", "fcu=lost"], "chance"),
    ] {
        let (code, out, err) = within(&folder, arguments);
        assert_eq!(code, 0, "{arguments:?}: {err}");
        says(&out, &[words]);
        says(&err, &["folder `content`", "--content"]);
    }
    // One that is named is not announced.
    let (code, out, err) = within(&folder, &["list", "circuits", "--content", "content"]);
    assert!(
        code == 0 && out.contains("our_day") && err.is_empty(),
        "{err}"
    );
}

#[test]
fn the_command_on_the_sheet_names_the_content() {
    let folder = Folder::new("command");
    let content = folder.path("my content");
    folder.with("my content/settings.yaml", "institution: Nowhere\n");
    let out = folder.path("out");
    let asked = [
        "station",
        "ulnar_elbow",
        "--kind",
        "risk",
        "--seed",
        "4",
        "--formats",
        "md",
    ];
    let (code, _, err) = call(&[&asked[..], &["--content", &content, "--out", &out]].concat());
    assert_eq!(code, 0, "{err}");
    let sheet = examiner(&folder);
    says(&sheet, &[&format!("--seed 4 --content '{content}'`")]);
    // Where the content lies changes neither code nor version.
    let code = |sheet: &str| {
        let at = sheet.find("VS-").expect("a code");
        sheet[at..at + 13].to_string()
    };
    let first = code(&sheet);
    std::fs::rename(folder.0.join("my content"), folder.0.join("ours")).expect("renamed");
    std::fs::remove_dir_all(folder.0.join("out")).expect("removed");
    let content = folder.path("ours");
    call(&[&asked[..], &["--content", &content, "--out", &out]].concat());
    assert_eq!(code(&examiner(&folder)), first);
}

/// What the examiner reads the day before, and the answer: the command stands on the one, the version on the other.
fn examiner(folder: &Folder) -> String {
    let files = folder.files().into_iter();
    let read = files.filter(|f| f.ends_with("-briefing.md") || f.ends_with("-answer.md"));
    read.map(|f| folder.read(&f)).collect()
}

#[test]
fn the_content_version_of_an_own_station_covers_its_file() {
    let folder = Folder::new("version");
    let content = folder.path("content");
    let (code, _, err) = call(&["new", "station", "mine", "--content", &content]);
    assert_eq!(code, 0, "{err}");
    let version = || {
        let out = folder.path("out");
        let (code, _, err) = call(&[
            "station",
            "own:mine",
            "--formats",
            "md",
            "--content",
            &content,
            "--out",
            &out,
        ]);
        assert_eq!(code, 0, "{err}");
        let sheet = examiner(&folder);
        std::fs::remove_dir_all(folder.0.join("out")).expect("removed");
        let line = sheet
            .lines()
            .find(|l| l.contains("Content version"))
            .expect("a version");
        line.to_string()
    };
    let first = version();
    assert_eq!(version(), first);
    let text = folder.read("content/own/mine.yaml");
    folder.with("content/own/mine.yaml", text + "\n# a remark\n");
    assert_ne!(version(), first);
}
