//! The battery comes first: type, rested volts, test result. A plainly flat or failed battery stops the hunt with
//! advice, for no draw can be judged on it. Leaves to others: state of charge and the full judgement.

use chrono::{DateTime, FixedOffset};

use super::found::choice;
use super::{settled, stage_skipped};
use crate::hunt::question::{Question, Wanted};
use crate::hunt::typed::volts_entry;
use crate::hunt::{Next, Step, Taken};
use crate::piece::{Line, Role};
use crate::quantity::show::bare;
use crate::quantity::{Unit, Volt};
use crate::session::case::Case;

/// Rested volts of a 12 V battery below which it is plainly flat.
///
/// # Source
/// BCI table of open-circuit voltage as reprinted by makers: 11.89 V is 0 % (flooded, 27 °C); 11.80 V for absorbent
/// glass mat. The lower one is taken for all, so that only what is flat by any table stops the hunt.
const FLAT: Volt = Volt::new(11.8);
/// The same for lithium iron phosphate, four cells. From memory: about 12.0 V is a few per cent.
const FLAT_LITHIUM: Volt = Volt::new(12.0);

/// Returns the question for rested volts.
pub fn volts_question(id: &str) -> Question {
    Question::line(
        id,
        "Battery volts at rest, at the posts",
        "Hours after the last charge or drive, nothing switched on. After a charge take the surface charge off first: headlamps 15 s, then wait 2 min.",
    )
    .in_unit("V")
    .reading(Wanted::Volts)
}

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<Step> {
    if stage_skipped(case, "battery") {
        return None;
    }
    let battery_type = Question::line(
        "battery.type",
        "Battery type?",
        "It stands on the label: flooded (filler caps), efb, agm (absorbent glass mat), gel, lithium (iron phosphate).",
    )
    .one_of(&[
        ("flooded", "liquid acid"),
        ("efb", "enhanced flooded"),
        ("agm", "absorbent glass mat"),
        ("gel", "gel"),
        ("lithium", "lithium iron phosphate"),
        ("unknown", "don't know"),
    ])
    .or("unknown");
    if !settled(case, "battery.type") {
        return Some(Step::ask(battery_type));
    }
    if case.volts.is_empty() && !settled(case, "battery.volts") {
        return Some(Step::ask(volts_question("battery.volts")));
    }
    if !settled(case, "battery.test") {
        return Some(Step::ask(
            Question::line(
                "battery.test",
                "What did a battery test say?",
                "A load test or a conductance tester, on the charged battery. A worn battery is often mistaken for a draw.",
            )
            .one_of(&[("good", "tested good"), ("bad", "tested bad, swollen, frozen or leaking"), ("not-tested", "not tested yet")])
            .or("not-tested"),
        ));
    }
    gate(case)
}

/// Stops before a plainly flat or failed battery, unless told to go on.
fn gate(case: &Case) -> Option<Step> {
    let reason = trouble(case)?;
    match case.answer("battery.gate") {
        None if case.skipped("battery.gate").is_none() => Some(
            Step::ask(
                Question::line(
                    "battery.gate",
                    "Stop here and see to the battery first?",
                    "A draw read on a flat battery is too low, and modules behave oddly below about 11 V. Go on only if the battery cannot be charged or replaced now.",
                )
                .one_of(&[("stop", "charge or replace, then go on with this log"), ("go-on", "go on all the same; the record says so")])
                .or("stop"),
            )
            .after(vec![Line::of(Role::Doubt, &reason), advice()]),
        ),
        Some("stop") => Some(Step {
            say: vec![Line::of(Role::Doubt, &reason), advice()],
            next: Next::Done { why: format!("the battery comes first: {reason}") },
        }),
        _ => None,
    }
}

fn advice() -> Line {
    Line::plain(
        "Charge it fully outside its frost limit (never charge a frozen battery), let it rest for hours, test it, and go on with this log.",
    )
}

/// What plainly speaks against the battery, if anything does.
fn trouble(case: &Case) -> Option<String> {
    if case.answer("battery.test") == Some("bad") {
        return Some(
            "the battery tested bad; a bad battery goes flat by itself and no draw need be wrong".to_owned(),
        );
    }
    let (_, volts) = case.volts.last()?;
    let batteries = (case.map.system.base() / 12.0).max(0.5);
    let flat = if case.answer("battery.type") == Some("lithium") { FLAT_LITHIUM } else { FLAT };
    (volts.value < flat * batteries).then(|| {
        format!(
            "{} at rest is flat: below {}, the lowest of the tables",
            bare(volts.value, 4),
            bare(flat * batteries, 3)
        )
    })
}

/// Takes an answer.
pub fn take(_: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.as_str() {
        "battery.volts" => volts_entry(text),
        _ => choice(question, text),
    }
}
