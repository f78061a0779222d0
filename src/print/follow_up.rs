//! What a dentist is asked after, as a list with boxes to tick.

use jiff::civil::Date;

use super::Document;
use crate::learn::follow_up::{Due, OfDentist};
use crate::phrase::Phrase;
use crate::phrase::follow_up as says;
use crate::tooth::Notation;

/// Returns the list of one dentist on a day.
pub fn follow_up(own: &OfDentist, on: Date, notation: Notation) -> Document {
    let mut document = Document::default();
    document.title(says::sheet(&own.dentist));
    if own.due.is_empty() {
        document.text(says::nothing_of(&own.dentist));
        return document;
    }
    document.text(says::about(
        own.due.len(),
        own.last_order,
        own.never_heard_of(),
    ));
    document.text(says::asks(on));
    let [case, of, delivered, ..] = says::COLUMNS;
    let [quiet, not_seen, what] = says::TO_TICK;
    let rows = own.due.iter().map(|due| {
        [
            due.number.clone(),
            units(due, notation),
            says::day(due.delivered),
            says::BOX.to_owned(),
            says::BOX.to_owned(),
            says::LINE.to_owned(),
        ]
    });
    let head = [case, of, delivered, quiet, not_seen, what];
    document.table(head, rows.collect());
    document
}

/// Returns the units of what is due.
pub fn units(due: &Due, notation: Notation) -> String {
    Phrase::units_in(notation, &due.restoration)
}

/// Says what was heard last.
pub fn heard(due: &Due) -> String {
    match due.heard {
        Some((what, on)) => says::heard(what, on),
        None => says::NOTHING_HEARD.to_owned(),
    }
}
