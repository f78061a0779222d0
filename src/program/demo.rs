//! A sample case, or an invented laboratory, in an archive that is gone afterwards.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use jiff::civil::Date;
use rayon::prelude::*;
use uuid::Uuid;

use super::rates::told;
use super::{at_the_screen, desk_over, loaded, moment, needs_terminal, settings};
use crate::archive::Archive;
use crate::cli::{Cli, DemoArgs};
use crate::demo::laboratory::{Plan, orders};
use crate::demo::{case, journal};
use crate::desk::{Desk, Flows, fill_all};
use crate::error::{Error, Trouble, usable};
use crate::flow::FORMAT;
use crate::phrase::program::{demo as says, errors, terminal};
use crate::phrase::prompts::desk as prompts;
use crate::screen::Theme;
use crate::session::Tour;
use crate::text;

/// How many cases are in memory at a time.
const AT_ONCE: usize = 32;

/// Shows a sample case or an invented laboratory, or writes the laboratory.
///
/// # Errors
/// There is no such sample, no terminal, or the archive cannot be written.
pub(super) fn carry_out(cli: &Cli, args: &DemoArgs, out: &mut dyn Write) -> Result<(), Error> {
    let plan = args.archive_of.map(|cases| Plan {
        cases: cases as usize,
        seed: args.seed,
        until: moment().today,
    });
    match (plan, &args.to) {
        (None, _) => sample(cli, &args.name),
        (Some(plan), None) => {
            needs_terminal()?;
            shown(
                cli,
                |path| write(cli, &plan, path),
                |desk| {
                    desk.session.notice = Some(desk.session.keymap.say(&says::shown(plan.cases)));
                    desk.show_worklist()
                },
            )
        }
        (Some(plan), Some(to)) => {
            if to.exists() {
                let what = says::exists(text::shown(to));
                return Err(Error::new(Trouble::CannotCreate, what).hint(says::EXISTS_HINT));
            }
            // Under its name it is whole, whenever it is broken off.
            let mut draft = to.as_os_str().to_owned();
            draft.push(".part");
            let draft = PathBuf::from(draft);
            let cannot = |error: std::io::Error| {
                Error::new(
                    Trouble::CannotCreate,
                    prompts::file_not_written(&text::shown(to), &error),
                )
            };
            // What was broken off before left its log beside it.
            for ending in ["", "-wal", "-shm"] {
                let mut left = draft.as_os_str().to_owned();
                left.push(ending);
                if Path::new(&left).exists() {
                    std::fs::remove_file(&left).map_err(cannot)?;
                }
            }
            write(cli, &plan, &draft)?;
            std::fs::rename(&draft, to).map_err(cannot)?;
            let to = text::shown(to);
            writeln!(out, "{}", says::written(plan.cases, plan.seed, to))?;
            out.flush()?;
            Ok(())
        }
    }
}

fn sample(cli: &Cli, name: &str) -> Result<(), Error> {
    let case = case(name)?;
    needs_terminal()?;
    shown(
        cli,
        |path| {
            Archive::open(path)?;
            Ok(())
        },
        |desk| {
            desk.bring_in(&case, &moment(), &mut Uuid::new_v4)?;
            desk.open(&case.number)?;
            desk.session.single = true;
            desk.session.notice = Some(desk.session.keymap.say(terminal::SAMPLE));
            desk.session.tour = Some(Tour::Answer);
            Ok(())
        },
    )
}

/// Shows an archive that is gone afterwards.
fn shown(
    cli: &Cli,
    make: impl FnOnce(&Path) -> Result<(), Error>,
    begin: impl FnOnce(&mut Desk) -> Result<(), Error>,
) -> Result<(), Error> {
    // What is invented carries no laboratory's name.
    let (keymap, theme, _): (_, Theme, _) = settings::for_the_session(cli)?;
    let directory = tempfile::tempdir().map_err(|error| {
        Error::new(
            Trouble::CannotCreate,
            errors::no_temporary_directory(&error),
        )
    })?;
    let path = directory.path().join("demo.casepan");
    make(&path)?;
    let mut desk = desk_over(cli, Archive::open(&path)?, loaded(cli)?)?;
    desk.session.keymap = keymap;
    begin(&mut desk)?;
    at_the_screen(desk, theme)
}

/// Writes an invented laboratory's archive, with every row of its worklist.
fn write(cli: &Cli, plan: &Plan, path: &Path) -> Result<(), Error> {
    let (flow, sources) = usable(loaded(cli)?)?;
    let files: Vec<_> = sources
        .iter()
        .map(|source| (source.name().to_owned(), source.text().to_owned()))
        .collect();
    let mut archive = Archive::open(path)?;
    archive.keep_flow(&flow.digest, FORMAT, &files)?;
    let until: Date = plan.until;
    let mut tell = told();
    let mut done = 0;
    for some in orders(plan).chunks(AT_ONCE) {
        let journals: Vec<_> = some
            .par_iter()
            .map(|order| (order.number(), journal(&flow, order, until, plan.seed)))
            .collect();
        for (number, entries) in journals {
            if let Some(entries) = entries {
                archive.append(&number, &entries)?;
            }
        }
        done += some.len();
        tell(done, plan.cases.max(done + 1));
    }
    fill_all(&mut archive, &Flows::new(Arc::new(flow)), until, &mut tell)
}
