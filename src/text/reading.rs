//! What a reading meant: milliampere with interval and floor, and what it did beside.
//! Leaves to others: converting (`measure`), suspects (`text/suspects`).

use super::network::network;
use crate::base::quantity::show::{bare, spoken, with_interval};
use crate::base::quantity::{Ampere, Typed, Uncertain};
use crate::base::styled::{Role, StyledText};
use crate::circuit::inside::InnerPart;
use crate::infer::wake_clock::Series;
use crate::measure::Measurement;
use crate::measure::event::{Event, InnerFall, TimeOut};
use crate::measure::observation::{Observation, Panel, Scope};

/// Says that one circuit draws more asleep than it should.
pub fn high(feed: &str, source: &str) -> StyledText {
    StyledText::of(Role::Doubt, format!("{feed} is high for one circuit asleep: {source}."))
}

/// Says that a reading stands apart from those of the fault: a total too early after a disturbance, or anything read
/// after the repair.
pub fn apart(provisional: bool) -> StyledText {
    let text = if provisional {
        "provisional: something woke the vehicle and its sleep time has not run; read it again then"
    } else {
        "read after the repair or the handover: it may prove the repair, and the finding stays as it was"
    };
    StyledText::of(Role::Doubt, text)
}

/// Returns a reading that was just added, before what it came to.
pub fn brief(what: &Measurement) -> String {
    match what {
        Measurement::Total { as_found: true, .. } => "total as found".to_owned(),
        Measurement::Total { .. } => "total".to_owned(),
        Measurement::Drop { feed, drop } => format!("{feed} {}", drop.text),
        Measurement::Pull { feed, .. } => format!("{feed} pulled, fall"),
        Measurement::Refit { feed, .. } => format!("{feed} back, total"),
        Measurement::Clamp { at, .. } => at.clone(),
        Measurement::Unplug { feed, load, .. } => format!("{feed}/{load} unplugged, fall"),
        Measurement::Input { input, .. } => format!("{input} worked, fall"),
        Measurement::Step { feed, .. } => format!("{feed} step with a known load"),
        other => said(other),
    }
}

/// Returns what it came to, with its floor and whether it stays below.
pub fn came_to(line: StyledText, current: &Uncertain<Ampere>, floor: Option<(Ampere, bool)>) -> StyledText {
    let (role, plain) = (Role::Value, Role::Plain);
    let Some((floor, below)) = floor else {
        return line.and(plain, ": ").and(role, with_interval(current));
    };
    if below {
        let line = line.and(plain, ": less than ").and(role, bare(floor, 2));
        return line.and(plain, ", the smallest that this reading can show");
    }
    line.and(plain, ": ").and(role, with_interval(current)).and(plain, ", floor ").and(role, bare(floor, 2))
}

/// Returns what an observation is about, in a few words.
pub fn subject(scope: Scope, panel: &Panel) -> String {
    match scope {
        Scope::Total => "total".to_owned(),
        Scope::Through(feed) => panel.map.feed_name(feed).to_owned(),
        Scope::Unfused(item) => panel.map.unfused_name(item).to_owned(),
        Scope::FallOfFeed(_) | Scope::FallOfLoad(..) | Scope::FallOfInput(..) => {
            format!("fall {}", occasion(scope, panel))
        }
    }
}

/// Returns on what occasion the total fell: `when F12 was pulled`; empty if the observation is about no fall.
pub fn occasion(scope: Scope, panel: &Panel) -> String {
    match scope {
        Scope::FallOfFeed(feed) => format!("when {} was pulled", panel.map.feed_name(feed)),
        Scope::FallOfLoad(load) => {
            let name = panel.map.load(load).map_or("", |load| load.name.as_str());
            format!("when {}/{name} was unplugged", panel.map.feed_name(load.feed))
        }
        Scope::FallOfInput(input) => {
            format!("when \"{}\" was worked", panel.map.input(input).unwrap_or_default())
        }
        Scope::Total | Scope::Through(_) | Scope::Unfused(_) => String::new(),
    }
}

/// Returns what was read, as it was typed: `F12 3.0 mV`.
pub fn said(what: &Measurement) -> String {
    let fall = |before: &Typed<Ampere>, after: &Typed<Ampere>| {
        format!("total {} before, {} after", before.text, after.text)
    };
    match what {
        Measurement::Total { current, as_found: true } => format!("total {} as found", current.text),
        Measurement::Total { current, .. } => format!("total {}", current.text),
        Measurement::Watch { current } => format!("total {} while waiting", current.text),
        Measurement::Drop { feed, drop } => format!("{feed} {}", drop.text),
        Measurement::Below { feed, drop } => format!("{feed} below {}", drop.text),
        Measurement::Pull { feed, before, after } => format!("{feed} pulled: {}", fall(before, after)),
        Measurement::Refit { feed, total } => format!("{feed} back: total {}", total.text),
        Measurement::Clamp { at, current } => format!("{at} clamped: {}", current.text),
        Measurement::Unplug { feed, load, before, after } => {
            format!("{feed}/{load} unplugged: {}", fall(before, after))
        }
        Measurement::Input { input, before, after } => format!("\"{input}\" worked: {}", fall(before, after)),
        Measurement::Look { at, found } => format!("{at} looked at: {found}"),
        Measurement::Report { of, says } => format!("\"{of}\" reported: {says}"),
        Measurement::Out { at, came, time } => {
            format!("{at} out for {}: {} came", bare(time.value, 3), came_words(came))
        }
        Measurement::Step { feed, before, after, current } => {
            format!(
                "{feed} with a known load of {}: {} before, {} after",
                current.text, before.text, after.text
            )
        }
    }
}

