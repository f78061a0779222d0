//! Carries out the command line: data to standard output, errors to the caller, who prints them.

mod archive;
mod arrived;
mod ask;
mod case_file;
mod demo;
mod diff;
mod expected;
mod files;
mod flows;
mod follow_up;
mod instructions;
mod life;
mod limits;
mod list;
mod look;
mod manual;
mod moved;
mod outcome;
mod practise;
mod rates;
mod replay;
mod rules;
mod schema;
mod settings;
mod words;

use std::io::{IsTerminal as _, Write};
use std::path::{Path, PathBuf};

use jiff::{Timestamp, ZonedDateTime};
use uuid::Uuid;

use crate::archive::{Archive, ArchiveError};
use crate::case::Case;
use crate::case::code::{Whose, check_code};
use crate::cli::{Cli, CliCommand, Colour};
use crate::derive::Facts;
use crate::desk::{Checked, Desk, Setup};
use crate::error::{Error, Trouble, unusable, usable};
use crate::flow::{Flow, Loaded, embedded_sources, from_directory_by, load};
use crate::judge::doubt::doubt;
use crate::judge::judge;
use crate::options::case_options;
use crate::phrase::Phrase;
use crate::phrase::program::{errors, flows as flow_words, life as life_words, terminal};
use crate::print::{Beside, Document, Format, Imprint, Record, Sheet, Told, print};
use crate::ronfile::Source;
use crate::screen::{Theme, failed_apart, sit};
use crate::session::Moment;
use crate::settings::Lab;
use crate::tooth::Notation;
use case_file::{read_case, tell_version};

/// Carries out what the command line asks for.
///
/// # Errors
/// Returns what kept it from being done, in words for the person at the bench.
pub fn carry_out(cli: &Cli, out: &mut dyn Write) -> Result<(), Error> {
    who(cli)?;
    match &cli.command {
        None => session(cli, Archive::open, None),
        Some(CliCommand::List {
            words,
            sort,
            format,
        }) => list::carry_out(cli, &words.join(" "), (*sort, *format), out),
        Some(CliCommand::Demo(args)) => demo::carry_out(cli, args, out),
        Some(CliCommand::Open { case }) => session(cli, Archive::open_existing, Some(case)),
        Some(CliCommand::Ask {
            case,
            units,
            sure,
            go_on,
        }) => ask::carry_out(cli, case.as_deref(), (units.as_deref(), *sure), *go_on, out),
        Some(CliCommand::Arrived {
            case,
            what,
            on,
            teeth,
        }) => arrived::arrived(cli, case, *what, (*on, teeth.as_deref()), out),
        Some(CliCommand::Became {
            case,
            what,
            on,
            teeth,
            goes_on,
        }) => arrived::became(
            cli,
            case,
            *what,
            (*on, teeth.as_deref()),
            goes_on.as_deref(),
            out,
        ),
        Some(CliCommand::Outcome(args)) => outcome::carry_out(cli, args, out),
        Some(CliCommand::FollowUp(args)) => follow_up::carry_out(cli, args, out),
        Some(CliCommand::Rates(args)) => rates::carry_out(cli, args, out),
        Some(CliCommand::Rules(args)) => rules::carry_out(cli, args, out),
        Some(CliCommand::Practise(args)) => practise::carry_out(cli, args, out),
        Some(CliCommand::Due(args)) => life::due(cli, args, out),
        Some(CliCommand::Hand(args)) => life::hand(cli, args, out),
        Some(CliCommand::History(args)) => life::look_back(cli, args, out),
        Some(CliCommand::Attach(args)) => files::attach(cli, args, out),
        Some(CliCommand::Detach(args)) => files::detach(cli, args, out),
        Some(CliCommand::Files(args)) => files::list(cli, args, out),
        Some(CliCommand::Judge {
            file,
            sheets,
            format,
        }) => judge_file(cli, file, &each_once(sheets), *format, out),
        Some(CliCommand::Print {
            case,
            sheets,
            format,
        }) => print_case(cli, case, &each_once(sheets), *format, out),
        Some(CliCommand::Flow { command }) => flows::carry_out(cli, command, out),
        Some(CliCommand::Archive { command }) => archive::carry_out(cli, command, out),
        Some(CliCommand::Instruction { command }) => instructions::carry_out(cli, command, out),
        Some(CliCommand::Settings { format, command }) => {
            settings::carry_out(cli, command.as_ref(), *format, out)
        }
        Some(CliCommand::Schema { command }) => schema::carry_out(*command, out),
        Some(CliCommand::Words { term }) => {
            let (flow, _) = usable(loaded(cli)?)?;
            words::tell(&flow, term.as_deref(), out)
        }
        Some(CliCommand::Manual { directory }) => manual::pages(directory, out),
        Some(CliCommand::Completions { shell }) => manual::completion(*shell, out),
    }
}

