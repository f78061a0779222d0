//! Carries out the command line: data to standard output, everything else to whoever prints the error.

mod agreements;
mod ask;
mod case_file;

use std::io::{IsTerminal as _, Write};
use std::path::{Path, PathBuf};

use jiff::{Timestamp, ZonedDateTime};
use uuid::Uuid;

use crate::archive::{Archive, ArchiveError};
use crate::case::{Case, agreement::Agreement, file, journal::fold};
use crate::cli::{
    ArchiveCommand, CheckFormat, Cli, Colour, Command, FlowCommand, FormatName, NotationName,
    SheetName,
};
use crate::derive::Facts;
use crate::desk::{Desk, Setup, unusable, usable, write_file};
use crate::error::{Error, Trouble};
use crate::fact::{CATALOGUE, Origin};
use crate::flow::{Flow, Loaded, embedded, from_directory, run_examples};
use crate::judge::doubt::doubt;
use crate::judge::judge;
use crate::phrase::Phrase;
use crate::print::{Beside, Format, Sheet, Told, print};
use crate::remedy::{faults, ways_out};
use crate::ronfile::Severity;

use crate::screen::{Theme, failed_apart, sit};
use crate::tooth::Notation;
use crate::walk::Moment;
use case_file::read_case;

/// Carries out what the command line asks for.
///
/// # Errors
/// Whatever keeps it from being done, in words for the person at the bench.
pub fn carry_out(cli: &Cli, out: &mut dyn Write) -> Result<(), Error> {
    match &cli.command {
        None => walk(cli, Archive::open, None),
        Some(Command::Demo { name }) => demo(cli, name),
        Some(Command::Open { case }) => walk(cli, Archive::open_existing, Some(case)),
        Some(Command::Ask {
            case,
            units,
            sure,
            go_on,
        }) => ask::carry_out(cli, case.as_deref(), (units.as_deref(), *sure), *go_on, out),
        Some(Command::Judge {
            file,
            sheets,
            format,
        }) => judge_file(cli, file, &sheets_named(sheets), *format, out),
        Some(Command::Print {
            case,
            sheets,
            format,
        }) => print_case(cli, case, &sheets_named(sheets), *format, out),
        Some(Command::Flow { command }) => match command {
            FlowCommand::Check { directory, format } => {
                check_flow(cli, directory.as_deref(), *format, out)
            }
            FlowCommand::New { directory } => new_flow(directory, out),
            FlowCommand::Facts => list_facts(cli, out),
        },
        Some(Command::Archive { command }) => look_after(cli, command, out),
        Some(Command::Agreement { command }) => agreements::carry_out(cli, command, out),
    }
}

/// Says whether messages on the error stream may be coloured.
pub fn coloured_messages(cli: &Cli) -> bool {
    coloured(cli, std::io::stderr().is_terminal())
}

fn coloured(cli: &Cli, terminal: bool) -> bool {
    match cli.color {
        Colour::Always => true,
        Colour::Never => false,
        Colour::Auto => {
            let set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
            terminal
                && !set("NO_COLOR")
                && std::env::var_os("TERM").is_none_or(|term| term != "dumb")
        }
    }
}

fn notation(cli: &Cli) -> Notation {
    match cli.notation {
        NotationName::Iso3950 => Notation::Iso3950,
        NotationName::Universal => Notation::Universal,
        NotationName::Palmer => Notation::Palmer,
    }
}

fn moment() -> Moment {
    Moment {
        now: Timestamp::now(),
        today: ZonedDateTime::now().date(),
        id: Uuid::new_v4(),
    }
}

fn archive_path(cli: &Cli) -> Result<PathBuf, Error> {
    if let Some(path) = &cli.archive {
        return Ok(path.clone());
    }
    directories::ProjectDirs::from("", "", "casepan")
        .map(|directories| directories.data_dir().join("archive.casepan"))
        .ok_or_else(|| {
            Error::new(
                Trouble::NoInput,
                "this user has no home directory to keep the archive in",
            )
            .hint("name one with --archive PATH")
        })
}

