//! A mock is one page that holds the whole room sheet and nothing from elsewhere: its words, its policy, its size, its script's words.

use crate::own_support::{Folder, call, says};
use crate::station_support::{World, case, printed, station, world};
use std::collections::{BTreeMap, BTreeSet};
use vivasmith::case::Level;
use vivasmith::figure::{Album, Figure, escape};
use vivasmith::files::{Content, sha256_base64};
use vivasmith::sheets::mock::{Mock, Shown, alone_bells, page};
use vivasmith::sheets::pictures::pictures;
use vivasmith::sheets::words::Printer;
use vivasmith::station::Station;
use vivasmith::typeset::PageStyle;

const KINDS: [&str; 6] = ["trace", "examine", "compare", "forecast", "nerve", "risk"];

fn shown(w: &World, kind: &str) -> Shown {
    shown_of(w, "ulnar_elbow", kind)
}

fn shown_of(w: &World, site: &str, kind: &str) -> Shown {
    let cache = w.cache();
    let station = station(w, &cache, (site, kind), Level::Clinical, 7)
        .unwrap_or_else(|e| panic!("{site} {kind}: {e}"));
    let printer = Printer::on_screen(&w.content).unwrap_or_else(|e| panic!("{e}"));
    let style = printer.figure_style(PageStyle::default());
    let case = case(w, site, Level::Clinical, 7);
    let pictures = pictures(&w.model, &case, &station, &style).expect("pictures");
    Shown { station, pictures }
}

fn html(w: &World, shown: Shown) -> String {
    html_of(w, vec![shown])
}

fn html_of(w: &World, stations: Vec<Shown>) -> String {
    let printer = Printer::on_screen(&w.content).unwrap_or_else(|e| panic!("{e}"));
    let mock = Mock {
        code: stations[0].station.code.clone(),
        title: String::new(),
        alone: Some(alone_bells(&stations[0].station)),
        stations,
        round: None,
    };
    page(&printer, &mock).unwrap_or_else(|e| panic!("{e}"))
}

/// What stands between two marks, for the first time.
fn between<'t>(text: &'t str, open: &str, close: &str) -> &'t str {
    let (_, rest) = text.split_once(open).unwrap_or_else(|| panic!("{open}"));
    rest.split_once(close)
        .unwrap_or_else(|| panic!("{close}"))
        .0
}

/// Everything that an examiner reads in a room.
fn words(station: &Station) -> Vec<String> {
    let room = &station.room;
    let mut all: Vec<String> = vec![station.lesion.short.clone(), room.if_asked.clone()];
    for q in &station.questions {
        all.extend(q.spoken().map(String::from));
        all.push(q.clock.clone());
        for group in &q.groups {
            all.push(group.note.clone());
            all.extend(group.points.iter().map(|p| p.say.clone()));
        }
    }
    for reply in &room.replies {
        all.extend([reply.to.clone(), reply.ask.clone()]);
    }
    let rows = room.found.iter().flat_map(|r| &r.items);
    all.extend(rows.map(|i| i.text.clone()));
    all.extend(
        room.neither
            .iter()
            .chain(&room.dangers)
            .chain(&room.anchors)
            .cloned(),
    );
    all.push(room.second_chance.clone());
    all
}

#[test]
fn the_whole_room_sheet_is_in_it() {
    let w = world();
    let mut replies = 0;
    for kind in KINDS {
        let shown = shown(&w, kind);
        let wanted = words(&shown.station);
        replies += shown.station.room.replies.len();
        let room = &printed(&w, &shown.station)[1].markdown.replace('\\', "");
        let text = html(&w, shown);
        let on_paper = |w: &&String| !w.is_empty() && room.contains(w.as_str());
        let on_paper: Vec<&String> = wanted.iter().filter(on_paper).collect();
        assert!(on_paper.len() > 40, "{kind}: {}", on_paper.len());
        for word in on_paper {
            assert!(text.contains(&escape(word)), "{kind}: {word}");
        }
    }
    assert!(replies > 8, "{replies}");
}

