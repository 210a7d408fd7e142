//! Which reading to take next and why, and why the search stops.
//! Leaves to others: the plan (`plan/next`).

use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Uncertain};
use crate::base::styled::{Role, StyledText};
use crate::circuit::inputs::way_of;
use crate::circuit::inside::find_part;
use crate::circuit::signs::{Sign, Signs};
use crate::infer::assumptions::DECIDED;
use crate::infer::cured::Cured;
use crate::infer::sign::{first_sign, reported_sign};
use crate::measure::kind::MeasurementKind;
use crate::measure::late::wait;
use crate::measure::observation::Panel;
use crate::measure::observe::find_input;
use crate::measure::sighting::SightingPlace;
use crate::plan::proposal::{Proposal, StepReason, Stop};

use super::ask::total::RETURNS;
use super::suspects::odds;

/// Returns what to do, in one clause.
pub fn instruction(proposal: &Proposal, panel: &Panel) -> String {
    let at = proposal.at.as_deref().unwrap_or("");
    match proposal.action {
        MeasurementKind::Drop => format!("read the millivolts across {at}{}", fuse_words(at, panel)),
        MeasurementKind::Clamp => format!("clamp {at}{}", fuse_words(at, panel)),
        MeasurementKind::Pull => format!(
            "pull {at}{} in one clean motion; total before, and after a minute",
            fuse_words(at, panel)
        ),
        MeasurementKind::Unplug => {
            match at.split_once('/').and_then(|(item, part)| find_part(item, part, &panel.map)) {
                Some((_, part)) => format!("{at}: {}; total before and after", part.how),
                None => format!("unplug {at}; total before and after"),
            }
        }
        MeasurementKind::Look => look(at, panel),
        MeasurementKind::Report => report(at),
        MeasurementKind::Input => input(at, panel),
        MeasurementKind::Refit => {
            format!("put {at} back in one clean motion; total once what that woke is asleep again")
        }
        MeasurementKind::Temperature => "read the temperature at the fuse boxes".to_owned(),
        MeasurementKind::Volts => "read the battery's volts".to_owned(),
        MeasurementKind::Total => "read the settled total".to_owned(),
        MeasurementKind::Zero => "short the meter leads and read what is left (the zero)".to_owned(),
        MeasurementKind::Step => {
            format!(
                "switch on a known load on {at}, then off again: millivolts before and with it, and its current"
            )
        }
        other => format!("{} {at}: {}", other.row().word, other.row().about),
    }
}

/// Returns what to do as a question asks for it: a word that is wanted is named.
pub fn asked(proposal: &Proposal, panel: &Panel) -> String {
    let what = instruction(proposal, panel);
    let place = proposal.at.as_deref().and_then(|at| SightingPlace::find(at, panel));
    let words = |sign: &Sign| Signs::builtin().words(&sign.sense).join(", ");
    match (proposal.action, place) {
        (MeasurementKind::Look, Some(place)) => {
            first_sign(place, panel).map(|sign| format!("{what} ({})", words(sign)))
        }
        (MeasurementKind::Report, Some(place)) => {
            reported_sign(place, panel).map(|sign| format!("{what} ({}; skip: none at hand)", words(sign)))
        }
        _ => None,
    }
    .unwrap_or(what)
}

/// Says how to work an input, and when to read: its modules fall asleep some time after it.
fn input(at: &str, panel: &Panel) -> String {
    let how = way_of(at).map(|way| format!(" ({})", way.how)).unwrap_or_default();
    let waits = find_input(panel, at).map(|input| wait(input, panel));
    let until = waits.map(|wait| format!(": the fall may take {}", bare(wait, 2))).unwrap_or_default();
    format!("work \"{at}\"{how} and leave it as it should stand; total before and after{until}")
}

/// Says what to read on a scan tool; an input that says what it should at rest counts as shut.
fn report(at: &str) -> String {
    let way = way_of(at).filter(|way| !at.contains('/') && way.rests != "shut");
    let rests = way.map(|way| format!(", shut if it says \"{}\"", way.rests)).unwrap_or_default();
    format!("where a scan tool is at hand, read what the vehicle reports of \"{at}\"{rests}")
}

/// Returns what helps at a reading beside what is always so: what the vehicle itself says of an input.
pub fn help(proposal: &Proposal) -> String {
    let input = proposal.at.as_deref().filter(|_| proposal.action == MeasurementKind::Input);
    match input.and_then(way_of) {
        Some(way) => {
            format!("Where a scan tool is at hand, look there first: it should say \"{}\". ", way.rests)
        }
        None => String::new(),
    }
}

/// Says how to look at a load.
fn look(at: &str, panel: &Panel) -> String {
    let sign = SightingPlace::find(at, panel).and_then(|place| first_sign(place, panel));
    let how = sign.map(|sign| format!(": {}", sign.how)).unwrap_or_default();
    format!("look at {at}{how}")
}

fn fuse_words(at: &str, panel: &Panel) -> String {
    let Ok(feed) = panel.tree.find_feed(at) else { return String::new() };
    let Some(found) = panel.map.feeds.get(feed) else { return String::new() };
    let place = panel.map.box_of(found).map(|place| format!(", {}", place.id));
    format!(" ({}{})", found.fuse.words(), place.unwrap_or_default())
}