/// Returns whether messages on the error stream may be coloured.
pub fn coloured_messages(cli: &Cli) -> bool {
    let asked = cli.color == Colour::Always;
    asked || std::io::stderr().is_terminal() && look::no_colour(cli, &look::variable).is_none()
}

/// Returns the active notation, and whether it was chosen.
///
/// # Errors
/// Returns an error if the command line names none and `look.ron` cannot be read.
fn notation(cli: &Cli) -> Result<(Notation, bool), Error> {
    let named = match cli.notation {
        Some(_) => None,
        None => crate::settings::notation(&settings::folder(cli))?,
    };
    let (notation, since) = look::notation(cli, named);
    Ok((notation, since.is_some()))
}

/// Returns the code of the person at the bench, or `None` if none was given.
///
/// # Errors
/// Returns an error if it is not a code: a name, or longer than a code is.
fn who(cli: &Cli) -> Result<Option<String>, Error> {
    // An empty variable of the environment names nobody.
    let Some(code) = cli.who.as_deref().filter(|code| !code.is_empty()) else {
        return Ok(None);
    };
    let code = crate::text::clean(code);
    check_code(&code, Whose::Bench).map_err(|why| {
        Error::new(Trouble::Usage, life_words::who(&why)).hint(life_words::CODE_HINT)
    })?;
    Ok(Some(code))
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
        .ok_or_else(|| Error::new(Trouble::NoInput, errors::NO_HOME).hint(errors::NO_HOME_HINT))
}

fn loaded(cli: &Cli) -> Result<Loaded, Error> {
    let Some(directory) = &cli.flow else {
        return Ok(checked(cli).load(embedded_sources()));
    };
    let loaded = directory_by(directory, |sources| checked(cli).load(sources))?;
    if loaded.flow.is_some() {
        return Ok(loaded);
    }
    let mut error = unusable(loaded);
    error.sentence = flow_words::unusable(directory);
    Err(error)
}

/// Returns where checked flows are kept. The demo leaves nothing behind.
fn checked(cli: &Cli) -> Checked {
    let own = directories::ProjectDirs::from("", "", "casepan");
    let checked = Checked::in_folder(own.map(|own| own.cache_dir().join("flows")));
    match &cli.command {
        Some(CliCommand::Demo(_)) => checked.reading_only(),
        _ => checked,
    }
}

fn load_directory(directory: &Path) -> Result<Loaded, Error> {
    directory_by(directory, load)
}

fn directory_by(directory: &Path, by: impl FnOnce(Vec<Source>) -> Loaded) -> Result<Loaded, Error> {
    let refused =
        |what: String| Error::new(Trouble::NoInput, what).hint(flow_words::DIRECTORY_HINT);
    let loaded = from_directory_by(directory, by)
        .map_err(|error| refused(flow_words::unread(directory, &error)))?;
    if loaded.sources.is_empty() && loaded.problems.iter().all(|p| p.code == "flow-no-head") {
        return Err(refused(flow_words::not_a_flow(directory)));
    }
    Ok(loaded)
}

fn session(
    cli: &Cli,
    open: impl FnOnce(&Path) -> Result<Archive, ArchiveError> + Send,
    case: Option<&str>,
) -> Result<(), Error> {
    needs_terminal()?;
    let (keymap, theme, lab) = settings::for_the_session(cli)?;
    let mut desk = desk(cli, open)?;
    desk.session.keymap = keymap;
    if cli.supervisor {
        desk.edits_in(cli.flow.clone());
    }
    desk.prints_for(lab.laboratory, lab.prints);
    if let Some(case) = case {
        desk.open(case)?;
        desk.session.single = true;
    }
    at_the_screen(desk, theme)
}

/// Returns a desk over the laboratory's archive, with what this computer saw of it before.
fn desk(
    cli: &Cli,
    open: impl FnOnce(&Path) -> Result<Archive, ArchiveError> + Send,
) -> Result<Desk, Error> {
    let path = archive_path(cli)?;
    // Both take some milliseconds, and neither needs the other.
    let (archive, loaded) = rayon::join(|| open(&path), || loaded(cli));
    let mut archive = archive?;
    archive::watch(&mut archive)?;
    let notes = archive.notes().join(". ");
    let mut desk = desk_over(cli, archive, loaded?)?;
    if !notes.is_empty() {
        desk.session.notice = Some(notes);
    }
    Ok(desk)
}

fn desk_over(cli: &Cli, archive: Archive, loaded: Loaded) -> Result<Desk, Error> {
    let (notation, chosen) = notation(cli)?;
    let remembered = remembers(archive.path());
    let mut desk = Desk::new(Setup {
        archive,
        loaded,
        notation,
        who: who(cli)?,
        session_id: Uuid::new_v4(),
        prints: PathBuf::new(),
    })?;
    desk.session.today = Some(moment().today);
    if cli.supervisor {
        desk.show_keys();
    }
    desk.choose_by(remembered, chosen.then_some(notation));
    Ok(desk)
}

