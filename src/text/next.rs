//! Which reading to take next and why, and why the search stops.
//! Leaves to others: the plan (`plan/next`).

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Minute, Uncertain, Unit};
use crate::base::styled::{Role, StyledText};
use crate::circuit::inputs::way_of;
use crate::circuit::inside::find_part;
use crate::circuit::signs::{Sign, Signs};
use crate::infer::assumptions::DECIDED;
use crate::infer::cured::Cured;
use crate::infer::night::NightEvidence;
use crate::infer::sign::{first_sign, reported_sign};
use crate::measure::kind::MeasurementKind;
use crate::measure::late::wait;
use crate::measure::night::LedgerKind;
use crate::measure::observation::Panel;
use crate::measure::observe::find_input;
use crate::measure::sighting::SightingPlace;
use crate::plan::proposal::{Proposal, StepReason, Stop};

use super::ask::total::RETURNS;
use super::help;
use super::night;
use super::sentence::capital;
use super::suspects::{POSSIBLE, odds};

/// Returns what to do, in one short sentence without its full stop; with the time of day until when where `now` is told.
pub fn instruction(proposal: &Proposal, panel: &Panel, now: Option<DateTime<FixedOffset>>) -> String {
    let at = proposal.at.as_deref().unwrap_or("");
    match proposal.action {
        MeasurementKind::Drop => format!("Across {at}{}", fuse_words(at, panel)),
        MeasurementKind::Clamp => format!("Clamp {at}{}", fuse_words(at, panel)),
        MeasurementKind::Pull => {
            format!("Pull {at}{}; total before, and after a minute", fuse_words(at, panel))
        }
        MeasurementKind::Unplug => {
            match at.split_once('/').and_then(|(item, part)| find_part(item, part, &panel.map)) {
                Some((_, part)) => format!("{at}: {}; total before and after", part.how),
                None => format!("Unplug {at}; total before and after"),
            }
        }
        MeasurementKind::Look => look(at, panel),
        MeasurementKind::Out => leave_out(proposal, at, panel, now),
        MeasurementKind::Report => report(at),
        MeasurementKind::Input => input(at, panel),
        MeasurementKind::Refit => format!("Put {at} back; total once all sleeps again"),
        MeasurementKind::Temperature => "Temperature at the fuse boxes".to_owned(),
        MeasurementKind::Volts => "Battery volts".to_owned(),
        MeasurementKind::Total => "Settled total again".to_owned(),
        MeasurementKind::Zero => "Leads shorted, the meter shows".to_owned(),
        MeasurementKind::Step => {
            format!("Known load on {at} on and off: mV without, with it, and its current")
        }
        other => format!("{} {at}: {}", capital(other.row().word), help::kind(other)),
    }
}

/// Returns what to do as a question asks for it: a word that is wanted is named.
pub fn asked(proposal: &Proposal, panel: &Panel, now: DateTime<FixedOffset>) -> String {
    let what = instruction(proposal, panel, Some(now));
    let place = proposal.at.as_deref().and_then(|at| SightingPlace::find(at, panel));
    let words = |sign: &Sign| Signs::builtin().words(&sign.sense).join(", ");
    match (proposal.action, place) {
        (MeasurementKind::Look, Some(place)) => {
            first_sign(place, panel).map(|sign| format!("{what} ({})", words(sign)))
        }
        (MeasurementKind::Report, Some(place)) => {
            reported_sign(place, panel).map(|sign| format!("{what} ({}; or skip)", words(sign)))
        }
        _ => None,
    }
    .unwrap_or(what)
}

/// Says how to work an input, and when to read: its modules fall asleep some time after it.
fn input(at: &str, panel: &Panel) -> String {
    let how = way_of(at).map(|way| format!(" ({})", way.how)).unwrap_or_default();
    let waits = find_input(panel, at).map(|input| wait(input, panel));
    let until = waits.map(|wait| format!(" up to {}", bare(wait, 2))).unwrap_or_default();
    format!("Work the {at}{how}; total before, and after{until}")
}

/// Says what to read on a scan tool; an input that says what it should at rest counts as shut.
fn report(at: &str) -> String {
    let way = way_of(at).filter(|way| !at.contains('/') && way.rests != "shut");
    let rests = way.map(|way| format!(", shut if it says \"{}\"", way.rests)).unwrap_or_default();
    format!("Scan tool: what does it say of {at}{rests}?")
}

