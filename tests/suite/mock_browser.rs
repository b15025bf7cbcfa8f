//! A mock in a real browser: by clicking, by keyboard alone, through a reload, by a test clock, on a phone, in the dark, on paper.

use crate::browser::Browser;
use crate::own_support::{Folder, call, says};
use serde_json::json;
use std::path::PathBuf;

const SIDE: &str = ".side:not([hidden])";

/// A page in a folder of its own.
fn made(name: &str, arguments: &[&str]) -> (Folder, PathBuf) {
    let folder = Folder::new(&format!("mock-{name}"));
    let out = folder.path("mock.html");
    let (code, _, err) = call(&[&["mock"], arguments, &["--out", &out]].concat());
    assert_eq!(code, 0, "{err}");
    (folder, PathBuf::from(out))
}

const FORECAST: [&str; 5] = ["ulnar_elbow", "--kind", "forecast", "--seed", "7"];

/// The examiner's side, opened.
fn examiner(b: &mut Browser) {
    b.click("nav a[href*=examiner]");
    b.until("!document.getElementById('gate').hidden");
    b.click("#open");
    b.until("document.querySelector('.examiner:not([hidden])')");
}

fn question(n: usize, part: &str) -> String {
    format!("{SIDE} [data-q='{n}'] {part}")
}

fn mark(b: &mut Browser, n: usize) -> String {
    let value = b.run(&format!(
        "document.querySelector({}).value",
        json!(question(n, "[data-mark]"))
    ));
    value.as_str().expect("a mark").to_string()
}

#[test]
fn a_whole_mock_by_clicking() {
    let Some(mut b) = Browser::start("clicking") else {
        return;
    };
    let (folder, page) = made("clicking", &FORECAST);
    b.open(&page);
    b.click("#start a.go[href*=candidate]");
    b.until("document.querySelector('.candidate:not([hidden])')");
    says(
        &b.text(SIDE),
        &["For the candidate", "Your task", "Chart to shade"],
    );
    b.click("#go");
    b.until("document.getElementById('phase').textContent === 'Read'");
    b.drag(".candidate:not([hidden]) .blank svg", (40.0, 60.0));
    b.drag(".candidate:not([hidden]) .blank svg", (-30.0, 20.0));
    b.click(".tools [data-undo]");
    let strokes = format!("document.querySelectorAll('{SIDE} .stroke').length");
    assert_eq!(b.run(&strokes), json!(1));
    // In the middle: the drawing, the side and the clock are still there.
    b.reload();
    b.until("document.getElementById('phase').textContent === 'Read'");
    assert_eq!(b.run(&strokes), json!(1));

    b.click("nav a[href*=examiner]");
    b.until("!document.getElementById('gate').hidden");
    let all = b.text("body");
    assert!(
        !all.contains("ANSWER") && !all.contains("interossei"),
        "{all}"
    );
    b.click("#open");
    b.until("document.querySelector('.examiner:not([hidden])')");
    says(
        &b.text(SIDE),
        &["ANSWER: right ulnar nerve", "What the candidate drew"],
    );

    // Prompts open in order, and each lowers what is left.
    assert!(
        !b.text(&question(0, ".prompts"))
            .contains("What fails, then the reason.")
    );
    b.click(&question(0, "[data-open]"));
    says(
        &b.text(&question(0, ".prompts")),
        &["C 5 “What fails, then the reason.”", "P – leaves 3½"],
    );
    b.click(&question(0, "[data-point='0.0']"));
    b.click(&question(0, "[data-point='0.2']"));
    assert_eq!(mark(&mut b, 0), "4");
    b.click(&question(0, "[data-open]"));
    assert_eq!(mark(&mut b, 0), "3.5", "P leaves 3½");
    says(&b.text(&question(0, ".mark")), &["at most 3½ after P"]);
    // A third of a choice of two earns nothing more.
    b.click(&question(0, "[data-back]"));
    b.click(&question(0, "[data-point='0.1']"));
    assert_eq!(mark(&mut b, 0), "4");
    // Half a point.
    b.click(&question(0, "[data-half='0.0']"));
    b.click(&question(0, "[data-half='0.1']"));
    assert_eq!(mark(&mut b, 0), "3");
    b.click(&question(1, "[data-point='0.0']"));
    b.click(&question(4, "[data-point='0.1']"));
    b.reload();
    b.until("document.querySelector('.examiner:not([hidden])')");
    assert_eq!(
        [mark(&mut b, 0), mark(&mut b, 1), mark(&mut b, 4)],
        ["3", "1", "1"]
    );

    // Danger has its second chance; the rating comes before the total.
    b.click(&format!("{SIDE} [data-danger='0']"));
    b.click(&format!("{SIDE} [data-field=words]"));
    b.write("I would wait, \"perhaps\"");
    b.click(&format!("{SIDE} [data-field=candidate]"));
    b.write("M3");
    b.click(&format!("{SIDE} [data-close]"));
    says(&b.text(SIDE), &["First give the global rating"]);
    assert!(!b.text("body").contains("of 20"));
    b.click(&format!("{SIDE} [type=radio][value='2']"));
    b.click(&format!("{SIDE} [data-close]"));
    b.until("document.querySelector('.close:not([hidden])')");
    says(
        &b.text(SIDE),
        &[
            "5 of 20 · Clear pass",
            "What to practise next",
            "Model answer",
            "I would wait",
            "vivasmith mock ulnar_elbow --kind forecast",
        ],
    );
    let csv = b.save(&format!("{SIDE} [data-csv]"), &folder.0.join("saved"));
    let lines: Vec<&str> = csv.split("\r\n").collect();
    assert_eq!(lines.len(), 3, "{csv}");
    assert!(
        lines[0].starts_with("candidate,group,")
            && lines[0].ends_with("marks,status,global_rating,danger,comment")
    );
    says(
        lines[1],
        &["M3,,,,,VS-FC-", ",20,3,C,1,,0,,0,,1,,5,,Clear pass,yes,"],
    );
    // Once the total is known the rating stands.
    b.click(&format!("{SIDE} .out a"));
    b.until("document.querySelector('.examiner:not([hidden])')");
    assert_eq!(
        b.run(&format!(
            "[...document.querySelectorAll('{SIDE} [type=radio]')].every(r => r.disabled)"
        )),
        json!(true)
    );

    // The next candidate finds a fresh page, and no answer.
    b.click(&format!("{SIDE} [data-close]"));
    b.until("document.querySelector('.close:not([hidden])')");
    b.click(&format!("{SIDE} [data-next]"));
    b.until("document.querySelector('.candidate:not([hidden])')");
    assert_eq!(b.run(&strokes), json!(0));
    assert_eq!(b.text("#phase"), "Not begun");
    assert!(!b.text("body").contains("ANSWER"));
    let asked: Vec<_> = b
        .requests
        .iter()
        .filter(|r| !r.starts_with("file:") && !r.starts_with("blob:"))
        .collect();
    assert!(asked.is_empty(), "{asked:?}");
    let files: Vec<_> = b
        .requests
        .iter()
        .filter(|r| r.starts_with("file:") && !r.ends_with("/mock.html"))
        .collect();
    assert!(files.is_empty(), "{files:?}");
}

