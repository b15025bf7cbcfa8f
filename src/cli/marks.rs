//! What does `vivasmith marks` do? From a filled-in mark sheet to the results of the day.

use super::args::{MarksArgs, formats};
use super::content;
use super::page_style::page_style;
use super::progress::Progress;
use crate::circuit::report::{KEY_FILE, MarkingKey};
use crate::diagnostic::{Failure, Problem};
use crate::files::{
    Source, from_json, read_table, read_text_up_to, ready_folder, to_json, write_folder,
};
use crate::marks::judgements::{Judgements, judgements};
use crate::marks::results::{Results, Verdict, results};
use crate::marks::sheet;
use crate::marks::table::Day;
use crate::sheets::marks::Folder;
use crate::sheets::words::Printer;
use std::fmt::Write;
use std::path::Path;

/// Two thousand candidates at sixty stations, with comments, stay below it.
const MOST_BYTES: u64 = 64 * 1024 * 1024;

pub fn run(args: &MarksArgs) -> Result<String, Failure> {
    let key = key(&args.circuit)?;
    let judged = match &args.judgements {
        Some(path) => judgements(&file(path)?, &key)?,
        None => Judgements::default(),
    };
    let table = read_table(&file(&args.file)?)?;
    let marked = sheet::read(&table, &key, args.partial)?;
    drop(table);
    let day = Day::new(&key, &marked.entries);
    let results = results(&day, &marked, &judged);
    if args.json {
        return to_json(&results);
    }
    ready_folder(&args.out, args.replace)?;
    let content = content(&args.shared)?;
    let printer = Printer::new(&content)?;
    let folder = Folder {
        printer: &printer,
        day: &day,
        results: &results,
        judged: &judged,
        page: page_style(&content, &args.page)?,
        formats: formats(&args.formats),
        threads: std::thread::available_parallelism().map_or(2, usize::from),
    };
    let files = {
        let bar = Progress::new("Sheets");
        folder.files(&|done, all| bar.tell(done, all))?
    };
    write_folder(&args.out, &files, args.replace)?;
    let written = format!("{} files in {}\n", files.len(), args.out.display());
    Ok(told(&results) + &written + "A named person must review the results before use.\n")
}

/// The record that a circuit left in its folder.
///
/// # Errors
/// Exit code 2 when no circuit lies there.
pub(super) fn key(folder: &Path) -> Result<MarkingKey, Failure> {
    let path = folder.join(KEY_FILE);
    if !path.is_file() {
        return Err(Failure::usage(
            Problem::new(format!("{}: no circuit lies here ({KEY_FILE} is missing)", folder.display()))
                .hint("name the folder that `vivasmith circuit` wrote; a circuit of an older version is written again with its seed"),
        ));
    }
    from_json(&file(&path)?)
}

fn file(path: &Path) -> Result<Source, Failure> {
    let shown = path.display().to_string();
    Ok(Source::new(
        shown.clone(),
        shown,
        read_text_up_to(path, MOST_BYTES)?,
    ))
}

/// What stands on the terminal.
fn told(results: &Results) -> String {
    // Writing to a String cannot fail.
    let mut text = String::new();
    let figure =
        |value: Option<f64>| value.map_or_else(|| "\u{2013}".to_string(), |v| format!("{v:.2}"));
    for form in &results.forms {
        let _ = writeln!(
            text,
            "form {}: {} candidates with all marks, {} stations, pass mark {}, passed {}, alpha {}, standard error {}",
            form.id,
            form.n,
            form.stations,
            figure(form.cut),
            form.passed,
            figure(form.alpha),
            figure(form.sem)
        );
    }
    let open: Vec<&str> = results
        .candidates
        .iter()
        .filter(|c| c.result == Verdict::Open)
        .map(|c| c.id.as_str())
        .collect();
    if !open.is_empty() {
        let _ = writeln!(text, "open: {}", open.join(", "));
    }
    for problem in &results.problems {
        let place = match (problem.row, problem.column) {
            (Some(row), Some(column)) => format!("row {row}, column {column}: "),
            _ => String::new(),
        };
        let _ = writeln!(text, "look at this: {place}{}", problem.message);
        if !problem.hint.is_empty() {
            let _ = writeln!(text, "  hint: {}", problem.hint);
        }
    }
    text
}
