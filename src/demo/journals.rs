//! Journals of the invented laboratory: what a bench would have written down of each order, question by question.

use fastrand::Rng;
use jiff::Timestamp;
use jiff::ToSpan as _;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use uuid::Uuid;

use super::laboratory::{Answer, Event, Order, Shape, Tray, working};
use crate::call::{asks, matter};
use crate::case::coming::{Blocks, Coming, Part};
use crate::case::decision::{Decider, Decision, DentistAnswer, Matter, Seen};
use crate::case::journal::{Body, Entry, apply, fold};
use crate::case::life::{CaseEvent, Happened, Stage};
use crate::case::outcome::Kind;
use crate::case::{Case, CaseUnit, FlowRef, Layer, OrderedKind, Restoration, Role, Units};
use crate::derive::{Facts, Precision, Turn};
use crate::fact::{FactId, ORDER_DENTIST, ORDER_SHADE, Place, Spot, TRAY, Unit, Value};
use crate::flow::{Flow, StepBlock};
use crate::judge::{Finding, Judgement, judge, record};
use crate::phrase::Phrase;
use crate::phrase::program::demo as said;
use crate::state::arrival;
use crate::tooth::{Notation, Tooth, size};

/// The only restoration of each case.
const ONLY: u8 = 1;

/// How many days after its delivery a case is closed.
const CLOSED_AFTER: i64 = 30;

/// Returns the journal of an order up to a day; `seed` gives the ids of its entries. `None` if there is no such tooth.
pub fn journal(flow: &Flow, order: &Order, until: Date, seed: u64) -> Option<Vec<Entry>> {
    let tooth = Tooth::from_iso(order.tooth)?;
    let units = Units::new(vec![Restoration {
        id: ONLY,
        ordered: OrderedKind::Crown,
        units: vec![CaseUnit {
            tooth,
            role: Role::Abutment,
        }],
    }])
    .ok()?;
    let mut rng = Rng::with_seed(seed ^ (order.nth as u64).rotate_left(32));
    let opened = Body::Opened {
        number: order.number(),
        flow: FlowRef {
            id: flow.id.clone(),
            version: flow.version,
            digest: flow.digest.clone(),
        },
        units,
    };
    let session = id(&mut rng);
    let first = Entry {
        id: id(&mut rng),
        seen: 0,
        session,
        when: at(order.opened, 0)?,
        who: Some(order.technician_code()),
        body: opened,
    };
    let case = fold([&first]).ok()?;
    let mut book = Book {
        flow,
        order,
        tooth,
        until,
        rng,
        session,
        entries: vec![first],
        case,
        day: order.opened,
        seconds: 0,
        shade: order.shade,
    };
    book.write();
    Some(book.entries)
}

fn id(rng: &mut Rng) -> Uuid {
    let mut bytes = [0; 16];
    rng.fill(&mut bytes);
    uuid::Builder::from_random_bytes(bytes).into_uuid()
}

/// A moment of a day at the bench.
fn at(day: Date, seconds: i64) -> Option<Timestamp> {
    let begun = TimeZone::UTC.to_timestamp(day.at(9, 0, 0, 0)).ok()?;
    begun.checked_add(seconds.seconds()).ok()
}

/// A journal that is being written.
struct Book<'a> {
    flow: &'a Flow,
    order: &'a Order,
    tooth: Tooth,
    until: Date,
    rng: Rng,
    session: Uuid,
    entries: Vec<Entry>,
    case: Case,
    day: Date,
    seconds: i64,
    /// Whether the shade is known.
    shade: bool,
}