/// Returns why a reading is proposed, in one sentence with numbers.
pub fn why(proposal: &Proposal, excess: Option<&Uncertain<Ampere>>) -> String {
    let minutes = bare(proposal.minutes, 1);
    let floor = proposal.floor.as_ref().map(|floor| bare(floor.value(), 2)).unwrap_or_default();
    let sought = excess.map(|excess| bare(excess.value(), 2)).unwrap_or_default();
    match proposal.reason {
        StepReason::NoTotal => "nothing can be judged before the settled total is known".to_owned(),
        StepReason::LowersFloor(share) => format!(
            "with the meter's offset taken off, drops show currents down to {:.0} % of what they show now; {minutes}",
            share * 100.0
        ),
        StepReason::Covers(share) => format!(
            "{:.0} in 100 that the cause shows here; {minutes}; floor {floor}, {sought} is sought",
            share * 100.0
        ),
        StepReason::Looks => format!("it tells much about this load, and nothing is unplugged; {minutes}"),
        StepReason::Reports if proposal.at.as_deref().is_some_and(|at| at.contains('/')) => {
            format!(
                "a module awake while the rest sleeps may be the cause; {minutes}, and nothing is touched"
            )
        }
        StepReason::Reports => format!(
            "an input reported open while it stands shut holds its network awake; {minutes}, and nothing is touched"
        ),
        StepReason::Narrows => format!("it tells whether this load is the one on the circuit; {minutes}"),
        StepReason::NarrowsInside => format!("it tells which part of it draws; {minutes}"),
        StepReason::FindsInput => format!(
            "if this input holds its modules awake, the total falls once they sleep; {minutes}, and nothing is pulled"
        ),
        StepReason::Calibrates(relative) => format!(
            "the table knows this fuse only roughly; with its own resistance what it reads is good to {:.0} %; {minutes}",
            (relative * 100.0).max(1.0)
        ),
        StepReason::MayHaveFallen => format!(
            "a module that slept late may have been awake when it was read, and what was read since leaves much of it open; {minutes}"
        ),
        StepReason::MayHaveHung => {
            "the pull took much of the draw: if it stays away now, a module had hung, and nothing is repaired"
                .to_owned()
        }
        StepReason::Repeats => format!("that reading disagrees with the others; {minutes}"),
    }
}

/// Heads the readings that are left once the search stops.
pub fn further(stop: &Stop) -> &'static str {
    match stop {
        Stop::NotWorth(_) => "What could be read all the same",
        _ => "To find the part itself",
    }
}

/// Says how many readings are not shown.
pub fn more(count: usize) -> String {
    format!("{count} more, of less use (--format json).")
}

/// Returns the line of a proposal.
pub fn proposal_line(proposal: &Proposal, excess: Option<&Uncertain<Ampere>>, panel: &Panel) -> StyledText {
    StyledText::plain("Next: ")
        .and(Role::Name, instruction(proposal, panel))
        .and(Role::Hint, format!(". Why: {}.", why(proposal, excess)))
}

/// Returns that the draw ended with a pull, and whether by it.
pub fn cured(cured: &Cured) -> String {
    let feed = &cured.feed;
    format!(
        "the draw went when {feed} was pulled and did not come back with it; {} that a module behind {feed} had hung and the pull restarted it, else it ended by itself meanwhile; nothing is repaired, so log it overnight",
        odds(cured.probability)
    )
}

/// Returns why the search stops, or that it goes on. The leader comes with the probability that it is a cause at all,
/// alone or beside another.
pub fn stop(stop: &Stop, excess: Option<&Uncertain<Ampere>>, (who, leads): (&str, f64)) -> String {
    match stop {
        Stop::Open => "readings are left that would tell more".to_owned(),
        Stop::Decided(p) => format!("{who} explains the draw: {}; further fuses need not be read", odds(*p)),
        Stop::NothingWrong(p) | Stop::NotWorth(p) if who == "nothing now" => {
            format!("what drew is not there now: {}; nothing is repaired by that. {RETURNS}", odds(*p))
                .trim_end_matches('.')
                .to_owned()
        }
        Stop::NothingWrong(p) => format!("the readings fit a vehicle with nothing wrong: {}", odds(*p)),
        Stop::AsMapped(p) => format!(
            "every reading is about what the map expects asleep ({}), and together that is over the limit: the limit or the map is not this vehicle's; look up what its maker's service information allows",
            odds(*p)
        ),
        Stop::Ended => "the draw has ended, so nothing more can be read of it".to_owned(),
        Stop::NotWorth(p) if who == "nothing wrong" => format!(
            "likeliest is that nothing is wrong, {}; what is left to read takes longer than it is likely to save: read the total again after a night's rest",
            odds(*p)
        ),
        Stop::NotWorth(_) if leads >= DECIDED => format!(
            "{who} is to blame: {}; whether something else draws beside it shows soonest when it is unplugged: read the total after",
            odds(leads)
        ),
        Stop::NotWorth(p) => format!(
            "{who} leads, {}; what is left to read takes longer than it is likely to save: prove the leader by unplugging, and read the total after",
            odds(*p)
        ),
        Stop::NothingLeft => nothing_left(excess),
    }
}

fn nothing_left(excess: Option<&Uncertain<Ampere>>) -> String {
    match excess {
        Some(excess) if excess.value() > Ampere::ZERO => format!(
            "no reading left on this map can tell where {} goes; what could: a clamp or a meter with a finer last digit, a known load step on a fuse, or a wiring diagram that shows more branches",
            bare(excess.value(), 2)
        ),
        _ => {
            "the total shows no excess that a reading could find; read the total again when the draw is back"
                .to_owned()
        }
    }
}
