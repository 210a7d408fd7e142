//! The hunt, step by step: which question is next, and which entries an answer makes. No I/O, no clock, no colours.

pub mod question;

use crate::piece::Line;
use crate::piece::Role;
use crate::quantity::parse::Readable;
use crate::quantity::*;
use crate::session::case::*;
use crate::session::entry::Body;
use chrono::{DateTime, FixedOffset};
use question::*;

/// What to show and to ask now.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Lines that lead up to it.
    pub say: Vec<Line>,
    /// What comes next.
    pub next: Next,
}

/// What comes next.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// A question.
    Ask(Question),
    /// The hunt has reached its end.
    Done {
        /// Why.
        why: String,
    },
}

/// What an answer makes.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Entries, in order; none if the answer was not accepted.
    pub entries: Vec<Body>,
    /// What it meant, or why it was not accepted.
    pub say: Vec<Line>,
    /// True if the hunt is to be left now.
    pub leave: bool,
}
fn q(id: &str, p: &str, unit: &'static str, default: Option<&str>, kind: Kind) -> Question {
    Question { id: id.into(), prompt: p.into(), help: "A help text that says why this is asked, long enough that it must be wrapped at eighty columns and at sixty.".into(), unit, default: default.map(Into::into), kind }
}
fn list(case: &Case) -> Vec<Question> {
    let totals: Vec<_> = case
        .answers
        .iter()
        .filter(|a| a.1 == "wait")
        .filter_map(|a| Some((a.0.at, Ampere::read(&a.2, "mA").ok()?.value)))
        .collect();
    vec![
        q("complaint", "What does the owner tell about the vehicle: when does it go flat, after how long, and what was fitted or repaired before it began?", "", None, Kind::Line),
        q("kind", "Which battery is it?", "", Some("flooded"), Kind::Choice(vec![("flooded".into(), "with liquid acid, with or without caps, which is what most vehicles have had for a long time".into()), ("agm".into(), "glass mat".into())])),
        q("caution.acid", "Eye protection is on and nothing burns near the battery?", "", None, Kind::Acknowledge),
        q("battery.volts", "What does the meter show across the battery posts?", "V", None, Kind::Reading(Wanted::Volts)),
        q("temperature", "How warm is it at the fuse boxes?", "C", Some("20 C"), Kind::Reading(Wanted::Temperature)),
        q("wait", "The vehicle goes to sleep.", "mA", None, Kind::Wait(Box::new(Wait { since: case.opened_at, due: Minute::new(3.0), awake: vec![("audio".into(), Minute::new(1.0)), ("a gateway module with a long name in the boot behind the trim".into(), Minute::new(2.0))], readings: totals, head: vec![Line::plain("Leave doors, bonnet and key alone; the clamp stays where it is until the current has been flat for ten minutes.")] }))),
        q("drop.F12", "Millivolts across F12?", "mV", None, Kind::Reading(Wanted::Drop("F12".into()))),
        q("pull.F12", "Total before and after pulling F12?", "mA", None, Kind::Reading(Wanted::Pull("F12".into()))),
    ]
}

/// Stand-in.
pub fn next(case: &Case, _now: DateTime<FixedOffset>) -> Step {
    let waits = case.answers.iter().filter(|a| a.1 == "wait").count();
    for question in list(case) {
        let done = if question.id == "wait" {
            waits >= 3 || case.skipped("wait").is_some()
        } else {
            case.answer(&question.id).is_some() || case.skipped(&question.id).is_some()
        };
        if !done {
            let say = if question.id.starts_with("caution") {
                vec![Line::of(Role::Caution, "CAUTION: ").and(Role::Plain, "a battery gives off hydrogen and holds acid; keep sparks and flames away, take jewellery off, and wear eye protection.")]
            } else {
                vec![]
            };
            return Step { say, next: Next::Ask(question) };
        }
    }
    Step { say: vec![], next: Next::Done { why: "all is asked".into() } }
}

/// Stand-in.
pub fn take(case: &Case, question: &Question, answer: &Answer, _now: DateTime<FixedOffset>) -> Taken {
    let mut t = Taken { entries: vec![], say: vec![], leave: false };
    match answer {
        Answer::Explain => t.say.push(Line::of(Role::Hint, &question.help)),
        Answer::Back => {
            if case.entries > 0 {
                t.entries.push(Body::Strike { target: case.entries, why: "back".into() })
            }
        }
        Answer::Skip(r) => t.entries.push(Body::Skip { question: question.id.clone(), reason: r.clone() }),
        Answer::Text(x) => {
            let ok = match &question.kind {
                Kind::Choice(c) => c.iter().any(|(k, _)| k == x),
                Kind::Acknowledge => x == "yes",
                Kind::Line => !x.is_empty(),
                Kind::Wait(_) => Ampere::read(x, "mA").is_ok(),
                Kind::Reading(Wanted::Volts) => Volt::read(x, "V").is_ok(),
                Kind::Reading(_) => !x.is_empty(),
            };
            if ok {
                t.entries.push(Body::Answer { question: question.id.clone(), answer: x.clone() });
                t.say.push(
                    Line::plain("Taken: ")
                        .and(Role::Value, "411 mA (356 to 466)")
                        .and(Role::Plain, ", the floor is ")
                        .and(Role::Value, "27 mA")
                        .and(Role::Plain, "; still unplaced ")
                        .and(Role::Value, "71 mA")
                        .and(Role::Plain, ". Leading: ")
                        .and(Role::Name, "F12")
                        .and(
                            Role::Plain,
                            " audio unit 93 %. Next: clamp L1, since it tells most per minute.",
                        ),
                );
            } else {
                t.say.push(
                    Line::of(Role::Doubt, "NOT TAKEN: ")
                        .and(Role::Plain, format!("\"{x}\" is not what is due")),
                );
            }
        }
        Answer::Quit => {}
    }
    t
}
