//! What a dentist is asked after, on the command line.

use std::io::Write;
use std::sync::Arc;

use jiff::tz::TimeZone;

use super::rates::told;
use super::{archive_path, loaded, moment, notation, write_document, write_json};
use crate::archive::Archive;
use crate::cli::{Cli, FollowUpArgs};
use crate::desk::{Flows, lots};
use crate::error::{Error, Trouble, usable};
use crate::learn::follow_up::follow_up;
use crate::phrase::follow_up as says;
use crate::print::Format;
use crate::print::follow_up::follow_up as sheet;
use crate::print::json::follow_up::FollowUpObject;

/// Lists what a dentist is to be asked after.
///
/// # Errors
/// Returns an error if the archive cannot be read or has no case of the dentist.
pub(super) fn carry_out(cli: &Cli, args: &FollowUpArgs, out: &mut dyn Write) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let flows = Flows::new(Arc::new(flow));
    let archive = Archive::open_to_read(&archive_path(cli)?)?;
    let (all, unread) = lots(&archive, &flows, &TimeZone::system(), &mut told())?;
    let today = args.on.unwrap_or(moment().today);
    let found = follow_up(&all, today);
    let wanted = args.dentist.trim();
    let Some(own) = found.dentists.iter().find(|own| own.dentist == wanted) else {
        let due = found.dentists.iter().filter(|own| !own.due.is_empty());
        let due: Vec<String> = due.map(|own| own.dentist.clone()).collect();
        let error = Error::new(Trouble::NoInput, says::no_dentist(wanted));
        return Err(error.hint(says::no_dentist_hint(&due)));
    };
    if args.format == Format::Json {
        return write_json(&FollowUpObject::of(own, today, unread), out);
    }
    let mut document = sheet(own, today, notation(cli)?.0);
    document.add_text(says::unread(unread));
    write_document(&document, args.format, out)
}
