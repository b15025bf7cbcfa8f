//! Practice booklets: their pages, their keys, and what nobody may read too early.

use crate::own_support::{Folder, call};
use crate::practice_support::{Asked, Made, pages};
use crate::typeset_support::{load, page_texts};
use std::collections::BTreeSet;
use vivasmith::case::Level;
use vivasmith::practice::{Leaf, Rule, leak};
use vivasmith::sheets::words::Printer;
use vivasmith::station::{LEVELS, Tells, giveaways};
use vivasmith::typeset::{PageStyle, Paper, Print};
use vivasmith::wording::flat;

fn twelve(level: Level, seed: u64) -> Made {
    Made::new(&Asked {
        cases: 12,
        level,
        seed,
        kinds: &[],
        like: &[],
    })
}

/// How to use it, index, a leaf and a key for each case, what was practised, plan, charts; folded from sheets of four pages.
#[test]
fn a_booklet_keeps_its_budget_of_pages_on_both_papers() {
    for (cases, paper, pages_of_it) in [
        (2, Paper::A4, 12),
        (5, Paper::Letter, 20),
        (12, Paper::A4, 44),
    ] {
        let made = Made::new(&Asked {
            cases,
            level: Level::Trainee,
            seed: 31,
            kinds: &[],
            like: &[],
        });
        let style = PageStyle {
            paper,
            ..PageStyle::default()
        };
        let files = made.files(style, true, 2);
        let pdf = files
            .iter()
            .find(|f| f.name.ends_with(".pdf"))
            .expect("a PDF");
        assert_eq!(page_texts(&pdf.bytes).len(), pages_of_it, "{cases} cases");
        let parts = pages(&files);
        assert_eq!(parts.len(), pages_of_it);
        for n in 0..cases {
            // A front on an odd page, its hints behind it; keys together at the end.
            assert!(parts[2 + 2 * n].starts_with(&format!("# Case {}\n", n + 1)));
            assert!(parts[3 + 2 * n].starts_with(&format!("# Hints for case {}\n", n + 1)));
            assert!(parts[2 + 2 * cases + n].starts_with(&format!("# Key to case {}\n", n + 1)));
            let told = format!("The key is on page {}.", 3 + 2 * cases + n);
            assert!(parts[2 + 2 * n].contains(&told), "{told}");
        }
        assert!(parts[0].contains(&format!("plan on page {}", 3 * cases + 4)));
        assert!(parts[0].contains(&format!("Page {} says", 3 * cases + 3)));
        assert!(parts[3 * cases + 3].starts_with("# The plan"));
        assert!(parts[3 * cases + 2].starts_with("# What you have trained"));
    }
}

#[test]
fn in_large_print_leaves_still_begin_on_odd_pages() {
    let made = Made::new(&Asked {
        cases: 2,
        level: Level::Clinical,
        seed: 4,
        kinds: &["trace", "compare"],
        like: &[],
    });
    let large = PageStyle {
        print: Print {
            large: true,
            spaced: false,
        },
        ..PageStyle::default()
    };
    let files = made.files(large, true, 2);
    let pdf = files
        .iter()
        .find(|f| f.name.ends_with(".pdf"))
        .expect("a PDF");
    assert_eq!(page_texts(&pdf.bytes).len() % 4, 0);
    let index = &pages(&files)[1];
    let rows: Vec<&str> = index.lines().filter(|l| l.contains("/20")).collect();
    assert_eq!(rows.len(), 2);
    for row in rows {
        let leaf: usize = row
            .split('|')
            .nth(5)
            .expect("a page")
            .trim()
            .parse()
            .expect("a number");
        assert_eq!(leaf % 2, 1, "{row}");
    }
}

#[test]
fn the_same_wish_gives_the_same_bytes_on_any_number_of_threads() {
    let print = |threads| {
        let made = Made::new(&Asked {
            cases: 4,
            level: Level::Early,
            seed: 9,
            kinds: &[],
            like: &[],
        });
        let files = made.files(PageStyle::default(), true, threads);
        files
            .into_iter()
            .map(|f| (f.name, f.bytes))
            .collect::<Vec<_>>()
    };
    assert!(print(1) == print(2));
}

