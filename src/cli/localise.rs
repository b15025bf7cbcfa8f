//! Turns observed findings into the ranked list of lesions, as text or JSON, with the next best test.

use super::args::LocaliseArgs;
use super::{fixed, load, print};
use crate::anatomy::{Kind, Model, fold};
use crate::diagnostic::{Failure, Place, Problem, did_you_mean, short};
use crate::files::{read_text, to_json};
use crate::lesion::Lesion;
use crate::localise::{self, Belief, NextTest, Observation, Ranking, Scope};
use serde::Serialize;
use std::path::Path;

#[derive(Serialize)]
struct Report {
    ranking: Vec<Row>,
    next_test: Option<Test>,
}

#[derive(Serialize)]
struct Row {
    lesion: Vec<Part>,
    probability: f64,
    group: usize,
    fits: Vec<String>,
    contradicts: Vec<String>,
    untested: Vec<String>,
}

#[derive(Serialize)]
struct Part {
    site: String,
    severity: String,
}

#[derive(Serialize)]
struct Test {
    id: String,
    how: String,
    gain_bits: f64,
    outcomes: Vec<Outcome>,
}

#[derive(Serialize)]
struct Outcome {
    state: &'static str,
    chance: f64,
    leads_to: Vec<Part>,
    probability: f64,
}

pub fn run(args: &LocaliseArgs) -> Result<String, Failure> {
    let (_, model) = load(&args.shared)?;
    if let Some(place) = &args.battery {
        return battery(&model, place);
    }
    let observations = localise::parse_all(&model, &words(&args.findings)?)?;
    let fixed = fixed(&model, &args.variants)?;
    let belief = Belief::new(
        &model,
        localise::hypotheses(&model, Scope::Pairs, args.flat),
        &fixed,
    );
    let ranking = localise::rank(&model, &belief, &observations, &fixed);
    if args.json {
        json(&model, &belief, &ranking)
    } else {
        Ok(table(&model, &belief, &observations, &ranking, args.flat))
    }
}

/// The findings named on the command line; a word without `=` is a file that lists them, `#` starts a remark.
fn words(arguments: &[String]) -> Result<Vec<(String, Option<Place>)>, Failure> {
    let mut all = Vec::new();
    for argument in arguments {
        if argument.contains('=') || !Path::new(argument).exists() {
            all.push((argument.clone(), None));
            continue;
        }
        let text = read_text(Path::new(argument))?;
        for (n, line) in text.lines().enumerate() {
            let line = line.split('#').next().unwrap_or_default();
            let mut from = 0;
            for word in line.split_whitespace() {
                let at = line[from..].find(word).map_or(from, |i| from + i);
                from = at + word.len();
                let place = Place {
                    file: argument.clone(),
                    line: n + 1,
                    column: line[..at].chars().count() + 1,
                };
                all.push((word.to_string(), Some(place)));
            }
        }
    }
    Ok(all)
}

fn parts(lesion: &Lesion) -> Vec<Part> {
    lesion
        .parts
        .iter()
        .map(|p| Part {
            site: p.place.clone(),
            severity: p.severity_word.clone(),
        })
        .collect()
}

fn json(model: &Model, belief: &Belief, ranking: &Ranking) -> Result<String, Failure> {
    let texts = |list: &[Observation]| list.iter().map(|o| o.text(model)).collect();
    let report = Report {
        ranking: ranking
            .rows
            .iter()
            .map(|r| Row {
                lesion: parts(&r.lesion),
                probability: round(r.probability),
                group: r.group,
                fits: texts(&r.fits),
                contradicts: texts(&r.contradicts),
                untested: texts(&r.untested),
            })
            .collect(),
        next_test: ranking.next.as_ref().map(|t| Test {
            id: localise::name(model, t.structure),
            how: how(model, t),
            gain_bits: round(t.gain),
            outcomes: t
                .outcomes
                .iter()
                .map(|b| Outcome {
                    state: b.seen.word(t.structure.kind),
                    chance: round(b.chance),
                    leads_to: parts(&belief.hypotheses[b.leads_to].lesion),
                    probability: round(b.probability),
                })
                .collect(),
        }),
    };
    to_json(&report)
}

/// Six places are enough for a reader, and keep the dust of floating-point sums out.
fn round(p: f64) -> f64 {
    (p * 1e6).round() / 1e6
}

fn how(model: &Model, t: &NextTest) -> String {
    let s = t.structure;
    let (label, test) = (model.label(s), model.test(s));
    match s.kind {
        Kind::Muscle | Kind::Sign => format!("{label}: {test}"),
        Kind::Movement | Kind::Reflex => test.to_string(),
        Kind::Skin => format!("sensation over {}", model.plain(s)),
    }
}

