//! Questions and rules: what they name exists, what they say fits, what they ask is a question.

use super::check::{Checker, LONGEST_LINE};
use super::conditions::{is_of_old, reachable};
use super::model::{Days, Example, Gives, Level, Question, Rule, Usual, usual_not_before};
use super::shape::{ExampleShape, QuestionShape, RuleShape, UsualShape};
use crate::case::outcome;
use crate::fact::{FactId, FactSpec, Kind, Origin, PlaceKind, Unit};
use crate::logic::Condition;
use crate::phrase::faults::flow::{Sort, rules as faults};
use crate::ronfile::{Span, Spanned};

/// The fewest and the most things that a question offers: more than five are a list and no choice.
const LEAST_CHOICES: usize = 2;
const MOST_CHOICES: usize = 5;
/// The longest choice: one line of a letter beside its box.
const LONGEST_CHOICE: usize = 60;

impl Checker<'_> {
    pub(super) fn question(&mut self, shape: QuestionShape) -> Option<Question> {
        self.own_id(Sort::Question, &shape.fact);
        let (fact, spec) = self.fact(&shape.fact)?;
        if spec.origin == Origin::Derived {
            let span = shape.fact.span(self.source());
            self.error("flow-fact", span, faults::computed_question(&fact));
            return None;
        }
        let when = match &shape.when {
            None => Condition::All(Vec::new()),
            Some(when) => self.condition(when, spec.at)?,
        };
        let instruments: Vec<String> = self.flow.instruments.iter().map(|i| i.id.clone()).collect();
        let unit = match spec.kind {
            Kind::Number { unit, .. } => Some(unit),
            _ => None,
        };
        let mut with = Vec::new();
        for (id, error) in &shape.with {
            let id = self.refers(Sort::Instrument, id, instruments.clone());
            with.push((id, self.number(error, unit.unwrap_or(Unit::Mm))));
        }
        let mut also_off = Vec::new();
        for (when, error) in &shape.also_off {
            let when = self.condition(when, spec.at)?;
            also_off.push((when, self.number(error, unit.unwrap_or(Unit::Mm))));
        }
        let mut bands = Vec::new();
        for band in &shape.bands {
            self.fits(&spec, band)?;
            bands.extend(band.value.number());
        }
        let usual = match &shape.usual {
            None => None,
            Some(usual) => Some(self.usual(usual, &spec)?),
        };
        let days = self.days(&shape, &fact, &spec.kind);
        let not_before = match &shape.not_before {
            None => usual_not_before(&fact),
            Some(name) => {
                let (earlier, earlier_spec) = self.fact(name)?;
                self.is_day(name.span(self.source()), &earlier_spec.kind);
                Some(earlier)
            }
        };
        if let Some(text) = &shape.dentist {
            self.placeholders(text, spec.at);
        }
        self.ends_as_question(shape.dentist.as_ref(), "dentist");
        Some(Question {
            dentist: shape
                .dentist
                .as_ref()
                .map(|text| self.fits_line(text, LONGEST_LINE)),
            fact,
            at: spec.at,
            when,
            usual,
            asks: self.fits_line(&shape.asks, LONGEST_LINE),
            look: self.fits_line(&shape.look, 2 * LONGEST_LINE),
            how: shape
                .how
                .as_ref()
                .map(|how| self.fits_line(how, 2 * LONGEST_LINE)),
            why: self.fits_line(&shape.why, 2 * LONGEST_LINE),
            with,
            also_off,
            bands,
            days,
            not_before: not_before.filter(|_| days.is_some()),
            source: self.refers_source(&shape.source),
        })
    }

    /// Checks that a list of teeth stands where it can name the question's place, and that the usual value fits.
    fn usual(&mut self, shape: &UsualShape, spec: &FactSpec) -> Option<Usual> {
        let (on, list) = self.fact(&shape.on)?;
        let names_teeth = list.kind == Kind::Teeth
            && matches!(
                spec.at,
                PlaceKind::Unit | PlaceKind::Abutment | PlaceKind::Pontic
            )
            && matches!(list.at, PlaceKind::Case | PlaceKind::Restoration);
        if !names_teeth {
            let span = shape.on.span(self.source());
            self.error("flow-fact-place", span, faults::not_a_list(&on, &spec.id));
            return None;
        }
        self.fits(spec, &shape.is)?;
        Some(Usual {
            on,
            value: shape.is.value.clone(),
        })
    }

    /// Which way from today the day of a question lies.
    fn days(&mut self, shape: &QuestionShape, fact: &FactId, kind: &Kind) -> Option<Days> {
        if let Some(days) = &shape.days {
            self.is_day(days.span(self.source()), kind);
        }
        if let Some(name) = &shape.not_before {
            self.is_day(name.span(self.source()), kind);
        }
        let named = shape.days.as_ref().map(|days| days.value);
        (*kind == Kind::Day).then(|| named.unwrap_or_else(|| Days::usual(fact)))
    }

    /// Only days lie before or after one another.
    fn is_day(&mut self, span: Span, kind: &Kind) {
        if *kind != Kind::Day {
            self.error("flow-type", span, faults::not_a_day());
        }
    }

    pub(super) fn rule(&mut self, shape: RuleShape) {
        self.own_id(Sort::Rule, &shape.id);
        let levels: Vec<_> = shape
            .levels
            .value
            .iter()
            .map(|(level, condition)| Some((level.value, self.condition(condition, shape.at)?)))
            .collect();
        let raise: Vec<_> = shape
            .raise
            .iter()
            .map(|raise| self.condition(raise, shape.at))
            .collect();
        let graver_first = shape.levels.value.windows(2).all(|pair| match pair {
            [(a, _), (b, _)] => a.value > b.value,
            _ => true,
        });
        let fine = shape
            .levels
            .value
            .iter()
            .any(|(level, _)| level.value == Level::Fine);
        if shape.levels.value.is_empty() || fine || !graver_first {
            let span = shape.levels.span(self.source());
            self.error("flow-levels", span, faults::levels());
        }
        let worst = shape
            .levels
            .value
            .iter()
            .map(|(level, _)| level.value.raised(shape.raise.len()))
            .max();
        if worst >= Some(Level::Call) && shape.asks.is_none() && shape.bench.is_none() {
            let span = shape.id.span(self.source());
            self.error("flow-no-ask", span, faults::nobody_asked(&shape.id.value));
        }
        self.ends_as_question(shape.asks.as_ref(), "asks");
        self.ends_as_question(shape.asks_back.as_ref(), "asks_back");
        let choices = self.choices(&shape);
        let settles = self.settles(&shape, &choices);
        let optional = [
            shape.asks.as_ref(),
            shape.tells.as_ref(),
            shape.bench.as_ref(),
            shape.asks_back.as_ref(),
        ];
        for text in [&shape.says, &shape.because]
            .into_iter()
            .chain(optional.into_iter().flatten())
        {
            self.placeholders(text, shape.at);
        }
        let mut examples = Vec::new();
        for example in &shape.examples {
            let line = self
                .source()
                .line_column(example.span(self.source()).start)
                .0;
            let stands = format!("{}:{line}", self.source().name());
            examples.extend(self.example(&example.value, stands));
        }
        let foretells = self.foretells(&shape);
        let says = self.fits_line(&shape.says, LONGEST_LINE);
        let because = self.fits_line(&shape.because, 2 * LONGEST_LINE);
        let asks = shape
            .asks
            .as_ref()
            .map(|asks| self.fits_line(asks, LONGEST_LINE));
        let tells = shape
            .tells
            .as_ref()
            .map(|tells| self.fits_line(tells, LONGEST_LINE));
        let bench = shape
            .bench
            .as_ref()
            .map(|bench| self.fits_line(bench, LONGEST_LINE));
        let asks_back = shape
            .asks_back
            .as_ref()
            .map(|asks| self.fits_line(asks, LONGEST_LINE));
        let source = self.refers_source(&shape.source);
        let (Some(levels), Some(raise)) = (
            levels.into_iter().collect::<Option<Vec<_>>>(),
            raise.into_iter().collect::<Option<Vec<_>>>(),
        ) else {
            // What names it is not wrong.
            self.unread_names.push(shape.id.value);
            self.unread_names.extend(shape.topic);
            // Nor what says its words.
            self.unread_names.extend(choices);
            return;
        };
        let limits = self.limits(&shape, &levels, &raise);
        let line = self
            .source()
            .line_column(shape.id.span(self.source()).start)
            .0;
        self.flow.rules.push(Rule {
            stands: format!("{}:{line}", self.source().name()),
            id: shape.id.value,
            at: shape.at,
            foretells,
            levels,
            raise,
            topic: shape.topic,
            says,
            because,
            source,
            limits,
            asks,
            tells,
            choices,
            settles,
            bench,
            asks_back,
            never: shape.never,
            examples,
        });
    }

    /// Checks what a rule foretells: what can go wrong, each once.
    fn foretells(&mut self, shape: &RuleShape) -> Vec<outcome::Kind> {
        let mut kinds: Vec<outcome::Kind> = Vec::new();
        for kind in &shape.foretells {
            let fault = if !kind.value.is_failure() {
                faults::foretells_no_failure(&format!("{:?}", kind.value))
            } else if kinds.contains(&kind.value) {
                faults::foretells_twice(&format!("{:?}", kind.value))
            } else {
                kinds.push(kind.value);
                continue;
            };
            let span = kind.span(self.source());
            self.error("flow-foretells", span, fault);
        }
        kinds
    }

    /// Checks that each level with a limit says where the limit comes from: the sentence may be published and the number a
    /// choice of our own.
    fn limits(
        &mut self,
        shape: &RuleShape,
        levels: &[(Level, Condition)],
        raise: &[Condition],
    ) -> Vec<(Level, String)> {
        let raised = raise.iter().any(Condition::has_limit);
        let limits: Vec<(Level, String)> = shape
            .limits
            .iter()
            .map(|(level, source)| (level.value, self.refers_source(source)))
            .collect();
        for (index, (level, condition)) in levels.iter().enumerate() {
            let has = condition.has_limit() || (index == 0 && raised);
            if has && limits.iter().all(|(own, _)| own != level) {
                let span = shape.id.span(self.source());
                let fault = faults::no_limit_source(&shape.id.value, &format!("{level:?}"));
                self.warning("flow-limit-source", span, fault);
            }
        }
        limits
    }

    /// Checks what a question offers: a question to offer it, two boxes to tick at least, none twice.
    fn choices(&mut self, shape: &RuleShape) -> Vec<String> {
        if let (Some(tells), None) = (&shape.tells, &shape.asks) {
            let span = tells.span(self.source());
            self.error("flow-choices", span, faults::tells_without_asks());
        }
        let Some(choices) = &shape.choices else {
            return Vec::new();
        };
        let texts: Vec<&str> = choices.value.iter().map(|c| c.value.as_str()).collect();
        let twice = |(index, text): (usize, &&str)| texts.iter().take(index).any(|own| own == text);
        let fault = if shape.asks.is_none() {
            Some(faults::choices_without_asks())
        } else if !(LEAST_CHOICES..=MOST_CHOICES).contains(&texts.len()) {
            Some(faults::count_of_choices(LEAST_CHOICES, MOST_CHOICES))
        } else if texts.iter().enumerate().any(twice) {
            Some(faults::choice_twice())
        } else {
            None
        };
        if let Some(fault) = fault {
            let span = choices.span(self.source());
            self.error("flow-choices", span, fault);
        }
        let mut said = Vec::new();
        for choice in &choices.value {
            self.placeholders(choice, shape.at);
            said.push(self.fits_line(choice, LONGEST_CHOICE));
        }
        said
    }

    /// Checks which choices settle a question: choices of it, where the work can be made as it lies here at all.
    fn settles(&mut self, shape: &RuleShape, choices: &[String]) -> Vec<usize> {
        let mut places = Vec::new();
        for settles in &shape.settles {
            match choices.iter().position(|choice| *choice == settles.value) {
                Some(place) if !shape.never => places.push(place),
                found => {
                    let fault = match found {
                        Some(_) => faults::settles_never(),
                        None => faults::settles_no_choice(),
                    };
                    let span = settles.span(self.source());
                    self.error("flow-choices", span, fault);
                }
            }
        }
        places
    }

    fn ends_as_question(&mut self, text: Option<&Spanned<String>>, field: &str) {
        let Some(asks) = text.filter(|asks| !asks.value.trim_end().ends_with('?')) else {
            return;
        };
        let span = asks.span(self.source());
        self.error("flow-question-mark", span, faults::not_a_question(field));
    }

    fn example(&mut self, shape: &ExampleShape, stands: String) -> Option<Example> {
        let (gives, facts) = match shape {
            ExampleShape::Fires(level, facts) => (Gives::Fires(*level), facts),
            ExampleShape::Silent(facts) => (Gives::Silent, facts),
            ExampleShape::Open(facts) => (Gives::Open, facts),
        };
        let mut checked = Vec::new();
        for (name, value) in facts {
            let (bare, place) = match name.value.split_once('@') {
                Some((bare, place)) => (bare, Some(place.to_owned())),
                None => (name.value.as_str(), None),
            };
            let Some(spec) = self.flow.spec(&FactId::named(bare)).cloned() else {
                // Reports with a suggestion.
                self.fact(name)?;
                return None;
            };
            self.fits(&spec, value)?;
            checked.push((FactId::named(bare), place, value.value.clone()));
        }
        Some(Example {
            gives,
            facts: checked,
            stands,
        })
    }

    /// Reports placeholders that cannot be filled at the rule's place.
    pub(super) fn placeholders(&mut self, text: &Spanned<String>, at: PlaceKind) {
        self.placeholders_and(text, at, &[]);
    }

    /// As [`Checker::placeholders`], with names that only this text has.
    pub(super) fn placeholders_and(&mut self, text: &Spanned<String>, at: PlaceKind, own: &[&str]) {
        for name in placeholders(&text.value) {
            let filled = match name {
                name if own.contains(&name) => true,
                "tooth" | "teeth" => true,
                "wall" => at == PlaceKind::Wall,
                "walls" | "places" => true,
                fact => self.flow.spec(&FactId::named(fact)).is_some_and(|spec| {
                    // Within the place: said of each place where it holds.
                    reachable(at, spec.at)
                        || reachable(spec.at, at)
                        || is_of_old(&FactId::named(fact), at)
                }),
            };
            if !filled {
                let span = text.span(self.source());
                self.error("flow-placeholder", span, faults::placeholder(name));
            }
        }
    }
}

/// Returns the names between braces.
fn placeholders(text: &str) -> impl Iterator<Item = &str> {
    text.split('{')
        .skip(1)
        .filter_map(|rest| rest.split_once('}').map(|(name, _)| name))
}