/// With these seeds each of the rules has something to do: without it the easiest neighbour, or a person met before, would come next.
#[test]
fn cases_differ_and_get_harder() {
    for (level, seed) in LEVELS.into_iter().zip([8, 8, 10]) {
        let made = twelve(level, seed);
        assert!(made.given_up.is_empty(), "{:?}", made.given_up);
        let all = &made.cases;
        let kinds: BTreeSet<&str> = all.iter().map(|c| c.station.kind.id.as_str()).collect();
        let sites: BTreeSet<usize> = all.iter().map(|c| c.site).collect();
        let nerves: BTreeSet<&str> = all.iter().map(|c| c.nerve.as_str()).collect();
        assert_eq!((kinds.len(), sites.len()), (6, 12));
        assert!(nerves.len() >= 9, "{nerves:?}");
        let people: Vec<&str> = all
            .iter()
            .filter(|c| c.station.kind.patient)
            .map(|c| c.case.patient.name.as_str())
            .collect();
        assert_eq!(people.iter().collect::<BTreeSet<_>>().len(), people.len());
        for pair in all.windows(2) {
            assert_ne!(pair[0].station.kind.id, pair[1].station.kind.id);
            assert_ne!(pair[0].nerve, pair[1].nerve);
        }
        for (i, a) in all.iter().enumerate() {
            for (j, b) in all.iter().enumerate().skip(i + 1) {
                let twins = a.twin == Some(b.site) || b.twin == Some(a.site);
                assert!(!twins || j - i >= 3, "cases {} and {}", i + 1, j + 1);
            }
        }
        // The rules of neighbours may hold a case back; the second half is harder as a whole.
        let half = |cases: &[vivasmith::practice::Chosen]| -> f64 {
            cases.iter().map(|c| c.station.difficulty.figure).sum()
        };
        assert!(half(&all[..6]) < half(&all[6..]), "{level:?}");
    }
}

#[test]
fn one_kind_only_is_printed_and_the_broken_rule_is_named() {
    let made = Made::new(&Asked {
        cases: 3,
        level: Level::Clinical,
        seed: 2,
        kinds: &["risk"],
        like: &[],
    });
    assert!(made.given_up.contains(&Rule::Kinds), "{:?}", made.given_up);
    assert!(!made.given_up.contains(&Rule::Nerves));
}

/// The findings of a place are mistaken for those of others: a key says of some at least which one finding shuts them out, whatever the paper.
#[test]
fn a_key_shuts_out_neighbours_by_a_finding() {
    let made = twelve(Level::Clinical, 5);
    let mut least = usize::MAX;
    for paper in [Paper::A4, Paper::Letter] {
        let page = PageStyle {
            paper,
            ..PageStyle::default()
        };
        let all = pages(&made.files(page, false, 2));
        for (n, case) in made.cases.iter().enumerate() {
            let key = format!("# Key to case {}\n", n + 1);
            let key = all.iter().find(|p| p.starts_with(&key)).expect("its key");
            let neighbours = &case.station.answer.differential;
            let told = &case.station.candidate.told_places;
            if told.is_empty() && !neighbours.is_empty() {
                let line = |l: &&str| l.starts_with("- **") && l.contains(" here, ");
                let said = key.lines().filter(line).count();
                // The figure that answers a chart takes the room of others, on Letter of all.
                let enough = match (case.station.kind.blanks.is_empty(), paper) {
                    (true, _) => 2.min(neighbours.len()),
                    (false, Paper::A4) => 1,
                    (false, Paper::Letter) => 0,
                };
                assert!(
                    said >= enough,
                    "{paper:?}, {}: {said} of {}\n{key}",
                    case.station.command,
                    neighbours.len()
                );
                least = least.min(said);
            }
        }
    }
    assert!(least < usize::MAX);
}

/// A twin that is in no case is named by the words that print it.
#[test]
fn a_twin_that_is_in_no_case_can_be_printed() {
    let made = twelve(Level::Early, 5);
    let pages = made.pages();
    let done = pages
        .iter()
        .find(|p| p.starts_with("# What you have trained"));
    let rows = done
        .expect("its page")
        .lines()
        .filter(|l| l.contains(" --kind "));
    let words: Vec<&str> = rows
        .map(|row| {
            row.trim_end_matches([' ', '|'])
                .rsplit("| ")
                .next()
                .expect("a cell")
        })
        .collect();
    let outside = made.cases.iter().filter_map(|c| c.twin);
    let outside = outside.filter(|twin| made.cases.iter().all(|c| c.site != *twin));
    assert_eq!(words.len(), outside.count());
    assert!(words.len() > 2, "{words:?}");
    let folder = Folder::new("practice-twins");
    let out = folder.path("out");
    for words in words.iter().take(3) {
        let own: Vec<&str> = words.split(' ').collect();
        assert!(own.ends_with(&["--level", "early"]), "{words}");
        let said = ["--seed", "3", "--formats", "md", "--out", &out];
        let (code, _, err) = call(&[&["station"], &own[..], &said[..]].concat());
        assert_eq!(code, 0, "{words}: {err}");
    }
}

