//! Questions and rules: what they name exists, what they say fits, what they ask is a question.

use super::check::{Checker, LONGEST_LINE};
use super::conditions::{is_of_old, reachable};
use super::model::{Days, Example, Gives, Level, Question, Rule, Usual, usual_not_before};
use super::shape::{ExampleShape, QuestionShape, RuleShape, UsualShape};
use crate::fact::{FactId, FactSpec, Kind, Origin, PlaceKind, Unit};
use crate::logic::Condition;
use crate::ronfile::{Span, Spanned};

/// The fewest and the most things that a question offers: more than five are a list and no choice.
const LEAST_CHOICES: usize = 2;
const MOST_CHOICES: usize = 5;
/// The longest choice: one line of a letter beside its box.
const LONGEST_CHOICE: usize = 60;

impl Checker<'_> {
    pub(super) fn question(&mut self, shape: QuestionShape) -> Option<Question> {
        self.own_id("question", &shape.fact);
        let (fact, spec) = self.fact(&shape.fact)?;
        if spec.origin == Origin::Derived {
            let span = shape.fact.span(self.source());
            self.error(
                "flow-fact",
                span,
                format!("\"{fact}\" is worked out, not asked"),
                "a derived fact",
            );
            self.help("take the question out; rules may use the fact as it is");
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
            let id = self.refers("instrument", id, instruments.clone());
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
        self.ends_as_question(shape.dentist.as_ref(), "what the dentist is asked to tell");
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
            self.error(
                "flow-fact-place",
                span,
                format!("\"{on}\" cannot list teeth for \"{}\"", spec.id),
                "no list of teeth",
            );
            self.help("a list is a fact that takes teeth, at the case or a restoration; it is asked for teeth only");
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
            let what = "only a question for a day says which way the day lies";
            self.error("flow-type", span, what.to_owned(), "this is no day");
        }
    }

    pub(super) fn rule(&mut self, shape: RuleShape) {
        self.own_id("rule", &shape.id);
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
            self.error(
                "flow-levels",
                span,
                "levels go from the worst to the least: Hold, Call, Watch",
                "these levels",
            );
            self.help("the worst that is true fires; leave Fine out");
        }
        let worst = shape
            .levels
            .value
            .iter()
            .map(|(level, _)| level.value.raised(shape.raise.len()))
            .max();
        if worst >= Some(Level::Call) && shape.asks.is_none() && shape.bench.is_none() {
            let span = shape.id.span(self.source());
            let what = format!(
                "rule \"{}\" can call or hold, but asks nobody for anything",
                shape.id.value
            );
            self.error("flow-no-ask", span, what, "what should happen?");
            self.help("say what to ask the dentist (`asks`) or what the laboratory does (`bench`)");
        }
        self.ends_as_question(shape.asks.as_ref(), "what is asked of the dentist");
        self.ends_as_question(shape.asks_back.as_ref(), "what is asked back");
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
            examples.extend(self.example(example));
        }
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
                let what = format!(
                    "rule \"{}\" does not say where its limit for {level:?} comes from",
                    shape.id.value
                );
                self.warning("flow-limit-source", span, what, "no source of the limit");
                self.help("such as limits: [(Call, \"ours\")]: the source of the numbers, apart from that of the sentence");
            }
        }
        limits
    }

    /// Checks what a question offers: a question to offer it, two boxes to tick at least, none twice.
    fn choices(&mut self, shape: &RuleShape) -> Vec<String> {
        if let (Some(tells), None) = (&shape.tells, &shape.asks) {
            let span = tells.span(self.source());
            let what = "a rule that asks the dentist nothing tells the dentist nothing";
            self.error("flow-choices", span, what.to_owned(), "no question");
            self.help("say what is asked (`asks`), or take this line out");
        }
        let Some(choices) = &shape.choices else {
            return Vec::new();
        };
        let texts: Vec<&str> = choices.value.iter().map(|c| c.value.as_str()).collect();
        let twice = |(index, text): (usize, &&str)| texts.iter().take(index).any(|own| own == text);
        let fault = if shape.asks.is_none() {
            Some(("choices without a question", "no question"))
        } else if !(LEAST_CHOICES..=MOST_CHOICES).contains(&texts.len()) {
            Some(("a question offers two to five things", "so many"))
        } else if texts.iter().enumerate().any(twice) {
            Some(("one thing is offered twice", "the same"))
        } else {
            None
        };
        if let Some((what, why)) = fault {
            let span = choices.span(self.source());
            self.error("flow-choices", span, what.to_owned(), why);
            self.help("name what the question offers, each once and in its own words; \"other\" is added by itself");
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
                    let (what, why) = match found {
                        Some(_) => ("nothing settles what can never be made as it is", "settles"),
                        None => ("what settles a question is one of its choices", "no choice"),
                    };
                    let span = settles.span(self.source());
                    self.error("flow-choices", span, what.to_owned(), why);
                    self.help("write a choice as it stands in `choices`, or take this out");
                }
            }
        }
        places
    }

    fn ends_as_question(&mut self, text: Option<&Spanned<String>>, what: &str) {
        let Some(asks) = text.filter(|asks| !asks.value.trim_end().ends_with('?')) else {
            return;
        };
        let span = asks.span(self.source());
        self.error(
            "flow-question-mark",
            span,
            format!("{what} is a question"),
            "no question mark",
        );
        self.help("end it with a question mark, and offer a choice");
    }

    pub(super) fn example(&mut self, shape: &ExampleShape) -> Option<Example> {
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
                    reachable(at, spec.at) || is_of_old(&FactId::named(fact), at)
                }),
            };
            if !filled {
                let span = text.span(self.source());
                self.error(
                    "flow-placeholder",
                    span,
                    format!("{{{name}}} cannot be filled here"),
                    "in this text",
                );
                self.help("{tooth}, {teeth}, {wall}, {walls}, {places} or a fact at this place or one that contains it");
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