#[test]
fn one_page_is_small_and_asks_for_nothing() {
    let w = world();
    for kind in KINDS {
        let text = html(&w, shown(&w, kind));
        assert!(text.len() < 400_000, "{kind}: {}", text.len());
        let lower = text.to_lowercase();
        for word in [
            "http:", "https:", "//www", " url(", ":url(", " src=", "@import", "<link", "<img",
            "<iframe", "xmlns", "fetch(", "import(",
        ] {
            assert!(!lower.contains(word), "{kind}: {word}");
        }
        assert_eq!(text, html(&w, shown(&w, kind)), "{kind}: the same bytes");
    }
}

/// The texts of a picture's labels and the number of its lines, with whatever it points at in its place.
fn unfolded(svg: &str, shared: &BTreeMap<&str, String>, lines: &mut usize) -> Vec<String> {
    let mut texts = Vec::new();
    for tag in svg.split('<').skip(1) {
        let (head, text) = tag.split_once('>').expect("an end");
        let name = head.split([' ', '/']).next().unwrap_or_default();
        match name {
            "path" | "circle" => *lines += 1,
            "text" => texts.push(text.to_string()),
            "use" => {
                let (_, id) = head.split_once("href=#").expect("a target");
                let id = id.split([' ', '/']).next().unwrap_or_default();
                texts.extend(unfolded(&shared[id], shared, lines));
            }
            _ => {}
        }
    }
    texts
}

/// What the pictures of a page point at, by its name: whole elements, groups with all they hold.
fn pointed_at(page: &str) -> BTreeMap<&str, String> {
    let defs = between(page, "<defs>", "</defs>");
    let mut all = BTreeMap::new();
    for (at, _) in defs.match_indices(" id=l") {
        let from = defs[..at].rfind('<').expect("a tag");
        let (name, rest) = (&defs[from + 1..at], &defs[from..]);
        let (mut end, mut open) = (rest.find('>').expect("an end") + 1, 0);
        if !rest[..end].ends_with("/>") {
            // A group may hold groups of one look.
            loop {
                let next = end + rest[end..].find(&format!("/{name}>")).expect("its end");
                open += rest[end..next].matches(&format!("<{name} ")).count();
                end = next + name.len() + 2;
                if open == 0 {
                    break;
                }
                open -= 1;
            }
        }
        let id = between(&defs[at..], " id=", ">").split([' ', '/']).next();
        all.insert(id.expect("a name"), rest[..end].to_string());
    }
    all
}

/// A circuit of twelve stations stays below 400 KB with its round (12 KB for 14 candidates), and its pictures, which share what they
/// can, lose no line and no label.
#[test]
fn a_page_of_twelve_stations_is_small_and_its_pictures_are_whole() {
    let w = world();
    let places = [
        ("superficial_radial_wrist", "trace"),
        ("lateral_cord", "forecast"),
        ("suprascapular_notch", "trace"),
        ("median_struthers", "compare"),
        ("ulnar_guyon_3", "examine"),
        ("radial_spiral_groove", "trace"),
        ("avulsion_c8t1", "trace"),
        ("upper_trunk", "trace"),
        ("root_c6", "compare"),
        ("ulnar_elbow", "forecast"),
        ("carpal_tunnel", "nerve"),
        ("posterior_cord", "trace"),
    ];
    let stations: Vec<Shown> = places.iter().map(|(s, k)| shown_of(&w, s, k)).collect();
    let figures: Vec<Figure> = stations
        .iter()
        .flat_map(|s| s.pictures.iter().map(|p| p.figure.clone()))
        .collect();
    let page = html_of(&w, stations);
    assert!(page.len() < 388_000, "{}", page.len());
    let album = Album::new(&figures.iter().collect::<Vec<_>>());
    assert!(figures.len() > 20, "{}", figures.len());
    let shared = pointed_at(&page);
    assert!(shared.len() > 100, "{}", shared.len());
    for (figure, svg) in figures.iter().zip(&album.svgs) {
        assert!(page.contains(svg), "{}", figure.title);
        let mut lines = 0;
        let texts = unfolded(svg, &shared, &mut lines);
        let labels: Vec<String> = figure.labels().map(|l| escape(&l.text)).collect();
        assert_eq!(texts, labels, "{}", figure.title);
        assert_eq!(lines, figure.paths().count(), "{}", figure.title);
    }
}