impl Book<'_> {
    /// Writes what happened, as far as the days go.
    fn write(&mut self) {
        let order = self.order;
        self.read(order.found, order.opened);
        let asked = self.ask();
        if order.answer == Some(Answer::Withdrawn) {
            self.go_to(order.left);
            self.happen(Happened::Withdrawn);
            return;
        }
        if !self.shade {
            // Asked for on the phone, it is there the next day.
            self.go_to(working(self.day.saturating_add(1.day())));
            self.arrive(Part::Shade, self.day);
            self.shade = true;
            self.read(order.found, order.opened);
        }
        if let Some((shape, came)) = order.anew {
            self.go_to(came);
            if asked {
                self.arrive(Part::Impression, came);
                self.read(shape, came);
                self.ask();
            }
        }
        // Whoever makes it has it judged once more.
        self.keep(Stage::AsBuilt);
        self.go_to(order.left);
        self.happen(Happened::Delivered);
        // What is seen when it is seated has come by then.
        let done = order.left.saturating_add(CLOSED_AFTER.days());
        let (first, later): (Vec<&Event>, Vec<&Event>) =
            order.events.iter().partition(|event| event.on <= done);
        self.outcomes(&first);
        self.go_to(done);
        self.happen(Happened::Closed);
        self.outcomes(&later);
    }

    fn outcomes(&mut self, events: &[&Event]) {
        for event in events {
            self.go_to(event.on);
            self.outcome(event);
        }
    }

    fn go_to(&mut self, day: Date) {
        // Each day is a session of its own.
        if day > self.day {
            self.day = day;
            self.seconds = 0;
            self.session = id(&mut self.rng);
        }
    }

    /// Adds an entry, unless its day is still to come.
    fn add(&mut self, body: Body) {
        self.seconds += 15;
        let Some(when) = at(self.day, self.seconds).filter(|_| self.day <= self.until) else {
            return;
        };
        let entry = Entry {
            id: id(&mut self.rng),
            seen: self.entries.len() as u64,
            session: self.session,
            when,
            who: Some(self.order.technician_code()),
            body,
        };
        if apply(&mut self.case, &entry).is_ok() {
            self.entries.push(entry);
        }
    }

    fn happen(&mut self, what: Happened) {
        let event = CaseEvent {
            what,
            restorations: vec![ONLY],
            on: self.day,
            goes_on: None,
        };
        self.add(Body::Happened { event });
    }

    fn outcome(&mut self, event: &Event) {
        let kind = (event.what, event.known);
        let mut outcome = self.case.outcome_of(kind, ONLY, None, event.on);
        outcome.seen = event.seen;
        if event.what == Kind::Quiet || self.case.check_outcome(&outcome, self.until).is_ok() {
            self.add(Body::Outcome { outcome });
        }
    }

    /// Answers what the flow asks, in its order, until nothing is left to ask.
    fn read(&mut self, shape: Shape, came: Date) {
        let readings = Readings {
            flow: self.flow,
            order: self.order,
            tooth: self.tooth,
            shape,
            came,
            shade_known: self.shade,
        };
        // What is asked hangs on answers, and a few questions on the grip, which takes longer.
        for searched in [false, true] {
            loop {
                let facts = match searched {
                    true => Facts::with(self.flow, &self.case, Precision::Quick),
                    false => Facts::without_search(self.flow, &self.case),
                };
                let answers = coming_up(&facts, &readings);
                if answers.is_empty() || self.day > self.until {
                    break;
                }
                for (spot, value) in answers {
                    self.add(Body::Answer {
                        spot,
                        value,
                        with: None,
                        layer: Layer::Measured,
                        undoes: None,
                    });
                }
            }
        }
    }

    /// Keeps what was found, and writes down what the dentist said to each question; returns whether one was more than the
    /// shade.
    fn ask(&mut self) -> bool {
        let case = self.case.clone();
        let facts = Facts::with(self.flow, &case, Precision::Quick);
        let judgement = judge(self.flow, &facts);
        if case.judged(Stage::AsFound).is_none() {
            let judged = record(self.flow, &facts, &judgement, Stage::AsFound);
            self.add(Body::Judged {
                judged: Box::new(judged),
            });
        }
        let phrase = Phrase {
            flow: self.flow,
            notation: Notation::Iso3950,
        };
        let asked = asks(&facts, &judgement, phrase, &[]);
        let open: Vec<&Finding> = asked
            .iter()
            .filter(|ask| ask.is_open())
            .map(|ask| ask.finding)
            .collect();
        let from = working(self.day.saturating_add(1.day()));
        let again = case.decisions().next().is_some();
        if !open.is_empty() && from <= self.order.left {
            self.go_to(from);
        }
        for finding in &open {
            let decision = self.decision(&facts, finding, again);
            self.add(Body::Decide {
                decision: Box::new(decision),
            });
        }
        open.iter().any(|finding| !rests_on(finding, &ORDER_SHADE))
    }

    fn decision(&self, facts: &Facts<'_>, finding: &Finding, again: bool) -> Decision {
        let about = matter(self.flow, finding);
        // What is asked after a prep was cut anew, and what is no matter of the prep, is made as it is.
        let of_shade = rests_on(finding, &ORDER_SHADE);
        let of_prep = !of_shade && !rests_on(finding, &TRAY);
        let answer = self.order.answer.filter(|_| of_prep && !again);
        let outcome = match answer {
            _ if of_shade => DentistAnswer::Agreed,
            Some(Answer::Changed) => DentistAnswer::Agreed,
            Some(Answer::Withdrawn) => DentistAnswer::Refused,
            Some(Answer::AsOrdered) | None => DentistAnswer::AsItIs,
        };
        let mut coming = Coming::default();
        let mut words = String::new();
        if of_shade {
            coming.add(Part::Shade, Blocks::Make);
            said::SHADE_COMES.clone_into(&mut words);
        } else if outcome == DentistAnswer::Agreed {
            coming.add(Part::Impression, Blocks::Design);
            coming.due = self.order.anew.map(|(_, came)| came);
            said::CUT_ANEW.clone_into(&mut words);
        }
        Decision {
            outcome,
            words,
            taken: Vec::new(),
            by: Some(Decider::Dentist),
            from: self.day,
            cost: String::new(),
            amended: false,
            changes: Vec::new(),
            expected: Vec::new(),
            units: None,
            coming: Some(coming),
            seen: (outcome == DentistAnswer::AsItIs).then(|| self.seen(facts, finding, &about)),
            about,
        }
    }

    fn seen(&self, facts: &Facts<'_>, finding: &Finding, about: &Matter) -> Seen {
        let readings = finding
            .evidence
            .iter()
            .flat_map(|spot| facts.readings(spot));
        let mut spots: Vec<Spot> = readings.collect();
        spots.sort();
        spots.dedup();
        let read = spots.into_iter().map(|spot| {
            let value = self.case.merged(&spot).map(|(_, own)| own.value.clone());
            (spot, value.unwrap_or(Value::NotSeen))
        });
        Seen {
            units: self.case.units_seen(about.at),
            readings: read.collect(),
        }
    }

    fn judged(&self) -> Judgement {
        let facts = Facts::with(self.flow, &self.case, Precision::Quick);
        judge(self.flow, &facts)
    }

    fn arrive(&mut self, part: Part, on: Date) {
        let judgement = self.judged();
        let there = (&self.case, &judgement);
        if let Ok(arrival) = arrival(self.flow, there, part, &[], on) {
            self.add(Body::Arrived {
                arrival: Box::new(arrival),
            });
        }
    }

    fn keep(&mut self, stage: Stage) {
        let case = self.case.clone();
        let facts = Facts::with(self.flow, &case, Precision::Quick);
        let judgement = judge(self.flow, &facts);
        let judged = record(self.flow, &facts, &judgement, stage);
        self.add(Body::Judged {
            judged: Box::new(judged),
        });
    }
}

