//! Preparing the vehicle so that nothing wakes it again.
//! Leaves to others: the wait (`settle`).

use chrono::{DateTime, FixedOffset};

use super::{settled, stage_skipped};
use crate::hunt::question::{Kind, Question};
use crate::hunt::{Step, Taken};
use crate::piece::{Line, Role};
use crate::session::case::Case;
use crate::session::entry::Body;

/// What to do, in order.
const LIST: [&str; 7] = [
    "Everything off and unplugged that the customer leaves plugged in, unless the complaint is about it.",
    "Window open and key outside: the vehicle may lock itself.",
    "Open every door, lid and bonnet that you will need, then trip its latch by hand so that the vehicle takes it for shut; note each one. Never slam a door on a tripped latch.",
    "Take the covers off the fuse boxes now; lay leads so that nothing need be moved later.",
    "Nothing feeds the vehicle: charger and solar panel off.",
    "Key or fob well away, out of radio reach; lock if that is how it stands at the customer's.",
    "From now on touch nothing: each door, handle, fob or light switch starts the wait again.",
];

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<Step> {
    if stage_skipped(case, "prepare") || settled(case, "prepare.done") {
        return None;
    }
    let question = Question {
        kind: Kind::Acknowledge,
        ..Question::line(
            "prepare.done",
            "Is the vehicle prepared?",
            "What was opened and which latches were tripped can be noted later with: note TEXT.",
        )
        .or("yes")
    };
    let mut say = vec![Line::of(Role::Heading, "Prepare the vehicle")];
    say.extend(LIST.iter().map(|item| Line::plain(format!("- {item}")).indented(2)));
    Some(Step::ask(question).after(say))
}

/// Takes the answer: preparing was the last disturbance.
pub fn take(_: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    if !text.eq_ignore_ascii_case("yes") && !text.eq_ignore_ascii_case("y") {
        return Taken::refuse("Type yes when it is done, or skip REASON.");
    }
    Taken {
        entries: vec![
            Body::Disturb { what: "vehicle prepared".to_owned() },
            Body::Answer { question: question.id.clone(), answer: "yes".to_owned() },
        ],
        ..Taken::default()
    }
}
