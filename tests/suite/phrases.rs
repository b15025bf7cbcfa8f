//! Every phrase that a shipped template asks for is there: a page that nobody printed lately would else stop a whole circuit.

use vivasmith::files::Content;

#[test]
fn every_phrase_that_a_template_asks_for_is_shipped() {
    let content = Content::embedded();
    let phrases = &content.get("templates/phrases.yaml").expect("phrases").text;
    let keys: Vec<&str> = phrases
        .lines()
        .filter_map(|line| line.strip_prefix("  ")?.split_once(':'))
        .map(|(key, _)| key)
        .collect();
    let mut asked = 0;
    let mut missing = Vec::new();
    for source in content
        .under("templates/")
        .filter(|s| s.name.ends_with(".tera"))
    {
        for head in ["t(k=\"", "tm(k=\""] {
            for (at, _) in source.text.match_indices(head) {
                let rest = &source.text[at + head.len()..];
                let (key, after) = rest.split_once('"').expect("a closing mark");
                asked += 1;
                // A key that goes on (`"domain_" ~ id`) needs one phrase or more that begin so.
                let goes_on = after.trim_start().starts_with('~');
                let there = keys
                    .iter()
                    .any(|k| *k == key || (goes_on && k.starts_with(key)));
                if !there {
                    missing.push(format!("{}: {key}", source.name));
                }
            }
        }
    }
    assert!(asked > 100, "{asked}");
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}