/// What nobody may read before the last page: on the index, in file names, at the edges of pages, on any leaf.
#[test]
fn no_answer_stands_where_it_is_read_too_early() {
    let made = twelve(Level::Clinical, 8);
    let files = made.files(PageStyle::default(), true, 2);
    let parts = pages(&files);
    let names: String = files
        .iter()
        .map(|f| flat(&f.name.replace('-', " ")))
        .collect();
    let pdf = files
        .iter()
        .find(|f| f.name.ends_with(".pdf"))
        .expect("a PDF");
    let file = load(&pdf.bytes);
    let info = file
        .trailer
        .get(b"Info")
        .and_then(|i| i.as_reference())
        .expect("Info");
    let info = file.get_dictionary(info).expect("a dictionary");
    let said = |key: &[u8]| {
        let value = info.get(key).expect("it says so");
        flat(&lopdf::decode_text_string(value).expect("text"))
    };
    let title = said(b"Title");
    assert!(title.contains("practice booklet"), "{title}");
    let edges = title + &said(b"Subject");
    let early = format!("{} {} {names} {edges}", flat(&parts[0]), flat(&parts[1]));
    let mut hidden = 0;
    for (n, c) in made.cases.iter().enumerate() {
        let site = &made.world.model.sites[c.site];
        let answers = std::iter::once(&site.label)
            .chain(&site.synonyms)
            .chain([&c.station.lesion.short]);
        let tells_it = matches!(
            c.station.kind.tells,
            Tells::Lesion | Tells::Pair | Tells::Nerve
        );
        for answer in answers.map(|a| flat(a)) {
            assert!(!early.contains(&answer), "{answer}");
            for m in (0..made.cases.len()).filter(|m| *m != n || !tells_it) {
                let told = flat(&parts[2 + 2 * n]).contains(&answer);
                let leaf = format!("{} {}", flat(&parts[2 + 2 * m]), flat(&parts[3 + 2 * m]));
                assert!(
                    told || !leaf.contains(&answer),
                    "{answer}, of case {}, in case {}",
                    n + 1,
                    m + 1
                );
                hidden += usize::from(!told);
            }
        }
    }
    assert!(hidden > 100, "{hidden}");
}

/// Every pair at every level, by the points too; and the check itself can fail.
#[test]
fn no_leaf_gives_away_another_case_or_its_own() {
    for level in LEVELS {
        let made = twelve(level, 77);
        let model = &made.world.model;
        let leaf = |i: usize| Leaf::of(model, made.cases[i].site, &made.cases[i].station);
        for i in 0..12 {
            for j in 0..12 {
                assert_eq!(leak(&leaf(i), &leaf(j)), None, "{level:?} {i} {j}");
            }
        }
        let hides = |c: &&vivasmith::practice::Chosen| c.station.kind.tells == Tells::Findings;
        let at = made.cases.iter().position(|c| hides(&c)).expect("a trace");
        let mut other = made.cases[(at + 1) % 12].station.clone();
        other
            .candidate
            .story
            .push_str(&model.sites[made.cases[at].site].label);
        let other = Leaf::of(model, made.cases[(at + 1) % 12].site, &other);
        assert!(leak(&leaf(at), &other).is_some());
    }
}

