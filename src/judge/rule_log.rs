//! Asks the table's rules and keeps every answer with its values.

use super::input::JudgeInput;
use super::outcome::RuleAnswer;
use crate::matching::{Observed, evaluate};
use crate::spectrum::MeasurementMode;
use crate::tables::{Class, Effect, MeasuredBy, Rule, Verdict};

/// The rules asked so far, each once.
#[derive(Debug, Default)]
pub(super) struct RuleLog {
    answers: Vec<(String, Verdict)>,
    /// The classes asked so far, each once.
    classes: Vec<(String, Verdict)>,
    /// Every question with its values, in the order asked.
    pub(super) log: Vec<RuleAnswer>,
}

impl RuleLog {
    /// Returns what a rule says, asking it if it was not asked before.
    pub(super) fn ask(&mut self, rule: &Rule, observed: &Observed<'_>) -> Verdict {
        if let Some((_, verdict)) = self.answers.iter().find(|(id, _)| *id == rule.id) {
            return *verdict;
        }
        let mut verdicts = Vec::with_capacity(rule.questions.questions.len());
        let mut log = Vec::with_capacity(rule.questions.questions.len());
        for question in &rule.questions.questions {
            let answered = evaluate(&question.predicate, observed);
            verdicts.push(answered.verdict);
            log.push(RuleAnswer {
                rule: rule.id.clone(),
                question: question.what.clone(),
                verdict: answered.verdict,
                values: answered.values,
                note: answered.note,
            });
        }
        let verdict = rule.questions.decide(&verdicts);
        self.log.push(RuleAnswer {
            rule: rule.id.clone(),
            question: rule.meaning.clone(),
            verdict,
            values: Vec::new(),
            note: rule.effect.to_string(),
        });
        self.log.append(&mut log);
        self.answers.push((rule.id.clone(), verdict));
        verdict
    }

    /// Returns whether the evidence that a class needs is there, and keeps its questions in the log.
    pub(super) fn class(&mut self, class: &Class, input: &JudgeInput<'_>) -> Verdict {
        if !holds_for(class.measured_by, input.observed.mode()) {
            return Verdict::NotTestable;
        }
        if let Some((_, verdict)) = self.classes.iter().find(|(id, _)| *id == class.id) {
            return *verdict;
        }
        let mut verdicts = Vec::with_capacity(class.questions.questions.len());
        for question in &class.questions.questions {
            let answered = evaluate(&question.predicate, &input.observed);
            verdicts.push(answered.verdict);
            self.log.push(RuleAnswer {
                rule: class.id.clone(),
                question: question.what.clone(),
                verdict: answered.verdict,
                values: answered.values,
                note: answered.note,
            });
        }
        let verdict = class.questions.decide(&verdicts);
        self.classes.push((class.id.clone(), verdict));
        verdict
    }

    /// Returns the rules of one effect about a subject with what they say.
    pub(super) fn of_subject<'t>(
        &mut self,
        subject: &str,
        effect: Effect,
        input: &JudgeInput<'t>,
    ) -> Vec<(&'t Rule, Verdict)> {
        let mode = input.observed.mode();
        input
            .tables
            .rules_of(subject)
            .filter(|rule| rule.effect == effect && holds_for(rule.measured_by, mode))
            .map(|rule| (rule, self.ask(rule, &input.observed)))
            .collect()
    }
}

const fn holds_for(measured_by: MeasuredBy, mode: MeasurementMode) -> bool {
    match measured_by {
        MeasuredBy::Any => true,
        MeasuredBy::Atr => matches!(mode, MeasurementMode::Atr),
        MeasuredBy::Transmission => matches!(mode, MeasurementMode::Transmission),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::made::{Made, rows};

    #[test]
    fn a_rule_for_films_is_not_asked_of_a_spectrum_by_reflection_nor_one_for_atr_of_a_film() {
        let asked = |mode: MeasurementMode| -> Vec<String> {
            let made = Made::of_bands(&rows("PUR-ester", 1.0)).measured_by(mode);
            let rules = RuleLog::default().of_subject("PUR-ester", Effect::Prefer, &made.input());
            rules.into_iter().map(|(rule, _)| rule.id.clone()).collect()
        };
        assert_eq!(asked(MeasurementMode::Atr), ["PUR-ester-not-ether"]);
        assert_eq!(asked(MeasurementMode::Transmission), ["PUR-ester-not-ether-film"]);
        assert_eq!(asked(MeasurementMode::Reflection), [""; 0]);
    }
}
