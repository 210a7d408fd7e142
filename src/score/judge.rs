//! Holds what was said against the truth: the first said, all that is said, and who is accused without cause.
//! Leaves to others: the sums over many vehicles (`tally`).

use super::policy::{Name, Said};
use crate::sim::{TrueCause, Truth};

/// From this probability on somebody counts as named.
const NAMED: f64 = 0.5;

/// A finding judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// True if the first said is a true cause; with nothing wrong, if that is what is said first.
    pub first: bool,
    /// True if every true cause is named and nobody else is.
    pub all: bool,
    /// True if somebody is named who is no cause.
    pub accused: bool,
    /// The probability that was said of the first.
    pub said: f64,
}

/// Judges what was said. A branch counts by either feed of a twice-fed load, a wake group by its own name only.
pub fn judge(said: &[Said], truth: &Truth) -> Judged {
    let is_cause = |name: &Name| match name {
        Name::Nothing => truth.causes.is_empty() && truth.gone.is_none(),
        Name::Gone => truth.causes.is_empty() && truth.gone.is_some(),
        Name::Branch(id) => truth.causes.iter().any(|cause| !cause.held && is_at(cause, id)),
        Name::Group(id) => truth.causes.iter().any(|cause| cause.held && cause.branch == *id),
    };
    let named = || said.iter().filter(|one| one.probability >= NAMED);
    let is_named = |cause: &TrueCause| {
        named().any(|one| match &one.name {
            Name::Nothing | Name::Gone => false,
            Name::Branch(id) => !cause.held && is_at(cause, id),
            Name::Group(id) => cause.held && cause.branch == *id,
        })
    };
    let first = said.first().is_some_and(|one| is_cause(&one.name));
    let accused = named().any(|one| !matches!(one.name, Name::Nothing | Name::Gone) && !is_cause(&one.name));
    let all = match truth.causes.as_slice() {
        [] => first && !accused,
        causes => causes.iter().all(is_named) && !accused,
    };
    Judged { first, all, accused, said: said.first().map_or(0.0, |one| one.probability) }
}

fn is_at(cause: &TrueCause, branch: &str) -> bool {
    cause.branch == branch || cause.also.iter().any(|feed| feed == branch)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Ampere;

    fn told(branch: &str, also: &[&str], held: bool) -> TrueCause {
        TrueCause {
            branch: branch.into(),
            also: also.iter().map(|feed| (*feed).to_owned()).collect(),
            load: "lamp".into(),
            unlisted: false,
            held,
            held_loads: Vec::new(),
            excess: Ampere::from_milli(300.0),
            hung: false,
        }
    }

    fn truth(causes: Vec<TrueCause>) -> Truth {
        Truth { causes, oddities: Vec::new(), sound_total: Ampere::from_milli(20.0), gone: None }
    }

    fn branch(id: &str, probability: f64) -> Said {
        Said { name: Name::Branch(id.into()), probability }
    }

    #[test]
    fn either_feed_of_a_twice_fed_load_is_right_and_another_one_is_accused() {
        let truth = truth(vec![told("F6", &["F7"], false)]);
        let by_other = judge(&[branch("F7", 0.97)], &truth);
        assert!(by_other.first && by_other.all && !by_other.accused && by_other.said == 0.97);
        let wrong = judge(&[branch("F1", 0.6), branch("F6", 0.4)], &truth);
        assert!(!wrong.first && !wrong.all && wrong.accused);
        let unsure = judge(&[branch("F1", 0.4), branch("F6", 0.3)], &truth);
        assert!(!unsure.first && !unsure.all && !unsure.accused);
    }

    #[test]
    fn of_two_causes_both_must_be_named() {
        let truth = truth(vec![told("F1", &[], false), told("bus", &[], true)]);
        let group = Said { name: Name::Group("bus".into()), probability: 0.7 };
        let both = judge(&[branch("F1", 0.9), group.clone()], &truth);
        assert!(both.first && both.all);
        let one = judge(&[group], &truth);
        assert!(one.first && !one.all && !one.accused);
        // A branch that happens to be called as the group is not the group.
        assert!(!judge(&[branch("bus", 0.9)], &truth).first);
    }

    #[test]
    fn with_nothing_wrong_whoever_is_named_is_falsely_accused() {
        let nothing = Said { name: Name::Nothing, probability: 0.9 };
        assert!(judge(&[nothing], &truth(Vec::new())).all);
        let accused = judge(&[branch("F1", 0.6)], &truth(Vec::new()));
        assert!(accused.accused && !accused.first && !accused.all);
        assert!(!judge(&[], &truth(Vec::new())).first);
    }

    #[test]
    fn what_is_gone_since_it_was_touched_is_neither_wrong_nor_nothing() {
        let said = |name| [Said { name, probability: 0.9 }];
        let gone =
            Truth { gone: Some(("audio unit".into(), Ampere::from_milli(300.0))), ..truth(Vec::new()) };
        assert!(judge(&said(Name::Gone), &gone).all && !judge(&said(Name::Nothing), &gone).first);
        let sound = judge(&said(Name::Gone), &truth(Vec::new()));
        assert!(!sound.first && !sound.accused);
    }
}
