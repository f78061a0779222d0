//! A rule's own text in an editor: the terminal is given back and taken again whole, and nothing is taken over unchecked.

use casepan::flow::embedded;
use vt100::Screen;

use crate::support::Home;
use crate::support::pty::Pty;

/// A molar that is too short; invented.
const CASE: &str = r#"Case(
    format: 1, number: "T-1", flow: "fixed", version: 3,
    restorations: [Crown("R1", [Abutment("26")])],
    facts: [
        (fact: "order.scope", at: "R1", is: Choice("teeth")),
        (fact: "tooth.height", at: "26", is: Mm(1.8), with: "caliper"),
    ],
)
"#;

/// A home with a flow of its own, a case under it, and what the editor does to the file that it is given.
fn home(editor: &str) -> Home {
    let home = Home::new().with("VISUAL", "/bin/sh edit.sh");
    assert_eq!(home.run(&["flow", "new", "own"]).code, Some(0));
    home.file("case.ron", CASE);
    let import = [
        "--archive",
        "a.casepan",
        "--flow",
        "own",
        "archive",
        "import",
        "case.ron",
    ];
    let output = home.run(&import);
    assert_eq!(output.code, Some(0), "{output:?}");
    home.file("edit.sh", format!("echo \"$1 $2\" > args.txt\n{editor}\n"));
    home
}

/// Opens help on the first finding as a supervisor, and the editor.
fn edit(home: &Home, args: &[&str]) -> Pty {
    let all = [&["--archive", "a.casepan"], args, &["open", "T-1"]].concat();
    let mut pty = Pty::start(home, &all, 110, 36);
    pty.wait_for("? help");
    pty.type_keys("f");
    pty.wait_for("Why ");
    pty.type_keys("?");
    pty.wait_for("Where the rule stands");
    pty.type_keys("e");
    pty
}

const OWN: [&str; 3] = ["--flow", "own", "--supervisor"];

fn in_order(pty: &Pty) {
    pty.wait_until("the terminal to be taken again", |screen| {
        screen.alternate_screen() && screen.bracketed_paste()
    });
}

/// The file of the rule, at its line; keys are the editor's; then the case is moved on Enter.
#[test]
fn a_rule_is_edited_and_the_case_moved_to_it() {
    let home = home(
        "echo THE EDITOR\nread line\necho \"$line\" > typed.txt\necho '// looked at' >> \"$2\"",
    );
    let mut pty = edit(&home, &OWN);
    pty.wait_for("THE EDITOR");
    assert!(!pty.see(Screen::alternate_screen), "it has the terminal");
    pty.type_keys("qfe\r");
    pty.wait_for("move to another version of the flow");
    in_order(&pty);
    let typed = std::fs::read_to_string(home.path("typed.txt")).unwrap();
    assert_eq!(typed.trim(), "qfe", "every key was the editor's");
    let args = std::fs::read_to_string(home.path("args.txt")).unwrap();
    let (line, file) = args.trim().split_once(' ').unwrap();
    let line: usize = line.strip_prefix('+').unwrap().parse().unwrap();
    let text = std::fs::read_to_string(home.path(file)).unwrap();
    let rule = text.lines().nth(line - 1).unwrap();
    assert!(rule.contains("id: "), "{args} {rule}");
    pty.wait_for("whose files have changed since");
    pty.type_keys("\r");
    pty.wait_for("moved: checked by flow");
    pty.type_keys("q");
    assert!(pty.end().success());
    let flow = casepan::flow::from_directory(&home.path("own"))
        .unwrap()
        .flow
        .unwrap();
    assert_ne!(flow.digest, embedded().flow.unwrap().digest);
    let archive = casepan::archive::Archive::open_existing(&home.path("a.casepan")).unwrap();
    let case = casepan::case::journal::fold(&archive.journal("T-1").unwrap()).unwrap();
    assert_eq!(case.flow.digest, flow.digest);
}

/// What fails the check, an editor that fails, none at all, a file that stayed, the built-in flow: one sentence each.
#[test]
fn what_is_not_taken_over_is_said() {
    for (editor, says) in [
        (
            "echo 'Rules([' > \"$2\"",
            "the flow stays as it was. rules/",
        ),
        ("exit 3", "failed, and nothing was taken over"),
        (":", "the rule was not changed"),
    ] {
        let home = home(editor);
        let mut pty = edit(&home, &OWN);
        pty.wait_for(says);
        in_order(&pty);
        pty.type_keys("\x1b");
        pty.wait_until("help to be closed", |screen| {
            !screen.contents().contains("Where the rule stands")
        });
        pty.type_keys("q");
        assert!(pty.end().success(), "{editor}");
    }
    let none = home(":").with("VISUAL", " ");
    let pty = edit(&none, &OWN);
    pty.wait_for("no editor is set");
    let pty = edit(&none, &OWN[..2]);
    pty.wait_for("rules are edited by a supervisor");
    let built_in = home(":");
    let pty = edit(&built_in, &["--supervisor"]);
    pty.wait_for("this flow is the built-in one");
}
