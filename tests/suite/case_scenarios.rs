//! Reads every shipped scenario file: each site has one, each is sound, and what the candidate reads never gives the answer away.

use std::collections::BTreeSet;
use vivasmith::anatomy::{self, Model, Site};
use vivasmith::case::check_all;
use vivasmith::case::mechanism::{self, Mechanism, Scenarios};
use vivasmith::files::Content;

/// Words that name an answer or a finding, whatever the site. A phrase is matched word by word.
const FORBIDDEN: [&str; 31] = [
    "nerve",
    "nerves",
    "palsy",
    "plexus",
    "entrapment",
    "neuropathy",
    "radiculopathy",
    "neurapraxia",
    "root",
    "roots",
    "trunk",
    "cord",
    "tunnel",
    "canal",
    "arcade",
    "notch",
    "groove",
    "wrist drop",
    "drop wrist",
    "claw",
    "winging",
    "weak",
    "weakness",
    "numb",
    "numbness",
    "tingling",
    "paralysed",
    "wasted",
    "wasting",
    "syndrome",
    "reflex",
];

fn content_and_models() -> (Content, Vec<Model>) {
    let content = Content::embedded();
    let models = anatomy::regions(&content)
        .iter()
        .map(|region| anatomy::load(&content, region).unwrap_or_else(|e| panic!("{e}")))
        .collect();
    (content, models)
}

fn ids(models: &[Model]) -> Vec<&str> {
    let sites = models.iter().flat_map(|m| &m.sites);
    sites.map(|s| s.id.as_str()).collect()
}

/// The file of each site of every region that has one; that all have one is a test of its own.
fn each_site(mut look: impl FnMut(&Model, &Site, &Scenarios)) {
    let (content, models) = content_and_models();
    for model in &models {
        for site in &model.sites {
            let file = mechanism::of_site(&content, &site.id, &ids(&models))
                .unwrap_or_else(|e| panic!("{e}"));
            if let Some(file) = file {
                look(model, site, &file);
            }
        }
    }
}

fn words(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect()
}

/// The phrases that a text holds, whole words only.
fn held<'p>(text: &str, phrases: &'p BTreeSet<String>) -> Vec<&'p str> {
    let text = words(text);
    phrases
        .iter()
        .filter(|p| {
            let phrase = words(p);
            !phrase.is_empty() && text.windows(phrase.len()).any(|w| w == phrase)
        })
        .map(String::as_str)
        .collect()
}

/// Everything that would give a site away: the words above, nerves, roots, muscles and the list of the site, if it is one.
fn giveaways(model: &Model, site: Option<&Site>) -> BTreeSet<String> {
    let bare = |label: &str| label.replace(" nerve", "").replace("nerve to ", "");
    let nerves = model
        .nerves
        .iter()
        .flat_map(|n| std::iter::once(&n.label).chain(&n.synonyms));
    let muscles = model.muscles.iter().map(|m| m.label.clone());
    FORBIDDEN
        .iter()
        .map(|w| (*w).to_string())
        .chain(nerves.map(|n| bare(n)))
        .chain(model.roots.iter().cloned())
        .chain(muscles)
        .chain(site.into_iter().flat_map(|s| s.giveaways.iter().cloned()))
        .collect()
}

fn label(site: &str, m: &Mechanism) -> String {
    format!("{site}, {}", m.id)
}

#[test]
fn no_scenario_file_has_a_mistake() {
    let (content, models) = content_and_models();
    let problems = check_all(&content, &ids(&models));
    let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
    assert!(told.is_empty(), "{}", told.join("\n"));
}

#[test]
fn every_site_has_at_least_three_mechanisms() {
    let mut seen = Vec::new();
    each_site(|_, site, file| {
        assert_eq!(file.site, site.id);
        assert!(file.mechanisms.len() >= 3, "{}", site.id);
        seen.push(site.id.clone());
    });
    let (_, models) = content_and_models();
    assert_eq!(seen, ids(&models), "every site has a file");
    assert!(seen.len() >= 80, "{} sites", seen.len());
}

