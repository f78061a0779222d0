//! A flow tried on the record: against a judge of each case by itself, and counted by hand.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use casepan::archive::Archive;
use casepan::case::decision::DentistAnswer;
use casepan::case::journal::{Body, Entry, fold};
use casepan::case::outcome::Kind;
use casepan::derive::Facts;
use casepan::desk::{Flows, both, walk};
use casepan::flow::{Flow, embedded, from_directory};
use casepan::judge::{CaseResult, judge};
use casepan::learn::replay::{Known, Over, Replayed, Says, replay as learn_replay};
use casepan::learn::sweep::{NoSteps, Steps, limits};
use casepan::phrase::words;
use jiff::civil::date;
use jiff::tz::TimeZone;

use super::written::{Made, PLAIN, archive, low_and_high};
use super::{DELIVERED, FLOW, TODAY, orders};
use crate::support::{Home, Output};

/// A home with an archive and a flow of its own, whose call for short molars is moved.
fn home(cases: &[Made], limit: &str) -> (Home, Vec<Vec<Entry>>) {
    let home = Home::new();
    let journals = archive(&home.path("a.casepan"), cases);
    let output = home.run(&["flow", "new", "own"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    let path = home.path("own/rules/4-preps.ron");
    let text = std::fs::read_to_string(&path).unwrap();
    let old =
        "All([Below(\"tooth.height_used\", Mm(2.5)), Is(\"tooth.class\", Choice(\"molar\"))])";
    let new = old.replace("Mm(2.5)", limit);
    let changed = text.replacen(old, &new, 1);
    assert!(limit == "Mm(2.5)" || changed != text);
    std::fs::write(&path, changed).unwrap();
    (home, journals)
}

fn replay(home: &Home, args: &[&str]) -> Output {
    home.run(&[&["--archive", "a.casepan", "flow", "replay"], args].concat())
}

fn object(output: &Output) -> serde_json::Value {
    assert_eq!(output.code, Some(0), "{output:?}");
    serde_json::from_str(&output.stdout).unwrap()
}

/// What was there before anybody decided anything or anything left the house.
fn found(journal: &[Entry]) -> casepan::case::Case {
    let begins = |own: &&Entry| !matches!(own.body, Body::Decide { .. } | Body::Happened { .. });
    fold(journal.iter().take_while(begins)).unwrap()
}

/// The results of one case by itself.
fn direct(flow: &Flow, journal: &[Entry]) -> String {
    let case = found(journal);
    let facts = Facts::of(flow, &case);
    let judgement = judge(flow, &facts);
    words::outcome(judgement.by_restoration[0].1.outcome()).to_owned()
}

#[test]
fn a_replay_says_what_judging_each_case_says() {
    let mut cases = low_and_high();
    for tenth in 20..56 {
        cases.push(Made {
            height: f64::from(tenth) / 10.0,
            answer: (tenth % 3 == 0).then_some(DentistAnswer::Agreed),
            ..PLAIN
        });
    }
    let (home, journals) = home(&cases, "Mm(3.6)");
    let own = from_directory(&home.path("own")).unwrap().flow.unwrap();
    let built_in = embedded().flow.unwrap();
    let told = object(&replay(&home, &["own", "--as", "json"]));
    let replay = &told["replay"];
    assert_eq!(replay["restorations"], journals.len());
    assert_eq!(
        (&told["read"], &told["cases"]),
        (&replay["restorations"], &replay["restorations"])
    );
    let mut wanted = Vec::new();
    for journal in &journals {
        let (before, after) = (direct(&built_in, journal), direct(&own, journal));
        if before != after {
            wanted.push((found(journal).number.clone(), before, after));
        }
    }
    assert!(wanted.len() > 3, "{wanted:?}");
    let said = |word: &serde_json::Value| word.as_str().unwrap().to_owned();
    let moved: Vec<_> = replay["moved"]
        .as_array()
        .unwrap()
        .iter()
        .map(|own| {
            assert_eq!(own["restoration"], "R1");
            let number = own["case"].as_str().unwrap().to_owned();
            (number, said(&own["from"]), said(&own["to"]))
        })
        .collect();
    assert_eq!(moved, wanted);
    let added = replay["added"]["count"].as_u64().unwrap();
    let calls = |key: &str| replay[key].as_u64().unwrap();
    assert_eq!(calls("calls_after") - calls("calls_before"), added);
    // By its own flow no result is another.
    let same = object(&self::replay(&home, &["--as", "json"]));
    assert_eq!(same["replay"]["moves"], serde_json::json!([]));
    let words = self::replay(&home, &[]);
    assert!(words.stdout.contains("No result is another."), "{words:?}");
}

/// A short molar at 3.4 mm is no more than watched, and would be asked about under 3.6 mm.
#[test]
fn calls_that_are_added_are_told_with_what_became_of_them() {
    let mut cases = low_and_high();
    // Six made as they were, of which two came off, one changed, one never delivered, beside the one that is there.
    for nth in 0..6 {
        cases.push(Made {
            height: 3.4,
            what: Some(if nth < 2 { Kind::CameOff } else { Kind::Quiet }),
            ..PLAIN
        });
    }
    let changed = Some(DentistAnswer::Agreed);
    cases.push(Made {
        height: 3.4,
        answer: changed,
        ..PLAIN
    });
    cases.push(Made {
        height: 3.4,
        delivered: false,
        ..PLAIN
    });
    let (home, _) = home(&cases, "Mm(3.6)");
    let told = object(&replay(&home, &["own", "--of", "came-off", "--as", "json"]));
    let added = &told["replay"]["added"];
    assert_eq!((&added["count"], &added["unknown"]), (&9.into(), &3.into()));
    let back = &added["as_found"];
    assert_eq!((&back["came"], &back["of"]), (&2.into(), &6.into()));
    assert_eq!(told["replay"]["saved"]["count"], 0);
    let output = replay(&home, &["own", "--of", "came-off"]);
    // Wilson 1927 for 2 of 6: 9.7 to 70 %.
    for says in [
        "9 more calls: of 6 made as they were 2 came back within a year, 33 % (10 to 70); 3 were changed or not made",
        "9  watch → call: of 6",
        "25-049 R1  watch → call",
        "What was changed or held back was never tried.",
    ] {
        assert!(output.stdout.contains(says), "{says}: {}", output.stdout);
    }
}

/// Counted by hand: who is asked no more, what became of them, and what is open for want of an answer.
#[test]
fn calls_that_are_saved_are_told_apart() {
    let says = |result, calls, open| Says {
        result,
        calls,
        open,
    };
    let (watch, call) = (CaseResult::Watch, CaseResult::Call);
    let one = |before, after, came: bool, as_found| Replayed {
        known: Known {
            number: "25-1".to_owned(),
            restoration: 1,
            dentist: Some("K17".to_owned()),
            delivered: Some(DELIVERED),
            outcomes: vec![(
                if came { Kind::Broke } else { Kind::Quiet },
                date(2025, 3, 1),
            )],
            as_found,
        },
        before,
        after,
    };
    let (asked, not_asked) = (says(call, true, false), says(watch, false, false));
    let all = vec![
        one(asked, not_asked, true, true),
        one(asked, not_asked, false, true),
        one(asked, not_asked, false, false),
        one(asked, asked, true, true),
        // Asked about something else by the same result.
        one(says(call, false, false), asked, false, true),
        one(not_asked, says(watch, false, true), false, true),
    ];
    let over = Over {
        kinds: Vec::new(),
        months: 12,
        today: TODAY,
    };
    let found = learn_replay(&orders("K17"), all.clone(), &over);
    assert_eq!(
        (found.calls, found.open, found.restorations),
        ((4, 2), 1, 6)
    );
    assert_eq!((found.saved.count, found.saved.unknown), (3, 1));
    assert_eq!((found.saved.as_found.came, found.saved.as_found.of), (1, 2));
    assert_eq!(found.added.count, 1);
    let moves: Vec<_> = found
        .moves
        .iter()
        .map(|(own, several)| (*own, several.count))
        .collect();
    assert_eq!(moves, [((call, watch), 3)]);
    assert_eq!(found.cases.len(), 3);
    assert!(!found.is_too_open());
    // Came off is not broke.
    let off = Over {
        kinds: vec![Kind::CameOff],
        ..over
    };
    assert_eq!(
        learn_replay(&orders("K17"), all, &off).saved.as_found.came,
        0
    );
}

/// Each case lies in one slice; what is counted by hand.
#[test]
fn a_limit_is_moved_in_slices_that_share_nothing() {
    let (home, journals) = home(&low_and_high(), "Mm(2.5)");
    let args = ["--sweep", "stump-short:call:2.5", "2", "4.5", "0.5"];
    let told = object(&replay(&home, &[&args[..], &["--as", "json"]].concat()));
    let sweep = &told["sweep"];
    assert_eq!(told["kinds"], serde_json::json!(["came-off"]));
    assert_eq!(
        (&sweep["decidable"], &sweep["open"]),
        (&journals.len().into(), &0.into())
    );
    assert_eq!(
        (&sweep["now"], &sweep["level"]),
        (&2.5.into(), &"call".into())
    );
    let rows: Vec<_> = sweep["slices"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| {
            let own = &row["own"];
            let number = |value: &serde_json::Value| value.as_u64().unwrap();
            (
                row["to"].as_f64(),
                number(&own["count"]),
                row["told"].as_u64(),
                (
                    number(&own["as_found"]["came"]),
                    number(&own["as_found"]["of"]),
                ),
                number(&own["unknown"]),
            )
        })
        .collect();
    assert_eq!(
        rows,
        [
            (Some(2.0), 0, Some(0), (0, 0), 0),
            (Some(2.5), 16, Some(16), (6, 12), 4),
            (Some(3.0), 0, Some(16), (0, 0), 0),
            (Some(3.5), 1, Some(17), (0, 0), 1),
            (Some(4.0), 0, Some(17), (0, 0), 0),
            (Some(4.5), 0, Some(17), (0, 0), 0),
            (None, 31, None, (1, 30), 1),
        ]
    );
    let output = replay(&home, &args);
    assert_eq!(output.code, Some(0), "{output:?}");
    let row = output
        .stdout
        .lines()
        .find(|line| line.starts_with("2.0 to 2.5"));
    let row = row.unwrap_or_else(|| panic!("{}", output.stdout));
    assert!(row.contains('●') && row.ends_with("4  now"), "{row}");
    let words: Vec<&str> = output.stdout.split_whitespace().collect();
    let said = words.join(" ");
    for says in [
        "stump-short, call: ",
        "limit mm",
        "2.5 mm → 4.5 mm: told of 1 more; none was made as it was and followed long enough; 1 was changed",
        "2.5 mm → 2.0 mm: told of 16 fewer; of 12 made as they were 6 came back within a year",
        "No limit is marked as best: with 7 returns the best of 7 is mostly luck.",
    ] {
        assert!(said.contains(says), "{says}: {}", output.stdout);
    }
}

/// A limit from which on a rule tells something tells less the higher it is.
#[test]
fn a_limit_upwards_is_swept_from_where_it_tells_least() {
    let one = |name: &str| limits(&FLOW, name);
    let taper = one("cone");
    assert!(
        !taper.is_empty() && taper.iter().all(|own| !own.rises),
        "{taper:?}"
    );
    let steps = Steps::new(&FLOW, taper[0].clone(), (30.0, 32.0), 1.0).unwrap();
    assert_eq!(steps.at, [32.0, 31.0, 30.0]);
    let height = one("stump-short:call:2.5");
    assert!(height.len() == 1 && height[0].rises, "{height:?}");
    assert_eq!(one("stump-short:call").len(), 2);
    assert_eq!(one("stump-short:watch:4").len(), 1);
    assert_eq!(one(&height[0].name()), height);
    assert_eq!(one("stump-shorter"), []);
    let steps =
        |from, to, by| Steps::new(&FLOW, height[0].clone(), (from, to), by).map(|own| own.at);
    assert_eq!(steps(3.0, 3.4, 0.1).unwrap(), [3.0, 3.1, 3.2, 3.3, 3.4]);
    assert_eq!(steps(3.0, 3.0, 0.1), Err(NoSteps::Backwards));
    assert_eq!(steps(3.0, 4.0, 0.0), Err(NoSteps::Backwards));
    assert_eq!(steps(3.0, f64::NAN, 0.1), Err(NoSteps::Backwards));
    assert_eq!(steps(1.0, 3.0, 0.01), Err(NoSteps::TooMany(201)));
    assert_eq!(steps(1.0, 2.99, 0.01).unwrap().len(), 200);
}

#[test]
fn what_nobody_can_answer_is_one_sentence() {
    let (home, _) = home(&low_and_high(), "Mm(2.5)");
    let sweep = |limit, from, to, by| {
        let args = ["--sweep", limit, from, to, by];
        replay(&home, &args)
    };
    let refused = |output: Output, code: i32, says: &str| {
        assert_eq!(output.code, Some(code), "{says}: {output:?}");
        assert!(output.stderr.contains(says), "{says}: {output:?}");
        assert_eq!(output.stdout, "", "{says}");
    };
    refused(
        sweep("stump-shorter", "2", "4", "1"),
        64,
        "no limit \"stump-shorter\"",
    );
    let which = sweep("stump-short", "2", "4", "1");
    assert!(
        which
            .stderr
            .contains("stump-short:call:tooth.height_used:2.5"),
        "{which:?}"
    );
    refused(which, 64, "could be more than one limit");
    refused(
        sweep("stump-short:call:2.5", "two", "4", "1"),
        64,
        "\"two\" is not a number",
    );
    refused(
        sweep("stump-short:call:2.5", "4", "2", "1"),
        64,
        "from a lower to a higher",
    );
    refused(
        sweep("stump-short:call:2.5", "2", "4", "0.001"),
        64,
        "2001 steps are too many",
    );
    refused(
        sweep("stump-short:call:2.5", "2", "400", "10"),
        64,
        "is never 400",
    );
    // Nothing broke: slices of so few say nothing.
    let few = [
        "--of",
        "broke",
        "--sweep",
        "stump-short:call:2.5",
        "2",
        "4",
        "1",
    ];
    refused(
        replay(&home, &few),
        65,
        "none of those made as they were came back",
    );
    refused(replay(&home, &["nowhere"]), 66, "nowhere cannot be read");
    refused(replay(&home, &["--of", "quiet"]), 64, "has not come back");
    // A flow that looks at what was never asked.
    home.file(
        "own/new-facts.ron",
        r#"Facts([(id: "x.wax", at: Case, kind: YesNo, label: "wax-up", sentence: "There is a wax-up.")])"#,
    );
    home.file(
        "own/new-questions.ron",
        r#"Questions([(fact: "x.wax", asks: "Is there a wax-up?", look: "In the box.", why: "So.", source: "common-practice")])"#,
    );
    home.file(
        "own/new-rules.ron",
        r#"Rules([(id: "no-wax", at: Case, levels: [(Call, Is("x.wax", No))], says: "No wax-up", because: "So.", source: "common-practice", asks: "Could you send a wax-up?")])"#,
    );
    refused(
        replay(&home, &["own"]),
        65,
        "stay open: this flow looks at what was never asked",
    );
    let args = ["own", "--sweep", "stump-short:call:2.5", "2", "4.5", "0.5"];
    // A limit that has nothing to do with it can still be moved.
    assert_eq!(replay(&home, &args).code, Some(0));
}

/// Broken off, it tells what was read so far; the cases are read some at a time.
#[test]
fn a_replay_that_is_broken_off_tells_what_it_has() {
    let home = Home::new();
    let path = home.path("a.casepan");
    archive(&path, &vec![PLAIN; 150]);
    let archive = Archive::open_to_read(&path).unwrap();
    let flow = Arc::new(embedded().flow.unwrap());
    let flows = Flows::new(flow.clone());
    let stop = AtomicBool::new(false);
    let mut told = Vec::new();
    let mut tell = |done, of| {
        told.push((done, of));
        stop.store(done >= 100, Ordering::Relaxed);
    };
    let zone = TimeZone::UTC;
    let walked = walk(&archive, &flows, &zone, (&stop, &mut tell), |own| {
        both(own, &flow)
    })
    .unwrap();
    assert_eq!((walked.looked.done, walked.looked.of), (128, 151));
    assert_eq!((walked.all.len(), walked.lots.len()), (128, 128));
    assert_eq!(told, [(64, 151), (128, 151)]);
}

/// Ctrl-C ends it in good order, once it reads the archive.
#[cfg(target_os = "linux")]
#[test]
fn ctrl_c_breaks_off_and_tells() {
    use std::time::{Duration, Instant};

    let home = Home::new();
    archive(&home.path("a.casepan"), &vec![PLAIN; 400]);
    let mut command = home.command(env!("CARGO_BIN_EXE_casepan"));
    let child = command
        .args(["--archive", "a.casepan", "flow", "replay"])
        .spawn()
        .unwrap();
    let reads = |pid: u32| {
        let open = std::fs::read_dir(format!("/proc/{pid}/fd"))
            .into_iter()
            .flatten();
        open.flatten()
            .filter_map(|own| std::fs::read_link(own.path()).ok())
            .any(|path| path.ends_with("a.casepan"))
    };
    let begun = Instant::now();
    while !reads(child.id()) {
        assert!(
            begun.elapsed() < crate::support::PATIENCE,
            "it does not read"
        );
        std::thread::sleep(Duration::from_millis(1));
    }
    let pid = child.id().to_string();
    let sent = std::process::Command::new("kill")
        .args(["-INT", &pid])
        .status();
    assert!(sent.unwrap().success());
    let output = child.wait_with_output().unwrap();
    let told = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(0), "{told}");
    let first = told.lines().next().unwrap_or_default();
    let done = first
        .strip_prefix("Broken off after ")
        .and_then(|own| own.split(' ').next());
    let done: usize = done
        .and_then(|own| own.parse().ok())
        .unwrap_or_else(|| panic!("{told}"));
    assert!(done < 401 && done.is_multiple_of(64), "{told}");
    assert!(
        told.contains(&format!("{done} restorations judged by ")),
        "{told}"
    );
}

/// Where no case can be judged nothing is said of calls: that would read as if nothing moved.
#[test]
fn a_replay_of_what_cannot_be_read_is_no_green() {
    let (home, _) = home(&low_and_high(), "Mm(3)");
    crate::archive::support::tamper(&home.path("a.casepan"), "UPDATE flow SET format = 99");
    let output = replay(&home, &["own"]);
    assert_eq!(output.code, Some(65), "{output:?}");
    assert_eq!(output.stdout, "");
    assert!(output.stderr.contains("nothing was judged"), "{output:?}");
}
