//! Keys and look of one's own: what the files say, and every code at its place.

use std::collections::BTreeSet;
use std::path::Path;

use casepan::error::Trouble;
use casepan::screen::{Hue, Patch, Signs, TextRole, Theme, ThemeName};
use casepan::session::command::COMMANDS;
use casepan::session::{Command, Context, Keymap};
use casepan::settings::{
    CODES, Folder, KEYS, LAB, LOOK, Lab, Settings, laboratory, read, templates,
};

/// Reads these texts as files of a directory.
fn files(texts: &[(&str, &str)]) -> Result<Settings, casepan::error::Error> {
    let directory = tempfile::tempdir().unwrap();
    for (name, text) in texts {
        std::fs::write(directory.path().join(name), text).unwrap();
    }
    read(&Folder::of(Some(directory.path())))
}

#[test]
fn what_is_not_there_changes_nothing() {
    assert_eq!(files(&[]).unwrap(), Settings::default());
    let none = Folder {
        path: None,
        named: false,
    };
    assert_eq!(read(&none).unwrap(), Settings::default());
    // The usual directory need not be there, one that somebody names has to be.
    let gone = tempfile::tempdir().unwrap().path().join("gone");
    let usual = Folder {
        path: Some(gone.clone()),
        named: false,
    };
    assert_eq!(read(&usual).unwrap(), Settings::default());
    let error = read(&Folder::of(Some(&gone))).unwrap_err();
    assert_eq!(error.trouble, Trouble::NoInput);
    assert!(!error.hints.is_empty());
}

#[test]
fn a_file_changes_what_it_names_and_nothing_else() {
    let keys = "Keys([Key(\"undo\", [\"y\"]), Key(\"redo\", [\"u\", \"f4\"])])";
    let settings = files(&[(KEYS, keys)]).unwrap();
    let map = &settings.keymap;
    assert_eq!(map.lookup(Context::Call, "f4"), Some(Command::Redo));
    assert_eq!(map.lookup(Context::Call, "y"), Some(Command::Undo));
    for spec in COMMANDS {
        if !["undo", "redo"].contains(&spec.id) {
            assert_eq!(map.keys(spec.command), spec.keys, "{}", spec.id);
        }
    }
    let look = r#"Look(theme: Contrast, roles: [
        Role(role: "watch", colour: "bright-blue", dim: true),
        // Both change, and stay apart.
        Role(role: "call", bold: false, underlined: true, dim: false),
        Role(role: "hold", colour: "none"),
    ])"#;
    let settings = files(&[(LOOK, look)]).unwrap();
    assert_eq!(settings.keymap, Keymap::default());
    assert_eq!(settings.look.theme, Some(ThemeName::Contrast));
    assert_eq!(settings.look.signs, None);
    let own = settings.look.on(Theme::dark());
    let patch = Patch {
        colour: Hue::named("bright-blue"),
        dim: Some(true),
        ..Patch::default()
    };
    let watch = Theme::dark().patched(TextRole::Watch, &patch);
    assert_eq!(own.style(TextRole::Watch), watch.style(TextRole::Watch));
    assert_eq!(own.style(TextRole::Hold).fg, None);
    assert_eq!(
        own.style(TextRole::Fine),
        Theme::dark().style(TextRole::Fine)
    );
}

