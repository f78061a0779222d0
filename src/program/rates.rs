//! What the record says, on the command line.

use std::io::{IsTerminal as _, Write};
use std::sync::Arc;
use std::time::{Duration, Instant};

use jiff::tz::TimeZone;

use super::{archive_path, loaded, moment};
use crate::archive::{Archive, ArchiveError};
use crate::cli::{Cli, RatesArgs};
use crate::desk::{Flows, lots};
use crate::error::{Error, Trouble, usable};
use crate::learn::{Asked, Figures, Ripe, Unfit, figures};
use crate::phrase::learn as says;
use crate::phrase::pages::worklist::progress;
use crate::phrase::program::outcome as command;
use crate::statistics::Confidence;

/// Says how much came back.
///
/// # Errors
/// Returns an error if the archive cannot be read or the question is not answered.
pub(super) fn carry_out(cli: &Cli, args: &RatesArgs, out: &mut dyn Write) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let flows = Flows::new(Arc::new(flow));
    let (all, unread) = match Archive::open_to_read(&archive_path(cli)?) {
        Ok(archive) => lots(&archive, &flows, &TimeZone::system(), &mut told())?,
        Err(ArchiveError::Missing(_)) => (Vec::new(), 0),
        Err(error) => return Err(error.into()),
    };
    let asked = Asked {
        by: args.by,
        kinds: args.of.clone(),
        months: i32::from(args.within),
        from: args.from,
        to: args.to,
        today: moment().today,
    };
    let found = figures(&all, &asked).map_err(|why| match why {
        Unfit::NoReturn => Error::new(Trouble::Usage, says::NO_RETURN).hint(says::NO_RETURN_HINT),
        Unfit::NoTime => Error::new(Trouble::Usage, says::NO_TIME).hint(says::NO_TIME_HINT),
        Unfit::NotByTechnician => {
            Error::new(Trouble::Usage, says::NOT_BY_TECHNICIAN).hint(says::NOT_BY_TECHNICIAN_HINT)
        }
        Unfit::FewPeople(people) => {
            Error::new(Trouble::Usage, says::few_people(people)).hint(says::FEW_PEOPLE_HINT)
        }
    })?;
    for line in lines(&found, &asked, unread) {
        writeln!(out, "{line}")?;
    }
    out.flush()?;
    Ok(())
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

fn share(ripe: &Ripe) -> String {
    let interval = ripe.interval.map(|own| (own.low, own.high));
    says::share((ripe.came, ripe.of), interval, ripe.is_few())
}

fn lines(found: &Figures, asked: &Asked, unread: usize) -> Vec<String> {
    let mut lines = vec![says::about(found.closing, found.delivered, found.not_made)];
    if unread > 0 {
        lines.push(command::unread(unread));
    }
    if found.unheard > 0 {
        lines.push(says::unheard(found.unheard));
    }
    if found.unripe > 0 {
        lines.push(says::unripe(found.unripe, asked.months));
    }
    let what = says::kinds(&asked.kinds);
    let all = &found.all;
    let interval = all.interval.map(|own| (own.low, own.high));
    lines.push(String::new());
    lines.push(says::came(
        &what,
        asked.months,
        (all.came, all.of),
        interval,
        all.is_few(),
    ));
    let names = found.rows.iter().map(|row| row.name.as_deref());
    let names = names.map(|name| name.unwrap_or(says::NOT_KNOWN));
    let widest = names.clone().map(|name| name.chars().count()).max();
    for (row, name) in found.rows.iter().zip(names) {
        let width = widest.unwrap_or(0);
        let out = if row.stands_out {
            format!("  {}", says::STANDS_OUT)
        } else {
            String::new()
        };
        lines.push(format!("  {name:<width$}  {}{out}", share(&row.ripe)));
    }
    if !found.rows.is_empty() {
        lines.push(match found.nothing_follows {
            true => says::too_few(all.came),
            false => says::NO_CAUSE.to_owned(),
        });
    }
    lines.extend(stays(found));
    lines
}

/// How long restorations stay, as far as enough of them are followed.
fn stays(found: &Figures) -> Vec<String> {
    /// A month in days.
    const MONTH: f64 = 30.4375;
    /// Fewer are not followed any further.
    const FEW: u64 = 10;
    let Some(curve) = found.curve.as_ref().filter(|own| own.at_risk(0.0) >= FEW) else {
        return Vec::new();
    };
    let mut lines = vec![String::new(), says::STAY.to_owned()];
    for months in [1, 3, 6, 12, 24, 36, 60] {
        let at = f64::from(months) * MONTH;
        let at_risk = curve.at_risk(at);
        let point = curve.at(at, Confidence::P95);
        let (Ok(point), true) = (point, at_risk >= FEW) else {
            lines.push(format!("  {}", says::TOO_FEW_FOLLOWED));
            break;
        };
        let band = point.interval.map(|own| (own.low, own.high));
        let line = says::stays(months, point.value, band, at_risk);
        lines.push(format!("  {line}"));
    }
    lines
}
