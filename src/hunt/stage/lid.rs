//! The fuse-box lid, typed in where there is no map: the main links, then line by line the boxes and their fuses. Each
//! line is said back as understood.
//! Leaves to others: what a line says (`circuit/lid`), the words (`text/ask/lid`).

use super::asking::settled;
use super::battery_detail::is_unknown;
use crate::base::caps::NAME;
use crate::circuit::lid_text::box_named;
use crate::circuit::map::{Access, Map};
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::question_id::{QuestionId, QuestionKey};
use crate::text::ask::lid as words;

/// The answer of somebody who doesn't know the main links.
const UNKNOWN: &str = "don't know";

/// Returns the next question, while the list of the lid is open.
pub fn next(case: &Case) -> Option<HuntStep> {
    if settled(case, QuestionId::HookUpLid) {
        return None;
    }
    if case.map.feeds.is_empty() && !settled(case, QuestionId::HookUpLinks) && lines(case) == 0 {
        let question = Question::of(QuestionId::HookUpLinks).or(UNKNOWN);
        return Some(HuntStep::ask(question).after(words::no_map()));
    }
    let is_open = case.map.feeds.is_empty() || settled(case, QuestionId::HookUpLinks) || lines(case) > 0;
    is_open.then(|| question(case))
}

fn question(case: &Case) -> HuntStep {
    let question = Question::of(QuestionId::HookUpLid).or("");
    let fuses = case.map.feeds.iter().filter(|feed| feed.access != Access::Clamp).count();
    let prompt = words::fuse_of_lid(fuses + 1, place(case));
    let how = if lines(case) == 0 { words::how() } else { Vec::new() };
    HuntStep::ask(Question { prompt, ..question }).after(how)
}

/// How many lines of the lid have been typed.
fn lines(case: &Case) -> usize {
    let is_line =
        |question: &QuestionKey| question.head == QuestionId::HookUpLid && !question.tail.is_empty();
    case.answers.iter().filter(|said| is_line(&said.what.question)).count()
}

/// The question under which the box of the lines that follow is kept.
fn box_key() -> QuestionKey {
    QuestionId::HookUpLid.with(".box")
}

/// The box of the lines that follow.
fn place(case: &Case) -> Option<&str> {
    case.answer(box_key())
}

/// Takes the main links, or a line of the lid.
pub fn take(case: &Case, question: &Question, text: &str) -> Taken {
    let text = text.trim();
    if question.id.head == QuestionId::HookUpLinks {
        return links(case, question, text);
    }
    if text.is_empty() {
        return Taken::answer(question, words::END_OF_LIST);
    }
    if let Some(name) = box_named(text) {
        let count = name.chars().count();
        if count > NAME {
            return Taken::refuse(words::long_name(count, NAME));
        }
        let known = case.map.find_box(&name).and_then(|at| case.map.boxes.get(at));
        let name = known.map_or(name, |known| known.id.clone());
        let said = words::box_chosen(&name);
        return Taken::entry(LogEvent::Answer { question: box_key(), answer: name }).saying([said]);
    }
    let key = QuestionId::HookUpLid.with(format!(".{}", case.map.feeds.len() + 1));
    typed(case, key, place(case), text, text)
}

/// Takes the main links: rating and box of each.
fn links(case: &Case, question: &Question, text: &str) -> Taken {
    if text.is_empty() || is_unknown(text) || text == "0" {
        return Taken::answer(question, UNKNOWN).saying([words::no_links()]);
    }
    let begins = text.split_whitespace().next().is_some_and(|word| word.eq_ignore_ascii_case("links"));
    let line = if begins { text.to_owned() } else { format!("links {text}") };
    typed(case, question.id.clone(), None, &line, text)
}

/// Adds a line to the map, and says what was understood.
fn typed(case: &Case, question: QuestionKey, place: Option<&str>, line: &str, text: &str) -> Taken {
    let mut map: Map = case.map.clone();
    match map.add_feed(place, line) {
        Ok(added) => Taken {
            entries: vec![
                LogEvent::Feed { place: place.map(str::to_owned), line: line.to_owned() },
                LogEvent::Answer { question, answer: text.to_owned() },
            ],
            say: words::understood(&map, &added.feeds, !case.map.feeds.iter().any(words::is_guessed)),
            ..Taken::default()
        },
        Err(faults) => Taken::refuse(faults.to_string()),
    }
}
