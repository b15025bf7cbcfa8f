//! Turns a lesion argument into the table or the JSON of its findings.

use super::args::FindingsArgs;
use super::{content, fixed, found_in, print};
use crate::anatomy::Model;
use crate::diagnostic::Failure;
use crate::files::to_json;
use crate::findings::{self, Finding, Findings, Fixed, Kind};
use crate::lesion::{self, Lesion};
use crate::wording::capital;
use serde::Serialize;

#[derive(Serialize)]
struct Report<'m> {
    lesion: Vec<PartRow<'m>>,
    muscles: Vec<PowerRow<'m>>,
    movements: Vec<PowerRow<'m>>,
    skin: Vec<PlainRow<'m>>,
    reflexes: Vec<PlainRow<'m>>,
    signs: Vec<PlainRow<'m>>,
}

#[derive(Serialize)]
struct PartRow<'m> {
    site: &'m str,
    severity: &'m str,
}

#[derive(Serialize)]
struct PowerRow<'m> {
    id: &'m str,
    power: u8,
    expect: &'static str,
    probability: f64,
    reason: String,
}

#[derive(Serialize)]
struct PlainRow<'m> {
    id: &'m str,
    expect: &'static str,
    probability: f64,
    reason: String,
}

pub fn run(args: &FindingsArgs) -> Result<String, Failure> {
    let content = content(&args.shared)?;
    let (model, lesion) = found_in(&content, &args.shared, (&args.lesion, false), |model| {
        lesion::parse(model, &args.lesion)
    })?;
    let fixed = fixed(&model, &args.variants)?;
    let found = findings::derive(&model, &lesion, &fixed);
    if args.json {
        json(&model, &lesion, &fixed, &found)
    } else {
        Ok(table(&model, &lesion, &fixed, &found, args.all))
    }
}

fn json(
    model: &Model,
    lesion: &Lesion,
    fixed: &[Fixed],
    found: &Findings,
) -> Result<String, Failure> {
    let power = |f: &Finding| PowerRow {
        id: f.id(model),
        power: f.power,
        expect: f.word(),
        probability: f.probability,
        reason: findings::reason_in(model, lesion, fixed, f),
    };
    let plain = |f: &Finding| PlainRow {
        id: f.id(model),
        expect: f.word(),
        probability: f.probability,
        reason: findings::reason_in(model, lesion, fixed, f),
    };
    let report = Report {
        lesion: lesion
            .parts
            .iter()
            .map(|p| PartRow {
                site: &p.place,
                severity: &p.severity_word,
            })
            .collect(),
        muscles: found.muscles.iter().map(power).collect(),
        movements: found.movements.iter().map(power).collect(),
        skin: found.skin.iter().map(plain).collect(),
        reflexes: found.reflexes.iter().map(plain).collect(),
        signs: found.signs.iter().map(plain).collect(),
    };
    to_json(&report)
}

fn table(model: &Model, lesion: &Lesion, fixed: &[Fixed], found: &Findings, all: bool) -> String {
    let mut text = format!("{}\n", print::heading(&capital(&lesion.sentence())));
    for (kind, title) in [
        (Kind::Muscle, "Muscles (power 0-5)"),
        (Kind::Movement, "Movements (power 0-5)"),
        (Kind::Skin, "Skin"),
        (Kind::Reflex, "Reflexes"),
        (Kind::Sign, "Signs"),
    ] {
        let motor = matches!(kind, Kind::Muscle | Kind::Movement);
        let list = found.of(kind);
        let rows: Vec<Vec<String>> = list
            .iter()
            .filter(|f| all || !f.spared())
            .map(|f| {
                let mut row = vec![format!("  {}", f.label(model)), f.word().to_string()];
                if motor {
                    row.push(f.power.to_string());
                }
                row.push(format!("{:.0} %", f.probability * 100.0));
                row.push(findings::reason_in(model, lesion, fixed, f));
                row
            })
            .collect();
        let quiet = list.len() - rows.len();
        text.push_str(&format!(
            "\n{}\n{}",
            print::heading(title),
            print::columns(&rows)
        ));
        if quiet > 0 {
            let word = if kind == Kind::Sign {
                "absent"
            } else {
                "spared"
            };
            text.push_str(&format!("  and {quiet} {word} (--all shows them)\n"));
        }
    }
    text.push_str("\nTeaching and assessment material, not clinical guidance. \"variable\" may not decide a mark.\n");
    text
}
