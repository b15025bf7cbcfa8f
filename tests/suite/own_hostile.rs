//! Content from strangers: each trick gets one clear error in bounded time, and nothing is written outside the out folder.

use crate::own_support::{Folder, call, says};
use std::time::{Duration, Instant};

const MUSCLES: &str = "anatomy/upper_limb/muscles.yaml";

/// One line of trouble: the file, its text, what the message says.
fn refused(name: &str, file: &str, text: impl AsRef<[u8]>, words: &[&str]) {
    let folder = Folder::new(name);
    folder.with(file, text);
    let start = Instant::now();
    let (code, out, err) = call(&["check", &folder.shown()]);
    assert!(matches!(code, 1 | 2), "{name}: {code} {out}{err}");
    says(&err, words);
    says(&err, &["error: ", file.rsplit('/').next().unwrap_or(file)]);
    assert!(
        err.len() < 4000,
        "{name}: the message is short: {}",
        err.len()
    );
    assert_eq!(err.matches("error:").count(), 1, "{name}: one error\n{err}");
    // Generous: other tests share the machine. Without the bounds these take minutes or forever.
    assert!(
        start.elapsed() < Duration::from_secs(30),
        "{name} took {:?}",
        start.elapsed()
    );
}

#[test]
fn deep_nesting_is_refused() {
    refused(
        "deep-flow",
        MUSCLES,
        "[".repeat(1_000_000),
        &["nested more than 64 deep", ":1:65"],
    );
    refused(
        "deep-map",
        MUSCLES,
        "{a: ".repeat(300_000),
        &["nested more than 64 deep"],
    );
    refused(
        "deep-block",
        "own/x.yaml",
        format!("id: x\ntitle: {}1\n", "- ".repeat(200_000)),
        &["x.yaml"],
    );
    let mut stairs = String::from("a:\n");
    for i in 1..900 {
        stairs.push_str(&" ".repeat(i));
        stairs.push_str("a:\n");
    }
    refused(
        "deep-stairs",
        "scenarios/ulnar_elbow.yaml",
        stairs,
        &["ulnar_elbow.yaml"],
    );
}

#[test]
fn alias_bombs_are_refused() {
    let mut bomb = String::from("a0: &a0 [x, x, x, x, x, x, x, x, x]\n");
    for i in 1..10 {
        let row = vec![format!("*a{}", i - 1); 9].join(", ");
        bomb.push_str(&format!("a{i}: &a{i} [{row}]\n"));
    }
    refused("bomb", MUSCLES, &bomb, &["there is no key"]);
    // In the place of what is read, so that it would be expanded.
    let inner = bomb
        .replace("\na", "\n  a")
        .replacen("a0:", "phrases:\n  a0:", 1);
    refused("bomb-inside", "settings.yaml", inner, &["settings.yaml"]);
    let list = format!(
        "institution: x\nrating: {}\n",
        bomb.lines()
            .next()
            .expect("a line")
            .split_once(": ")
            .expect("a value")
            .1
    );
    refused("bomb-shape", "settings.yaml", list, &["rating"]);
}

#[test]
fn huge_files_are_refused_unread() {
    let folder = Folder::new("huge");
    folder.with(MUSCLES, "");
    let file = std::fs::File::options()
        .write(true)
        .open(folder.path(MUSCLES))
        .expect("open");
    file.set_len(100 * 1024 * 1024)
        .expect("a sparse file of 100 MB");
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 2, "{err}");
    says(&err, &["muscles.yaml", "larger than 2 MiB"]);
    assert_eq!(err.matches("error:").count(), 1, "{err}");
}

#[test]
fn too_much_in_all_is_refused() {
    let folder = Folder::new("much");
    for i in 0..20 {
        folder.with(
            &format!("questions/q{i}.yaml"),
            vec![b'#'; 2 * 1024 * 1024 - 10],
        );
    }
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 2, "{err}");
    says(&err, &["more than 32 MiB"]);
    let folder = Folder::new("many");
    for i in 0..2010 {
        folder.with(&format!("questions/q{i}.yaml"), "");
    }
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 2, "{err}");
    says(&err, &["more than 2000 content files"]);
    let folder = Folder::new("deep-folders");
    folder.with("anatomy/a/b/c/d/e/f/g/h/x.yaml", "");
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 2, "{err}");
    says(&err, &["nested more than 6 deep"]);
}

#[test]
fn duplicate_keys_are_refused_wherever_they_stand() {
    refused(
        "dup-top",
        "settings.yaml",
        "paper: a4\ninstitution: x\npaper: letter\n",
        &["duplicate", "settings.yaml:3:1"],
    );
    refused(
        "dup-map",
        "settings.yaml",
        "phrases:\n  aim: Aim\n  task: Task\n  aim: Goal\n",
        &["duplicate key `aim`"],
    );
    refused(
        "dup-shares",
        "anatomy/upper_limb/movements.extra.yaml",
        "movements:\n  - {id: x, label: x, command: x, shares: {biceps_brachii: 0.5, biceps_brachii: 0.5}, source: x}\n",
        &["duplicate key `biceps_brachii`", ":2:"],
    );
    refused(
        "dup-own",
        "own/x.yaml",
        "id: x\nfindings: {edc: lost, edc: weak}\n",
        &["duplicate key `edc`"],
    );
}