/// Why a scan tool is asked about several inputs before one is worked.
pub const WHY_ASKED_OF: &str =
    "Next: ask the vehicle. What it calls open while it stands shut keeps it awake.";

/// What may be typed where a scan tool is asked about several inputs.
pub const HELP_ASKED_OF: &str =
    "Type none, or the numbers of those that it calls open. Without a scan tool: skip.";

/// Asks in one go what a scan tool says of several inputs, with what it should say of those that are neither open nor shut.
pub fn asked_of(inputs: &[String]) -> String {
    let rests = |at: &str| way_of(at).map_or("shut", |way| way.rests.as_str());
    let one = |(at, name): (usize, &String)| match rests(name) {
        "shut" => format!("{} {name}", at + 1),
        rests => format!("{} {name}, unless \"{rests}\"", at + 1),
    };
    let listed: Vec<String> = inputs.iter().enumerate().map(one).collect();
    format!("Scan tool: which does it call open? {}: none, or numbers; or skip", listed.join(" · "))
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

/// Says until when a fuse stays out, and what is typed then.
fn leave_out(proposal: &Proposal, at: &str, panel: &Panel, now: Option<DateTime<FixedOffset>>) -> String {
    let what = format!("Leave {at}{} out", fuse_words(at, panel));
    match proposal.reason {
        StepReason::Due { wakes, time } => {
            let ends =
                now.and_then(|now| now.checked_add_signed(TimeDelta::minutes(time.base().ceil() as i64)));
            let time = format!("{:.0} min", time.base());
            let until = match ends {
                Some(ends) => format!("until {} ({time})", ends.format("%H:%M")),
                None => format!("for {time}"),
            };
            let due = if wakes == 2 {
                "two wake-ups are due".to_owned()
            } else {
                format!("{wakes} wake-ups are due")
            };
            format!("{what} {until}: {due}. Then type none {time}, or came=1 {time}")
        }
        _ => what,
    }
}

/// Says how to look at a load.
fn look(at: &str, panel: &Panel) -> String {
    let sign = SightingPlace::find(at, panel).and_then(|place| first_sign(place, panel));
    let how = sign.map(|sign| format!(": {}", sign.how)).unwrap_or_default();
    format!("Look at {at}{how}")
}

fn fuse_words(at: &str, panel: &Panel) -> String {
    let Ok(feed) = panel.tree.find_feed(at) else { return String::new() };
    let Some(found) = panel.map.feeds.get(feed) else { return String::new() };
    let place = panel.map.box_of(found).map(|place| format!(", {}", box_called(&place.id)));
    format!(" ({}{})", found.fuse.words(), place.unwrap_or_default())
}

/// Returns what a fuse box is called: `battery top`.
pub fn box_called(id: &str) -> String {
    id.replace(['-', '_'], " ")
}

/// Returns why a reading is proposed, in short sentences.
pub fn why(proposal: &Proposal, excess: Option<&Uncertain<Ampere>>, panel: &Panel) -> String {
    match proposal.reason {
        StepReason::NoTotal => "nothing can be judged without it.".to_owned(),
        StepReason::LowersFloor(share) => {
            format!("with the offset off, fuses show down to {:.0} % of it.", share * 100.0)
        }
        StepReason::Covers(share) => covers(share, proposal, excess, panel),
        StepReason::Looks => "nothing is unplugged for a look.".to_owned(),
        StepReason::Reports if proposal.at.as_deref().is_some_and(|at| at.contains('/')) => {
            "is it awake while the rest sleeps?".to_owned()
        }
        StepReason::Reports => "open while it stands shut, it keeps its network awake.".to_owned(),
        StepReason::Narrows => "is it this load?".to_owned(),
        StepReason::NarrowsInside => "which part of it draws?".to_owned(),
        StepReason::FindsInput => "it may keep its network awake.".to_owned(),
        StepReason::Calibrates(relative) => {
            format!("its resistance is known roughly; then to {:.0} %.", (relative * 100.0).max(1.0))
        }
        StepReason::Due { wakes, .. } => {
            format!(
                "if none of {wakes} comes, what wakes it is behind {}.",
                proposal.at.as_deref().unwrap_or("it")
            )
        }
        StepReason::MayHaveFallen => "a module may have slept late.".to_owned(),
        StepReason::MayHaveHung => "if the draw stays away now, a module had hung.".to_owned(),
        StepReason::Repeats => "that reading disagrees with the others.".to_owned(),
    }
}

/// How likely it is that a reading shows the drain, and the least that it can show where that comes near what is sought.
fn covers(share: f64, proposal: &Proposal, excess: Option<&Uncertain<Ampere>>, panel: &Panel) -> String {
    let behind = proposal.at.as_deref().map_or_else(|| "all of it".to_owned(), |at| behind(at, panel));
    let shows = match odds(share) {
        "unlikely" => format!("{behind}, unlikely, soon read."),
        odds => format!("{behind}, {odds}."),
    };
    let floor = proposal.floor.as_ref().map(Uncertain::value);
    match (floor, excess.map(Uncertain::value)) {
        (Some(floor), Some(sought)) if floor * NEAR_FLOOR > sought => {
            format!("{shows} It shows {} or more.", bare(floor, 2))
        }
        _ => shows,
    }
}

/// Returns what a reading tells of: the fuses behind a link, the loads on a fuse, a cable without a fuse.
fn behind(at: &str, panel: &Panel) -> String {
    let Ok(feed) = panel.tree.find_feed(at) else { return "no fuse on it".to_owned() };
    let fuses = panel.map.feeds.ids().filter(|other| panel.tree.path_to_battery(*other).contains(&feed));
    let loads = panel.map.feeds.get(feed).map_or(&[][..], |found| &found.loads);
    match (fuses.count(), loads) {
        (0 | 1, []) => "nothing listed on it".to_owned(),
        (0 | 1, [one]) => one.name.clone(),
        (0 | 1, [one, .., last]) if loads.len() == 2 => format!("{} and {}", one.name, last.name),
        (0 | 1, [one, ..]) => format!("{} and {} more", one.name, loads.len() - 1),
        (2, _) => "one fuse behind it".to_owned(),
        (count, _) => format!("{} fuses behind it", count - 1),
    }
}

/// The least that shows is said where what is sought is less than so many times as much. Editorial.
const NEAR_FLOOR: f64 = 1.5;

/// Heads the readings that are left once the search stops.
pub fn further(stop: &Stop) -> &'static str {
    match stop {
        Stop::NotWorth(_) => "What could be read all the same",
        Stop::Open | Stop::AtTimes(_) => "To find out which circuit it is",
        _ => "To find the part itself",
    }
}

