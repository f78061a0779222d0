//! Decisions of a call, what has still to arrive for them, and what has arrived.

use jiff::civil::Date;

use super::words::day_in_words;
use super::{Phrase, join};
use crate::case::coming::{Awaited, Blocks, Part};
use crate::case::decision::{Decided, Decider, Decision, DentistAnswer};
use crate::derive::Facts;
use crate::fact::{Place, PlaceKind, Spot};
use crate::flow::Whose;
use crate::judge::Finding;
use crate::options::CaseOption;

/// Said of an agreement from an older version of the program, which recorded no arrival.
pub const NOT_RECORDED: &str = "agreed, arrival not recorded";

/// The heading of questions that only the dentist can answer.
pub const PLEASE_TELL: &str = "Please also tell us";

/// Said in the letter if what was agreed has arrived and the finding is still there.
pub const FOUND_AGAIN: &str =
    "Thank you for what you sent. It has arrived, but this is still to be settled.";

/// Returns the name of something that has to arrive.
pub fn part(part: Part) -> &'static str {
    match part {
        Part::Answer => "the dentist's own answer",
        Part::Healed => "healing",
        Part::Impression => "a new impression or scan",
        Part::Bite => "a new bite",
        Part::Opposing => "a new record of the opposing teeth",
        Part::Temporary => "a model or photograph of the temporary",
        Part::Shade => "the shade",
        Part::Order => "the written order",
        Part::Bench => "our own bench work",
    }
}

/// Returns the name of something that has arrived.
pub fn came(part: Part) -> &'static str {
    match part {
        Part::Answer => "answer",
        Part::Healed => "healing",
        Part::Impression => "impression or scan",
        Part::Bite => "bite",
        Part::Opposing => "record of the opposing teeth",
        Part::Temporary => "model or photograph of the temporary",
        Part::Shade => "shade",
        Part::Order => "written order",
        Part::Bench => "our own work",
    }
}

/// Returns what arrived, or was done, and on which day.
pub fn came_on(what: Part, on: Date) -> String {
    let on = day_in_words(on);
    match what {
        Part::Healed => format!("healed on {on}"),
        Part::Answer => format!("the dentist answered on {on}"),
        Part::Bench => format!("done at the bench on {on}"),
        what => format!("{} arrived on {on}", came(what)),
    }
}

/// Returns the names of several things that have to arrive.
pub fn parts(list: &[Part]) -> String {
    let said: Vec<String> = list.iter().map(|own| part(*own).to_owned()).collect();
    join(&said)
}

/// Returns the parts that somebody sends, as opposed to what happens or is said.
fn sent(list: &[(Part, Blocks)]) -> Vec<Part> {
    list.iter()
        .map(|(part, _)| *part)
        .filter(|part| part.is_inspected() && *part != Part::Bench)
        .collect()
}

