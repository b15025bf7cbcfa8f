//! Every kind at every level for every site of both limbs: it is built, its marks and times add up, on the printed sheet too, nothing is paid
//! twice, no prompt gives a point away, no sheet is longer than its reader can hold, and what is told leads back to the lesion.

use crate::station_support::{World, draft, station, world_of};
use std::sync::OnceLock;
use vivasmith::anatomy::Structure;
use vivasmith::case::Level;
use vivasmith::sheets::pictures::pictures;
use vivasmith::sheets::words::Printer;
use vivasmith::station::{LEVELS, Station, TOTAL, build_draft, is_unfit};
use vivasmith::teaching::same;
use vivasmith::typeset::{PageStyle, Paper, Print, lay_out_with};

const LIMBS: [&str; 2] = ["upper_limb", "lower_limb"];
const KINDS: [&str; 6] = ["trace", "examine", "compare", "forecast", "nerve", "risk"];

struct One {
    limb: usize,
    site: String,
    kind: &'static str,
    level: Level,
    built: Station,
}

impl One {
    fn name(&self) -> String {
        format!("{} {} {:?}", self.site, self.kind, self.level)
    }
}

/// Built once for all tests of this file.
fn all() -> &'static [One] {
    static ALL: OnceLock<Vec<One>> = OnceLock::new();
    ALL.get_or_init(|| {
        std::thread::scope(|scope| {
            let made: Vec<_> = (0..LIMBS.len())
                .map(|limb| scope.spawn(move || of_limb(limb)))
                .collect();
            made.into_iter()
                .flat_map(|one| one.join().expect("built"))
                .collect()
        })
    })
}

fn of_limb(limb: usize) -> Vec<One> {
    let w = world_of(LIMBS[limb]);
    let cache = w.cache();
    let (mut all, mut refused) = (Vec::new(), Vec::new());
    for site in &w.model.sites {
        for kind in KINDS {
            for level in LEVELS {
                match station(&w, &cache, (&site.id, kind), level, 3) {
                    Ok(built) => all.push(One {
                        limb,
                        site: site.id.clone(),
                        kind,
                        level,
                        built,
                    }),
                    Err(failure) if is_unfit(&failure) => {}
                    Err(failure) => {
                        refused.push(format!("{} {kind} {level:?}: {failure}", site.id))
                    }
                }
            }
        }
    }
    assert!(refused.is_empty(), "{}", refused.join("\n"));
    all
}

#[test]
fn every_site_has_every_kind_that_suits_it() {
    for limb in 0..LIMBS.len() {
        let count = |kind: &str| {
            all()
                .iter()
                .filter(|o| o.limb == limb && o.kind == kind)
                .count()
        };
        for kind in ["trace", "examine", "compare", "forecast"] {
            assert!(count(kind) >= 100, "{kind}: {}", count(kind));
        }
        for kind in ["nerve", "risk"] {
            assert!(count(kind) >= 60, "{kind}: {}", count(kind));
        }
    }
}

/// Common practice, no source: 20 marks a station, most of them for reasoning, all minutes used.
#[test]
fn marks_and_minutes_add_up() {
    for one in all() {
        let (name, built) = (one.name(), &one.built);
        let groups = built.questions.iter().flat_map(|q| &q.groups);
        let lines: u32 = groups.map(|g| g.marks()).sum();
        assert_eq!(lines, TOTAL, "{name}");
        let reasoning: f64 = built.questions.iter().map(|q| q.reasoning).sum();
        assert!(reasoning >= 11.99, "{name}: {reasoning}");
        let seconds: u32 = built.questions.iter().map(|q| q.seconds).sum();
        assert_eq!(seconds + 60, built.minutes * 60, "{name}");
        for q in &built.questions {
            assert!(q.prompts.windows(2).all(|p| p[1].cap < p[0].cap), "{name}");
            assert!(q.prompts[0].cap <= f64::from(q.marks), "{name}");
        }
    }
}

/// A figure as the sheet prints it: "2½".
fn figure(text: &str) -> f64 {
    let whole: String = text.chars().filter(char::is_ascii_digit).collect();
    let half = if text.contains('½') { 0.5 } else { 0.0 };
    whole.parse::<f64>().unwrap_or(0.0) + half
}