/// Returns how many wake-ups came, from the word of the table.
fn came_words(came: &str) -> String {
    match came.split_once('=').map(|(_, count)| count) {
        None | Some("0") => "no wake-up".to_owned(),
        Some("1") => "1 wake-up".to_owned(),
        Some(count) => format!("{count} wake-ups"),
    }
}

/// Says what is to be known of a time out: how many wake-ups were due in it, and how often so many come by chance.
pub fn time_out(series: Option<&Series>, out: &TimeOut) -> String {
    let Some(series) = series else {
        return "No series of wake-ups is known, so this tells nothing yet. Log a night: settle NIGHT.csv --into LOG."
            .to_owned();
    };
    let chance = series.by_chance(out.came, out.time);
    let due = format!("{:.1} wake-ups were due.", series.due(out.time));
    match chance {
        // What is in doubt about the series itself is more than that.
        chance if chance < 0.01 => format!("{due} By chance that happens less than once in 100 times."),
        chance => format!("{due} By chance that happens {:.0} times in 100.", 100.0 * chance),
    }
}

/// Returns what an observation says: its current with interval, or that it is under its floor; beside it what the map expects
/// there asleep, where it is plainly more.
pub fn meaning(
    observation: &Observation,
    normal: Option<Ampere>,
    is_first: bool,
    panel: &Panel,
) -> StyledText {
    let name = match observation.scope {
        Scope::Total | Scope::Through(_) | Scope::Unfused(_) => subject(observation.scope, panel),
        scope => format!("Fall {}", occasion(scope, panel)),
    };
    let line = StyledText::new().and(Role::Name, name).and(Role::Plain, ": ");
    if observation.current.value() < observation.floor {
        return line
            .and(Role::Value, format!("under {}", bare(observation.floor, 2)))
            .and(Role::Hint, if is_first { LEAST } else { "." });
    }
    let line = line.and(Role::Value, spoken(&observation.current));
    match normal {
        Some(normal) => line.and(Role::Plain, format!(", where {} is normal asleep.", bare(normal, 2))),
        None => line.and(Role::Plain, "."),
    }
}

/// Said of a reading that shows nothing.
const LEAST: &str = ", the least that shows.";

/// Returns what taking off a part inside an unfused item told.
pub fn inside(found: &InnerFall) -> StyledText {
    let InnerPart { part, blames, whole, .. } = found.part;
    let (fell, above) = (bare(found.fall.max(Ampere::ZERO), 2), bare(found.above, 2));
    let (role, told) = match found.is_it {
        Some(true) => (Role::Good, format!("{fell} less; {blames}.")),
        Some(false) if *whole => (
            Role::Doubt,
            format!("still {above} too much. It is the cable up to it, or something else on that cable."),
        ),
        Some(false) => (Role::Plain, format!("still {above} too much, so it is not that.")),
        None => (Role::Doubt, format!("{fell} less, of {above} too much. Something else draws as well.")),
    };
    StyledText::of(role, format!("With the {part} off: {told}"))
}

/// Returns what happened beside a reading.
pub fn event(event: &Event) -> StyledText {
    match event {
        Event::Inside(found) => inside(found),
        Event::Woke { feed } => StyledText::of(
            Role::Doubt,
            format!(
                "The total rose when {feed} came out: its neighbours woke. This pull says nothing. Wait for sleep and read again."
            ),
        ),
        Event::Cured { feed } => StyledText::of(
            Role::Doubt,
            format!(
                "The draw stayed away after {feed} went back. A module on it had hung, or the draw ended by itself. Either may return."
            ),
        ),
        Event::NotFallen { input, within: Some(within) } => StyledText::of(
            Role::Plain,
            format!(
                "No fall yet after the {input}: its modules may take {} to sleep. Leave it as it should stand; the next total tells.",
                bare(*within, 2)
            ),
        ),
        Event::NotFallen { input, within: None } => {
            StyledText::of(Role::Plain, format!("Not the {input}: the total stands."))
        }
        Event::Released { input, others, left } => released(input, others, *left),
        Event::FellTogether { without, group } => StyledText::of(
            Role::Good,
            format!(
                "Without {without} the total fell by more than that draws: {} fell asleep with it. {without}, or what keeps it awake, is the shared cause. The modules that it wakes are sound.",
                network(group)
            ),
        ),
        Event::FellAsleep { from, to } => StyledText::of(
            Role::Doubt,
            format!(
                "The total fell from {} to {} by itself: something fell asleep late. What was read high before must be read again.",
                bare(*from, 3),
                bare(*to, 3)
            ),
        ),
        Event::SetAside { entry, at, read, again } => StyledText::of(
            Role::Good,
            format!(
                "{at} was read twice, {} and {}. Entry {entry} doesn't fit the others and is set aside.",
                bare(*read, 3),
                bare(*again, 3)
            ),
        ),
        Event::NoResistance { feed, fault } => {
            StyledText::of(Role::Doubt, format!("{feed} is kept, but gives no current: {fault}"))
        }
    }
}

/// The total fell when an input was worked, or some time after it.
fn released(input: &str, others: &[String], left: Option<Ampere>) -> StyledText {
    let named = format!("the {input}");
    let whose = match others {
        [] => format!("The total fell once {named} was worked: it keeps its modules awake."),
        _ => format!(
            "It fell after {named} and {} were worked: one of these keeps its modules awake. Work them again one by one.",
            others.iter().map(|other| format!("the {other}")).collect::<Vec<_>>().join(", ")
        ),
    };
    match left {
        None => StyledText::of(Role::Good, format!("{whose} Mend that switch, not the modules it wakes.")),
        Some(left) => {
            let too_much = bare(left, 2);
            StyledText::of(
                Role::Doubt,
                format!("{whose} About {too_much} too much is left: there is a second cause."),
            )
        }
    }
}