fn table(
    model: &Model,
    belief: &Belief,
    observations: &[Observation],
    ranking: &Ranking,
    flat: bool,
) -> String {
    let list = |list: &[Observation]| {
        if list.is_empty() {
            "-".to_string()
        } else {
            list.iter()
                .map(|o| o.text(model))
                .collect::<Vec<_>>()
                .join(", ")
        }
    };
    let mut rows = vec![vec![
        "group".into(),
        "chance".into(),
        "lesion".into(),
        "contradicted by".into(),
    ]];
    for r in ranking.rows.iter().take(12) {
        rows.push(vec![
            r.group.to_string(),
            format!("{:.1} %", r.probability * 100.0),
            r.lesion.text(),
            list(&r.contradicts),
        ]);
    }
    let said: Vec<String> = observations.iter().map(|o| o.text(model)).collect();
    let mut text = format!(
        "{} {}\n\n{}",
        print::heading("Observed:"),
        said.join(", "),
        print::columns(&rows)
    );
    text.push_str("\nLesions of one group cannot be told apart by these findings.");
    text.push_str(if flat {
        " Every site was taken as equally likely.\n"
    } else {
        " Common sites were taken as likelier (--flat takes all alike).\n"
    });
    if let Some(first) = ranking.rows.first() {
        text.push_str(&format!(
            "\n{} {}\n  fits: {}\n  contradicts: {}\n  nobody tested: {}\n",
            print::heading("First:"),
            first.lesion.sentence(),
            list(&first.fits),
            list(&first.contradicts),
            list(&first.untested.iter().copied().take(8).collect::<Vec<_>>()),
        ));
    }
    match &ranking.next {
        Some(t) => {
            text.push_str(&format!(
                "\n{} {} ({:.2} bits)\n  {}\n",
                print::heading("Next best test:"),
                localise::name(model, t.structure),
                t.gain,
                how(model, t)
            ));
            for b in &t.outcomes {
                text.push_str(&format!(
                    "  {} ({:.0} %): then {} leads with {:.0} %\n",
                    b.seen.word(t.structure.kind),
                    b.chance * 100.0,
                    belief.hypotheses[b.leads_to].lesion.text(),
                    b.probability * 100.0
                ));
            }
        }
        None => text.push_str("\nNo further bedside test would narrow the list.\n"),
    }
    text.push_str("\nTeaching and assessment material, not clinical guidance.\n");
    text
}

/// The shortest set of tests for one site, or for each site of a nerve among its own.
fn battery(model: &Model, place: &str) -> Result<String, Failure> {
    let folded = fold(place);
    let site = model
        .sites
        .iter()
        .position(|s| s.id == folded || s.synonyms.iter().any(|x| fold(x) == folded));
    let (title, sites, among): (String, Vec<usize>, Vec<usize>) = match site {
        Some(s) => (
            format!("the {} from every other site", model.sites[s].label),
            vec![s],
            (0..model.sites.len()).collect(),
        ),
        None => {
            let all = of_nerve(model, &folded);
            if all.is_empty() {
                let known = model
                    .sites
                    .iter()
                    .map(|s| s.id.as_str())
                    .chain(model.nerves.iter().map(|n| n.id.as_str()));
                return Err(Failure::usage(
                    Problem::new(format!(
                        "no site or nerve with sites is called `{}`",
                        short(place)
                    ))
                    .hint(did_you_mean(
                        place,
                        known,
                        "`vivasmith list sites` shows the sites",
                    )),
                ));
            }
            (
                format!("the sites of the {folded} nerve from each other"),
                all.clone(),
                all,
            )
        }
    };
    let mut text = format!("{} {title}\n", print::heading("Shortest battery to tell"));
    let mut union: Vec<String> = Vec::new();
    for &s in &sites {
        let b = localise::battery_among(model, s, &among);
        let tests: Vec<String> = b.tests.iter().map(|o| o.text(model)).collect();
        for o in &b.tests {
            let name = localise::name(model, o.structure);
            if !union.contains(&name) {
                union.push(name);
            }
        }
        text.push_str(&format!(
            "\n{}\n  {}\n",
            model.sites[s].label,
            if tests.is_empty() {
                "no test needed".to_string()
            } else {
                tests.join(", ")
            }
        ));
        if !b.alike.is_empty() {
            let names: Vec<&str> = b
                .alike
                .iter()
                .map(|&a| model.sites[a].id.as_str())
                .collect();
            text.push_str(&format!(
                "  no bedside test tells it for certain from: {}\n",
                names.join(", ")
            ));
        }
    }
    if sites.len() > 1 {
        text.push_str(&format!(
            "\nTogether {} tests: {}\n",
            union.len(),
            union.join(", ")
        ));
    }
    Ok(text)
}

/// Sites on the nerve or on a branch of it.
fn of_nerve(model: &Model, nerve: &str) -> Vec<usize> {
    let Some(nerve) = model.nerve(nerve) else {
        return Vec::new();
    };
    let below = |mut segment: usize| loop {
        if nerve.segments.contains(&segment) {
            return true;
        }
        match model.segments[segment].from.as_slice() {
            [parent, ..] => segment = *parent,
            [] => return false,
        }
    };
    (0..model.sites.len())
        .filter(|&s| model.sites[s].segments.iter().all(|&g| below(g)))
        .collect()
}
