//! Writing: whole or not at all, whoever else writes, whatever the disk does, whenever it is interrupted.

use crate::cli_findings::{run, text};
use crate::own_support::Folder;
use std::process::{Command, Stdio};
use std::sync::Barrier;
use std::time::Duration;
use vivasmith::diagnostic::Failure;
use vivasmith::files::{OutFile, write_folder};

fn shell(line: &str) -> std::process::Output {
    Command::new("sh")
        .args(["-c", line])
        .output()
        .expect("a shell")
}

const PROGRAM: &str = env!("CARGO_BIN_EXE_vivasmith");

#[test]
fn two_runs_into_one_new_folder_do_not_both_succeed() {
    let folder = Folder::new("race");
    for round in 0..4 {
        let out = folder.0.join(format!("out{round}"));
        let barrier = Barrier::new(2);
        let one = |who: usize| -> Result<(), Failure> {
            let file = |i: usize| OutFile {
                name: format!("part/{i}.md"),
                bytes: format!("{who}").into_bytes(),
            };
            let files: Vec<OutFile> = (0..300).map(file).collect();
            barrier.wait();
            write_folder(&out, &files, false)
        };
        let done = std::thread::scope(|scope| {
            let others = scope.spawn(|| one(1));
            [one(0), others.join().expect("no panic")]
        });
        let winner = done.iter().position(Result::is_ok).expect("one succeeds");
        let loser = done[1 - winner].as_ref().expect_err("the other does not");
        assert_eq!(loser.exit_code(), 2, "{loser}");
        assert!(loser.to_string().contains("hint: "), "{loser}");
        for i in 0..300 {
            let said = std::fs::read_to_string(out.join(format!("part/{i}.md")));
            assert_eq!(said.ok(), Some(winner.to_string()));
        }
    }
    let left: Vec<String> = folder
        .files()
        .into_iter()
        .filter(|f| f.starts_with('.'))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[cfg(unix)]
#[test]
fn an_interrupt_ends_the_run_and_leaves_nothing() {
    let folder = Folder::new("interrupt");
    let mut child = Command::new(PROGRAM)
        .args(["circuit", "faculty_day", "--seed", "1", "--out"])
        .arg(folder.0.join("out"))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts");
    std::thread::sleep(Duration::from_millis(500));
    assert!(shell(&format!("kill -INT {}", child.id())).status.success());
    let end = child.wait().expect("it ends");
    assert_eq!(end.code(), Some(130), "ended by itself, after clearing up");
    assert_eq!(folder.files(), Vec::<String>::new());
}

/// A disk that takes no more bytes, as a limit on the size of files has it.
#[cfg(unix)]
#[test]
fn a_starter_that_does_not_fit_on_the_disk_leaves_no_empty_file() {
    let folder = Folder::new("full");
    let content = folder.path("content");
    let line =
        format!("trap '' XFSZ; ulimit -f 0; exec {PROGRAM} new station mine --content {content}");
    let out = shell(&line);
    assert_eq!(out.status.code(), Some(3), "{}", text(&out.stderr));
    assert!(text(&out.stderr).contains("cannot be written"));
    assert_eq!(folder.files(), Vec::<String>::new());
}

#[cfg(target_os = "linux")]
#[test]
fn output_that_goes_nowhere_is_told() {
    let out = shell(&format!("{PROGRAM} list sites > /dev/full"));
    assert_eq!(out.status.code(), Some(3));
    assert!(
        text(&out.stderr).contains("could not be written"),
        "{}",
        text(&out.stderr)
    );
}

#[test]
fn formats_are_taken_as_the_help_shows_them() {
    let folder = Folder::new("formats");
    let help = text(&run(&["station", "--help"]).stdout);
    let start = "[default: ";
    let shown = help
        .lines()
        .skip_while(|l| !l.contains("--formats"))
        .find_map(|l| {
            Some(
                l[l.find(start)? + start.len()..]
                    .trim_end_matches(']')
                    .to_string(),
            )
        });
    let shown = shown.expect("the default is shown");
    let words: Vec<&str> = shown.split_whitespace().collect();
    for (n, written) in [&words[..], &["pdf,md"], &["pdf,", "md"], &["PDF", "md"]]
        .iter()
        .enumerate()
    {
        let out = folder.path(&format!("out{n}"));
        let end = ["--out", &out];
        let station = ["station", "--kind", "risk", "--seed", "1", "--formats"];
        let done = run(&[&station[..], written, &["ulnar_elbow"], &end].concat());
        assert!(done.status.success(), "{written:?}: {}", text(&done.stderr));
        let files = folder.files();
        for ending in [".pdf", ".md"] {
            let here = |f: &&String| f.starts_with(&format!("out{n}/")) && f.ends_with(ending);
            assert_eq!(files.iter().filter(here).count(), 4, "{files:?}");
        }
    }
}