/// Side A as the examiner holds it: the rows' clocks rise to the end of the station, prompts stand in the order C, P, L and each leaves less,
/// every tick has a mark or is one of a number, and the marks add up to the total at the foot.
#[test]
fn the_printed_side_a_adds_up() {
    let worlds = LIMBS.map(world_of);
    let printers = [0, 1].map(|n: usize| Printer::new(&worlds[n].content).expect("a printer"));
    for one in all() {
        let name = one.name();
        let room = printers[one.limb]
            .sheets(&one.built, &[])
            .unwrap_or_else(|e| panic!("{name}: {e}"));
        let room = &room
            .iter()
            .find(|s| s.id == "room")
            .expect("a room sheet")
            .markdown;
        let side_a = room.split("<!-- page break -->").next().expect("side A");
        let (mut marks, mut total, mut clock) = (0.0, 0.0, -1.0);
        for row in side_a.lines().filter(|l| l.matches('|').count() == 6) {
            let cells: Vec<&str> = row.split('|').skip(1).map(str::trim).collect();
            let time = cells[0].rsplit("<br>").next().expect("a clock");
            let Some((minutes, seconds)) = time.split_once(':') else {
                continue;
            };
            let now = figure(minutes) + figure(seconds) / 60.0;
            assert!(now > clock, "{name}: {time}");
            clock = now;
            let mark = figure(cells[4].trim_start_matches('/'));
            if !cells[0].contains("**") {
                total = mark;
                continue;
            }
            marks += mark;
            let rungs: Vec<(&str, f64)> = cells[2]
                .split("<br>")
                .map(|line| {
                    let (rung, rest) = line.split_once(" **").expect("a rung");
                    (rung, figure(rest.split("**").next().expect("a cap")))
                })
                .collect();
            let order = |rung: &str| ["C", "P", "L"].iter().position(|r| *r == rung);
            assert!(
                rungs.iter().all(|r| order(r.0).is_some()),
                "{name}: {}",
                cells[2]
            );
            assert!(
                rungs.windows(2).all(|w| order(w[0].0) < order(w[1].0)),
                "{name}: {}",
                cells[2]
            );
            assert!(
                rungs.windows(2).all(|w| w[1].1 < w[0].1),
                "{name}: {}",
                cells[2]
            );
            assert!(
                rungs[0].1 <= mark && rungs.iter().all(|r| r.1 > 0.0),
                "{name}: {}",
                cells[2]
            );
            // What must be said carries its marks; of a list so many lines count that the rest of the row's marks are theirs.
            let mut sure = 0.0;
            let mut listed = false;
            for line in cells[3].split("<br>") {
                match line.strip_prefix("☐ ") {
                    None => listed = line.starts_with("Any ") || listed && !line.starts_with("All"),
                    Some(point) => match point.rsplit_once(" (").filter(|_| point.ends_with(')')) {
                        Some((_, figure_)) if !listed => sure += figure(figure_),
                        _ => assert!(listed, "{name}: no mark at {point}"),
                    },
                }
            }
            assert!(
                if listed { sure < mark } else { sure == mark },
                "{name}: {sure} of {mark}: {}",
                cells[3]
            );
        }
        assert_eq!(
            (marks, total),
            (f64::from(TOTAL), f64::from(TOTAL)),
            "{name}"
        );
        assert!(clock < f64::from(one.built.minutes), "{name}: {clock}");
    }
}

/// What the colleague found amiss, as the rows of the sheet are called.
const AMISS: [&str; 7] = [
    "lost",
    "weak",
    "numb",
    "dull",
    "jerk_absent",
    "jerk_reduced",
    "seen",
];

#[test]
fn what_is_paid_is_true_of_this_patient() {
    for one in all().iter().filter(|o| o.kind == "trace") {
        let rows = || one.built.candidate.rows.iter();
        let told = |s, amiss| {
            let mut of = rows().filter(|r| AMISS.contains(&r.group) == amiss);
            of.any(|r| r.items.iter().any(|i| i.about == s))
        };
        for q in &one.built.questions {
            for p in q.groups.iter().flat_map(|g| &g.points) {
                let Some(s) = p.about else { continue };
                let holds = match q.id.as_str() {
                    "muscles" => told(s, true),
                    "kept" => told(s, false),
                    "place" => told(s, true) || told(s, false),
                    _ => true,
                };
                assert!(holds, "{} {}: {}", one.name(), q.id, p.say);
            }
        }
    }
}

/// What is kept is not paid again where it flips, for who says it once would earn twice: at most in one station of a hundred, where nothing
/// else flips.
#[test]
fn what_is_kept_is_not_paid_again_where_the_lesion_is_moved() {
    let worlds = LIMBS.map(world_of);
    let mut twice = Vec::new();
    for one in all() {
        let model = &worlds[one.limb].model;
        let points = |ids: &'static [&str]| {
            let asked = one.built.questions.iter();
            let asked = asked.filter(move |q| ids.contains(&q.id.as_str()));
            asked.flat_map(|q| &q.groups).flat_map(|g| &g.points)
        };
        let flips: Vec<Structure> = points(&["move"]).flat_map(|p| p.flips.clone()).collect();
        let flipped = |s| flips.iter().any(|f| same(model, *f, s));
        let again = points(&["kept", "plan"]).find(|p| p.about.is_some_and(flipped));
        twice.extend(again.map(|p| format!("{}: {}", one.name(), p.say)));
    }
    assert!(twice.len() * 100 <= all().len(), "{}", twice.join("\n"));
}