/// Returns the path of the file beside an archive that remembers the notation that was chosen.
///
/// It is not in the archive: it is no part of any case, and a table for it would make every archive one that older
/// versions cannot open.
fn remembers(archive: &Path) -> PathBuf {
    let mut name = archive.as_os_str().to_os_string();
    name.push(".notation");
    PathBuf::from(name)
}

/// Returns an error if there is no terminal for the inspection; called before anything is created.
fn needs_terminal() -> Result<(), Error> {
    if std::io::stdin().is_terminal() && std::io::stdout().is_terminal() {
        if !look::is_dumb(&look::variable) {
            return Ok(());
        }
        return Err(Error::new(Trouble::Usage, terminal::DUMB).hint(terminal::DUMB_HINT));
    }
    Err(Error::new(Trouble::Usage, terminal::MISSING).hint(terminal::MISSING_HINT))
}

fn at_the_screen(mut desk: Desk, theme: Theme) -> Result<(), Error> {
    desk.at_the_screen()?;
    let shown = sit(&mut desk, theme, moment);
    desk.leave()?;
    if let (Ok(()), Some(failed)) = (&shown, failed_apart()) {
        return Err(Error::new(Trouble::Bug, terminal::CALCULATION_FAILED)
            .hint(failed)
            .hint(terminal::CALCULATION_FAILED_HINT));
    }
    shown
}

fn print_judged(
    cli: &Cli,
    flow: &Flow,
    (case, mut beside): (&Case, Beside<'_>),
    sheets: &[Sheet],
    format: Format,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let facts = Facts::of(flow, case);
    let judgement = judge(flow, &facts);
    let phrase = Phrase {
        flow,
        notation: notation(cli)?.0,
    };
    let doubt = doubt(flow, case, &facts, &judgement);
    let ways = case_options(flow, &facts, &judgement);
    // JSON carries nothing of it.
    let lab = match format {
        Format::Json => Lab::default(),
        _ => crate::settings::laboratory(&settings::folder(cli))?,
    };
    let who = who(cli)?;
    beside.ways = Some(&ways);
    beside.today = Some(moment().today);
    beside.imprint.laboratory = Some(&lab.laboratory);
    beside.imprint.who = who.as_deref();
    beside.imprint.printed = Some(ZonedDateTime::now().datetime());
    let told = Told {
        facts: &facts,
        judgement: &judgement,
        doubt: Some(&doubt),
        phrase,
        beside,
    };
    let text = print(told, sheets, format)
        .map_err(|error| Error::new(Trouble::Bug, errors::no_print(&error)))?;
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

/// Returns what was asked for, each once, in the order in which it was named.
fn each_once<T: Copy + PartialEq>(named: &[T]) -> Vec<T> {
    let mut all = Vec::new();
    for own in named {
        if !all.contains(own) {
            all.push(*own);
        }
    }
    all
}

fn judge_file(
    cli: &Cli,
    file: &Path,
    sheets: &[Sheet],
    format: Format,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let case = read_case(file, &flow)?;
    tell_version(file, &case, &flow);
    print_judged(cli, &flow, (&case, Beside::default()), sheets, format, out)
}

fn print_case(
    cli: &Cli,
    number: &str,
    sheets: &[Sheet],
    format: Format,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let desk = {
        let mut desk = desk(cli, Archive::open_to_read)?;
        desk.open(number)?;
        desk
    };
    let Some(inspection) = &desk.session.inspection else {
        return Err(Error::new(Trouble::Bug, errors::NOT_OPENED));
    };
    let state = desk.record();
    let record = match &state {
        Some((entry, root)) => Record::From {
            entry: *entry,
            root,
        },
        None => Record::NotChecked,
    };
    let standing = desk.session.standing();
    let beside = Beside {
        instructions: &standing,
        earlier: &inspection.earlier,
        imprint: Imprint {
            record: Some(record),
            ..Imprint::default()
        },
        ..Beside::default()
    };
    print_judged(
        cli,
        inspection.flow(),
        (inspection.case(), beside),
        sheets,
        format,
        out,
    )
}

/// Writes what is no sheet of a case in a format; as JSON its own object is written, not this.
fn write_document(document: &Document, format: Format, out: &mut dyn Write) -> Result<(), Error> {
    let text = match format {
        Format::Html => document
            .to_html()
            .map_err(|error| Error::new(Trouble::Bug, errors::no_print(&error)))?,
        Format::Markdown => document.to_markdown(),
        Format::Text | Format::Json => document.to_text(),
    };
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

/// Writes one JSON object, and nothing else.
fn write_json(object: &impl serde::Serialize, out: &mut dyn Write) -> Result<(), Error> {
    let text = serde_json::to_string_pretty(object)
        .map_err(|error| Error::new(Trouble::Bug, error.to_string()))?;
    writeln!(out, "{text}")?;
    out.flush()?;
    Ok(())
}