/// Whether a finding is drawn from a fact.
fn rests_on(finding: &Finding, fact: &FactId) -> bool {
    finding.evidence.iter().any(|spot| spot.fact == *fact)
}

/// The questions that come up and have no answer, each with the one that the bench would read.
fn coming_up(facts: &Facts<'_>, readings: &Readings<'_>) -> Vec<(Spot, Value)> {
    let (flow, case) = (facts.flow(), facts.case());
    let mut list = Vec::new();
    // What waits for the design is not part of the inspection.
    for step in flow.steps.iter().filter(|step| step.id != "design") {
        for block in &step.blocks {
            let asked = match block {
                StepBlock::Ask(fact) => std::slice::from_ref(fact),
                StepBlock::Grid { rows, .. } => rows.as_slice(),
            };
            for fact in asked {
                let Some(question) = flow.question(fact) else {
                    continue;
                };
                for at in case.units.within(Place::Case, question.at) {
                    let open = facts.turn(fact, at) == Turn::Up && case.value(fact, at).is_none();
                    let value = open.then(|| readings.of(fact, at)).flatten();
                    if let Some(value) = value {
                        let fact = fact.clone();
                        list.push((Spot { fact, at }, value));
                    }
                }
            }
        }
    }
    // Who ordered it is no question of the flow's pages.
    let code = Spot {
        fact: ORDER_DENTIST,
        at: Place::Case,
    };
    if case.merged(&code).is_none() {
        list.push((code, Value::Text(readings.order.dentist_code())));
    }
    list
}

/// What a bench reads of an order: common practice throughout, no source.
struct Readings<'a> {
    flow: &'a Flow,
    order: &'a Order,
    tooth: Tooth,
    shape: Shape,
    /// The day on which this impression came.
    came: Date,
    shade_known: bool,
}

