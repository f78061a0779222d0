//! The list for scripts, and the worklist line by line.

use serde_json::Value;

use crate::support::{Home, Output};

fn home() -> Home {
    let home = Home::new();
    for (index, (name, text)) in casepan::demo::CASES.iter().enumerate() {
        home.file(name, text);
        let who = ["AB", "CD"][index % 2];
        let args = [
            "--archive",
            "a.casepan",
            "--who",
            who,
            "archive",
            "import",
            name,
        ];
        assert_eq!(home.run(&args).code, Some(0), "{name}");
    }
    home
}

fn run(home: &Home, args: &[&str]) -> Output {
    let output = home.run(&[&["--archive", "a.casepan"], args].concat());
    assert_eq!(output.code, Some(0), "{output:?}");
    assert_eq!(output.stderr, "");
    output
}

fn numbers(output: &Output) -> Vec<String> {
    let rows = output.stdout.lines().skip(1);
    rows.map(|row| row.split('\t').next().unwrap().to_owned())
        .collect()
}

fn sql(home: &Home, text: &str) {
    super::sql(&home.path("a.casepan"), text);
}

#[test]
fn without_an_archive_the_list_is_empty() {
    let home = Home::new();
    assert_eq!(run(&home, &["list"]).stdout, "");
    let told: Value = serde_json::from_str(&run(&home, &["list", "--as", "json"]).stdout).unwrap();
    assert_eq!(told["cases"], serde_json::json!([]));
    assert!(!home.path("a.casepan").exists());
    // Something else that stands there is no list.
    home.file("a.casepan", "text");
    let output = home.run(&["--archive", "a.casepan", "list"]);
    assert_eq!(output.code, Some(65), "{output:?}");
}

#[test]
fn the_list_takes_words_and_an_order() {
    let home = home();
    let all = numbers(&run(&home, &["list"]));
    assert_eq!(all.len(), 4);
    let crown = casepan::demo::case("crown-26").unwrap().number;
    assert_eq!(
        numbers(&run(&home, &["list", "26"])),
        std::slice::from_ref(&crown)
    );
    let none = run(&home, &["list", "26", "no-such-word"]);
    assert_eq!(none.stdout, "");
    let mut sorted = all.clone();
    sorted.sort();
    assert_eq!(numbers(&run(&home, &["list", "--sort", "number"])), sorted);
    let by_who = run(&home, &["list", "--sort", "who"]).stdout;
    let who: Vec<&str> = by_who
        .lines()
        .skip(1)
        .map(|row| row.split('\t').nth(10).unwrap())
        .collect();
    assert_eq!(who, ["AB", "AB", "CD", "CD"]);
    assert_eq!(
        numbers(&run(&home, &["list", "cd", "--sort", "number"])).len(),
        2
    );
    // A case that is finished comes last, and says so.
    run(&home, &["became", &crown, "delivered"]);
    let list = run(&home, &["list"]).stdout;
    let last = list.lines().last().unwrap();
    assert!(
        last.starts_with(&crown) && last.ends_with("\tyes"),
        "{list}"
    );
}

/// Rows that hold no longer are made anew before anything is listed: a filter looks through what is judged.
#[test]
fn the_list_is_of_today() {
    let home = home();
    let before = run(&home, &["list", "--as", "json"]).stdout;
    sql(
        &home,
        "UPDATE work SET engine = '', hay = '', body = '', turn = '8'",
    );
    assert_eq!(run(&home, &["list", "26"]).stdout.lines().count(), 2);
    assert_eq!(run(&home, &["list", "--as", "json"]).stdout, before);
    // What arrives and what becomes of a case is in its row at once.
    let crown = casepan::demo::case("crown-26").unwrap().number;
    run(&home, &["became", &crown, "withdrawn"]);
    let archive = rusqlite::Connection::open(home.path("a.casepan")).unwrap();
    let stale: i64 = archive
        .query_row("SELECT COUNT(*) FROM work WHERE engine = ''", [], |row| {
            row.get(0)
        })
        .unwrap();
    assert_eq!(stale, 0);
    // To print a case reads no other; its own row is made anew.
    sql(&home, "UPDATE work SET engine = ''");
    run(&home, &["print", &crown]);
    let stale: i64 = archive
        .query_row("SELECT COUNT(*) FROM work WHERE engine = ''", [], |row| {
            row.get(0)
        })
        .unwrap();
    assert_eq!(stale, 3);
}

/// Whoever wrote the archive cannot paint the terminal of whoever lists it.
#[test]
fn nothing_of_a_row_paints_the_terminal() {
    let home = home();
    run(&home, &["list"]);
    let body = "json_set(body, '$.who', char(27) || '[31mred', '$.dentist', char(8238) || 'K', '$.number', 'other')";
    sql(&home, &format!("UPDATE work SET body = {body}"));
    for args in [&["list"][..], &["list", "--as", "json"]] {
        let told = run(&home, args).stdout;
        assert!(told.contains("[31mred"), "{told}");
        assert!(!told.contains(['\u{1b}', '\u{202e}', '\u{9b}']), "{told:?}");
        assert!(
            !told.contains("\\u001b") && !told.contains("other"),
            "{told:?}"
        );
    }
    let rename = "'x' || char(27) || '[2J' || case_number || char(10) || 'y'";
    sql(&home, &format!("UPDATE work SET case_number = {rename}"));
    let told = run(&home, &["list"]).stdout;
    assert_eq!(told.lines().count(), 5, "{told:?}");
    assert!(!told.contains('\u{1b}'), "{told:?}");
    let asked = home.run_with(&["--archive", "a.casepan", "ask"], b"leave\n");
    assert!(!asked.stdout.contains('\u{1b}'), "{asked:?}");
}

#[test]
fn the_worklist_is_said_filtered_and_sorted() {
    let home = home();
    let input = b"filter\n26\nsort\nfilter\n:\n\npick\nopen\nleave\nleave\n";
    let output = home.run_with(&["--archive", "a.casepan", "ask"], input);
    assert_eq!(output.code, Some(0), "{output:?}");
    let crown = casepan::demo::case("crown-26").unwrap().number;
    let lines: Vec<&str> = output.stdout.lines().collect();
    let has = |line: &str| lines.iter().any(|own| own.starts_with(line));
    assert!(has("to call 1, late 0, open 4, all 4"), "{lines:#?}");
    assert!(has("calls first, then by due date"), "{lines:#?}");
    assert!(has("filter: 26"), "{lines:#?}");
    assert!(has("1 case"), "{lines:#?}");
    assert!(has(&format!("1: {crown}, 26, ")), "{lines:#?}");
    assert!(has("last worked on first"), "{lines:#?}");
    assert!(has("1 selected"), "{lines:#?}");
    assert!(has("case: "), "{lines:#?}");
}
