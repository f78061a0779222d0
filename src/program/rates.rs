//! What the record says, on the command line.

use std::io::{IsTerminal as _, Write};
use std::sync::Arc;
use std::time::{Duration, Instant};

use jiff::tz::TimeZone;

use super::{archive_path, each_once, loaded, moment, notation, write_document, write_json};
use crate::archive::{Archive, ArchiveError};
use crate::cli::{Cli, RatesArgs};
use crate::desk::{Flows, lots};
use crate::error::{Error, Trouble, usable};
use crate::learn::{Asked, figures};
use crate::phrase::pages::worklist::progress;
use crate::print::Format;
use crate::print::json::rates::Rates;
use crate::print::rates::{rates, unfit};

/// Says how much came back.
///
/// # Errors
/// Returns an error if the archive cannot be read or the question is not answered.
pub(super) fn carry_out(cli: &Cli, args: &RatesArgs, out: &mut dyn Write) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let flows = Flows::new(Arc::new(flow));
    let (all, unread) = match Archive::open_to_read(&archive_path(cli)?) {
        Ok(archive) => lots(&archive, &flows, &TimeZone::system(), &mut told())?,
        Err(ArchiveError::Missing(_)) if cli.archive.is_none() => (Vec::new(), 0),
        Err(error) => return Err(error.into()),
    };
    let asked = Asked {
        by: each_once(&args.by),
        kinds: each_once(&args.of),
        months: i32::from(args.within),
        from: args.from,
        to: args.to,
        today: moment().today,
    };
    let found = figures(&all, &asked).map_err(|why| {
        let (what, hint) = unfit(&why);
        Error::new(Trouble::Usage, what).hint(hint)
    })?;
    if args.format == Format::Json {
        return write_json(&Rates::of(&found, &asked, unread), out);
    }
    let document = rates(&found, &asked, unread, notation(cli)?.0);
    write_document(&document, args.format, out)
}

/// Says how far reading is, where a terminal shows it.
pub(super) fn told() -> impl FnMut(usize, usize) {
    let mut last: Option<Instant> = None;
    let begun = Instant::now();
    move |done, of| {
        let mut stream = std::io::stderr();
        if !stream.is_terminal() || begun.elapsed() < Duration::from_millis(500) {
            return;
        }
        let ended = done == of;
        if ended || last.is_none_or(|at| at.elapsed() > Duration::from_millis(200)) {
            last = Some(Instant::now());
            let text = if ended {
                String::new()
            } else {
                progress(done, of)
            };
            // Nothing depends on it.
            let _ = write!(stream, "\r\x1b[K{text}").and_then(|()| stream.flush());
        }
    }
}