/// Says how many readings are not shown.
pub fn more(count: usize) -> String {
    format!("{count} more, of less use (--format json).")
}

/// Returns the line of a proposal: what, and why.
pub fn proposal_line(proposal: &Proposal, excess: Option<&Uncertain<Ampere>>, panel: &Panel) -> StyledText {
    StyledText::plain("Next: ")
        .and(Role::Name, instruction(proposal, panel, None))
        .and(Role::Hint, format!(": {}", why(proposal, excess, panel)))
}

/// Returns why the reading that is asked for comes next, and how far along it is: readings and minutes to go.
pub fn why_next(
    proposal: &Proposal,
    excess: Option<&Uncertain<Ampere>>,
    panel: &Panel,
    left: Option<(usize, Minute)>,
) -> StyledText {
    let name = proposal.at.as_deref().unwrap_or(proposal.action.row().word);
    let line = StyledText::plain("Next ")
        .and(Role::Name, name)
        .and(Role::Plain, format!(": {}", why(proposal, excess, panel)));
    match left {
        Some((count, minutes)) if count > 1 => {
            line.and(Role::Hint, format!(" About {count} more, {}.", bare(minutes, 1)))
        }
        _ => line,
    }
}

/// Returns that the draw ended with a pull, and whether by it.
pub fn cured(cured: &Cured) -> String {
    let feed = &cured.feed;
    format!(
        "The draw went when {feed} was pulled and stayed away. That a module on it had hung is {}; else it ended by itself. Nothing is repaired: log it overnight.",
        odds(cured.probability)
    )
}

/// What the end of the search is told with.
#[derive(Debug, Clone, Default)]
pub struct Ending<'a> {
    /// What leads, as it is spoken of.
    pub who: &'a str,
    /// Probability that it is a cause at all, alone or beside another.
    pub leads: f64,
    /// Draw that is left without it, and the limit, where both are known.
    pub without: Option<(Ampere, Ampere)>,
    /// What a meter log shows of a draw that comes and goes.
    pub night: Option<&'a NightEvidence>,
    /// True if it was left out, and no wake-up came.
    pub was_out: bool,
    /// True if the fuse of what leads is not to be touched.
    pub is_left_alone: bool,
    /// What is sought.
    pub excess: Option<&'a Uncertain<Ampere>>,
}