/// The place in an input is marked by «; the mark is taken out before it is read.
#[test]
fn every_code_is_provoked_at_its_place() {
    let many = format!("Keys([Key(\"undo\", «[{}])])", "\"z\", ".repeat(10));
    let long = format!("Lab(name: «\"{}\")", "n".repeat(61));
    let cases = [
        (
            KEYS,
            "keys-command",
            r#"Keys([Key(«"undoo", ["z"])])"#,
            "did you mean \"undo\"?",
        ),
        (
            KEYS,
            "keys-command-twice",
            "Keys([Key(\"undo\", [\"z\"]),\nKey(«\"undo\", [\"f4\"])])",
            "on one line",
        ),
        (
            KEYS,
            "keys-leaves",
            r#"Keys([Key("undo", «["ctrl-c"])])"#,
            "ctrl-c",
        ),
        (
            KEYS,
            "keys-leaves",
            r#"Keys([Key("quit", «["f9"])])"#,
            "ctrl-c",
        ),
        (
            KEYS,
            "keys-name",
            r#"Keys([Key("undo", ["z", «"pgdwn"])])"#,
            "did you mean \"pgdn\"?",
        ),
        (KEYS, "keys-name", r#"Keys([Key("undo", [«"alt-u"])])"#, ""),
        (
            KEYS,
            "keys-none",
            r#"Keys([Key("undo", «[])])"#,
            "at least one key",
        ),
        (
            KEYS,
            "keys-swallowed",
            r#"Keys([Key("undo", [«"ctrl-i"])])"#,
            "f2 to f9",
        ),
        (KEYS, "keys-too-many", &many, "at most 9"),
        (
            KEYS,
            "keys-twice",
            r#"Keys([Key("undo", [«"y"])])"#,
            "\"redo\"",
        ),
        // A file of the time when the summary was on another letter.
        (
            KEYS,
            "keys-twice",
            r#"Keys([Key("wall-by-wall", [«"s"])])"#,
            "`summary` was on `e` before; it is on `s` now",
        ),
        (KEYS, "keys-typed", r#"Keys([Key("undo", [«"7"])])"#, "f4"),
        (KEYS, "ron-wrong-type", r#"Keys([Key("undo", «7)])"#, ""),
        (
            LOOK,
            "look-colour",
            r#"Look(roles: [Role(role: "watch", colour: «"white")])"#,
            "may be the background",
        ),
        (
            LOOK,
            "look-colour",
            r#"Look(roles: [Role(role: "watch", colour: «"bleu")])"#,
            "did you mean \"blue\"?",
        ),
        (
            LOOK,
            "look-mark",
            "Look(roles: [«Role(role: \"present\", reversed: false)])",
            "differ",
        ),
        (
            LOOK,
            "look-role",
            r#"Look(roles: [Role(role: «"wach")])"#,
            "did you mean \"watch\"?",
        ),
        (
            LOOK,
            "look-role-twice",
            "Look(roles: [Role(role: \"key\"),\nRole(role: «\"key\")])",
            "on one line",
        ),
        (LAB, "lab-empty", r#"Lab(name: «" ")"#, "a line to fill in"),
        (
            LAB,
            "lab-empty",
            r#"Lab(address: ["1 Example Street", «""])"#,
            "",
        ),
        (
            LAB,
            "lab-folder",
            r#"Lab(prints: «"~/prints")"#,
            "the full path",
        ),
        (
            LAB,
            "lab-lines",
            r#"Lab(address: «["a", "b", "c", "d", "e", "f"])"#,
            "room for 5",
        ),
        (LAB, "lab-long", &long, "two lines"),
        (LAB, "ron-unknown-field", "Lab(«adress: [])", "address"),
        (LOOK, "ron-unknown-name", "Look(theme: «Drak)", "Dark"),
        (LOOK, "ron-unknown-field", "Look(«them: Dark)", "theme"),
    ];
    let mut drawn = BTreeSet::new();
    for (file, code, text, help) in cases {
        let (before, after) = text.split_once('«').unwrap();
        let error = files(&[(file, &format!("{before}{after}"))]).unwrap_err();
        assert_eq!(error.trouble, Trouble::Data, "{text}");
        assert_eq!(error.problems.len(), 1, "{text}: {:?}", error.problems);
        let (problem, source) = &error.problems[0];
        assert_eq!(problem.code, code, "{text}: {problem:?}");
        let line = before.split('\n').count();
        let column = before.rsplit('\n').next().unwrap().chars().count() + 1;
        assert_eq!(
            (problem.line, problem.column),
            (line, column),
            "{text}: {problem:?}"
        );
        assert!(!problem.help.is_empty(), "{text}: {problem:?}");
        let told = problem.help.join(" ");
        assert!(told.contains(help), "{text}: {told}");
        let shown = problem.render(source.as_ref(), false);
        assert!(shown.contains(file) && shown.contains('^'), "{shown}");
        drawn.insert(code);
    }
    for (code, _) in CODES {
        assert!(drawn.contains(code), "{code} is never provoked");
    }
}

#[test]
fn all_problems_of_both_files_are_told_and_none_that_only_follows() {
    // The second line frees y; as its name is wrong, that y is taken is no news.
    let keys =
        "Keys([Key(\"undo\", [\"y\"]), Key(\"redoo\", [\"u\"]), Key(\"find\", [\"alt-f\"])])";
    let look =
        r#"Look(roles: [Role(role: "wach", colour: "bleu"), Role(role: "call", bold: false)])"#;
    let error = files(&[(KEYS, keys), (LOOK, look)]).unwrap_err();
    let codes: Vec<_> = error
        .problems
        .iter()
        .map(|(problem, _)| problem.code)
        .collect();
    assert_eq!(
        codes,
        ["keys-command", "keys-name", "look-role", "look-colour"]
    );
}

#[test]
fn a_file_that_is_no_text_or_too_large_is_refused() {
    let directory = tempfile::tempdir().unwrap();
    let folder = Folder::of(Some(directory.path()));
    for (bytes, code) in [
        (vec![0xff, 0xfe, b'K'], "ron-not-utf8"),
        (vec![b' '; casepan::ronfile::MAX_BYTES + 1], "ron-too-large"),
        (Vec::new(), "ron-empty"),
    ] {
        std::fs::write(directory.path().join(KEYS), bytes).unwrap();
        let error = read(&folder).unwrap_err();
        assert_eq!(error.problems[0].0.code, code);
    }
    std::fs::remove_file(directory.path().join(KEYS)).unwrap();
    std::fs::create_dir(directory.path().join(KEYS)).unwrap();
    assert_eq!(read(&folder).unwrap_err().trouble, Trouble::NoInput);
}

/// As they are written the files change nothing; with the slashes taken away they say what is built in.
#[test]
fn the_files_to_begin_with_say_what_is_built_in() {
    let [(keys_name, keys), (look_name, look), (lab_name, lab)] = templates();
    let settings = files(&[(keys_name, &keys), (look_name, &look), (lab_name, &lab)]).unwrap();
    assert_eq!(settings.found, [KEYS, LOOK, LAB]);
    assert_eq!(settings.lab, Lab::default());
    assert_eq!(settings.keymap, Keymap::default());
    assert_eq!(settings.look, casepan::settings::Look::default());
    let bare = |text: &str| {
        let line = |line: &str| {
            let inner = line.trim_start().strip_prefix("// ").unwrap_or("");
            let code = [
                "Key(", "Role(", "theme:", "signs:", "name:", "address:", "prints:",
            ];
            let taken = code.iter().any(|begin| inner.starts_with(begin));
            if taken {
                inner.to_owned()
            } else {
                line.to_owned()
            }
        };
        text.lines().map(line).collect::<Vec<_>>().join("\n")
    };
    let (keys, look, lab) = (bare(&keys), bare(&look), bare(&lab));
    // Nothing of a laboratory is built in: the file shows invented names.
    let filled = files(&[(LAB, &lab)]).unwrap().lab;
    assert_eq!(filled.laboratory.name.as_deref(), Some("Our laboratory"));
    assert_eq!(filled.laboratory.address.len(), 2);
    assert!(filled.prints.is_some_and(|path| path.is_absolute()));
    assert_eq!(keys.matches("\nKey(").count(), COMMANDS.len());
    for spec in COMMANDS {
        assert!(keys.contains(spec.does), "{}", spec.id);
    }
    assert_eq!(look.matches("\nRole(").count(), TextRole::ALL.len());
    let settings = files(&[(KEYS, &keys), (LOOK, &look)]).unwrap();
    assert_eq!(settings.keymap, Keymap::default());
    assert_eq!(settings.look.theme, Some(ThemeName::Auto));
    assert_eq!(settings.look.signs, Some(Signs::Braille));
    assert_eq!(settings.look.roles.len(), TextRole::ALL.len());
    assert_eq!(settings.look.on(Theme::dark()), Theme::dark());
}

#[test]
fn the_examples_of_the_manual_load() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/phrase/program/manual/settings.md");
    let text = std::fs::read_to_string(path).unwrap();
    let block = |name: &str| {
        let (_, rest) = text
            .split_once(&format!("<!-- {name} -->\n```ron\n"))
            .unwrap();
        let (block, _) = rest.split_once("```\n").unwrap();
        block.to_owned()
    };
    let texts = [KEYS, LOOK, LAB].map(|name| (name, block(name)));
    let texts: Vec<(&str, &str)> = texts.iter().map(|(n, t)| (*n, t.as_str())).collect();
    let settings = files(&texts).unwrap();
    assert!(settings.lab.laboratory.name.is_some() && settings.lab.prints.is_some());
    assert_eq!(settings.keymap.keys(Command::Undo), ["z", "f4"]);
    assert_eq!(settings.keymap.keys(Command::Redo), ["Z"]);
    assert_eq!(settings.look.theme, Some(ThemeName::Light));
    assert_eq!(settings.look.signs, Some(Signs::Ascii));
    assert_eq!(settings.look.roles[0].0, TextRole::Watch);
}

/// Whoever prints reads this file and no other; what could hide in a print goes.
#[test]
fn the_laboratory_is_read_by_itself_and_cleaned() {
    let directory = tempfile::tempdir().unwrap();
    let folder = Folder::of(Some(directory.path()));
    assert_eq!(laboratory(&folder).unwrap(), Lab::default());
    std::fs::write(directory.path().join(KEYS), "not even this").unwrap();
    std::fs::write(
        directory.path().join(LAB),
        "Lab(name: \" Our\\u{1b}[31m \\u{202e}laboratory \")",
    )
    .unwrap();
    let lab = laboratory(&folder).unwrap();
    assert_eq!(lab.laboratory.name.as_deref(), Some("Our[31m laboratory"));
    std::fs::write(directory.path().join(LAB), "Lab(name: \"\")").unwrap();
    let error = laboratory(&folder).unwrap_err();
    assert_eq!(error.problems[0].0.code, "lab-empty");
}