fn loaded(cli: &Cli) -> Result<Loaded, Error> {
    let Some(directory) = &cli.flow else {
        return Ok(embedded());
    };
    let loaded = load_directory(directory)?;
    if loaded.flow.is_some() {
        return Ok(loaded);
    }
    let mut error = unusable(loaded);
    error.sentence = format!(
        "the flow in {} cannot be used as it is",
        directory.display()
    );
    Err(error)
}

fn load_directory(directory: &Path) -> Result<Loaded, Error> {
    let shown = directory.display();
    let hint = "name a directory that holds a flow's .ron files; `casepan flow new DIR` makes one";
    let loaded = from_directory(directory).map_err(|error| {
        Error::new(
            Trouble::NoInput,
            format!("the flow in {shown} cannot be read: {error}"),
        )
        .hint(hint)
    })?;
    if loaded.sources.is_empty() && loaded.problems.iter().all(|p| p.code == "flow-no-head") {
        let what = format!("{shown} holds no .ron file, so no flow");
        return Err(Error::new(Trouble::NoInput, what).hint(hint));
    }
    Ok(loaded)
}

fn walk(
    cli: &Cli,
    open: impl FnOnce(&Path) -> Result<Archive, ArchiveError>,
    case: Option<&str>,
) -> Result<(), Error> {
    needs_terminal()?;
    let mut desk = desk(cli, open(&archive_path(cli)?)?)?;
    if let Some(case) = case {
        desk.open(case)?;
        desk.walk.single = true;
    }
    at_the_screen(cli, desk)
}

fn desk(cli: &Cli, archive: Archive) -> Result<Desk, Error> {
    let mut desk = Desk::new(Setup {
        archive,
        loaded: loaded(cli)?,
        notation: notation(cli),
        who: cli.who.as_deref().map(crate::text::clean),
        sitting: Uuid::new_v4(),
        prints: PathBuf::new(),
    })?;
    desk.walk.today = Some(moment().today);
    Ok(desk)
}

/// Refuses to walk without a terminal, before anything is made.
fn needs_terminal() -> Result<(), Error> {
    if std::io::stdin().is_terminal() && std::io::stdout().is_terminal() {
        return Ok(());
    }
    Err(Error::new(
        Trouble::Usage,
        "the walk needs a terminal for its keys and its screen",
    )
    .hint("`casepan ask CASE`, `casepan judge FILE.ron` and `casepan print CASE` work without one"))
}

fn at_the_screen(cli: &Cli, mut desk: Desk) -> Result<(), Error> {
    let theme = if coloured(cli, true) {
        Theme::Sixteen
    } else {
        Theme::Plain
    };
    let shown = sit(&mut desk, theme, moment);
    if desk.has_unsaved() {
        desk.save()?;
    }
    if let (Ok(()), Some(failed)) = (&shown, failed_apart()) {
        let what = "something was not worked out while you worked, since the program failed";
        return Err(Error::new(Trouble::Bug, what)
            .hint(failed)
            .hint("every answer is kept; the result was judged without it"));
    }
    shown
}

fn demo(cli: &Cli, name: &str) -> Result<(), Error> {
    let case = crate::demo::case(name)?;
    needs_terminal()?;
    let directory = tempfile::tempdir().map_err(|error| {
        Error::new(
            Trouble::CannotCreate,
            format!("no throw-away directory can be made: {error}"),
        )
    })?;
    let mut desk = desk(cli, Archive::open(&directory.path().join("demo.casepan"))?)?;
    desk.bring_in(&case, &moment(), &mut Uuid::new_v4)?;
    desk.open(&case.number)?;
    desk.walk.single = true;
    let said = "An invented case in a throw-away archive. {help} shows the keys, {leave} leaves.";
    desk.walk.notice = Some(desk.walk.keymap.say(said));
    at_the_screen(cli, desk)
}

