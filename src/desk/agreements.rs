//! Standing agreements: kept in the archive, shown to the walk.

use super::Desk;
use crate::case::agreement::Agreement;
use crate::error::Error;
use crate::walk::Moment;

impl Desk {
    /// Keeps a standing agreement.
    pub(super) fn agree(&mut self, agreement: Agreement, moment: &Moment) -> Result<(), Error> {
        let from = agreement.from;
        self.archive
            .agree(&agreement, moment.now, self.who.as_deref())?;
        self.fill_agreements()?;
        self.walk.notice = Some(format!(
            "kept from {from} on; `casepan agreement list` shows it"
        ));
        Ok(())
    }

    /// Shows the walk which agreements there are.
    pub(super) fn fill_agreements(&mut self) -> Result<(), Error> {
        self.walk.agreements = self.archive.agreements()?;
        Ok(())
    }
}