#[test]
fn many_keys_and_many_mistakes_stay_quick() {
    let keys: String = (0..100_000).map(|i| format!("  k{i}: x\n")).collect();
    let folder = Folder::new("keys");
    folder.with("settings.yaml", format!("phrases:\n{keys}"));
    let start = Instant::now();
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 1);
    says(&err, &["there is no phrase `k"]);
    assert!(
        start.elapsed() < Duration::from_secs(30),
        "{:?}",
        start.elapsed()
    );
    assert!(
        err.matches("error:").count() <= 20,
        "{}",
        err.matches("error:").count()
    );
}

#[test]
fn what_is_no_utf8_is_refused_with_its_place() {
    refused(
        "latin1",
        MUSCLES,
        b"muscles:\n  - id: caf\xe9\n",
        &["muscles.yaml:2:12", "UTF-8"],
    );
    refused(
        "utf16",
        "settings.yaml",
        b"\xff\xfep\0a\0p\0e\0r\0:\0",
        &["settings.yaml:1:1", "UTF-8"],
    );
    refused(
        "binary",
        "questions/x.yaml",
        [0u8, 159, 146, 150, 255],
        &["x.yaml", "UTF-8"],
    );
    // All of them at once.
    let folder = Folder::new("two-latin1");
    folder
        .with("questions/x.yaml", b"\xe9")
        .with(MUSCLES, b"\xe9");
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!((code, err.matches("error:").count()), (2, 2), "{err}");
}

#[test]
fn a_hostile_word_cannot_steer_the_terminal() {
    let folder = Folder::new("escape");
    folder.with(
        "settings.yaml",
        format!("\"\\e[2J{}\": 1\n", "x".repeat(100_000)),
    );
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 2, "{err}");
    assert!(
        !err.contains('\u{1b}') && err.len() < 2000,
        "{} characters",
        err.len()
    );
}

#[test]
fn ids_with_paths_in_them_write_nothing() {
    let folder = Folder::new("ids");
    folder.with("content/keep.txt", "");
    let content = folder.path("content");
    for id in [
        "../x",
        "..",
        ".",
        "",
        "a/b",
        "a\\b",
        "/tmp/x",
        "C:x",
        "x.yaml",
        "Ünder",
        "a\nb",
        "-x",
        "con:x",
        "kinds",
        "people",
        "1x",
        &"x".repeat(61),
    ] {
        for what in ["station", "question", "site", "scenario", "blueprint"] {
            let (code, _, err) = call(&["new", what, "--content", &content, "--", id]);
            assert_eq!(code, 2, "{what} {id:?}: {err}");
        }
    }
    assert_eq!(folder.files(), ["content/keep.txt"]);
    let own = "own/../../x.yaml";
    let (code, _, err) = call(&[
        "station",
        "own:../../../etc/passwd",
        "--content",
        &content,
        "--out",
        &folder.path("out"),
    ]);
    assert_eq!(code, 2, "{own}: {err}");
    says(&err, &["no station called"]);
}

#[cfg(unix)]
#[test]
fn symbolic_links_are_refused_and_not_followed() {
    use std::os::unix::fs::symlink;
    let folder = Folder::new("links");
    folder
        .with("secret/secret.yaml", "secret: treasure\n")
        .with("content/questions/.keep", "");
    let (secret, content) = (folder.path("secret"), folder.path("content"));
    let trials = [
        ("questions/x.yaml", format!("{secret}/secret.yaml")),
        ("anatomy", secret.clone()),
        ("settings.yaml", format!("{secret}/secret.yaml")),
        ("templates", "/".to_string()),
        ("questions/loop.yaml", "loop.yaml".to_string()),
        ("own", "..".to_string()),
    ];
    for (name, to) in trials {
        let link = folder.0.join("content").join(name);
        symlink(to, &link).expect("link");
        for command in [
            &["check", &content][..],
            &["station", "ulnar_elbow", "--content", &content],
            &["list", "sites", "--content", &content],
        ] {
            let (code, _, err) = call(command);
            assert_eq!(code, 2, "{name}: {err}");
            says(&err, &["is a symbolic link"]);
            assert!(!err.contains("treasure"), "{err}");
        }
        std::fs::remove_file(&link).expect("remove");
    }
    assert_eq!(call(&["list", "sites", "--content", &content]).0, 0);
}

