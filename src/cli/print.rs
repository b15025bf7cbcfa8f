//! How does text stand on the terminal? Tables in columns, colour only where a person looks.

use crate::diagnostic::{Failure, Problem};
use std::io::{IsTerminal, Write};
use std::process::ExitCode;

/// Prints a result. A reader that went away early (a closed pipe) is no failure; a full disk is.
pub fn out(text: &str) -> ExitCode {
    let mut stdout = std::io::stdout().lock();
    let written = stdout
        .write_all(text.as_bytes())
        .and_then(|()| stdout.flush());
    match written {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => {
            let said = Problem::new(format!("the output could not be written ({e})"));
            failure(&Failure::disk(
                said.hint("free some space where it goes, or send it elsewhere"),
            ));
            ExitCode::from(3)
        }
        _ => ExitCode::SUCCESS,
    }
}

/// Prints what went wrong on standard error.
pub fn failure(failure: &Failure) {
    let mut stderr = std::io::stderr().lock();
    let (red, dim, off) = if coloured(&stderr) {
        ("\u{1b}[31m", "\u{1b}[2m", "\u{1b}[0m")
    } else {
        ("", "", "")
    };
    let (shown, more) = failure.shown();
    for problem in shown {
        let place = problem
            .place
            .as_ref()
            .map(|p| format!("{p}: "))
            .unwrap_or_default();
        // Nothing to be done when even the error cannot be shown.
        let _ = writeln!(stderr, "{red}error:{off} {place}{}", problem.message);
        if !problem.hint.is_empty() {
            let _ = writeln!(stderr, "  {dim}hint:{off} {}", problem.hint);
        }
    }
    if more > 0 {
        let _ = writeln!(stderr, "and {more} more problems: mend these first");
    }
}

/// Prints what is good to know, on standard error.
pub fn note(text: &str) {
    // Nothing to be done when it cannot be shown.
    let _ = writeln!(std::io::stderr().lock(), "note: {text}");
}

/// Prints what might be better, on standard error: it stops nothing.
pub fn advice(problem: &Problem) {
    let mut stderr = std::io::stderr().lock();
    let (dim, off) = if coloured(&stderr) {
        ("\u{1b}[2m", "\u{1b}[0m")
    } else {
        ("", "")
    };
    let place = problem
        .place
        .as_ref()
        .map(|p| format!("{p}: "))
        .unwrap_or_default();
    // Nothing to be done when even the advice cannot be shown.
    let _ = writeln!(stderr, "advice: {place}{}", problem.message);
    let _ = writeln!(stderr, "  {dim}hint:{off} {}", problem.hint);
}

/// Bold for a terminal, plain otherwise.
pub fn heading(text: &str) -> String {
    if coloured(&std::io::stdout()) {
        format!("\u{1b}[1m{text}\u{1b}[0m")
    } else {
        text.to_string()
    }
}

fn coloured(stream: &impl IsTerminal) -> bool {
    stream.is_terminal()
        && std::env::var_os("NO_COLOR").is_none()
        && std::env::var_os("TERM").is_none_or(|t| t != "dumb")
}

/// Rows in columns, each as wide as its widest cell, two blanks between; the last column runs free.
pub fn columns(rows: &[Vec<String>]) -> String {
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| {
        rows.iter()
            .filter_map(|r| r.get(c))
            .map(|t| t.chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..count).map(width).collect();
    let mut text = String::new();
    for row in rows {
        let mut line = String::new();
        for (c, cell) in row.iter().enumerate() {
            line.push_str(cell);
            if c + 1 < row.len() {
                let gap = widths[c].saturating_sub(cell.chars().count()) + 2;
                line.push_str(&" ".repeat(gap));
            }
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// The licence of the program, then that of the font that goes with it.
pub fn licences() -> String {
    format!(
        "vivasmith\n\n{}\n\nDejaVu Sans Condensed, embedded in the program and in every PDF\n\n{}",
        include_str!("../../LICENSE"),
        include_str!("../typeset/font-licence.txt"),
    )
}