/// Words that belong to paper.
#[test]
fn the_screen_speaks_of_a_screen() {
    let w = world();
    let phrases = &w
        .content
        .get("templates/phrases.yaml")
        .expect("phrases")
        .text;
    let phrase = |key: &str| {
        let line = format!("  {key}: \"");
        let (_, rest) = phrases.split_once(&line).unwrap_or_else(|| panic!("{key}"));
        rest.split_once('"').expect("an end").0
    };
    let own: Vec<&str> = phrases
        .lines()
        .filter_map(|l| l.strip_prefix("  screen_")?.split(':').next())
        .collect();
    assert!(own.len() > 3);
    for key in &own {
        assert_ne!(phrase(key), phrase(&format!("screen_{key}")), "{key}");
    }
    let mut met = vec![false; own.len()];
    for kind in KINDS {
        let shown = shown(&w, kind);
        let paper = &printed(&w, &shown.station)[0].markdown;
        assert!(paper.contains("Candidate sheet"));
        let text = html(&w, shown);
        let (_, said) = text.split_once("<main").expect("a page");
        let (said, _) = said.split_once("<template").expect("its end");
        for (key, met) in own.iter().zip(&mut met) {
            assert!(!said.contains(&escape(phrase(key))), "{kind}: {key}");
            *met |= said.contains(&escape(phrase(&format!("screen_{key}"))));
        }
        for word in [
            "on the table\"",
            "copy on",
            "copy that",
            "overleaf",
            "this sheet",
        ] {
            assert!(!said.contains(word), "{kind}: {word}");
        }
    }
    // Of the shipped kinds none has a plexus to label at this place.
    let unmet: Vec<_> = own.iter().zip(met).filter(|(_, met)| !met).collect();
    assert!(unmet.len() <= 1, "{unmet:?}");
}

/// Content Security Policy, level 3: a script or style runs whose text has the digest that the policy names.
#[test]
fn the_policy_lets_its_own_script_and_style_run_and_nothing_else() {
    let w = world();
    let text = html(&w, shown(&w, "forecast"));
    let policy = between(&text, "Content-Security-Policy\" content=\"", "\"");
    assert!(policy.starts_with("default-src 'none'; "), "{policy}");
    assert!(!policy.contains("unsafe"), "{policy}");
    for (name, open, close) in [
        ("style-src", "<style>", "</style>"),
        ("script-src", "<script>", "</script>"),
    ] {
        let digest = sha256_base64(between(&text, open, close).as_bytes());
        assert!(
            policy.contains(&format!("{name} 'sha256-{digest}'")),
            "{name}: {policy}"
        );
        assert_eq!(text.matches(open).count(), 1);
    }
    // What a policy without 'unsafe-inline' would stop.
    assert!(!text.contains(" style=\""));
    assert!(!text.contains(" onclick="));
}

#[test]
fn a_story_stays_a_story() {
    let w = world();
    let mut shown = shown(&w, "trace");
    let evil = "</script><script>alert(1)</script><img src=x onerror=alert(1)>";
    // The script's data hold it too.
    shown.station.code = evil.to_string();
    shown.station.candidate.story = evil.to_string();
    shown.station.questions[0].opening = evil.to_string();
    shown.station.questions[0].groups[0].points[0].say = evil.to_string();
    shown.station.room.dangers.push(evil.to_string());
    let text = html(&w, shown);
    assert!(!text.contains("alert(1)</script>") && !text.contains("<img"));
    assert!(
        text.matches("&lt;script&gt;alert(1)&lt;/script&gt;")
            .count()
            >= 4
    );
    // The data block, the script, and no third.
    assert_eq!(text.matches("<script").count(), 2);
    assert_eq!(text.matches("</script").count(), 2);
}

#[test]
fn nothing_tells_the_answer_before_the_gate_is_opened() {
    let w = world();
    let text = html(&w, shown(&w, "trace"));
    let title = between(&text, "<title>", "</title>");
    assert!(!title.to_lowercase().contains("ulnar"), "{title}");
    for side in ["candidate", "examiner", "close"] {
        let head = between(&text, &format!("<article class=\"side {side}\""), ">");
        assert!(head.ends_with(" hidden"), "{side}: {head}");
    }
    let before = text
        .split("<article class=\"side examiner\"")
        .next()
        .unwrap_or_default();
    assert!(!before.contains("ANSWER"));
}