#[cfg(unix)]
#[test]
fn a_linked_out_folder_is_refused_and_a_linked_file_is_replaced() {
    use std::os::unix::fs::symlink;
    let folder = Folder::new("out-links");
    folder.with("elsewhere/victim.md", "untouched");
    let out = folder.path("out");
    symlink(folder.path("elsewhere"), &out).expect("link");
    for name in [out.clone(), format!("{out}/"), format!("{out}/.")] {
        let (code, _, err) = call(&[
            "station",
            "ulnar_elbow",
            "--seed",
            "3",
            "--formats",
            "md",
            "--out",
            &name,
        ]);
        assert_eq!(code, 2, "{name}: {err}");
        says(&err, &["is a symbolic link"]);
    }
    assert_eq!(folder.files(), ["elsewhere/victim.md", "out/victim.md"]);
    std::fs::remove_file(&out).expect("unlink");
    // A file that is a link: what it points at stays as it is.
    assert_eq!(
        call(&[
            "station",
            "ulnar_elbow",
            "--seed",
            "3",
            "--formats",
            "md",
            "--out",
            &out
        ])
        .0,
        0
    );
    let sheet = folder
        .files()
        .into_iter()
        .find(|f| f.ends_with("candidate.md"))
        .expect("a sheet");
    std::fs::remove_file(folder.0.join(&sheet)).expect("remove");
    symlink(folder.path("elsewhere/victim.md"), folder.0.join(&sheet)).expect("link");
    assert_eq!(
        call(&[
            "station",
            "ulnar_elbow",
            "--seed",
            "3",
            "--formats",
            "md",
            "--out",
            &out
        ])
        .0,
        0
    );
    assert_eq!(folder.read("elsewhere/victim.md"), "untouched");
    assert!(folder.read(&sheet).contains("Candidate sheet"));
}

#[test]
fn an_out_folder_that_cannot_be_is_refused() {
    let folder = Folder::new("out-file");
    folder.with("taken", "a file");
    let (code, _, err) = call(&[
        "station",
        "ulnar_elbow",
        "--seed",
        "3",
        "--formats",
        "md",
        "--out",
        &folder.path("taken"),
    ]);
    assert_eq!(code, 3, "{err}");
    says(&err, &["cannot be written"]);
    let (code, _, err) = call(&[
        "station",
        "ulnar_elbow",
        "--seed",
        "3",
        "--formats",
        "md",
        "--out",
        "",
    ]);
    assert_eq!(code, 2, "{err}");
    assert_eq!(folder.files(), ["taken"]);
}

#[test]
fn templates_cannot_loop_for_ever_or_reach_outside() {
    let trials: [(&str, &str, &[&str]); 9] = [
        (
            "self",
            "{% include \"candidate.md.tera\" %}",
            &["Circular include"],
        ),
        (
            "outside",
            "{% include \"../../../../etc/passwd\" %}",
            &["candidate.md.tera:2:", "Unknown template"],
        ),
        (
            "absolute",
            "{% include \"/etc/passwd\" %}",
            &["candidate.md.tera:2:", "Unknown template"],
        ),
        (
            "long",
            "{% for i in range(end=100000) %}{% for j in range(end=100000) %}{% endfor %}{% endfor %}",
            &["candidate.md.tera", "is not done after 5 seconds"],
        ),
        (
            "fat",
            "{% set x = \"xxxxxxxx\" %}{% for i in range(end=60) %}{% set_global x = x ~ x %}{% endfor %}",
            &["candidate.md.tera", "memory"],
        ),
        (
            "wide",
            "{% for i in range(end=100000) %}xxxxxxxxxxxxxxxxxxxxxxxxxxxxxx{% endfor %}",
            &["the sheet grows beyond 1024 KB"],
        ),
        (
            "component",
            "{% component a(x: string) %}{{<a x={x ~ x} />}}{% endcomponent a %}{{<a x={\"a\"} />}}",
            &["recursion"],
        ),
        (
            "name",
            "{{ station.titel }}",
            &["candidate.md.tera:2:12", "`titel` is not defined"],
        ),
        (
            "phrase",
            "{{ t(k=\"titel_candidate\") }}",
            &["candidate.md.tera:2:4", "did you mean `title_candidate`?"],
        ),
    ];
    for (name, text, words) in trials {
        let folder = Folder::new(&format!("tera-{name}"));
        folder.with("templates/candidate.md.tera", format!("# x\n{text}\n"));
        let start = Instant::now();
        let (code, _, err) = call(&[
            "station",
            "ulnar_elbow",
            "--seed",
            "3",
            "--content",
            &folder.shown(),
            "--out",
            &folder.path("out"),
        ]);
        assert_eq!(code, 1, "{name}: {err}");
        says(&err, words);
        assert!(
            start.elapsed() < Duration::from_secs(30),
            "{name} took {:?}",
            start.elapsed()
        );
        assert_eq!(
            folder.files(),
            ["templates/candidate.md.tera"],
            "{name}: nothing half-written"
        );
    }
    let folder = Folder::new("tera-circle");
    folder
        .with("templates/candidate.md.tera", "{% include \"a.md.tera\" %}")
        .with("templates/a.md.tera", "{% include \"b.md.tera\" %}")
        .with("templates/b.md.tera", "{% include \"a.md.tera\" %}");
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 1, "{err}");
    says(&err, &["Circular include"]);
}
