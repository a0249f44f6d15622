//! Decides between the members of a look-alike group by their own rules, or leaves them narrowed.

use super::input::JudgeInput;
use super::rule_log::RuleLog;
use crate::tables::{Effect, Verdict};

/// A member of the group scoring below this share of the best is no longer in question.
const MEMBER_SCORE_SHARE: f64 = 0.6;

/// A member scoring below this share of the best needs a rule of its own to stay in question.
const CLEAR_SCORE_SHARE: f64 = 0.85;

/// Most candidates of a narrowed answer.
pub(super) const MOST_CANDIDATES: usize = 4;

/// Returns the members of the best candidate's group that the rules leave standing, best first.
///
/// The best candidate itself may fall to a rule; the list is empty where every member does.
pub(super) fn standing(best: &str, input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> Vec<String> {
    let Some(best_score) = input.score_of(best).map(|candidate| candidate.score) else {
        return Vec::new();
    };
    let mut members: Vec<(String, f64)> = vec![(best.to_owned(), best_score)];
    for group in input.tables.groups().iter().filter(|g| g.members.iter().any(|m| m == best)) {
        for id in &group.members {
            let known = members.iter().any(|(other, _)| other == id);
            let score = input.score_of(id).map_or(0.0, |candidate| candidate.score);
            let nameable = input.tables.material(id).is_some_and(|m| m.nameable);
            let in_question =
                score >= MEMBER_SCORE_SHARE * best_score || is_undecided(best, id, input, rule_log);
            if !known && nameable && in_question {
                members.push((id.clone(), score));
            }
        }
    }
    // A relative without a band that it cannot be without is no answer, whatever rules leave open.
    members.retain(|(id, _)| {
        may_be_named(id, input, rule_log) && (id == best || shows_required(id, input))
    });
    let ids: Vec<String> = members.iter().map(|(id, _)| id.clone()).collect();
    let mut fallen: Vec<String> = Vec::new();
    for id in &ids {
        for (rule, verdict) in rule_log.of_subject(id, Effect::Prefer, input) {
            if verdict == Verdict::Yes {
                let told = |o: &&String| ids.contains(o) && !is_undecided(id, o, input, rule_log);
                fallen.extend(rule.against.iter().filter(told).cloned());
            }
        }
    }
    // Rules that contradict each other settle nothing.
    if ids.iter().all(|id| fallen.contains(id)) {
        fallen.clear();
    }
    members.retain(|(id, _)| !fallen.contains(id));
    let top = members.iter().map(|(_, score)| *score).fold(0.0, f64::max);
    let leader = members.iter().find(|(_, score)| *score >= top).map(|(id, _)| id.clone());
    // Where a rule of the table parts the two and this spectrum does not answer it, the score alone does not part
    // them.
    members.retain(|(id, score)| {
        *score >= CLEAR_SCORE_SHARE * top
            || leader.as_ref().is_some_and(|leader| {
                is_undecided(leader, id, input, rule_log)
                    || is_unanswered(leader, id, input, rule_log)
            })
    });
    members.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    members.truncate(MOST_CANDIDATES);
    members.into_iter().map(|(id, _)| id).collect()
}

fn shows_required(id: &str, input: &JudgeInput<'_>) -> bool {
    let fit = input.score_of(id).and_then(|candidate| input.fits.get(candidate.base));
    fit.is_none_or(|fit| input.shows_required(fit))
}

/// Returns whether a rule leaves these two not told apart.
pub(super) fn is_undecided(
    one: &str,
    other: &str,
    input: &JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> bool {
    [(one, other), (other, one)].into_iter().any(|(subject, against)| {
        rule_log.of_subject(subject, Effect::Narrow, input).iter().any(|(rule, verdict)| {
            *verdict == Verdict::Yes && rule.against.iter().any(|id| id == against)
        })
    })
}

/// Returns whether a rule that would prefer either to the other is not testable here: it looks at what was not measured,
/// is saturated, or is within the noise of a limit.
fn is_unanswered(one: &str, other: &str, input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> bool {
    [(one, other), (other, one)].into_iter().any(|(subject, against)| {
        rule_log.of_subject(subject, Effect::Prefer, input).iter().any(|(rule, verdict)| {
            *verdict == Verdict::NotTestable && rule.against.iter().any(|id| id == against)
        })
    })
}

/// Returns whether no rule forbids a name: what it requires is not denied, what excludes it is not met.
pub(super) fn may_be_named(id: &str, input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> bool {
    let required = rule_log.of_subject(id, Effect::Require, input);
    let excluded = rule_log.of_subject(id, Effect::Exclude, input);
    required.iter().all(|(_, verdict)| *verdict != Verdict::No)
        && excluded.iter().all(|(_, verdict)| *verdict != Verdict::Yes)
}

/// Returns whether every rule that a name requires says yes: a second material must be shown, not
/// merely left possible.
pub(super) fn is_affirmed(id: &str, input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> bool {
    rule_log.of_subject(id, Effect::Require, input).iter().all(|(_, v)| *v == Verdict::Yes)
        && may_be_named(id, input, rule_log)
}