/// What the script says is a phrase, and no phrase waits for it in vain.
#[test]
fn the_script_and_the_phrases_know_the_same_words() {
    let content = Content::embedded();
    let script = &content.get("templates/mock.js").expect("script").text;
    let phrases = &content.get("templates/phrases.yaml").expect("phrases").text;
    let there: BTreeSet<&str> = phrases
        .lines()
        .filter_map(|l| l.trim().strip_prefix("mock_say_")?.split(':').next())
        .collect();
    let unused: Vec<_> = there
        .iter()
        .filter(|key| !script.contains(&format!("'{key}'")))
        .collect();
    assert!(unused.is_empty(), "{unused:?}");
    let mut asked = 0;
    for (at, _) in script.match_indices("say('") {
        let key = script[at + 5..].split('\'').next().unwrap_or_default();
        assert!(there.contains(key), "{key}");
        asked += 1;
    }
    assert!(asked > 8, "{asked}");
}

#[test]
fn the_command_writes_one_page_and_says_what_is_wrong() {
    let folder = Folder::new("mock");
    let out = folder.path("deep/mine.html");
    let (code, said, err) = call(&[
        "mock",
        "ulnar_elbow",
        "--kind",
        "trace",
        "--seed",
        "7",
        "--out",
        &out,
    ]);
    assert_eq!((code, err.as_str()), (0, ""));
    says(
        &said,
        &[
            "seed 7",
            "mock VS-RC-",
            "mine.html",
            "A named person must review it",
        ],
    );
    assert_eq!(folder.files(), ["deep/mine.html"]);
    let first = folder.read("deep/mine.html");
    call(&[
        "mock",
        "ulnar_elbow",
        "--kind",
        "trace",
        "--seed",
        "7",
        "--out",
        &out,
    ]);
    assert_eq!(
        first,
        folder.read("deep/mine.html"),
        "the same seed, the same bytes"
    );
    // A station of one's own, whose story would like to be a script.
    let starter = Content::embedded();
    let starter = &starter
        .get("templates/new/station.yaml")
        .expect("starter")
        .text;
    let own = starter
        .replace("NEW_ID", "mine")
        .replace("medicines.", "medicines. <script>alert(1)</script>");
    assert!(own.contains("<script>"));
    folder.with("content/own/mine.yaml", own);
    let content = folder.path("content");
    let (code, _, err) = call(&["mock", "own:mine", "--content", &content, "--out", &out]);
    assert_eq!((code, err.as_str()), (0, ""));
    let text = folder.read("deep/mine.html");
    assert!(text.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    assert_eq!(text.matches("<script").count(), 2);
    for (arguments, words) in [
        (["ulnar_elbow", "--out", "x.pdf"], "ends in .html"),
        (["ulnar_elbo", "--out", &out], "did you mean `ulnar_elbow`?"),
        (["own:nobody", "--out", &out], "nobody"),
    ] {
        let (code, _, err) = call(&[&["mock"], &arguments[..]].concat());
        assert_eq!(code, 2, "{err}");
        says(&err, &[words, "hint:"]);
    }
}

/// An operation is a place too: the task says what is planned, and the examiner's side alone which nerve that endangers.
#[test]
fn an_operation_is_a_mock() {
    let folder = Folder::new("mock-operation");
    let out = folder.path("mine.html");
    for (place, planned, nerve) in [
        (
            "humeral_plate_back",
            "A plate on the shaft of the humerus through the back of the arm.",
            "radial nerve",
        ),
        (
            "lithotomy",
            "A four-hour operation, lying on the back with the legs in stirrups.",
            "common fibular nerve",
        ),
    ] {
        let (code, said, err) = call(&["mock", place, "--seed", "7", "--out", &out]);
        assert_eq!((code, err.as_str()), (0, ""), "{place}");
        says(&said, &["mock VS-KC-"]);
        let text = folder.read("mine.html");
        let (_, sides) = text.split_once("<main").expect("sides");
        let (before, after) = sides
            .split_once("<article class=\"side examiner\"")
            .expect("both sides");
        says(before, &["What is planned.", planned]);
        assert!(!before.contains(nerve), "{place}");
        says(after, &[&format!("ANSWER: {nerve}")]);
        let again = format!("vivasmith mock {place} --kind risk --level clinical --minutes 8");
        says(&text, &[&format!("\"begin_again\":\"{again}\"")]);
    }
    let (code, _, err) = call(&["mock", "lithotomy", "--kind", "trace", "--out", &out]);
    assert_eq!(code, 2, "{err}");
    says(&err, &["is an operation or fracture", "hint:"]);
}
