//! Everything that the hunt took out, opened or tripped and that goes back: noted while preparing, or told by the
//! readings. Each is ticked off by name before the hand-over; a hunt with something still open is not proven.
//! Leaves to others: putting fuses and plugs back with a reading (`repair`).

use super::battery_detail::is_unknown;
use crate::circuits::map::Map;
use crate::circuits::tree::Tree;
use crate::hunt::question::Question;
use crate::hunt::{Step, Taken};
use crate::piece::{Line, Role};
use crate::reading::What;
use crate::session::case::Case;
use crate::session::entry::Body;

/// Id of the question.
const ID: &str = "handover.back";
/// What stands between the names in an answer; a name that was noted holds none.
const BETWEEN: &str = "; ";

/// Returns everything that goes back, in the order in which it was noted, each once.
pub fn all(case: &Case) -> Vec<String> {
    let mut items: Vec<String> = Vec::new();
    let mut add = |item: String| {
        if !item.is_empty() && !items.iter().any(|known| known.eq_ignore_ascii_case(&item)) {
            items.push(item);
        }
    };
    let noted = case.answer("prepare.opened").filter(|text| !is_unknown(text)).unwrap_or_default();
    noted.split([',', ';']).for_each(|item| add(item.trim().to_owned()));
    let tree = Tree::new(&case.map);
    for reading in &case.readings {
        let touched = match &reading.what {
            What::Drop { feed, .. } | What::Pull { feed, .. } | What::Step { feed, .. } => Some(feed),
            _ => None,
        };
        if let Some(name) = touched.and_then(|feed| box_of(&case.map, &tree, feed)) {
            add(format!("cover of {name}"));
        }
    }
    for reading in &case.readings {
        match &reading.what {
            What::Pull { feed, .. } => add(format!("fuse {feed}")),
            What::Unplug { feed, load, .. } => add(format!("plug {feed}/{load}")),
            _ => {}
        }
    }
    if case.answer("hook-up.method") == Some("series") {
        add("battery cable, ammeter out".to_owned());
    }
    items
}

/// The box that a feed sits in, as people call it.
fn box_of(map: &Map, tree: &Tree, feed: &str) -> Option<String> {
    let feed = map.feeds.get(tree.find_feed(feed).ok()?)?;
    let place = map.boxes.get(feed.place?)?;
    Some(format!("fuse box {}", place.id))
}

/// Returns what is not ticked off yet. A refit with a reading ticks a fuse or plug off.
pub fn open(case: &Case) -> Vec<String> {
    let pulled = case.pulled();
    let unplugged = case.unplugged();
    let is_back = |item: &str| {
        if let Some(feed) = item.strip_prefix("fuse ").filter(|feed| !feed.starts_with("box ")) {
            return !pulled.contains(&feed);
        }
        if let Some(name) = item.strip_prefix("plug ") {
            return !unplugged.iter().any(|(feed, load)| format!("{feed}/{load}") == name);
        }
        false
    };
    let ticked = ticked(case);
    all(case).into_iter().filter(|item| !is_back(item) && !ticked.contains(&item.as_str())).collect()
}

/// What was ticked off by name: each answer names what it ticks.
fn ticked(case: &Case) -> Vec<&str> {
    let answers = case.answers.iter().filter(|(_, id, _)| id == ID);
    answers.flat_map(|(_, _, items)| items.split(BETWEEN)).collect()
}

/// Returns the question that ticks things off, while anything is open.
pub fn next(case: &Case) -> Option<Step> {
    let open = open(case);
    if open.is_empty() || case.skipped(ID).is_some() {
        return None;
    }
    let mut say = vec![Line::of(Role::Heading, "Put back")];
    say.extend(
        open.iter()
            .enumerate()
            .map(|(at, item)| Line::plain(format!("{} ", at + 1)).and(Role::Name, item).indented(2)),
    );
    say.push(
        Line::of(Role::Caution, "Caution: brake, steering, fuel, airbag and gas-alarm fuses are back before the vehicle moves; never slam a lid on a tripped latch, free the latch first.")
            .indented(2),
    );
    let question = Question::line(
        ID,
        "Which of these are back?",
        "all, or their numbers: 1 3. What is not back stays on the list; skip REASON leaves it open, and the record says not proven.",
    )
    .or("all");
    Some(Step::ask(question).after(say))
}

/// Ticks off what was named.
pub fn take(case: &Case, text: &str) -> Taken {
    let open = open(case);
    let tick = |items: &[&str]| Body::Answer { question: ID.to_owned(), answer: items.join(BETWEEN) };
    if matches!(text.to_lowercase().as_str(), "all" | "yes" | "y") {
        return Taken::entry(tick(&open.iter().map(String::as_str).collect::<Vec<_>>()));
    }
    let mut named = Vec::new();
    for word in text.split([' ', ',', ';']).filter(|word| !word.is_empty()) {
        let item = word.parse::<usize>().ok().and_then(|number| open.get(number.checked_sub(1)?));
        match item {
            Some(item) => named.push(item.as_str()),
            None => {
                return Taken::refuse(format!(
                    "\"{word}\" is none of the numbers; type all, or such as 1 3."
                ));
            }
        }
    }
    if named.is_empty() {
        return Taken::refuse("Type all, or the numbers of what is back.");
    }
    Taken::entry(tick(&named))
}