impl Readings<'_> {
    /// Returns what is read, or `None` where this laboratory would not know.
    fn of(&self, fact: &FactId, at: Place) -> Option<Value> {
        let value = self
            .measured(fact.as_str())
            .or_else(|| self.seen(fact.as_str(), at));
        let value = value.or_else(|| self.usual(fact.as_str()))?;
        let spec = self.flow.spec(fact)?;
        spec.check(&value).is_ok().then_some(value)
    }

    /// A number that is measured at the prep, in steps of a tenth.
    fn measured(&self, fact: &str) -> Option<Value> {
        let material = self.flow.material(self.order.of.0)?;
        let neck = size(self.tooth);
        let across = |neck: f64| neck - 2.0 * material.margin_depth;
        let narrower = 2.0 * self.shape.height * (self.shape.taper / 2.0).to_radians().tan();
        let number = match fact {
            "tooth.height" | "wall.height" => self.shape.height,
            "tooth.width_margin_md" => across(neck.mesiodistal_cervix),
            "tooth.width_margin_fl" => across(neck.faciolingual_cervix),
            "tooth.width_top_md" => (across(neck.mesiodistal_cervix) - narrower).max(0.5),
            "tooth.width_top_fl" => (across(neck.faciolingual_cervix) - narrower).max(0.5),
            "tooth.clearance" => (material.occlusal - self.shape.short_of).max(0.0),
            "tooth.margin_width" | "wall.margin_width" => {
                let bands = &self.flow.question(&FactId::named(fact))?.bands;
                let enough = |band: &&f64| **band >= material.margin_depth;
                *bands.iter().find(enough)?
            }
            _ => return None,
        };
        Some(Value::Number((number * 10.0).round() / 10.0, Unit::Mm))
    }

    /// What hangs on the order, or on where it is read.
    fn seen(&self, fact: &str, at: Place) -> Option<Value> {
        let choice = |id: &str| Some(Value::Choice(id.to_owned()));
        let order = self.order;
        let is_last = self.tooth.position() == 7;
        match fact {
            "order.material" => choice(order.of.0),
            "order.cement" => choice(order.of.1),
            "order.fitting_surface" => choice(match order.of.0 {
                "lithium-disilicate" => "etched-silane",
                _ => "not-said",
            }),
            "order.shade_given" => Some(Value::from(self.shade_known)),
            "impression.tray" => choice(match order.tray {
                Tray::FullArch => "full-arch",
                Tray::Quadrant => "quadrant",
                Tray::DualArch => "dual-arch",
            }),
            "impression.stiffness" => choice(match order.tray {
                Tray::DualArch => "soft-plastic",
                _ => "metal",
            }),
            "restoration.neighbours" => choice(if is_last { "one" } else { "both" }),
            "restoration.last_tooth" => Some(Value::from(is_last)),
            "bite.record" => choice(if is_last { "prepared" } else { "none" }),
            "impression.taken" => Some(Value::Day(self.came.saturating_sub(1.day()))),
            "impression.poured" => Some(Value::Day(self.came)),
            "restoration.usual_occlusion"
            | "restoration.usual_path"
            | "restoration.usual_preps" => {
                let places = match at {
                    Place::Restoration(_) => vec![self.tooth],
                    _ => return None,
                };
                Some(Value::Teeth(places))
            }
            _ => None,
        }
    }

    /// What is usual.
    fn usual(&self, fact: &str) -> Option<Value> {
        const CHOICES: [(&str, &str); 25] = [
            ("order.scope", "teeth"),
            ("order.matches", "yes"),
            ("order.make", "first"),
            ("records.kind", "impression"),
            ("records.opposing", "present"),
            ("impression.material", "vinyl-polysiloxane"),
            ("bite.models_close", "one-way"),
            ("bite.articulation", "average"),
            ("bite.vertical", "kept"),
            ("bite.guidance", "canine"),
            ("bite.opposed_by", "natural"),
            ("bite.class", "I"),
            ("bite.anterior", "normal"),
            ("habit.grinding", "none"),
            ("habit.facets", "light"),
            ("unit.occlusion", "normal"),
            ("tooth.margin_seen", "all"),
            ("tooth.margin_form", "chamfer"),
            ("wall.margin_form", "chamfer"),
            ("tooth.margin_to_gum", "at"),
            ("wall.margin_to_gum", "at"),
            ("tooth.margin_defect", "none"),
            ("tooth.undercut", "none"),
            ("tooth.grooves", "none"),
            ("tooth.core", "filled"),
        ];
        const YES: [&str; 5] = [
            "records.disinfected",
            "records.pour_sound",
            "impression.stops",
            "impression.canine_in",
            "records.untrimmed_kept",
        ];
        const NO: [&str; 6] = [
            "order.metal_sensitivity",
            "impression.tray_on_tissue",
            "tooth.neighbour_in_path",
            "tooth.sharp_edges",
            "tooth.root_filled",
            "tooth.carries_denture",
        ];
        if let Some((_, id)) = CHOICES.iter().find(|(own, _)| *own == fact) {
            return Some(Value::Choice((*id).to_owned()));
        }
        let sound = Value::Number(2.5, Unit::Mm);
        match fact {
            fact if YES.contains(&fact) => Some(Value::Yes),
            fact if NO.contains(&fact) => Some(Value::No),
            "bite.stable_stops" => Some(Value::Number(8.0, Unit::Count)),
            "tooth.sound_above_margin" => Some(sound),
            "tooth.bone_to_margin" => Some(Value::Number(3.0, Unit::Mm)),
            "wall.form" => Some(Value::Choice("straight".to_owned())),
            "tooth.contact" => Some(Value::Choice("usual".to_owned())),
            _ => None,
        }
    }
}
