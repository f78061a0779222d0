//! Words for what was agreed, what has still to come in, and what has arrived.

use jiff::civil::Date;

use super::words::day_in_words;
use super::{Phrase, join};
use crate::case::coming::{Awaited, Blocks, Part};
use crate::case::decision::{Decided, Decider, Decision, Outcome};
use crate::derive::Facts;
use crate::fact::{Place, PlaceKind, Spot};
use crate::judge::Finding;

/// Said of an agreement of an older version, which kept no arrival.
pub const NOT_RECORDED: &str = "agreed, arrival not recorded";

/// What stands over what only the dentist can tell.
pub const PLEASE_TELL: &str = "Please also tell us";

/// Said in the letter where what was agreed has come in and is no better.
pub const FOUND_AGAIN: &str =
    "Thank you for what you sent for it. It is here, and this is still to be settled.";

/// Says something that has to come in.
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
        Part::Bench => "our own work at the bench",
    }
}

/// Says what has come in.
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

/// Says what came in and when.
pub fn came_on(what: Part, on: Date) -> String {
    let on = day_in_words(on);
    match what {
        Part::Healed => format!("healed on {on}"),
        Part::Answer => format!("the dentist answered on {on}"),
        Part::Bench => format!("done at the bench on {on}"),
        what => format!("{} arrived on {on}", came(what)),
    }
}

/// Says several things that have to come in.
pub fn parts(list: &[Part]) -> String {
    let said: Vec<String> = list.iter().map(|own| part(*own).to_owned()).collect();
    join(&said)
}

/// Says what somebody sends, as opposed to what happens or is said.
fn sent(list: &[(Part, Blocks)]) -> Vec<Part> {
    list.iter()
        .map(|(part, _)| *part)
        .filter(|part| part.is_inspected() && *part != Part::Bench)
        .collect()
}