#[test]
fn the_candidate_reads_no_answer() {
    let mut found = Vec::new();
    each_site(|model, site, file| found.extend(answers(model, Some(site), file)));
    let (content, models) = content_and_models();
    for stem in [mechanism::GENERAL, mechanism::GENERAL_AVULSION] {
        let file = mechanism::of_site(&content, stem, &ids(&models))
            .unwrap_or_else(|e| panic!("{e}"))
            .unwrap_or_else(|| panic!("{stem} has no file"));
        for model in &models {
            found.extend(answers(model, None, &file));
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// Each giveaway in what a file shows the candidate, with its place.
fn answers(model: &Model, site: Option<&Site>, file: &Scenarios) -> Vec<String> {
    let phrases = giveaways(model, site);
    let mut found = Vec::new();
    for m in &file.mechanisms {
        let mut texts = vec![&m.story, &m.stem_note];
        texts.extend(&m.settings);
        texts.extend(&m.occupations);
        for text in texts {
            for word in held(text, &phrases) {
                found.push(format!("{}: `{word}` in: {text}", label(&file.site, m)));
            }
        }
    }
    found
}

#[test]
fn the_search_for_answers_finds_them() {
    let (_, models) = content_and_models();
    let model = models
        .iter()
        .find(|m| m.region == "upper_limb")
        .expect("the upper limb");
    let phrases = giveaways(model, model.site("carpal_tunnel"));
    let found = held(
        "The Carpal-tunnel was opened: median nerve, C6, biceps brachii.",
        &phrases,
    );
    for word in [
        "carpal tunnel",
        "median",
        "nerve",
        "C6",
        "tunnel",
        "Biceps brachii",
    ] {
        assert!(found.contains(&word), "{word} in {found:?}");
    }
    assert!(held("a carport with a medianly nervous cat", &phrases).is_empty());
}

#[test]
fn stories_are_short_and_there_is_choice_enough() {
    let mut found = Vec::new();
    let mut note = |bad: bool, what: String| {
        if bad {
            found.push(what);
        }
    };
    each_site(|model, site, file| {
        // Long enough to blame two places alike.
        let fair = if model.region == "lower_limb" {
            35..=80
        } else {
            15..=80
        };
        for m in &file.mechanisms {
            let name = label(&site.id, m);
            let count = m.story.split_whitespace().count();
            note(
                !fair.contains(&count),
                format!("{name}: story of {count} words"),
            );
            let adult = m.age.is_some_and(|a| a.1 >= 16);
            note(
                adult && m.occupations.len() < 4,
                format!("{name}: few occupations"),
            );
            note(m.settings.len() < 2, format!("{name}: few settings"));
        }
    });
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn a_torn_root_is_never_called_a_mere_block() {
    // An avulsion divides the root, so no block and no crush (Sunderland 1951, from memory).
    let mut seen = 0;
    each_site(|_, site, file| {
        if site.avulsion {
            for m in &file.mechanisms {
                assert_eq!(
                    m.nerve_injury,
                    vivasmith::case::NerveInjury::Neurotmesis,
                    "{}",
                    label(&site.id, m)
                );
                seen += 1;
            }
        }
    });
    assert!(seen >= 6);
}

#[test]
fn birth_injuries_are_of_the_plexus_and_its_roots_only() {
    // Birth traction reaches the brachial plexus (LOOVEN, from memory: 1.74 per 1000 live births); no other site of ours.
    let mut with_newborn = BTreeSet::new();
    each_site(|_, site, file| {
        if file.mechanisms.iter().any(|m| m.age_days.is_some()) {
            with_newborn.insert(site.id.clone());
        }
    });
    for site in [
        "upper_trunk",
        "lower_trunk",
        "avulsion_c5c6",
        "avulsion_c8t1",
    ] {
        assert!(with_newborn.contains(site), "{site}");
    }
    for site in [
        "carpal_tunnel",
        "ulnar_elbow",
        "pin_supinator",
        "ulnar_guyon_1",
    ] {
        assert!(!with_newborn.contains(site), "{site}");
    }
}
