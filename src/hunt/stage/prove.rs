//! The proof: the same wait and the same total as before the repair, against the same limit.
//! Leaves to others: the wait (`settle`), the rule (`account/verdict`).

use chrono::{DateTime, FixedOffset};

use super::{settled, stage_skipped};
use crate::account::verdict::{Verdict, judge};
use crate::hunt::analysis::{limit_of, plain_current};
use crate::hunt::question::{Question, Wanted};
use crate::hunt::typed::measured_total;
use crate::hunt::{Step, Taken};
use crate::piece::{Line, Role};
use crate::quantity::parse::Readable;
use crate::quantity::show::{bare, with_interval};
use crate::quantity::{Ampere, Typed};
use crate::session::case::Case;

use super::settle;

/// Returns the next question.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<Step> {
    let nothing_to_prove = !was_repaired(case) || stage_skipped(case, "prove");
    if nothing_to_prove {
        return None;
    }
    if let Some(step) = settle::wait(case, "prove.wait", now, true) {
        return Some(step);
    }
    if case.total_after_repair().is_some() || settled(case, "prove.total") {
        return None;
    }
    Some(Step::ask(
        Question::line(
            "prove.total",
            "Settled total after the repair",
            "Same meter, same place, same wait as before the repair.",
        )
        .in_unit("mA")
        .reading(Wanted::Total { as_found: false, after_repair: true }),
    ))
}

/// Returns true if something was repaired.
pub fn was_repaired(case: &Case) -> bool {
    case.answer("repair.what").is_some_and(|what| !what.eq_ignore_ascii_case("not-repaired"))
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, now: DateTime<FixedOffset>) -> Taken {
    if question.id == "prove.wait" {
        return settle::take_wait(case, question, text, now, true);
    }
    let mut taken = measured_total(case, text, false, true);
    if let Ok(total) = Ampere::read(text, "mA") {
        taken.say.extend(proof(case, &total));
    }
    taken
}

/// Returns what a total after the repair proves.
pub fn proof(case: &Case, total: &Typed<Ampere>) -> Option<Line> {
    let limit = limit_of(case)?;
    let current = plain_current(total, case);
    let line = Line::plain("After the repair ")
        .and(Role::Value, with_interval(&current))
        .and(Role::Plain, format!(" against {}: ", bare(limit.current, 3)));
    Some(match judge(&current, limit.current) {
        Verdict::Within => line.and(Role::Good, "within; the repair is proven by this total"),
        Verdict::Over => line.and(Role::Doubt, "over: the cause is not put right, or there is a second one"),
        Verdict::Undecided => line.and(Role::Doubt, "undecided: read again on a finer range"),
    })
}
