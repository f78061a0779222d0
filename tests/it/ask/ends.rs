//! How it ends: the input stops, the output goes away, the archive does not take it, a line is not taken.

use std::io::{self, Write};

use casepan::ask::{LinesOutside, run};
use casepan::case::journal::fold;
use casepan::error::Trouble;

use super::Bench;
use crate::session::{crown, moment, values};

const ANSWERS: &str = "3.0\n8\n7\n8\n7\n";

fn at_height() -> Bench {
    let mut bench = Bench::on(&crown());
    let spot = crate::made::spot("tooth.height", "26");
    bench
        .desk
        .session
        .inspection
        .as_mut()
        .unwrap()
        .put_cursor(Some(spot));
    bench
}

#[test]
fn the_end_of_the_input_keeps_everything_wherever_it_comes() {
    for count in 0..=5 {
        // The last line without its end counts as well.
        let lines: Vec<&str> = ANSWERS.lines().take(count).collect();
        let mut bench = at_height();
        let before = bench.journal().len();
        let told = bench.all(&lines.join("\n"));
        assert_eq!(bench.journal().len(), before + count);
        assert_eq!(told.lines.last().unwrap(), "closed; every answer is saved");
        let open = bench.desk.session.inspection.as_ref().unwrap().case();
        assert_eq!(values(&bench.kept()), values(open));
    }
}

#[test]
fn a_line_that_is_not_taken_ends_it_where_nobody_hears() {
    let mut bench = at_height();
    let before = bench.journal().len();
    let told = bench.told(b"3.0\n99\n8\n7\n", false);
    assert_eq!(told.ended.refused, 1);
    let (line, why) = told.ended.first.clone().unwrap();
    assert_eq!((line, why.as_str()), (2, "enter 1 to 14 mm"));
    // The line behind it would have answered its question.
    assert_eq!(bench.journal().len(), before + 1);
    told.has("refused: enter 1 to 14 mm");
    let mut bench = at_height();
    let told = bench.told(b"3.0\n99\n8\nnonsense\n7\n", true);
    assert_eq!(told.ended.refused, 2);
    assert_eq!(told.ended.first.unwrap().0, 2);
    assert_eq!(bench.journal().len(), before + 3);
}

/// Takes so many bytes, then nobody reads any more.
struct Pipe(usize);

impl Write for Pipe {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.0 == 0 {
            return Err(io::ErrorKind::BrokenPipe.into());
        }
        let taken = bytes.len().min(self.0);
        self.0 -= taken;
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn an_output_that_goes_away_loses_no_answer() {
    let mut kept = Vec::new();
    for bytes in [0, 100, 500, 600, 700, 800, 900, 1000] {
        let mut bench = at_height();
        let before = bench.journal().len();
        let mut tick = 10;
        let mut next = || {
            tick += 1;
            moment(tick)
        };
        let ended = run(
            &mut bench.desk,
            LinesOutside {
                input: &mut ANSWERS.as_bytes(),
                output: &mut Pipe(bytes),
                moment: &mut next,
                goes_on: false,
            },
        );
        assert_eq!(
            ended.expect_err("a pipe without a reader").trouble,
            Trouble::Pipe
        );
        assert!(!bench.desk.has_unsaved());
        let open = bench.desk.session.inspection.as_ref().unwrap().case();
        assert_eq!(values(&fold(&bench.journal()).unwrap()), values(open));
        kept.push(bench.journal().len() - before);
    }
    // Some ended before the first answer, some after.
    assert!(
        kept.is_sorted() && kept[0] == 0 && kept.last() > Some(&0),
        "{kept:?}"
    );
}

#[test]
fn what_cannot_be_saved_is_heard_and_saved_with_the_next_line() {
    let mut bench = at_height();
    let before = bench.journal().len();
    let path = bench.directory.path().join("a.casepan");
    let mut holder = rusqlite::Connection::open(path).unwrap();
    let lock = holder
        .transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)
        .unwrap();
    let told = bench.all("3.0\n");
    assert!(
        told.lines.iter().any(|line| line.starts_with("NOT SAVED")),
        "{:#?}",
        told.lines
    );
    assert!(
        told.lines
            .iter()
            .all(|line| line != "closed; every answer is saved")
    );
    assert!(bench.desk.has_unsaved());
    drop(lock);
    bench.all("8\n");
    assert_eq!(bench.journal().len(), before + 2);
}
