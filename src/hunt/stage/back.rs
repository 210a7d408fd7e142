//! Everything that the hunt took out, opened or tripped and that goes back: noted while preparing, or told by the
//! readings. Each is ticked off by name before the hand-over; a hunt with something still open is not proven.
//! Leaves to others: putting fuses and plugs back with a reading (`repair`).

use super::battery_detail::is_unknown;
use crate::base::styled::{Role, StyledText};
use crate::circuit::map::Map;
use crate::circuit::tree::Tree;
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken};
use crate::instrument::profile::Way;
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::measure::Measurement;
use crate::text::ask::handover as words;

/// Id of the question.
const ID: QuestionId = QuestionId::HandoverBack;
/// What stands between the names in an answer; a name that was noted holds none.
const BETWEEN: &str = "; ";

/// One thing that goes back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackStep {
    /// What it is called on the list.
    pub name: String,
    /// Who put it on the list.
    pub told_by: ToldBy,
}

/// Who put something on the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToldBy {
    /// Somebody noted it, in words of their own.
    Note,
    /// A reading or the method tells it; only ticking it off puts it back.
    Reading,
    /// A pull or an unplugging tells it; a refit with its reading puts it back too.
    Pull,
}

/// Returns everything that goes back, in the order in which it was noted, each once.
pub fn all(case: &Case) -> Vec<BackStep> {
    let mut items: Vec<BackStep> = Vec::new();
    let mut add = |name: String, told_by: ToldBy| {
        if !name.is_empty() && !items.iter().any(|known| known.name.eq_ignore_ascii_case(&name)) {
            items.push(BackStep { name, told_by });
        }
    };
    let noted = case.answer(QuestionId::PrepareOpened).filter(|text| !is_unknown(text)).unwrap_or_default();
    noted.split([',', ';']).for_each(|item| add(item.trim().to_owned(), ToldBy::Note));
    let tree = Tree::new(&case.map);
    for reading in &case.readings {
        let touched = match &reading.what {
            Measurement::Drop { feed, .. }
            | Measurement::Below { feed, .. }
            | Measurement::Pull { feed, .. }
            | Measurement::Step { feed, .. } => Some(feed),
            _ => None,
        };
        if let Some(name) = touched.and_then(|feed| box_of(&case.map, &tree, feed)) {
            add(format!("cover of {name}"), ToldBy::Reading);
        }
    }
    for reading in &case.readings {
        match &reading.what {
            Measurement::Pull { feed, .. } => add(fuse(feed), ToldBy::Pull),
            Measurement::Unplug { feed, load, .. } => add(plug(feed, load), ToldBy::Pull),
            _ => {}
        }
    }
    if case.ammeter().way == Way::Series {
        add("battery cable, ammeter out".to_owned(), ToldBy::Reading);
    }
    items
}

fn fuse(feed: &str) -> String {
    format!("fuse {feed}")
}

fn plug(feed: &str, load: &str) -> String {
    format!("plug {feed}/{load}")
}

/// The box that a feed sits in, as people call it.
fn box_of(map: &Map, tree: &Tree, feed: &str) -> Option<String> {
    let feed = map.feeds.get(tree.find_feed(feed).ok()?)?;
    let place = map.boxes.get(feed.place?)?;
    Some(format!("fuse box {}", place.id))
}

/// Returns what is not ticked off yet. A refit with a reading ticks a fuse or plug off.
pub fn open(case: &Case) -> Vec<BackStep> {
    let pulled = case.pulled().into_iter().map(fuse);
    let unplugged = case.unplugged().into_iter().map(|(feed, load)| plug(feed, load));
    let out: Vec<String> = pulled.chain(unplugged).collect();
    let is_back = |item: &BackStep| item.told_by == ToldBy::Pull && !out.contains(&item.name);
    let ticked = ticked(case);
    all(case).into_iter().filter(|item| !is_back(item) && !ticked.contains(&item.name.as_str())).collect()
}

/// What was ticked off by name: each answer names what it ticks.
fn ticked(case: &Case) -> Vec<&str> {
    let answers = case.answers.iter().filter(|said| said.what.question.plain() == Some(ID));
    answers.flat_map(|said| said.what.text.split(BETWEEN)).collect()
}

/// Returns the question that ticks things off, while anything is open.
pub fn next(case: &Case) -> Option<HuntStep> {
    let open = open(case);
    if open.is_empty() || case.skipped(ID).is_some() {
        return None;
    }
    let names: Vec<&str> = open.iter().map(|item| item.name.as_str()).collect();
    let say = vec![StyledText::of(Role::Caution, words::BEFORE_IT_MOVES), words::to_put_back(&names)];
    Some(HuntStep::ask(Question::of(ID).or("all")).after(say))
}

/// Ticks off what was named.
pub fn take(case: &Case, text: &str) -> Taken {
    let open = open(case);
    let tick = |items: &[&str]| LogEvent::Answer { question: ID.into(), answer: items.join(BETWEEN) };
    if matches!(text.to_lowercase().as_str(), "all" | "yes" | "y" | "ok") {
        return Taken::entry(tick(&open.iter().map(|item| item.name.as_str()).collect::<Vec<_>>()));
    }
    let mut named = Vec::new();
    for word in text.split([' ', ',', ';']).filter(|word| !word.is_empty()) {
        let item = word.parse::<usize>().ok().and_then(|number| open.get(number.checked_sub(1)?));
        match item {
            Some(item) => named.push(item.name.as_str()),
            None => {
                return Taken::refuse(words::no_number(word));
            }
        }
    }
    if named.is_empty() {
        return Taken::refuse(words::WHICH);
    }
    Taken::entry(tick(&named))
}