fn print_judged(
    cli: &Cli,
    flow: &Flow,
    (case, agreements): (&Case, &[Agreement]),
    sheets: &[Sheet],
    format: FormatName,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let facts = Facts::of(flow, case);
    let judgement = judge(flow, &facts);
    let phrase = Phrase {
        flow,
        notation: notation(cli),
    };
    let format = match format {
        FormatName::Text => Format::Text,
        FormatName::Markdown => Format::Markdown,
        FormatName::Html => Format::Html,
        FormatName::Json => Format::Json,
    };
    let doubt = doubt(flow, case, &facts, &judgement);
    let ways = ways_out(flow, &facts, &judgement);
    let told = Told {
        facts: &facts,
        judgement: &judgement,
        doubt: Some(&doubt),
        phrase,
        beside: Beside {
            agreements,
            ways: Some(&ways),
        },
    };
    let text = print(told, sheets, format)
        .map_err(|error| Error::new(Trouble::Bug, format!("the print cannot be made: {error}")))?;
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

/// The sheets that were asked for, each once, in the order in which they were named.
fn sheets_named(names: &[SheetName]) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    for name in names {
        let sheet = match name {
            SheetName::Summary => Sheet::Summary,
            SheetName::Call => Sheet::Call,
            SheetName::Ticket => Sheet::Ticket,
            SheetName::Seating => Sheet::Seating,
            SheetName::Letter => Sheet::Letter,
        };
        if !sheets.contains(&sheet) {
            sheets.push(sheet);
        }
    }
    sheets
}

fn judge_file(
    cli: &Cli,
    file: &Path,
    sheets: &[Sheet],
    format: FormatName,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let case = read_case(file, &flow)?;
    print_judged(cli, &flow, (&case, &[]), sheets, format, out)
}

fn print_case(
    cli: &Cli,
    number: &str,
    sheets: &[Sheet],
    format: FormatName,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let desk = {
        let mut desk = desk(cli, Archive::open_existing(&archive_path(cli)?)?)?;
        desk.open(number)?;
        desk
    };
    let Some(inspection) = &desk.walk.inspection else {
        return Err(Error::new(
            Trouble::Bug,
            "the case was opened and is not there",
        ));
    };
    print_judged(
        cli,
        inspection.flow(),
        (inspection.case(), &desk.walk.standing()),
        sheets,
        format,
        out,
    )
}

fn check_flow(
    cli: &Cli,
    directory: Option<&Path>,
    format: CheckFormat,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let loaded = match directory.or(cli.flow.as_deref()) {
        Some(directory) => load_directory(directory)?,
        None => embedded(),
    };
    let errors = loaded
        .problems
        .iter()
        .filter(|problem| problem.severity == Severity::Error)
        .count();
    let misses = loaded.flow.as_ref().map(run_examples).unwrap_or_default();
    let faults = loaded.flow.as_ref().map(faults).unwrap_or_default();
    if format == CheckFormat::Json {
        let told = serde_json::json!({
            "problems": loaded.problems,
            "missed_examples": misses.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "remedies": faults.iter().map(ToString::to_string).collect::<Vec<_>>(),
        });
        let text = serde_json::to_string_pretty(&told)
            .map_err(|error| Error::new(Trouble::Bug, error.to_string()))?;
        writeln!(out, "{text}")?;
    }
    if errors == 0 && misses.is_empty() && faults.is_empty() && loaded.problems.is_empty() {
        if let (Some(flow), CheckFormat::Text) = (&loaded.flow, format) {
            let examples: usize = flow.rules.iter().map(|rule| rule.examples.len()).sum();
            writeln!(
                out,
                "flow \"{}\", version {}: {} questions, {} rules, {examples} examples, no problem",
                flow.id,
                flow.version,
                flow.questions.len(),
                flow.rules.len()
            )?;
        }
        out.flush()?;
        return Ok(());
    }
    out.flush()?;
    let warnings = loaded.problems.len() - errors;
    let mut error = Error::new(
        Trouble::Data,
        format!(
            "{}, {}, {}, {}",
            counted(errors, "error"),
            counted(warnings, "warning"),
            counted(misses.len(), "missed example"),
            counted(faults.len(), "remedy fault"),
        ),
    );
    error.hints.extend(misses.iter().map(ToString::to_string));
    error.hints.extend(faults.iter().map(ToString::to_string));
    if format == CheckFormat::Text {
        for problem in loaded.problems {
            let source = loaded
                .sources
                .iter()
                .find(|source| source.name() == problem.file)
                .cloned();
            error.problems.push((problem, source));
        }
    }
    Err(error)
}