#[test]
fn a_whole_mock_by_keys_alone() {
    let Some(mut b) = Browser::start("keys") else {
        return;
    };
    let (_folder, page) = made("keys", &FORECAST);
    b.open(&page);
    b.tab_to("#start a.go[href*=candidate]");
    b.key("Enter");
    b.until("document.querySelector('.candidate:not([hidden])')");
    b.tab_to("#go");
    b.key("Enter");
    b.until("document.activeElement.id === 'pause'");
    b.tab_to(".blank");
    b.key(" ");
    for _ in 0..3 {
        b.key("ArrowRight");
        b.key("ArrowDown");
    }
    b.key(" ");
    let points = b.run(&format!(
        "document.querySelector('{SIDE} .stroke').getAttribute('d').split('L').length"
    ));
    assert_eq!(points, json!(7));
    b.tab_to("[data-draw-words]");
    b.write("little finger");
    b.run("document.querySelector('nav a').focus()");
    b.tab_to("nav a[href*=examiner]");
    b.key("Enter");
    b.tab_to("#open");
    b.key("Enter");
    b.until("document.querySelector('.examiner:not([hidden])')");
    says(&b.text(SIDE), &["little finger"]);
    // The button that goes away hands the focus on.
    b.tab_to(&question(1, "[data-open]"));
    for rung in ["P", "L"] {
        b.key("Enter");
        says(
            &b.run("document.activeElement.textContent").to_string(),
            &[rung],
        );
    }
    b.key("Enter");
    assert_eq!(b.run("document.activeElement.type"), json!("checkbox"));
    b.key(" ");
    b.tab_to(&question(1, "[data-point='0.1']"));
    b.key(" ");
    assert_eq!(mark(&mut b, 1), "1", "L leaves 1");
    b.tab_to(&format!("{SIDE} [type=radio]"));
    b.key(" ");
    b.key("ArrowDown");
    b.tab_to(&format!("{SIDE} [data-close]"));
    b.key("Enter");
    b.until("document.querySelector('.close:not([hidden])')");
    says(&b.text(SIDE), &["1 of 20 · Good"]);
    assert_eq!(b.run("document.activeElement.tagName"), json!("H1"));
}

