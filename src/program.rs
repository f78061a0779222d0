//! Carries out the command line: data to standard output, everything else to whoever prints the error.

use std::io::{IsTerminal as _, Write};
use std::path::{Path, PathBuf};

use jiff::{Timestamp, ZonedDateTime};
use uuid::Uuid;

use crate::archive::{Archive, ArchiveError};
use crate::case::{Case, file, journal::fold};
use crate::cli::{
    ArchiveCommand, CheckFormat, Cli, Colour, Command, FlowCommand, FormatName, NotationName,
    SheetName,
};
use crate::derive::Facts;
use crate::desk::{Desk, Setup, usable, write_file};
use crate::error::{Error, Trouble};
use crate::fact::{CATALOGUE, Origin};
use crate::flow::{Flow, Loaded, embedded, from_directory, run_examples};
use crate::judge::judge;
use crate::phrase::Phrase;
use crate::print::{Format, Sheet, print};
use crate::ronfile::{MAX_BYTES, Severity, Source};
use crate::screen::{Theme, sit};
use crate::tooth::Notation;
use crate::walk::Moment;

/// Carries out what the command line asks for.
///
/// # Errors
/// Whatever keeps it from being done, in words for the person at the bench.
pub fn carry_out(cli: &Cli, out: &mut dyn Write) -> Result<(), Error> {
    match &cli.command {
        None => walk(cli, Archive::open, None),
        Some(Command::Demo { name }) => demo(cli, name),
        Some(Command::Open { case }) => walk(cli, Archive::open_existing, Some(case)),
        Some(Command::Judge { file, format }) => judge_file(cli, file, *format, out),
        Some(Command::Print {
            case,
            sheet,
            format,
        }) => print_case(cli, case, *sheet, *format, out),
        Some(Command::Flow { command }) => match command {
            FlowCommand::Check { directory, format } => {
                check_flow(cli, directory.as_deref(), *format, out)
            }
            FlowCommand::New { directory } => new_flow(directory, out),
            FlowCommand::Facts => list_facts(cli, out),
        },
        Some(Command::Archive { command }) => look_after(cli, command, out),
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
    match &cli.flow {
        None => Ok(embedded()),
        Some(directory) => load_directory(directory),
    }
}

fn load_directory(directory: &Path) -> Result<Loaded, Error> {
    from_directory(directory).map_err(|error| {
        Error::new(
            Trouble::NoInput,
            format!(
                "the flow in {} cannot be read: {error}",
                directory.display()
            ),
        )
        .hint("name a directory that holds a flow's .ron files; `casepan flow new DIR` makes one")
    })
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
    Desk::new(Setup {
        archive,
        loaded: loaded(cli)?,
        notation: notation(cli),
        who: cli.who.as_deref().map(crate::text::clean),
        sitting: Uuid::new_v4(),
        prints: PathBuf::new(),
    })
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
    .hint("`casepan judge FILE.ron` and `casepan print CASE` work without one"))
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
    desk.walk.notice =
        Some("An invented case in a throw-away archive. ? shows the keys, q leaves.".to_owned());
    at_the_screen(cli, desk)
}

fn read_source(path: &Path) -> Result<Source, Error> {
    let name = path.display().to_string();
    let missing = |error: std::io::Error| {
        let trouble = if error.kind() == std::io::ErrorKind::NotFound {
            Trouble::NoInput
        } else {
            Trouble::Io
        };
        Error::new(trouble, format!("{name} cannot be read: {error}"))
    };
    let data = std::fs::metadata(path).map_err(missing)?;
    if data.is_dir() {
        return Err(Error::new(
            Trouble::NoInput,
            format!("{name} is a directory, not a case file"),
        )
        .hint("name a .ron file, such as demo/bridge-44-46.ron"));
    }
    if data.len() > MAX_BYTES as u64 {
        return Err(Error::new(
            Trouble::Data,
            format!("{name} has {} bytes, more than any case", data.len()),
        )
        .hint(format!(
            "a case file has at most {MAX_BYTES} bytes; is this the right file?"
        )));
    }
    let bytes = std::fs::read(path).map_err(missing)?;
    Source::from_bytes(name, bytes).map_err(|problem| {
        let mut error = Error::new(Trouble::Data, "the file cannot be read as text");
        error.problems.push((problem, None));
        error
    })
}

fn read_case(path: &Path, flow: &Flow) -> Result<Case, Error> {
    let source = read_source(path)?;
    let case = file::read(&source).map_err(|problems| {
        let count = problems.len();
        let s = if count == 1 { "" } else { "s" };
        let mut error = Error::new(
            Trouble::Data,
            format!("{}: {count} problem{s}, nothing was judged", source.name()),
        );
        error.problems = problems
            .into_iter()
            .map(|problem| (problem, Some(source.clone())))
            .collect();
        error
    })?;
    if let Some(first) = flow.unfitting(&case).into_iter().next() {
        return Err(
            Error::new(Trouble::Data, format!("{}: {}", source.name(), first.what))
                .hint(first.hint),
        );
    }
    if case.flow.id != flow.id {
        let what = format!(
            "{}: the case is for the flow \"{}\", the flow in force is \"{}\"",
            source.name(),
            case.flow.id,
            flow.id
        );
        return Err(Error::new(Trouble::Data, what)
            .hint("name its flow with --flow DIR, or mend the case's `flow`"));
    }
    Ok(case)
}

fn print_judged(
    cli: &Cli,
    flow: &Flow,
    case: &Case,
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
        FormatName::Json => Format::Json,
    };
    let text = print(&facts, &judgement, phrase, sheets, format)
        .map_err(|error| Error::new(Trouble::Bug, format!("the print cannot be made: {error}")))?;
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

fn judge_file(
    cli: &Cli,
    file: &Path,
    format: FormatName,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let case = read_case(file, &flow)?;
    print_judged(
        cli,
        &flow,
        &case,
        &[Sheet::Summary, Sheet::Call],
        format,
        out,
    )
}

fn print_case(
    cli: &Cli,
    number: &str,
    sheet: SheetName,
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
    let sheets = match sheet {
        SheetName::Summary => [Sheet::Summary],
        SheetName::Call => [Sheet::Call],
    };
    print_judged(
        cli,
        inspection.flow(),
        inspection.case(),
        &sheets,
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
    let loaded = match directory {
        Some(directory) => load_directory(directory)?,
        None => loaded(cli)?,
    };
    let errors = loaded
        .problems
        .iter()
        .filter(|problem| problem.severity == Severity::Error)
        .count();
    let misses = loaded.flow.as_ref().map(run_examples).unwrap_or_default();
    if format == CheckFormat::Json {
        let text = serde_json::to_string_pretty(&loaded.problems)
            .map_err(|error| Error::new(Trouble::Bug, error.to_string()))?;
        writeln!(out, "{text}")?;
    }
    if errors == 0 && misses.is_empty() && loaded.problems.is_empty() {
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
            "{errors} errors, {warnings} warnings, {} examples that miss",
            misses.len()
        ),
    );
    error.hints.extend(misses.iter().map(ToString::to_string));
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
                format!("{}: {} damages", path.display(), damages.len()),
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