fn counted(count: usize, what: &str) -> String {
    let s = if count == 1 { "" } else { "s" };
    format!("{count} {what}{s}")
}

fn new_flow(directory: &Path, out: &mut dyn Write) -> Result<(), Error> {
    let failed = |error: std::io::Error| {
        Error::new(
            Trouble::CannotCreate,
            format!("{} cannot be made: {error}", directory.display()),
        )
        .hint("name a directory that does not exist yet, where you may write")
    };
    if directory.exists() {
        return Err(Error::new(
            Trouble::CannotCreate,
            format!("{} is there already", directory.display()),
        )
        .hint("name a directory that does not exist yet"));
    }
    for (name, text) in crate::flow::EMBEDDED {
        let path = directory.join(name);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent).map_err(failed)?;
        }
        write_file(&path, text)?;
    }
    writeln!(
        out,
        "written to {0}; try `casepan flow check {0}` after each change",
        directory.display()
    )?;
    Ok(())
}

fn list_facts(cli: &Cli, out: &mut dyn Write) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    for spec in CATALOGUE.iter().chain(&flow.facts) {
        let origin = match spec.origin {
            Origin::Asked => "asked",
            Origin::Derived => "derived",
        };
        writeln!(
            out,
            "{}\n    {origin} at {}: {}",
            spec.id,
            spec.at.example(),
            spec.wanted()
        )?;
        writeln!(out, "    {}", spec.sentence)?;
    }
    out.flush()?;
    Ok(())
}

fn look_after(cli: &Cli, command: &ArchiveCommand, out: &mut dyn Write) -> Result<(), Error> {
    let path = archive_path(cli)?;
    match command {
        ArchiveCommand::Check => {
            let damages = Archive::open_existing(&path)?.check()?;
            if damages.is_empty() {
                writeln!(out, "{}: no damage", path.display())?;
                return Ok(());
            }
            let mut error = Error::new(
                Trouble::Data,
                format!("{}: {}", path.display(), counted(damages.len(), "damage")),
            );
            error.hints.extend(damages.iter().map(ToString::to_string));
            Err(error.hint("put a backup back, or export the cases that can still be read"))
        }
        ArchiveCommand::Backup { to } => {
            Archive::open_existing(&path)?.backup(to)?;
            writeln!(out, "written: {}", to.display())?;
            Ok(())
        }
        ArchiveCommand::Export { case, free_text } => {
            let journal = Archive::open_existing(&path)?.journal(case)?;
            let case =
                fold(&journal).map_err(|error| Error::new(Trouble::Data, error.to_string()))?;
            let text = file::write(&case, *free_text).map_err(|error| {
                Error::new(Trouble::Bug, format!("the case cannot be written: {error}"))
            })?;
            out.write_all(text.as_bytes())?;
            out.flush()?;
            Ok(())
        }
        ArchiveCommand::Import { file } => {
            let (flow, _) = usable(loaded(cli)?)?;
            let case = read_case(file, &flow)?;
            let mut desk = desk(cli, Archive::open(&path)?)?;
            desk.bring_in(&case, &moment(), &mut Uuid::new_v4)?;
            writeln!(out, "case {} is on the worklist", case.number)?;
            Ok(())
        }
    }
}