#[test]
fn the_clock_reads_warns_rings_and_stops() {
    let Some(mut b) = Browser::start("clock") else {
        return;
    };
    let (_folder, page) = made("clock", &FORECAST);
    b.open(&page);
    b.click("nav a[href*=candidate]");
    b.until("document.querySelector('.candidate:not([hidden])')");
    assert_eq!([b.text("#phase"), b.text("#left")], ["Not begun", "2:00"]);
    b.click("#go");
    b.until("document.getElementById('phase').textContent === 'Read'");
    let mut rung = vec!["1"];
    // Seconds to wait, what is said then, what is left of it, and the bell: 2 minutes of reading, 8 inside, the warning at 1.
    for (seconds, phase, left, bell) in [
        (118, "Read", "0:0", None),
        (2, "Station", "8:00", Some(vec!["0.3"])),
        (418, "Station", "1:0", None),
        (2, "Time is nearly over", "1:00", Some(vec!["0.3", "0.3"])),
        (58, "Time is nearly over", "0:0", None),
        (2, "Stop", "", Some(vec!["1"])),
    ] {
        // Bells that passed in a sleep are not rung: so the clock first goes to shortly before.
        b.run(&format!("later({seconds})"));
        b.until(&format!(
            "document.getElementById('phase').textContent === {}",
            json!(phase)
        ));
        if phase != "Stop" {
            b.until(&format!(
                "document.getElementById('left').textContent <= {} + '9'",
                json!(left)
            ));
        }
        let own = b.text("#left");
        assert!(
            own.starts_with(left) || own == "7:59" || own == "0:59",
            "{phase}: {own}"
        );
        rung.extend(bell.into_iter().flatten());
        assert_eq!(b.run("rung.join(' ')"), json!(rung.join(" ")), "{phase}");
        says(
            &b.run("document.getElementById('said').textContent")
                .to_string(),
            &[phase],
        );
    }
    // Stopped, time does not go on; without sound nothing rings.
    b.click("#again");
    b.click("#sound");
    b.click("#go");
    b.until("document.getElementById('phase').textContent === 'Read'");
    b.click("#skip");
    b.until("document.getElementById('phase').textContent === 'Station'");
    assert_eq!(b.run("rung.length"), json!(rung.len()), "the sound is off");
    b.click("#pause");
    let before = b.text("#left");
    b.run("later(100)");
    b.run("new Promise(done => setTimeout(done, 400))");
    assert_eq!(b.text("#left"), before);
    // The examiner sees which question is due.
    examiner(&mut b);
    b.click("#on");
    b.run("later(40)");
    b.until("document.querySelector('.examiner .due-now')");
    says(&b.text(".due-now h2"), &["Question 1", "now"]);
}

