//! Any text at all: it prints inside the margins or is refused with a message; it never panics and never hangs.

use proptest::prelude::*;
use vivasmith::typeset::{lay_out, to_pdf};

use crate::typeset_support::{assert_inside, meta};

/// Scraps that Markdown parsers stumble over, with our own comments among them.
fn wild_scrap() -> impl Strategy<Value = String> {
    let unbalanced = prop::sample::select(vec![
        "\n<!-- box -->\n",
        "\n<!-- /box -->\n",
        "\n<!-- columns: 1 2 -->\n",
        "\n<!-- space: x -->\n",
        "日",
        "👍🏽",
        "\u{5d0}",
    ]);
    prop_oneof![12 => scrap(), 1 => unbalanced.prop_map(String::from), 1 => "\\PC{0,12}"]
}

/// Scraps that a sheet may hold; nearly all that is made of them must print.
fn scrap() -> impl Strategy<Value = String> {
    let fixed = prop::sample::select(vec![
        "# ",
        "## ",
        "#### ",
        "- ",
        "* ",
        "1. ",
        "999999999. ",
        "> ",
        "    ",
        "\t",
        "\n",
        "\n\n",
        "  \n",
        "\\\n",
        "---\n",
        "```\n",
        "~~~",
        "| ",
        " |",
        "|---|---|\n",
        "| a | b |\n|--:|:-:|\n| ☐ | |\n",
        "**",
        "*",
        "_",
        "`",
        "[",
        "](",
        ")",
        "![",
        "<",
        ">",
        "<br>",
        "<div>\n",
        "<!-- box -->\n",
        "\n<!-- /box -->\n",
        "<!-- space: 3 lines -->\n",
        "<!-- columns: 1 2 -->\n",
        "<!-- page break -->\n",
        "<!--",
        "-->",
        "- [ ] ",
        "- [x] ",
        "☐",
        "☑ ",
        "☒",
        "word ",
        "a-b/c—d ",
        "&amp;",
        "&#0;",
        "\u{0}",
        "\u{7f}",
        "\u{200b}",
        "\u{200d}",
        "\u{feff}",
        "\u{a0}",
        "\u{301}",
        "\u{202e}",
        "\r\n",
        "\r",
        "1) ",
        "+ ",
        "===\n",
        "\\",
        "Ω≥°µ→✓ ",
    ]);
    prop_oneof![
        8 => fixed.prop_map(String::from),
        2 => "[ -~]{0,40}",
        // Latin, Greek, Cyrillic, arrows and signs, with the marks that combine with letters.
        1 => "[ -\u{4ff}\u{2010}-\u{2027}\u{2190}-\u{21ff}\u{2500}-\u{26ff}]{0,12}",
        1 => (1usize..400).prop_map(|n| "W".repeat(n)),
        1 => (1usize..80).prop_map(|n| "long words and short ones ".repeat(n)),
        1 => (1usize..30, 1usize..12).prop_map(|(rows, columns)| format!(
            "\n|{}\n|{}\n{}\n", " h |".repeat(columns), "---|".repeat(columns), format!("|{}\n", " cell text |".repeat(columns)).repeat(rows))),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn scraps_of_markdown_print_or_are_refused(scraps in prop::collection::vec(wild_scrap(), 0..30)) {
        let markdown = scraps.concat();
        match lay_out(&markdown, &meta()) {
            Ok(layout) => assert_inside(&layout),
            Err(problem) => prop_assert!(!problem.message.is_empty()),
        }
    }

    /// The only fault these can have is depth, or a frame or widths caught in a list or quote.
    #[test]
    fn scraps_without_faults_print_inside_the_margins(scraps in prop::collection::vec(scrap(), 0..60)) {
        let markdown = scraps.concat();
        match lay_out(&markdown, &meta()) {
            Ok(layout) => assert_inside(&layout),
            Err(problem) => prop_assert!(
                ["deep", "box", "columns", "none of the embedded fonts"].iter().any(|word| problem.message.contains(word)),
                "{}", problem
            ),
        }
    }

    #[test]
    fn any_text_prints_or_is_refused(markdown in "(\\PC|[\\x00-\\x7f]){0,200}") {
        if let Err(problem) = lay_out(&markdown, &meta()) {
            prop_assert!(!problem.message.is_empty());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn what_can_be_laid_out_can_be_written(scraps in prop::collection::vec(scrap(), 0..40)) {
        let markdown = scraps.concat();
        let laid_out = lay_out(&markdown, &meta()).is_ok();
        let written = to_pdf(&markdown, &meta());
        prop_assert_eq!(laid_out, written.is_ok());
        if let Ok(bytes) = written {
            prop_assert!(lopdf::Document::load_mem(&bytes).is_ok());
        }
    }
}

#[test]
fn hostile_sizes_end_in_time() {
    let cases = [
        ("[".repeat(50_000), "brackets"),
        ("*a _b ".repeat(20_000), "emphasis"),
        (">".repeat(100_000), "quotes"),
        ("a".repeat(300_000), "one word"),
        ("-\u{200b}".repeat(50_000), "places to break"),
        (format!("| a |\n|---|\n{}", "| ☐ |\n".repeat(5_000)), "rows"),
        (
            format!("| a |\n|---|\n| {} |\n", "w ".repeat(100_000)),
            "one cell",
        ),
        ("# h\n".repeat(5_000), "headings"),
    ];
    for (markdown, name) in cases {
        let start = std::time::Instant::now();
        if let Ok(layout) = lay_out(&markdown, &meta()) {
            assert_inside(&layout);
        }
        // Generous: a debug build on a busy machine. Growth with the square of the size would take minutes.
        assert!(
            start.elapsed().as_secs() < 30,
            "{name}: {:?}",
            start.elapsed()
        );
    }
}