/// A place that is accepted as equal is excluded by nothing that is kept, and no finding is called a decider that is the same in both places.
#[test]
fn equals_are_not_refuted_and_deciders_differ() {
    for one in all() {
        let (name, room, answer) = (one.name(), &one.built.room, &one.built.answer);
        let refuted = answer.spared.iter().flat_map(|row| &row.so_not);
        let refuted: Vec<&String> = refuted
            .chain(answer.differential.iter().map(|row| &row.place))
            .collect();
        for place in &room.equals {
            assert!(!refuted.contains(&place), "{name}: {place}");
        }
        for row in &room.pair {
            assert_ne!(row.here, row.there, "{name}: {}", row.finding);
        }
        for row in &answer.differential {
            assert_ne!(row.here, row.there, "{name}: {}", row.finding);
        }
    }
}

/// Where lines are left out, others do not grow.
#[test]
fn no_tick_is_worth_more_than_two_marks() {
    for one in all() {
        for q in &one.built.questions {
            for p in q.groups.iter().flat_map(|g| &g.points) {
                assert!(p.marks <= 2, "{} {}: {}", one.name(), q.id, p.say);
            }
        }
    }
}

/// Three first steps are enough to choose from, so the tests that a question before has paid stand among no more.
#[test]
fn further_tests_are_not_paid_again_among_many_first_steps() {
    let content = vivasmith::files::Content::embedded();
    let families = vivasmith::teaching::families(&content).unwrap_or_else(|e| panic!("{e}"));
    let words = &families.get("further").expect("a question").pays;
    let mut met = 0;
    for one in all() {
        let of = |id: &str| one.built.questions.iter().find(|q| q.id == id);
        let (Some(_), Some(act)) = (of("further"), of("act")) else {
            continue;
        };
        let steps: Vec<&str> = act
            .groups
            .iter()
            .flat_map(|g| &g.points)
            .map(|p| p.say.as_str())
            .collect();
        let again = |say: &&&str| words.iter().any(|word| say.contains(word));
        if steps.len() > 3 {
            let twice = steps.iter().find(again);
            assert!(twice.is_none(), "{}: {twice:?}", one.name());
            met += 1;
        }
    }
    assert!(met > 20, "{met} stations");
}

#[test]
fn no_sheet_of_a_candidate_names_the_answer() {
    let worlds = LIMBS.map(world_of);
    let printers = [0, 1].map(|n: usize| Printer::new(&worlds[n].content).expect("a printer"));
    for one in all() {
        let sheets = printers[one.limb]
            .sheets(&one.built, &[])
            .unwrap_or_else(|e| panic!("{e}"));
        // Whoever plays the patient acts the findings, and must not be able to say what they mean.
        for sheet in sheets
            .iter()
            .filter(|s| ["candidate", "patient"].contains(&s.id))
        {
            let mut given = vivasmith::station::giveaways(&one.built, &sheet.markdown);
            if sheet.id == "patient" {
                given.retain(|(_, why)| {
                    ["names the nerve", "names the lesion", "names a root"].contains(why)
                });
            }
            assert!(given.is_empty(), "{} {}: {given:?}", one.name(), sheet.id);
        }
    }
}

/// Pages in normal print, as the README promises them. Each site with one kind and level, on one of the papers: they take turns.
#[test]
fn every_sheet_keeps_to_its_pages() {
    let promised = [
        ("candidate", 2),
        ("room", 2),
        ("patient", 1),
        ("briefing", 1),
        ("answer", 3),
    ];
    for (limb, region) in LIMBS.iter().enumerate() {
        let w: World = world_of(region);
        let cache = w.cache();
        let printer = Printer::new(&w.content).expect("a printer");
        for (n, site) in w.model.sites.iter().enumerate() {
            let of_site: Vec<&One> = all()
                .iter()
                .filter(|o| o.limb == limb && o.site == site.id)
                .collect();
            let Some(one) = of_site.get(n * 5 % of_site.len().max(1)) else {
                panic!("{}: no station", site.id);
            };
            let paper = [Paper::A4, Paper::Letter][n % 2];
            let page = PageStyle {
                paper,
                print: Print::default(),
            };
            let draft = draft(&w, &cache, (&site.id, one.kind), one.level, 3).expect("as before");
            let case = draft.case.clone();
            let built = build_draft(&cache, draft).expect("as before");
            let drawn =
                pictures(&w.model, &case, &built, &printer.figure_style(page)).expect("pictures");
            for sheet in printer.sheets(&built, &drawn).expect("sheets") {
                let figures: Vec<_> = drawn
                    .iter()
                    .filter(|p| p.sheets.contains(&sheet.id))
                    .map(|p| (p.file.as_str(), &p.figure))
                    .collect();
                let layout = lay_out_with(&sheet.markdown, &sheet.meta(page), &figures)
                    .unwrap_or_else(|e| panic!("{} {}: {e}", one.name(), sheet.id));
                let (_, most) = promised
                    .iter()
                    .find(|(id, _)| *id == sheet.id)
                    .expect("a known sheet");
                let pages = layout.pages.len();
                assert!(
                    pages <= *most,
                    "{} {} {paper:?}: {pages} pages",
                    one.name(),
                    sheet.id
                );
                assert!(
                    sheet.id != "room" || pages == 2,
                    "{}: a room sheet of {pages}",
                    one.name()
                );
            }
        }
    }
}
