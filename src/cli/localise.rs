//! How does a ranking read, as text or as JSON, with the next best test and the shortest batteries?

use super::args::LocaliseArgs;
use super::region_of::understood;
use super::{content, fixed, print, region};
use crate::anatomy::{self, Kind, Model, fold, regions};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::to_json;
use crate::lesion::Lesion;
use crate::localise::{self, NextTest, Observation, Places, Ranking, Setting, Told, Verdict};
use serde::Serialize;

#[derive(Serialize)]
struct Report {
    /// Left out when the first row explains the findings.
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<&'static str>,
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
    if let Some(place) = &args.battery {
        return battery(args, place);
    }
    let (model, told) = understood(&args.shared, &args.findings)?;
    let fixed = fixed(&model, &args.variants)?;
    let setting = if args.clinic {
        Setting::Clinic
    } else {
        Setting::Exam
    };
    let ranking = Places::new(&model, setting, &fixed).rank(&told);
    if args.json {
        json(&model, &ranking)
    } else {
        Ok(table(&model, &told, &ranking, setting))
    }
}

/// What the first row is worth, where it is not worth much.
fn note(verdict: Verdict) -> Option<&'static str> {
    match verdict {
        Verdict::Fits => None,
        Verdict::NothingFits => Some(
            "No listed site fits: none explains these findings better than chance. Look again at what contradicts the first rows, or think of a place or a disease that is not listed.",
        ),
        Verdict::NothingAbnormal => Some(
            "Nothing here is abnormal, so nothing asks for a lesion: the list shows what is left.",
        ),
    }
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

fn json(model: &Model, ranking: &Ranking) -> Result<String, Failure> {
    let report = Report {
        note: note(ranking.verdict),
        ranking: ranking
            .rows
            .iter()
            .map(|r| Row {
                lesion: parts(&r.lesion),
                probability: round(r.probability),
                group: r.group,
                fits: r.fits.iter().map(Told::text).collect(),
                contradicts: r.contradicts.iter().map(Told::text).collect(),
                untested: r.untested.iter().map(|o| o.text(model)).collect(),
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
                    leads_to: parts(&b.leads_to),
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

/// `edc=lost, ecrl=spared`, or a dash.
fn listed(list: impl IntoIterator<Item = String>) -> String {
    let all: Vec<String> = list.into_iter().collect();
    if all.is_empty() {
        "-".to_string()
    } else {
        all.join(", ")
    }
}

fn table(model: &Model, told: &[Told], ranking: &Ranking, setting: Setting) -> String {
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
            listed(r.contradicts.iter().map(Told::text)),
        ]);
    }
    let mut text = format!(
        "{} {} ({})\n",
        print::heading("Observed:"),
        listed(told.iter().map(Told::text)),
        model.label
    );
    if let Some(note) = note(ranking.verdict) {
        text.push_str(&format!("\n{note}\n"));
    }
    text.push_str(&format!("\n{}", print::columns(&rows)));
    text.push_str("\nA chance sums up all severities of a place. Places of one group cannot be told apart by these findings.");
    text.push_str(match setting {
        Setting::Exam => " Every site weighs alike (--clinic: common ones weigh more).\n",
        Setting::Clinic => " Common sites weigh more.\n",
    });
    if let Some(first) = ranking.rows.first() {
        let untested = first.untested.iter().take(8);
        text.push_str(&format!(
            "\n{} {}\n  fits: {}\n  contradicts: {}\n  nobody tested: {}\n",
            print::heading("First:"),
            first.lesion.sentence(),
            listed(first.fits.iter().map(Told::text)),
            listed(first.contradicts.iter().map(Told::text)),
            listed(untested.map(|o: &Observation| o.text(model))),
        ));
    }
    text.push_str(&next(model, ranking.next.as_ref()));
    text.push_str("\nTeaching and assessment material, not clinical guidance.\n");
    text
}

fn next(model: &Model, test: Option<&NextTest>) -> String {
    let Some(t) = test else {
        return "\nNo further bedside test would narrow the list.\n".to_string();
    };
    let mut text = format!(
        "\n{} {} ({:.2} bits)\n  {}\n",
        print::heading("Next best test:"),
        localise::name(model, t.structure),
        t.gain,
        how(model, t)
    );
    for b in &t.outcomes {
        text.push_str(&format!(
            "  {} ({:.0} %): then {} leads with {:.0} %\n",
            b.seen.word(t.structure.kind),
            b.chance * 100.0,
            b.leads_to.text(),
            b.probability * 100.0
        ));
    }
    text
}

/// The shortest set of tests for one site, or for each site of a nerve among its own; in whichever region has it.
fn battery(args: &LocaliseArgs, place: &str) -> Result<String, Failure> {
    let content = content(&args.shared)?;
    let meant = region(&content, &args.shared)?;
    let others = regions(&content).into_iter();
    let others = others.filter(|r| *r != meant && args.shared.region.is_none());
    let mut known: Vec<String> = Vec::new();
    for region in std::iter::once(meant.clone()).chain(others) {
        let model = anatomy::load_undrawn(&content, &region)?;
        if let Some(text) = battery_in(&model, place) {
            return Ok(text);
        }
        known.extend(model.sites.iter().map(|s| s.id.clone()));
        known.extend(model.nerves.iter().map(|n| n.id.clone()));
    }
    Err(Failure::usage(
        Problem::new(format!(
            "no site or nerve with sites is called `{}`",
            short(place)
        ))
        .hint(did_you_mean(
            place,
            known.iter().map(String::as_str),
            "`vivasmith list sites` shows the sites",
        )),
    ))
}

fn battery_in(model: &Model, place: &str) -> Option<String> {
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
                return None;
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
    Some(text)
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