/// Returns why the search stops, or that it goes on.
pub fn stop(stop: &Stop, end: &Ending) -> String {
    let who = end.who;
    match stop {
        Stop::Open if end.night.is_some_and(|night| night.is_woken) => at_times(end),
        Stop::Open => "Readings are left that would tell more.".to_owned(),
        Stop::Decided(p) => {
            let sure = if *p >= DECIDED { String::new() } else { format!(" ({})", odds(*p)) };
            format!("It's {who}{sure}.{} No need to read more.", without(end))
        }
        Stop::AtTimes(_) => at_times(end),
        Stop::NothingWrong(p) | Stop::NotWorth(p) if who == "nothing now" => {
            format!("What drew is not there now: {}. Nothing is repaired by that. {RETURNS}", odds(*p))
        }
        Stop::NothingWrong(p) => format!("Nothing wrong shows in the readings: {}.", odds(*p)),
        Stop::AsMapped(p) => format!(
            "Every reading is about what the map expects asleep ({}), and together that is over the limit. The limit or the map is not this vehicle's. Look up what its service information allows.",
            odds(*p)
        ),
        Stop::Ended => "The draw has ended. Nothing more can be read of it.".to_owned(),
        Stop::NotWorth(p) if who == "nothing wrong" => format!(
            "Nothing wrong is likeliest ({}). More readings cost more than they save. Read the total again after a night's rest.",
            odds(*p)
        ),
        Stop::NotWorth(_) if end.leads >= DECIDED => format!(
            "It's {who}.{} Unplug it and read the total: that shows whether something else draws too.",
            without(end)
        ),
        Stop::NotWorth(p) => format!(
            "{} leads ({}). More readings cost more than they save: unplug it and read the total.",
            capital(who),
            odds(*p)
        ),
        Stop::NothingLeft => nothing_left(end.excess),
    }
}

/// Returns what to do next where the draw comes and goes and is away now.
fn at_times(end: &Ending) -> String {
    let Some((night, line)) = end.night.and_then(|night| Some((night, night.line.as_ref()?))) else {
        return "The draw comes and goes, and is away now. Log the total for a night.".to_owned();
    };
    let mut said = format!("The draw comes and goes, and is away now: {}. ", night::what(line, night));
    if end.leads < POSSIBLE {
        said +=
            "The log doesn't tell which fuse it is on. Log the likeliest fuses beside the total for a night.";
    } else {
        said += &format!("{}: {}. ", capital(end.who), odds(end.leads));
        said += match (end.is_left_alone, line.what) {
            _ if end.was_out => {
                "It was out, and nothing woke. Repair it, then log another night: that is the proof."
            }
            (true, _) => "Leave its fuse alone. The maker's service information says how to test it.",
            (false, LedgerKind::Series | LedgerKind::Cycle) => {
                "Log its fuse beside the total for a night. Or leave it out: if the next two don't come, it's that one."
            }
            (false, _) => "Log its fuse beside the total for a night, or leave it out for one.",
        };
    }
    let alone = [LedgerKind::Single, LedgerKind::Unfinished].contains(&line.what) && line.times == 1;
    if let Some(first) = night.first.filter(|_| alone) {
        said += &format!(" Ask what happens at {}.", first.format("%H:%M"));
    }
    said
}

/// What the draw would be without the cause, held against the limit.
fn without(end: &Ending) -> String {
    match end.without {
        Some((left, limit)) if left <= limit => {
            format!(" Without it the draw would be {}, within {}.", bare(left, 2), bare(limit, 2))
        }
        Some((left, limit)) => {
            format!(" Without it the draw would still be {}, over {}.", bare(left, 2), bare(limit, 2))
        }
        None => String::new(),
    }
}

fn nothing_left(excess: Option<&Uncertain<Ampere>>) -> String {
    match excess {
        Some(excess) if excess.value() > Ampere::ZERO => format!(
            "No reading left on this map tells where {} goes. What could: a finer meter or clamp, a known load on a fuse, or a wiring diagram.",
            bare(excess.value(), 2)
        ),
        _ => "The total shows no excess that a reading could find. Read it again when the draw is back."
            .to_owned(),
    }
}