/// What a screen of that size shows of each side, by the checker and by measure.
#[test]
fn every_side_is_accessible_on_a_laptop_and_on_a_phone_in_the_dark() {
    let Some(mut b) = Browser::start("sides") else {
        return;
    };
    let axe = axe();
    let (_folder, page) = made(
        "sides",
        &["ulnar_elbow", "--kind", "examine", "--seed", "7"],
    );
    for (name, width, height, phone) in [("laptop", 1280, 800, false), ("phone", 360, 740, true)] {
        b.size(width, height, phone);
        b.dark(phone);
        b.open(&page);
        if let Some(axe) = &axe {
            b.run(axe);
        }
        let look = |b: &mut Browser, side: &str| {
            b.picture(&format!("{name}_{side}"));
            let wide = b
                .run("document.documentElement.scrollWidth - document.documentElement.clientWidth");
            assert_eq!(
                wide,
                json!(0),
                "{name} {side}: nothing stands out to the right"
            );
            // WCAG 2.2, 2.5.8: 24 by 24 pixels, or as much room round it.
            let small = b.run(
                "[...document.querySelectorAll('button, a.go, nav a, summary, select, input')].filter(e => e.checkVisibility()).map(e => { const b = (e.closest('label') || e).getBoundingClientRect(); return [e.outerHTML.slice(0, 60), b.width, b.height]; }).filter(([, w, h]) => w < 24 || h < 24)",
            );
            assert_eq!(small, json!([]), "{name} {side}");
            if axe.is_some() {
                let faults = b.run(
                    "axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}).then(r => r.violations.map(v => [v.id, v.nodes.map(n => n.html.slice(0, 120) + ' ' + (n.any[0] || n.all[0] || n.none[0]).message)]))",
                );
                assert_eq!(faults, json!([]), "{name} {side}");
            }
        };
        look(&mut b, "start");
        b.click("nav a[href*=candidate]");
        b.until("document.querySelector('.candidate:not([hidden])')");
        look(&mut b, "candidate");
        b.click("nav a[href*=examiner]");
        b.until("!document.getElementById('gate').hidden");
        look(&mut b, "gate");
        b.click("#open");
        b.until("document.querySelector('.examiner:not([hidden])')");
        b.click(&question(0, "[data-open]"));
        b.click(&question(0, "[data-point='0.0']"));
        b.click(&format!("{SIDE} details summary"));
        b.click(&format!("{SIDE} [data-danger='0']"));
        look(&mut b, "examiner");
        if !phone {
            b.click(&format!("{SIDE} [type=radio]"));
        }
        b.click(&format!("{SIDE} [data-close]"));
        b.until("document.querySelector('.close:not([hidden])')");
        b.click(&format!("{SIDE} .out summary"));
        look(&mut b, "close");
        b.click(&format!("{SIDE} .out a"));
        b.until("document.querySelector('.examiner:not([hidden])')");
        b.click(&format!("{SIDE} [data-shut]"));
        b.until("document.querySelector('.candidate:not([hidden])')");
        b.click("nav a[href*=start]");
        b.until("!document.getElementById('start').hidden");
    }
    // Text at 200 %: WCAG 1.4.4.
    b.size(1280, 800, false);
    b.run("document.documentElement.style.fontSize = '200%'");
    b.run("sessionStorage.setItem(Object.keys(sessionStorage)[0], '1')");
    for side in ["candidate", "examiner"] {
        b.click(&format!("nav a[href*={side}]"));
        b.until(&format!("document.querySelector('.{side}:not([hidden])')"));
        b.picture(&format!("large_{side}"));
        let wide =
            b.run("document.documentElement.scrollWidth - document.documentElement.clientWidth");
        assert_eq!(wide, json!(0), "{side}");
    }
}

/// The text of axe-core, whose file VIVASMITH_AXE names.
fn axe() -> Option<String> {
    let Some(path) = std::env::var_os("VIVASMITH_AXE") else {
        assert!(
            std::env::var_os("VIVASMITH_NEEDS_BROWSER").is_none(),
            "VIVASMITH_AXE names no axe.min.js"
        );
        eprintln!("skipped: the accessibility checker (VIVASMITH_AXE names no axe.min.js)");
        return None;
    };
    Some(std::fs::read_to_string(path).expect("axe-core"))
}

/// The words of each page that the browser prints.
fn printed(b: &mut Browser) -> Vec<String> {
    let file = lopdf::Document::load_mem(&b.pdf()).expect("a PDF");
    let pages: Vec<u32> = file.get_pages().keys().copied().collect();
    let words = |page: &u32| {
        let text = file.extract_text(&[*page]).expect("text");
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    pages.iter().map(words).collect()
}

#[test]
fn the_result_is_a_sheet_on_paper() {
    let Some(mut b) = Browser::start("paper") else {
        return;
    };
    let (_folder, page) = made("paper", &FORECAST);
    b.dark(true);
    b.open(&page);
    b.click("nav a[href*=candidate]");
    b.until("document.querySelector('.candidate:not([hidden])')");
    // Labels of pictures are set letter by letter.
    let chart = |page: &String| {
        let page = page.replace(' ', "");
        page.contains("Charttoshade") && page.contains("Palm,right")
    };
    let pages = printed(&mut b);
    assert!(
        pages.iter().any(chart),
        "a chart and its heading: {pages:?}"
    );
    examiner(&mut b);
    b.click(&question(2, "[data-point='0.0']"));
    b.click(&format!("{SIDE} [type=radio]"));
    b.click(&format!("{SIDE} [data-close]"));
    b.until("document.querySelector('.close:not([hidden])')");
    let pages = printed(&mut b);
    assert!((2..=4).contains(&pages.len()), "{pages:?}");
    let words = &pages[0];
    says(
        words,
        &["Result", "2 of 20", "Excellent", "What to practise next"],
    );
    assert!(
        !words.contains("Take the marks along") && !words.contains("Model answer"),
        "{words}"
    );
}
