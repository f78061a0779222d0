//! Follow-up: of which restorations a dentist is to be asked again.

use std::collections::BTreeMap;

use jiff::ToSpan as _;
use jiff::civil::Date;

use super::lot::{Lot, Made};
use crate::case::Restoration;
use crate::case::outcome::Kind;

/// So many months after its delivery a restoration is asked after, the latest first. Ours: most of what comes off does so
/// within the first year.
pub const MONTHS: [i32; 2] = [12, 6];

/// A restoration that is to be asked after.
#[derive(Clone, PartialEq, Debug)]
pub struct Due {
    /// The number of its case.
    pub number: String,
    /// The restoration.
    pub restoration: Restoration,
    /// The day of its delivery.
    pub delivered: Date,
    /// How many months after that it is due.
    pub months: i32,
    /// What was heard of it last, and when; `None` if nothing ever was.
    pub heard: Option<(Kind, Date)>,
    /// How many outcomes are written down of it.
    pub known: usize,
}

/// What one dentist is to be asked.
#[derive(Clone, PartialEq, Debug)]
pub struct OfDentist {
    /// The dentist's code.
    pub dentist: String,
    /// The restorations: those of the earlier time first, each from the oldest delivery on.
    pub due: Vec<Due>,
    /// The day of the last order that makes nothing again; `None` if there is none.
    pub last_order: Option<Date>,
}

impl OfDentist {
    /// Counts those of which nothing was ever heard.
    pub fn never_heard_of(&self) -> usize {
        self.due.iter().filter(|own| own.heard.is_none()).count()
    }
}

/// What is to be asked.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct FollowUp {
    /// Every dentist with a case, by code; of some nothing is due.
    pub dentists: Vec<OfDentist>,
    /// How many restorations are due of which the dentist is not known.
    pub nobodys: usize,
}

/// Returns what is due on a day. What was heard since it became due is not; nor is what came back, is made
/// again, or was lost sight of.
pub fn follow_up(lots: &[Lot], today: Date) -> FollowUp {
    let mut all = FollowUp::default();
    let mut by: BTreeMap<&str, OfDentist> = BTreeMap::new();
    for lot in lots {
        let due = lot.made.iter().filter_map(|made| due(lot, made, today));
        let Some(dentist) = lot.dentist.as_deref() else {
            all.nobodys += due.count();
            continue;
        };
        let own = by.entry(dentist).or_insert_with(|| OfDentist {
            dentist: dentist.to_owned(),
            due: Vec::new(),
            last_order: None,
        });
        own.due.extend(due);
        if !lot.remake {
            own.last_order = own.last_order.max(Some(lot.opened));
        }
    }
    all.dentists = by.into_values().collect();
    for own in &mut all.dentists {
        own.due.sort_by(|one, other| {
            let key = |due: &Due| (due.months, due.delivered, due.restoration.id);
            (key(one), &one.number).cmp(&(key(other), &other.number))
        });
    }
    all
}

fn due(lot: &Lot, made: &Made, today: Date) -> Option<Due> {
    // What came back was heard of, and its first return is what counts.
    if made.ended || made.outcomes.iter().any(|(kind, _)| kind.is_failure()) {
        return None;
    }
    let day = |months: i32| made.delivered.saturating_add(months.months());
    let months = MONTHS.into_iter().find(|months| day(*months) <= today)?;
    let heard = made.heard.filter(|(_, on)| *on >= made.delivered);
    let is_heard = heard.is_some_and(|(_, on)| on >= day(months));
    (!is_heard).then(|| Due {
        number: lot.number.clone(),
        restoration: made.restoration.clone(),
        delivered: made.delivered,
        months,
        heard,
        known: made.outcomes.len(),
    })
}