/// Practice and examination agree: each point with its marks as on the room sheet.
#[test]
fn keys_pay_what_the_room_sheet_pays_word_for_word() {
    let made = twelve(Level::Clinical, 21);
    let parts = made.pages();
    let printer = Printer::new(&made.world.content).expect("templates");
    let ticks = |text: &str| -> Vec<String> {
        let mut all: Vec<String> = text
            .lines()
            .filter(|l| l.starts_with("| **"))
            .flat_map(|l| l.split(['|']))
            .flat_map(|cell| cell.split("<br>"))
            .filter_map(|t| {
                t.trim()
                    .strip_prefix('\u{2610}')
                    .map(|t| t.trim().to_string())
            })
            .collect();
        all.sort();
        all
    };
    let mut points = 0;
    for (n, c) in made.cases.iter().enumerate() {
        let sheets = printer.sheets(&c.station, &[]).expect("sheets");
        let room = sheets
            .iter()
            .find(|s| s.id == "room")
            .expect("a room sheet");
        let room = room
            .markdown
            .split("<!-- page break -->")
            .next()
            .expect("side A");
        let key = &parts[2 + 24 + n];
        assert_eq!(ticks(key), ticks(room), "case {}", n + 1);
        points += ticks(key).len();
        for q in &c.station.questions {
            assert!(key.contains(&format!("| /{} |", q.marks)));
        }
        for danger in &c.station.room.dangers {
            assert!(flat(key).contains(&flat(danger)), "{danger}");
        }
        let rule = &c.station.answer.rule;
        assert!(flat(key).contains(&flat(rule)), "{rule}");
    }
    assert!(points > 150, "{points}");
}

#[test]
fn hints_stand_in_their_order_with_what_they_leave_and_say_no_point() {
    let made = twelve(Level::Trainee, 3);
    let parts = made.pages();
    for (n, c) in made.cases.iter().enumerate() {
        let hints = &parts[3 + 2 * n];
        let rows: Vec<Vec<&str>> = hints
            .lines()
            .filter(|l| l.starts_with("| "))
            .map(|l| l.trim_matches('|').split(" | ").map(str::trim).collect())
            .filter(|r: &Vec<&str>| r.len() == 4 && r[1].parse::<usize>().is_ok())
            .collect();
        let prompts = c
            .station
            .questions
            .iter()
            .flat_map(|q| q.prompts.iter().map(move |p| (q, p)));
        let wanted: Vec<(String, String)> = prompts
            .map(|(q, p)| (q.number.to_string(), p.cap_text.clone()))
            .collect();
        let printed: Vec<(String, String)> = rows
            .iter()
            .map(|r| (r[0].trim_matches('*').to_string(), r[3].to_string()))
            .collect();
        assert_eq!(printed, wanted, "case {}", n + 1);
        let points = c
            .station
            .questions
            .iter()
            .flat_map(|q| &q.groups)
            .flat_map(|g| &g.points);
        for point in points
            .map(|p| flat(&p.say))
            .filter(|p| p.split_whitespace().count() > 2)
        {
            let said = rows.iter().find(|r| flat(r[2]).contains(&point));
            assert_eq!(said, None, "case {}: {point}", n + 1);
        }
    }
}

#[test]
fn what_somebody_is_weak_at_comes_with_what_is_mistaken_for_it() {
    let like = [("carpal_tunnel", Some("trace")), ("root_c8", None)];
    let made = Made::new(&Asked {
        cases: 6,
        level: Level::Clinical,
        seed: 13,
        kinds: &[],
        like: &like,
    });
    let of = |id: &str| {
        let site = |c: &&vivasmith::practice::Chosen| made.world.model.sites[c.site].id == id;
        made.cases.iter().find(site)
    };
    assert_eq!(
        of("carpal_tunnel").expect("the place").station.kind.id,
        "trace"
    );
    assert!(of("root_c8").is_some());
    let traces = made
        .cases
        .iter()
        .filter(|c| c.station.kind.id == "trace")
        .count();
    assert!(traces >= 2, "the weak kind comes oftener");
}

/// All questions of a page are seen together: one that names what an earlier one asks for stands behind.
#[test]
fn no_question_on_a_front_answers_an_earlier_one() {
    let made = Made::new(&Asked {
        cases: 8,
        level: Level::Trainee,
        seed: 11,
        kinds: &["trace", "examine", "forecast", "nerve"],
        like: &[],
    });
    let parts = made.pages();
    let mut behind = 0;
    for (n, c) in made.cases.iter().enumerate() {
        let (front, back) = (flat(&parts[2 + 2 * n]), flat(&parts[3 + 2 * n]));
        for q in &c.station.questions[1..] {
            let says = !giveaways(&c.station, &q.opening).is_empty();
            let opening = flat(&q.opening);
            assert_eq!(
                front.contains(&opening),
                !says,
                "case {}: {}",
                n + 1,
                q.opening
            );
            assert_eq!(
                back.contains(&opening),
                says,
                "case {}: {}",
                n + 1,
                q.opening
            );
            behind += usize::from(says);
        }
    }
    assert!(behind >= 2, "{behind}");
}