impl Phrase<'_> {
    /// Says a question to the dentist: the template of a question, filled for a place.
    pub fn tell(self, facts: &Facts<'_>, text: &str, at: Place) -> String {
        self.fill(text, facts, at, &[])
    }

    /// Names what only the dentist can tell, its place first.
    pub fn told_of(self, facts: &Facts<'_>, spot: &Spot) -> String {
        let label = self.label(&spot.fact);
        match spot.at {
            Place::Case => label,
            at => format!("{}: {label}", self.decided_at(facts, at)),
        }
    }

    /// Says where a decision holds: the teeth, or the whole case.
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

    /// Says an outcome.
    pub fn outcome(self, outcome: Outcome) -> &'static str {
        match outcome {
            Outcome::Agreed => "in words",
            Outcome::AsItIs => "make it as it is",
            Outcome::Refused => "dentist declines",
            Outcome::NoDecision => "no decision yet",
        }
    }

    /// Says something that has still to come in: what, for which teeth, by when.
    pub fn awaited(self, facts: &Facts<'_>, own: &Awaited) -> String {
        let what = if own.is_recorded {
            part(own.part)
        } else {
            NOT_RECORDED
        };
        let teeth = self.awaited_for(facts, own);
        let of = match (own.is_recorded, teeth.as_str()) {
            (_, "") => String::new(),
            (true, teeth) => format!(" for {teeth}"),
            (false, teeth) => format!(" ({teeth})"),
        };
        let due = own
            .due
            .map_or_else(String::new, |due| format!(", due {}", day_in_words(due)));
        format!("{what}{of}{due}")
    }

    /// Says the teeth that something is awaited for; nothing where it is for the whole case.
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

    /// Says who spoke.
    pub fn decider(self, by: Decider) -> &'static str {
        match by {
            Decider::Dentist => "the dentist",
            Decider::Colleague => "another dentist of the practice",
            Decider::Assistant => "an assistant authorised for this",
            Decider::Message => "somebody who passes it on",
        }
    }

    /// Says a decision in a line: what, when, by whom, at what cost, and what has still to come in.
    pub fn decision(self, facts: &Facts<'_>, decided: &Decided) -> String {
        let decision = &decided.decision;
        let day = day_in_words(decision.from);
        let message = decision.by == Some(Decider::Message);
        let mut said = match decision.outcome {
            Outcome::NoDecision => format!("asked on {day}, no decision yet"),
            Outcome::Refused => format!("declined on {day}"),
            _ => {
                let what = match decision.outcome {
                    Outcome::AsItIs => vec!["make it as it is".to_owned()],
                    _ => self.taken_all(facts, decision),
                };
                let verb = if message { "message taken" } else { "agreed" };
                match what.as_slice() {
                    [] => format!("{verb} on {day}"),
                    what => format!("{verb} on {day}: {}", join(what)),
                }
            }
        };
        if !decision.words.is_empty() {
            said.push_str(&format!(" (\"{}\")", decision.words));
        }
        if let Some(by) = decision.by.filter(|by| *by != Decider::Message) {
            said.push_str(&format!(", {}", self.decider(by)));
        }
        if !decision.cost.is_empty() {
            said.push_str(&format!(", at {}", decision.cost));
        }
        if decision.amended {
            said.push_str(", order in writing");
        } else if let Some(day) = self.order_came(facts, decided) {
            said.push_str(&format!(", order in writing of {day}"));
        }
        if let Some(still) = self.still_missing(facts, decided) {
            said.push_str(&format!("; {still}"));
        }
        said
    }

    /// Says an agreement as it is confirmed in writing: what, and on which day.
    pub fn as_agreed(
        self,
        facts: &Facts<'_>,
        decided: &Decided,
        finding: Option<&Finding>,
    ) -> String {
        let decision = &decided.decision;
        let place = self.decided_at(facts, decision.about.at);
        let day = day_in_words(decision.from);
        let what = match decision.outcome {
            Outcome::AsItIs => {
                // What was found is said on the one paper that has to say it.
                let known = finding.map_or_else(String::new, |finding| {
                    format!(
                        ", knowing this: {}",
                        self.tells(facts, finding).trim_end_matches('.')
                    )
                });
                let on = match self.order_came(facts, decided) {
                    Some(day) => format!("your written order of {day}"),
                    None if decision.amended => "your written order".to_owned(),
                    None => "your word".to_owned(),
                };
                let words = match decision.words.as_str() {
                    "" => String::new(),
                    words => format!(" (\"{words}\")"),
                };
                format!("we make {place} as it is{words}, on {on}{known}")
            }
            _ => {
                let taken = join(&self.taken_all(facts, decision));
                match (taken.as_str(), decision.words.as_str()) {
                    ("", "") => place,
                    ("", _) => format!("for {place}"),
                    (taken, _) => taken.to_owned(),
                }
            }
        };
        let words = match decision.words.as_str() {
            words if !words.is_empty() && decision.outcome != Outcome::AsItIs => {
                format!(": \"{words}\"")
            }
            _ => String::new(),
        };
        let cost = match decision.cost.as_str() {
            "" => String::new(),
            cost => format!(", at {cost}"),
        };
        format!("By phone on {day}: {what}{words}{cost}.")
    }

    /// Says in a letter that a question was asked before.
    pub fn asked(self, decided: &Decided) -> String {
        format!(
            "We asked on {} and wait for your answer.",
            day_in_words(decided.decision.from)
        )
    }

    /// Says in a letter that something is not any more what was accepted.
    pub fn changed_since(self, decided: &Decided) -> String {
        format!(
            "You accepted it on {}; since then it has changed.",
            day_in_words(decided.decision.from)
        )
    }

    /// Says in a letter that something was declined.
    pub fn declined(self, decided: &Decided) -> String {
        let day = day_in_words(decided.decision.from);
        let words = match decided.decision.words.as_str() {
            "" => String::new(),
            words => format!(": \"{words}\""),
        };
        format!(
            "You declined on {day}{words}. We then need another way, or your written order to make it as it is."
        )
    }

    /// The day on which the written order came for a decision.
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

    /// Says what a decision still waits for, or `None` if it waits for nothing.
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

    /// Says a decision back to whoever gave it, to be confirmed in a word.
    pub fn read_back(
        self,
        facts: &Facts<'_>,
        finding: &Finding,
        decision: &Decision,
        ways: &[String],
    ) -> String {
        let place = self.decided_at(facts, decision.about.at);
        let coming = decision.coming.clone().unwrap_or_default();
        let due = coming.due.map(day_in_words);
        let mut said: Vec<String> = Vec::new();
        match decision.outcome {
            Outcome::NoDecision => said.push(match &due {
                Some(due) => format!("You will let us know by {due}; we wait until then"),
                None => "You will let us know; we wait until then".to_owned(),
            }),
            Outcome::Refused => said.push(format!(
                "You do not want this for {place}. What shall we do: make it as it is on a written order, another way, or take it off the order"
            )),
            Outcome::AsItIs if decision.words.is_empty() => said.push(format!(
                "You want {place} made as it is, knowing this: {}",
                self.line(facts, finding)
            )),
            Outcome::AsItIs => said.push(format!(
                "You know this: {}. We go on with {place} as you say",
                self.line(facts, finding)
            )),
            Outcome::Agreed if ways.is_empty() => said.push(format!("You want this for {place}")),
            Outcome::Agreed if decision.by == Some(Decider::Message) => {
                said.push(format!("Please pass on: {}", join(ways)));
            }
            Outcome::Agreed => {
                let wanted = join(ways);
                said.push(
                    if wanted.contains(&place) || decision.about.at == Place::Case {
                        format!("We agree on {wanted}")
                    } else {
                        format!("For {place} we agree on {wanted}")
                    },
                );
            }
        }
        if !decision.words.is_empty()
            && let Some(first) = said.first_mut()
        {
            first.push_str(&format!(": \"{}\"", decision.words));
        }
        if decision.is_settled() || decision.by == Some(Decider::Message) {
            said.extend(self.what_is_sent(&coming.parts, due.as_deref(), &place));
        }
        if decision.amended {
            said.push("Your order is here in writing".to_owned());
        }
        if matches!(decision.outcome, Outcome::Agreed | Outcome::AsItIs) {
            said.push(match decision.cost.as_str() {
                "" => "No cost was spoken of".to_owned(),
                cost => format!("Cost: {cost}"),
            });
        }
        if decision.by == Some(Decider::Message) {
            said.push("We wait for the dentist's own answer".to_owned());
        }
        format!("{}. Is that right?", said.join(". "))
    }

    /// Says what has to come in before a place is started or made.
    fn what_is_sent(
        self,
        coming: &[(Part, Blocks)],
        due: Option<&str>,
        place: &str,
    ) -> Vec<String> {
        let mut said = Vec::new();
        let has = |part: Part| coming.iter().find(|(own, _)| *own == part).map(|(_, b)| *b);
        if has(Part::Healed).is_some() {
            said.push("It heals first".to_owned());
        }
        let sent = sent(coming);
        if !sent.is_empty() {
            let by = due.map_or_else(String::new, |due| format!(" by {due}"));
            said.push(format!("You send {}{by}", parts(&sent)));
            said.push(format!("We do not start {place} before"));
        }
        match has(Part::Order) {
            Some(Blocks::Design) if sent.is_empty() => {
                said.push("We start when your written order is here".to_owned());
            }
            Some(Blocks::Make) if sent.is_empty() => said
                .push("We may design it, and make it when your written order is here".to_owned()),
            Some(_) => said.push("Your written order comes with it".to_owned()),
            None => {}
        }
        if has(Part::Bench).is_some() {
            said.push("We do that ourselves and look at it again".to_owned());
        }
        said
    }

    /// Says what stands beside the value that counts, in brackets behind a blank; empty where nothing does.
    pub fn other_layer(self, case: &crate::case::Case, spot: &Spot) -> String {
        self.beside(case, spot)
            .map_or_else(String::new, |beside| format!(" ({beside})"))
    }

    /// Says what stands beside the value that counts: what was read before, what was agreed or expected.
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

    /// Says a day with its weekday.
    pub fn day(self, day: Date) -> String {
        day_in_words(day)
    }
}