impl Phrase<'_> {
    /// Returns a question to the dentist, its template filled for a place.
    pub fn tell(self, facts: &Facts<'_>, text: &str, at: Place) -> String {
        self.fill(text, facts, at, &[])
    }

    /// Returns the label of what only the dentist can tell, its place first.
    pub fn told_of(self, facts: &Facts<'_>, spot: &Spot) -> String {
        let label = self.label(&spot.fact);
        match spot.at {
            Place::Case => label,
            at => format!("{}: {label}", self.decided_at(facts, at)),
        }
    }

    /// Returns what a decision is about: the teeth, or the whole case.
    pub fn decided_at(self, facts: &Facts<'_>, at: Place) -> String {
        match at {
            Place::Case => "this case".to_owned(),
            Place::Restoration(_) => facts
                .units()
                .owner(at)
                .map_or_else(|| self.place(at), |restoration| self.units(restoration)),
            at => {
                let tooth = facts.units().resolve(PlaceKind::Unit, at);
                self.place(tooth.unwrap_or(at))
            }
        }
    }

    /// Returns the name of an outcome, as it is picked on the call.
    pub fn outcome(self, outcome: DentistAnswer) -> &'static str {
        match outcome {
            DentistAnswer::Agreed => "other (free text)",
            DentistAnswer::AsItIs => "make it as it is",
            DentistAnswer::Refused => "dentist declines",
            DentistAnswer::NoDecision => "no decision yet",
        }
    }

    /// Returns something that has still to arrive: what, for which teeth, when it is due.
    pub fn awaited(self, facts: &Facts<'_>, own: &Awaited) -> String {
        let due = own.due.map(|due| format!(", due {}", day_in_words(due)));
        format!(
            "{}{}",
            self.awaited_part(facts, own),
            due.unwrap_or_default()
        )
    }

    /// Returns something that the dentist is asked to send: what, for which teeth, by which day.
    pub fn to_send(self, facts: &Facts<'_>, own: &Awaited) -> String {
        let due = own.due.map(|due| format!(", by {}", day_in_words(due)));
        format!(
            "{}{}",
            self.awaited_part(facts, own),
            due.unwrap_or_default()
        )
    }

    fn awaited_part(self, facts: &Facts<'_>, own: &Awaited) -> String {
        let what = if own.is_recorded {
            part(own.part)
        } else {
            NOT_RECORDED
        };
        let teeth = self.awaited_for(facts, own);
        match (own.is_recorded, teeth.as_str()) {
            (_, "") => what.to_owned(),
            (true, teeth) => format!("{what} for {teeth}"),
            (false, teeth) => format!("{what} ({teeth})"),
        }
    }

    /// Returns the teeth that something is awaited for; empty if it is for the whole case.
    pub fn awaited_for(self, facts: &Facts<'_>, own: &Awaited) -> String {
        if own.places.contains(&Place::Case) {
            return String::new();
        }
        let mut teeth: Vec<String> = Vec::new();
        for at in &own.places {
            let said = self.decided_at(facts, *at);
            if !teeth.contains(&said) {
                teeth.push(said);
            }
        }
        join(&teeth)
    }

    /// Returns who spoke, by role.
    pub fn decider(self, by: Decider) -> &'static str {
        match by {
            Decider::Dentist => "the dentist",
            Decider::Colleague => "another dentist of the practice",
            Decider::Assistant => "an authorised assistant",
            Decider::Message => "someone who passes on a message",
        }
    }

    /// Returns a decision in a line: what, with whom, when, at what cost, and what has still to arrive.
    pub fn decision(self, facts: &Facts<'_>, decided: &Decided) -> String {
        let decision = &decided.decision;
        let mut said = self.decision_then(facts, decision);
        if decision.amended {
            said.push_str(", written order is here");
        } else if let Some(day) = self.order_came(facts, decided) {
            said.push_str(&format!(", written order of {day}"));
        }
        if let Some(still) = self.still_missing(facts, decided) {
            said.push_str(&format!("; {still}"));
        }
        said
    }

    /// Returns a decision as it was made, without what has come in since.
    pub(super) fn decision_then(self, facts: &Facts<'_>, decision: &Decision) -> String {
        let day = day_in_words(decision.from);
        let message = decision.by == Some(Decider::Message);
        let by = decision.by.filter(|_| !message).map(|by| self.decider(by));
        let mut said = match (decision.outcome, by) {
            (DentistAnswer::NoDecision, Some(by)) => {
                format!("asked {by} on {day}, no decision yet")
            }
            (DentistAnswer::NoDecision, None) => format!("asked on {day}, no decision yet"),
            (DentistAnswer::Refused, Some(by)) => format!("declined by {by} on {day}"),
            (DentistAnswer::Refused, None) => format!("declined on {day}"),
            (outcome, by) => {
                let what = match outcome {
                    DentistAnswer::AsItIs => vec!["make it as it is".to_owned()],
                    _ => self.taken_all(facts, decision),
                };
                let agreed = match by {
                    _ if message => format!("message taken on {day}"),
                    Some(by) => format!("agreed with {by} on {day}"),
                    None => format!("agreed on {day}"),
                };
                match what.as_slice() {
                    [] => agreed,
                    what => format!("{agreed}: {}", join(what)),
                }
            }
        };
        if !decision.words.is_empty() {
            said.push_str(&format!(" (\"{}\")", decision.words));
        }
        if !decision.cost.is_empty() {
            said.push_str(&format!(", cost {}", decision.cost));
        }
        said
    }

    /// Returns an agreement as the letter confirms it: on which day, what, at what cost. `finding` is what is accepted if the
    /// work is made as it is.
    pub fn as_agreed(
        self,
        facts: &Facts<'_>,
        decided: &Decided,
        finding: Option<&Finding>,
    ) -> String {
        let decision = &decided.decision;
        let place = self.decided_at(facts, decision.about.at);
        let day = day_in_words(decision.from);
        let words = match decision.words.as_str() {
            "" => String::new(),
            words => format!("\"{words}\""),
        };
        let what = match decision.outcome {
            DentistAnswer::AsItIs => {
                // The finding belongs on the one paper that confirms what was accepted.
                let known = finding.map_or_else(String::new, |finding| {
                    format!(
                        ", knowing this: {}",
                        self.tells(facts, finding).trim_end_matches('.')
                    )
                });
                let on = match self.order_came(facts, decided) {
                    Some(day) => format!("on your written order of {day}"),
                    None if decision.amended => "on your written order".to_owned(),
                    None => "on your word".to_owned(),
                };
                let words = match words.as_str() {
                    "" => String::new(),
                    words => format!(" ({words})"),
                };
                format!("we will make {place} as it is{words}, {on}{known}")
            }
            _ => {
                let mut will = self.will(facts, &self.options_taken(decision), "you");
                if will.is_empty() {
                    // The flow no longer has the option.
                    will = join(&self.taken_all(facts, decision));
                }
                match (will.as_str(), words.as_str()) {
                    ("", "") => place,
                    ("", words) => format!("for {place}, {words}"),
                    (will, "") => will.to_owned(),
                    (will, words) => format!("{will} ({words})"),
                }
            }
        };
        let cost = match decision.cost.as_str() {
            "" => String::new(),
            cost => format!("; cost {cost}"),
        };
        format!("By phone on {day}: {what}{cost}.")
    }

    /// Returns who will do which options: those of the dentist with `dentist` ("you", "the dentist"), those of the
    /// laboratory with "we"; empty if there are none.
    fn will(self, facts: &Facts<'_>, ways: &[CaseOption], dentist: &str) -> String {
        let of = |whose: Whose, ours: bool| -> Vec<String> {
            ways.iter()
                .filter(|way| {
                    let option = way.of(self.flow);
                    option.is_some_and(|own| own.by == whose && own.ours == ours)
                })
                .map(|way| lower_first(&self.does(facts, way)))
                .collect()
        };
        let wants = if dentist == "you" { "want" } else { "wants" };
        let mut said = Vec::new();
        for (who, does) in [
            (format!("{dentist} will"), of(Whose::Dentist, false)),
            (format!("{dentist} {wants} us to"), of(Whose::Dentist, true)),
            ("we will".to_owned(), of(Whose::Laboratory, false)),
        ] {
            if !does.is_empty() {
                said.push(format!("{who} {}", join(&does)));
            }
        }
        said.join("; ")
    }

    /// Returns the agreed options that the flow still has.
    fn options_taken(self, decision: &Decision) -> Vec<CaseOption> {
        let taken = decision.taken.iter();
        taken
            .filter_map(|taken| CaseOption::of_taken(self.flow, taken))
            .collect()
    }

    /// Returns that a question was asked before, as the letter says it.
    pub fn asked(self, decided: &Decided) -> String {
        format!(
            "We asked on {} and are waiting for your answer.",
            day_in_words(decided.decision.from)
        )
    }

    /// Returns that something has changed since it was accepted, as the letter says it.
    pub fn changed_since(self, decided: &Decided) -> String {
        format!(
            "You accepted this on {}; it has changed since.",
            day_in_words(decided.decision.from)
        )
    }

    /// Returns that something was declined and what we need then, as the letter says it.
    pub fn declined(self, decided: &Decided) -> String {
        let day = day_in_words(decided.decision.from);
        let words = match decided.decision.words.as_str() {
            "" => String::new(),
            words => format!(": \"{words}\""),
        };
        let mut rules = self.flow.rules.iter();
        let never = rules.any(|rule| rule.id == decided.decision.about.rule && rule.never);
        let order = match never {
            true => "",
            false => ", or your written order to make it as it is",
        };
        format!("You declined this on {day}{words}. We need another option{order}.")
    }

    /// Returns the day on which the written order for a decision arrived, in words.
    fn order_came(self, facts: &Facts<'_>, decided: &Decided) -> Option<String> {
        let got = facts.case().got(&decided.decision.about);
        let order = got.iter().find(|(part, _)| *part == Part::Order);
        order.map(|(_, on)| day_in_words(*on))
    }

    fn taken_all(self, facts: &Facts<'_>, decision: &Decision) -> Vec<String> {
        decision
            .taken
            .iter()
            .map(|way| self.taken(facts, way))
            .collect()
    }

    /// Returns what a decision still waits for, or `None` if it waits for nothing.
    pub fn still_missing(self, facts: &Facts<'_>, decided: &Decided) -> Option<String> {
        let wait = facts.case().wait(&decided.decision.about)?;
        if !wait.is_recorded {
            return Some("its arrival is not recorded".to_owned());
        }
        let missing: Vec<Part> = wait.missing.iter().map(|(part, _)| *part).collect();
        let due = wait
            .due
            .map_or_else(String::new, |due| format!(", due {}", day_in_words(due)));
        Some(format!("waiting for {}{due}", parts(&missing)))
    }

    /// Returns a decision as it is read back to whoever gave it, to be confirmed in a word. `ways` are the options picked.
    pub fn read_back(
        self,
        facts: &Facts<'_>,
        finding: &Finding,
        decision: &Decision,
        ways: &[CaseOption],
    ) -> String {
        let at = decision.about.at;
        let place = self.decided_at(facts, at);
        let coming = decision.coming.clone().unwrap_or_default();
        let due = coming.due.map(day_in_words);
        let words = match decision.words.as_str() {
            "" => String::new(),
            words => format!(": \"{words}\""),
        };
        let message = decision.by == Some(Decider::Message);
        let first = match decision.outcome {
            DentistAnswer::NoDecision => match &due {
                Some(due) => format!("you will let us know by {due}{words}; we wait until then"),
                None => format!("you will let us know{words}; we wait until then"),
            },
            DentistAnswer::Refused => {
                return format!(
                    "You decline what we asked for {place}{words}; is that right? Shall we then make it as it is on your written \
                     order, take another option, or take it off the order?"
                );
            }
            DentistAnswer::AsItIs if decision.words.is_empty() => format!(
                "you want {place} made as it is, knowing this: {}",
                self.line(facts, finding)
            ),
            DentistAnswer::AsItIs => format!(
                "you know this: {}; we go on with {place} as you say{words}",
                self.line(facts, finding)
            ),
            DentistAnswer::Agreed if ways.is_empty() => format!("you want this for {place}{words}"),
            DentistAnswer::Agreed if message => format!(
                "please pass on: {}{words}",
                self.will(facts, ways, "the dentist")
            ),
            DentistAnswer::Agreed => {
                let will = self.will(facts, ways, "you");
                if at == Place::Case || will.contains(&place) {
                    format!("{will}{words}")
                } else {
                    format!("for {place}, {will}{words}")
                }
            }
        };
        let told = first.contains("will send ");
        let mut said = vec![first];
        if decision.is_settled() || message {
            said.extend(self.what_is_sent(&coming.parts, due.as_deref(), &place, told));
        }
        if decision.amended {
            said.push("your written order is here".to_owned());
        }
        if matches!(
            decision.outcome,
            DentistAnswer::Agreed | DentistAnswer::AsItIs
        ) {
            said.push(match decision.cost.as_str() {
                "" => "no cost was mentioned".to_owned(),
                cost => format!("cost: {cost}"),
            });
        }
        if message {
            said.push("we wait for the dentist's own answer".to_owned());
        }
        upper_first(&format!("{}; is that right?", said.join("; ")))
    }

    /// Returns what has to arrive before a place is started or made, each the rest of a sentence. Where it was `told` before
    /// what is sent, only its day is said.
    fn what_is_sent(
        self,
        coming: &[(Part, Blocks)],
        due: Option<&str>,
        place: &str,
        told: bool,
    ) -> Vec<String> {
        let mut said = Vec::new();
        let has = |part: Part| coming.iter().find(|(own, _)| *own == part).map(|(_, b)| *b);
        if has(Part::Healed).is_some() {
            said.push("it heals first".to_owned());
        }
        let sent = sent(coming);
        if !sent.is_empty() {
            let by = due.map_or_else(String::new, |due| format!(" by {due}"));
            if !told {
                said.push(format!("you will send {}{by}", parts(&sent)));
            } else if !by.is_empty() {
                said.push(format!("we expect it{by}"));
            }
            said.push(format!("we will not start {place} before that"));
        }
        match has(Part::Order) {
            Some(Blocks::Design) if sent.is_empty() => {
                said.push("we start when your written order is here".to_owned());
            }
            Some(Blocks::Make) if sent.is_empty() => said
                .push("we may design it, and make it when your written order is here".to_owned()),
            Some(_) => said.push("your written order comes with it".to_owned()),
            None => {}
        }
        if has(Part::Bench).is_some() {
            said.push("we do our part and inspect it again".to_owned());
        }
        said
    }

    /// Returns the other values beside the one that counts, in brackets: read before, agreed, expected; empty if none.
    pub fn other_layer(self, case: &crate::case::Case, spot: &Spot) -> String {
        self.beside(case, spot)
            .map_or_else(String::new, |beside| format!(" ({beside})"))
    }

    /// Returns the other values beside the one that counts: read before, agreed, expected; `None` if there are none.
    pub fn beside(self, case: &crate::case::Case, spot: &Spot) -> Option<String> {
        use crate::case::Layer;
        let said = |layer| {
            case.reading(spot, layer)
                .map(|reading| self.reading(&spot.fact, reading))
        };
        let beside = [
            said(Layer::Before).map(|before| format!("before {before}")),
            said(Layer::Expected).map(|expected| format!("expected {expected}")),
        ];
        let mut words: Vec<String> = beside.into_iter().flatten().collect();
        match case.merged(spot).map(|(layer, _)| layer) {
            Some(Layer::Decided) => {
                let read = said(Layer::Measured).map(|read| format!("read {read}"));
                words.splice(0..0, std::iter::once("as agreed".to_owned()).chain(read));
            }
            Some(Layer::Measured) => {
                words.extend(
                    said(Layer::Suspended).map(|agreed| format!("agreed before: {agreed}")),
                );
            }
            Some(Layer::Suspended) => words.push("as agreed".to_owned()),
            Some(Layer::Proposed) => {
                let read = said(Layer::Measured).map(|read| format!("read {read}"));
                words.splice(0..0, std::iter::once("tried".to_owned()).chain(read));
            }
            Some(Layer::Before | Layer::Expected) | None => {}
        }
        (!words.is_empty()).then(|| words.join("; "))
    }

    /// Returns a day with its weekday.
    pub fn day(self, day: Date) -> String {
        day_in_words(day)
    }
}

/// Returns a text with a small first letter, to go on with a sentence.
pub(super) fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_lowercase().chain(chars).collect(),
        None => String::new(),
    }
}

/// Returns a text with a capital first letter.
fn upper_first(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}
