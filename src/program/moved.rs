//! A case that moves to another version of its flow, on the command line.

use std::io::Write;

use super::arrived::{opened, opened_to_read};
use super::moment;
use crate::cli::Cli;
use crate::error::{Error, Trouble};
use crate::phrase::moving as says;

/// Says what changes if a case is judged by the active flow, and moves it with `yes`.
///
/// # Errors
/// Returns an error if there is no such case, or it is judged by that flow already.
pub(super) fn carry_out(
    cli: &Cli,
    number: &str,
    yes: bool,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let mut desk = match yes {
        true => opened(cli, number)?,
        false => opened_to_read(cli, number)?,
    };
    let moving = {
        let Some(inspection) = &desk.session.inspection else {
            return Ok(());
        };
        let moving = inspection.moving_to(desk.flow());
        let moving = moving.map_err(|why| Error::new(Trouble::Usage, why))?;
        for line in desk.session.moving_lines(inspection, &moving) {
            writeln!(out, "{line}")?;
        }
        moving
    };
    if !yes {
        writeln!(out, "{}", says::HOW_BY_LINE)?;
        out.flush()?;
        return Ok(());
    }
    let flow = desk.flow().clone();
    desk.session.look_at_flow(&flow);
    let moment = moment();
    desk.move_flow(&moment)?;
    desk.carry_out(Vec::new(), &moment)?;
    writeln!(out, "{}", says::moved(&moving.reference()))?;
    out.flush()?;
    Ok(())
}
