//! How Markdown is understood: comments that lay out, HTML that is shown, links, lists, and what is refused.

use vivasmith::typeset::blocks::{Block, plain_text};
use vivasmith::typeset::parse::parse;
use vivasmith::typeset::{PdfMeta, to_pdf};

use crate::typeset_support::{find, layout, meta, page_texts, pdf, words};

fn text_of(markdown: &str) -> String {
    page_texts(&pdf(markdown))
        .concat()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

fn refused(markdown: &str, word: &str) {
    let problem = to_pdf(markdown, &meta()).expect_err(markdown);
    assert!(problem.message.contains(word), "{problem}");
    assert!(!problem.hint.is_empty(), "{problem}");
}

#[test]
fn layout_comments_are_obeyed_and_not_shown() {
    let text = text_of(
        "<!-- columns: 1 2 -->\n| a | b |\n|---|---|\n| c | d |\n\n<!-- space: 2 lines -->\n\n<!-- box -->\nx\n<!-- /box -->\n",
    );
    assert!(!text.contains("<!--") && !text.contains("box"), "{text}");
}

#[test]
fn a_comment_ends_its_paragraph_even_without_an_empty_line() {
    let blocks = parse("question\n<!-- space: 3 lines -->\nanswer\n").unwrap();
    assert!(
        matches!(
            &blocks[..],
            [
                Block::Paragraph { .. },
                Block::Space(3),
                Block::Paragraph { .. }
            ]
        ),
        "{blocks:?}"
    );
}

#[test]
fn other_html_is_shown_as_it_is() {
    let text = text_of(
        "<div class=\"x\">\ninner\n</div>\n\nA <b>bold</b> move. <!-- a note -->\n\n<!-- spcae: 3 lines -->\n",
    );
    for shown in [
        "<div class=\"x\">",
        "inner",
        "</div>",
        "<b>",
        "<!-- a note -->",
        "<!-- spcae: 3 lines -->",
    ] {
        assert!(text.contains(shown), "{shown} in {text}");
    }
}

#[test]
fn br_ends_a_line_in_a_cell() {
    let layout = layout("| a |\n|---|\n| one<br>two<br/>three |\n");
    let y = |t| find(&layout, t).1.y;
    assert!(y("one") < y("two") && y("two") < y("three"));
}

#[test]
fn addresses_are_printed_where_they_say_something_new() {
    let text = text_of(
        "[office](https://example.org/o) <https://example.org/t> [example.org](https://example.org/) <a@example.org> ![arm](arm.png)",
    );
    assert!(text.contains("office (https://example.org/o)"), "{text}");
    assert_eq!(text.matches("https://example.org/t").count(), 1, "{text}");
    assert!(!text.contains("example.org ("), "{text}");
    assert_eq!(text.matches("a@example.org").count(), 1, "{text}");
    assert!(text.contains("arm (arm.png)"), "{text}");
}

#[test]
fn tight_and_loose_lists_nest_and_keep_their_numbers() {
    let blocks = parse("3. a\n4. b\n   - c\n\n     d\n").unwrap();
    let [
        Block::List {
            first: Some(3),
            entries,
        },
    ] = &blocks[..]
    else {
        panic!("{blocks:?}")
    };
    let [
        Block::Paragraph { text, tight: true },
        Block::List {
            first: None,
            entries: inner,
        },
    ] = &entries[1].blocks[..]
    else {
        panic!("{entries:?}")
    };
    assert_eq!(plain_text(text), "b");
    assert!(matches!(
        &inner[0].blocks[..],
        [
            Block::Paragraph { tight: false, .. },
            Block::Paragraph { tight: false, .. }
        ]
    ));
    let text = text_of("3. a\n4. b\n   - c\n");
    assert!(text.contains("3. a 4. b • c"), "{text}");
}

#[test]
fn a_task_list_has_boxes_for_bullets() {
    let text = text_of("- [ ] open\n- [x] done\n");
    assert!(
        text.contains("☐ open") && text.contains("☑ done") && !text.contains('•'),
        "{text}"
    );
}

#[test]
fn an_empty_entry_still_shows_its_number() {
    let text = text_of("1.\n2. two\n3.\n");
    assert!(text.contains("1. 2. two 3."), "{text}");
}

#[test]
fn emphasis_turns_upright_within_emphasis_of_a_heading() {
    // Level 4 is set slanted; what is stressed in it stands upright.
    let layout = layout("#### slanted *upright* slanted\n");
    let faces: Vec<usize> = words(&layout.pages[0].body).map(|w| w.face).collect();
    assert_eq!(faces, [3, 1, 3]);
}

#[test]
fn wrong_comments_are_named_with_their_line() {
    refused("text\n\n<!-- box -->\n\ntext", "line 3");
    refused("text\n\n<!-- /box -->\n", "closes nothing");
    refused(
        "- <!-- box -->\n\n  text\n\nend\n\n<!-- /box -->\n",
        "not closed",
    );
    refused(
        "<!-- columns: 1 2 3 -->\n| a | b |\n|---|---|\n",
        "3 widths",
    );
    refused("<!-- columns: 1 2 -->\n\ntext\n", "no table");
    refused("<!-- columns: 1 2 -->\n", "no table");
    refused(
        "<!-- columns: 1 -2 -->\n| a | b |\n|---|---|\n",
        "no number above 0",
    );
    refused(
        "<!-- columns: 1 inf -->\n| a | b |\n|---|---|\n",
        "no number above 0",
    );
    refused("<!-- space: many lines -->\n", "many lines");
    refused("<!-- space: 100000000 lines -->\n", "100000000");
    refused("<!-- space: 0 lines -->\n", "not for 1 to");
}

#[test]
fn what_cannot_be_set_is_refused_not_squeezed() {
    refused(&"> ".repeat(5000), "deep");
    refused(
        &(0..200)
            .map(|n| format!("{}- a\n", "  ".repeat(n)))
            .collect::<String>(),
        "deep",
    );
    let columns = 60;
    let wide = format!("|{}\n|{}\n", " a |".repeat(columns), "---|".repeat(columns));
    refused(&wide, "60 columns");
}

#[test]
fn a_long_code_or_sheet_name_is_cut_with_an_ellipsis() {
    let long = PdfMeta {
        code: "UL-07-".repeat(60),
        ..meta()
    };
    let text = page_texts(&to_pdf("x", &long).unwrap()).concat();
    assert!(text.contains('…') && text.contains("Page 1 of 1"), "{text}");
}
