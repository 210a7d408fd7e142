//! What a meter log says about sleep, in words.
//! Leaves to others: finding it out (`trace`), numbers and lists of the result (`cli/command/settle`).

use super::stand as stand_words;
use crate::balance::verdict::{DrawVerdict as Judged, judge};
use crate::base::quantity::show::{bare, with_interval};
use crate::base::quantity::{Ampere, AmpereHour, Day, Minute, Uncertain, Unit};
use crate::base::styled::{Role, StyledText, clean};
use crate::battery::capacity::Capacity;
use crate::circuit::map::Map;
use crate::log::trace_summary::TraceSummary;
use crate::trace::known::{Attribution, explain};
use crate::trace::ledger::{LedgerKind, LedgerLine};
use crate::trace::settle::{SettleVerdict, Settling};
use crate::trace::step::LevelStep;
use crate::trace::table::Recording;

/// Returns a span of time: seconds, minutes or hours by its size.
pub fn span(time: Minute) -> String {
    let minutes = time.base();
    if minutes * 60.0 < 9.95 {
        format!("{:.1} s", minutes * 60.0)
    } else if minutes < 2.0 {
        format!("{:.0} s", minutes * 60.0)
    } else if minutes < 120.0 {
        format!("{minutes:.1} min")
    } else {
        format!("{:.1} h", minutes / 60.0)
    }
}

/// Returns a charge in mAh, in Ah from one on.
pub fn charge(charge: AmpereHour) -> String {
    let milli = charge.milli();
    if charge >= AmpereHour::new(1.0) {
        bare(charge, 3)
    } else if milli.abs() < 9.995 {
        format!("{milli:.2} mAh")
    } else {
        format!("{milli:.0} mAh")
    }
}

/// A log that says nothing worth keeping.
pub const NOTHING_ENTERED: &str =
    "Nothing was entered: the log says neither where it rests nor what keeps it from resting.";

/// Says whether it settled and why, at which level, and what it is on average.
pub fn result(found: &Settling, why: &str) -> Vec<StyledText> {
    let (role, word) =
        if found.is_settled() { (Role::Good, "Settled. ") } else { (Role::Doubt, "Not settled. ") };
    let mut lines = vec![StyledText::of(role, word).and(Role::Plain, why)];
    if let Some(level) = &found.level {
        lines.push(StyledText::plain("Level: ").and(Role::Value, with_interval(level)));
    }
    if let (Some(average), false) = (&found.average, found.wakes.is_empty() && found.dips.is_empty()) {
        lines.push(StyledText::plain("Average, wake-ups in: ").and(Role::Value, with_interval(average)));
    }
    lines
}

/// Most wake-ups that are listed.
const LISTED: usize = 8;

/// Lists the wake-ups, or what cycles; `when` says a time as the log has it.
pub fn wakes(found: &Settling, when: impl Fn(Minute) -> String) -> Vec<StyledText> {
    let mut lines = Vec::new();
    if !found.wakes.is_empty() {
        lines.push(StyledText::plain(if found.level.is_some() { "Wake-ups:" } else { "Cycles:" }));
    }
    lines.extend(found.wakes.iter().take(LISTED).map(|wake| {
        StyledText::plain(format!("{}  {}, peak ", when(wake.start), span(wake.length)))
            .and(Role::Value, bare(wake.peak, 3))
            .and(Role::Plain, format!(", {} above the rest", charge(wake.charge)))
            .indented(2)
    }));
    if found.wakes.len() > LISTED {
        let more = format!("and {} more", found.wakes.len() - LISTED);
        lines.push(StyledText::of(Role::Hint, more).indented(2));
    }
    lines
}

/// Says how the log was understood, and what was left out.
pub fn understood(found: &Settling, log: &Recording) -> Vec<StyledText> {
    let mut lines = vec![StyledText::of(Role::Hint, format!("Read as: {}.", log.layout))];
    if let (true, Some(first)) = (log.skipped > 0, &log.first_skipped) {
        lines.push(StyledText::of(
            Role::Doubt,
            format!("Rows left out: {}; the first: {first}.", log.skipped),
        ));
    }
    if log.overloads > 0 {
        lines.push(StyledText::of(
            Role::Doubt,
            format!("Rows with the meter out of range: {}.", log.overloads),
        ));
    }
    if log.mended.doubled > 0 {
        let told = format!("Doubled time stamps: {}; spread evenly.", log.mended.doubled);
        lines.push(StyledText::of(Role::Hint, told));
    }
    if let Some(line) = log.mended.first_set_back {
        let told = format!("The clock was set back after line {line}; taken as running on.");
        lines.push(StyledText::of(Role::Doubt, told));
    }
    let gaps: Vec<Minute> = found.trace.gaps().map(|(_, length)| length).collect();
    if let Some(longest) = gaps.iter().copied().reduce(Minute::max) {
        let told = format!(
            "Gaps: {}, the longest {}; nothing is taken for known in them.",
            gaps.len(),
            span(longest)
        );
        lines.push(StyledText::of(Role::Doubt, told));
    }
    if found.reversed {
        lines.push(StyledText::of(Role::Doubt, "The current was logged with the other sign; it was turned."));
    }
    lines
}

/// Says in one or two sentences why it is settled, or why not.
pub fn why(found: &Settling, sleep_after: Option<Minute>) -> String {
    let length = span(found.trace.span());
    match found.verdict {
        SettleVerdict::Settled => settled(found),
        SettleVerdict::TooShort => format!("The log covers {length}; a rest must last 10 min."),
        SettleVerdict::TooEarly => format!(
            "It is flat, but the log covers {length} only, and by the map something may be awake for {}.",
            span(sleep_after.unwrap_or(Minute::ZERO))
        ),
        SettleVerdict::Awake => awake_at_the_end(found),
        SettleVerdict::StillChanging => match found.steps.last() {
            Some(step) => format!(
                "The last lasting step, to {}, came {} after the first sample; it was not followed by 10 min at rest.",
                bare(step.to, 3),
                span(step.at)
            ),
            None => "No level lasted for 10 min.".to_owned(),
        },
        SettleVerdict::Cycling => format!(
            "It never rests: it goes up and down every {} and is up {:.0} % of the time.",
            span(found.period.map_or(Minute::ZERO, |period| period.time)),
            found.away * 100.0
        ),
        SettleVerdict::Restless => {
            let apart = span(found.period.map_or(Minute::ZERO, |period| period.time));
            let share = found.away * 100.0;
            format!(
                "It never rests: it goes up and down, mostly {apart} apart, and is up {share:.0} % of the time."
            )
        }
    }
}

/// Says since when it was awake at the end, and that it had rested before.
fn awake_at_the_end(found: &Settling) -> String {
    let level = found.level.as_ref().map(|level| bare(level.value(), 3)).unwrap_or_default();
    let since = found.after.map(span).unwrap_or_default();
    let woken = found.wakes.last().map(|wake| {
        let (start, peak) = (span(wake.start), bare(wake.peak, 3));
        format!(" {start} after the first sample it woke, up to {peak}, and was awake when the log ended.")
    });
    format!("It rested at {level} from {since} on.{}", woken.unwrap_or_default())
}

fn settled(found: &Settling) -> String {
    let level = found.level.as_ref().map(|level| bare(level.value(), 3)).unwrap_or_default();
    let after = found.after.unwrap_or(Minute::ZERO);
    let rest = span(found.trace.span() - after);
    let since = if after > Minute::ZERO {
        format!("since {} after the first sample", span(after))
    } else {
        "from the first sample on".to_owned()
    };
    let mut said = format!("It rests at {level} {since}, for {rest}");
    if !found.wakes.is_empty() {
        said += &format!("; wake-ups: {}, {} of the time", found.wakes.len(), percent(found.away));
        if let Some(period) = found.period {
            let time = span(period.time);
            said +=
                &if period.regular { format!(", every {time}") } else { format!(", mostly {time} apart") };
        }
    }
    said += ".";
    if found.supports > 0 {
        said += " Now and then the current runs the other way: something supports the battery.";
    }
    if let Some(moved) = found.drift {
        said += &format!(" The rest drifted by {}, slowly: the meter warming up, no module.", bare(moved, 2));
    }
    said
}

/// Says in one line what a meter log showed, as an entry of the session log keeps it.
pub fn watched(seen: &TraceSummary) -> String {
    let over = span(seen.span);
    let mut said = match (seen.level, seen.rests_after) {
        (Some(level), Some(after)) => format!(
            "meter log {} over {over}: rests at {} from {} on",
            clean(&seen.file),
            bare(level, 3),
            span(after)
        ),
        _ => format!(
            "meter log {} over {over}: does not rest, is up {:.0} % of the time",
            clean(&seen.file),
            seen.away * 100.0
        ),
    };
    said += &match seen.count {
        0 => "; nothing departed from it".to_owned(),
        count => format!("; departures: {count}"),
    };
    if let Some(period) = seen.period {
        said += if seen.regular { ", every " } else { ", mostly apart by " };
        said += &span(period);
    }
    if let Some(highest) = seen.departures.iter().map(|one| one.peak).reduce(Ampere::max) {
        said += &format!(", up to {}", bare(highest, 3));
    }
    said
}

fn percent(share: f64) -> String {
    if share < 0.01 { "under 1 %".to_owned() } else { format!("{:.0} %", share * 100.0) }
}

/// Says in a line what a line of the ledger was.
pub(crate) fn ledger_line(line: &LedgerLine, when: &dyn Fn(Minute) -> String) -> String {
    let (length, peak) = (span(line.length), bare(line.peak, 3));
    match (line.what, line.times, line.period) {
        (LedgerKind::Rest, ..) => format!("at rest, {peak}"),
        (LedgerKind::Unfinished, ..) => format!("{peak}, still up at the end"),
        (_, times, Some(period)) => format!("{times} × {length}, every {}", span(period)),
        (_, 1, None) => format!("{peak} for {length} from {}", clock_part(&when(line.first))),
        (_, times, None) => format!("{times} × {length}, up to {peak}"),
    }
}

/// Returns the time of day of a date and time; other times as they are.
fn clock_part(moment: &str) -> &str {
    moment.split_once('T').and_then(|(_, time)| time.get(..5)).unwrap_or(moment)
}

/// Columns of what a line was, and of what it takes.
const LEDGER_COLUMNS: (usize, usize) = (30, 9);

/// Shows what a day takes, and what it goes to, as bars; with what each may be.
pub fn ledger(
    found: &Settling,
    attributed: &[Option<Attribution>],
    when: &dyn Fn(Minute) -> String,
    width: usize,
    blocks: bool,
) -> Vec<StyledText> {
    let ledger = &found.ledger;
    if ledger.lines.is_empty() {
        return Vec::new();
    }
    let takes = |amount: f64| format!("{:.2} Ah", amount + 0.0);
    let mut lines =
        vec![StyledText::plain("A day takes ").and(Role::Value, takes(ledger.day())).and(Role::Plain, ":")];
    let most = ledger.lines.iter().map(|line| ledger.per_day(line).abs()).fold(f64::MIN_POSITIVE, f64::max);
    let (label, figure) = LEDGER_COLUMNS;
    let room = width.saturating_sub(label + figure + 4).min(40);
    for (at, line) in ledger.lines.iter().enumerate() {
        let amount = ledger.per_day(line);
        let filled = (amount.abs() / most * room as f64).round() as usize;
        let bar = if blocks { "█" } else { "#" }.repeat(filled.min(room));
        let text = StyledText::plain(format!("{:<label$} ", ledger_line(line, when)))
            .and(Role::Value, format!("{:>figure$}", takes(amount)));
        lines.push(if bar.is_empty() { text } else { text.and(Role::Plain, format!(" {bar}")) }.indented(2));
        lines.extend(attributed.get(at).and_then(Option::as_ref).map(|one| fits(one).indented(4)));
    }
    lines
}

/// Says what a line of the ledger may be.
fn fits(one: &Attribution) -> StyledText {
    let line = StyledText::plain("fits ").and(Role::Name, &one.name);
    match (one.known, one.usual) {
        (Some(known), true) => line.and(Role::Hint, format!(", no fault by itself ({})", known.source)),
        (Some(known), false) => {
            line.and(Role::Hint, format!(", but takes a lot for that ({})", known.source))
        }
        (None, _) => line.and(Role::Plain, ": read its fuse"),
    }
}

/// Says what a step was, with the modules of the map that explain it.
pub fn step(step: &LevelStep, when: &str, map: Option<&Map>) -> StyledText {
    let way = if step.to > step.from { "up" } else { "down" };
    let mut line = StyledText::plain(format!("{when}  {way} "))
        .and(Role::Value, bare(step.from, 3))
        .and(Role::Plain, " to ")
        .and(Role::Value, bare(step.to, 3));
    let fits = map.map(|map| explain(step, map)).unwrap_or_default();
    if !fits.is_empty() {
        line = line.and(Role::Plain, ": fits ").and(Role::Name, fits.join(", "));
    } else if map.is_some() && step.to < step.from {
        line = line.and(Role::Hint, ": no module of the map fits");
    }
    line.indented(2)
}

/// Says how high it was before the time from which the curve has its scale, if that is cut off.
pub fn cut_off(found: &Settling, since: Minute) -> Option<StyledText> {
    let highest = |of: &mut dyn Iterator<Item = Ampere>| of.fold(Ampere::ZERO, Ampere::max);
    let samples = || found.trace.samples();
    let before = highest(&mut samples().filter(|(at, _)| *at < since).map(|(_, current)| current));
    let after = highest(&mut samples().filter(|(at, _)| *at >= since).map(|(_, current)| current));
    let told = format!("Cut off at the top: the first {} went up to {}.", span(since), bare(before, 3));
    (before > after).then(|| StyledText::of(Role::Hint, told))
}

/// Says how long a full battery stands so.
pub fn stands(days: &Uncertain<Day>, capacity: &Capacity) -> StyledText {
    StyledText::plain("A full battery (")
        .and(Role::Plain, stand_words::capacity_in_short(capacity))
        .and(Role::Plain, ") stands ")
        .and(Role::Value, stand_words::days(days))
        .and(Role::Plain, " of it.")
}

/// Says how rest and average are against a limit.
pub fn against(found: &Settling, verdict: Judged, limit: Ampere) -> StyledText {
    let (role, words) = match verdict {
        Judged::Within => (Role::Good, "within"),
        Judged::Over => (Role::Doubt, "over"),
        Judged::Undecided => (Role::Doubt, "undecided against"),
    };
    let line = StyledText::plain("The night is ")
        .and(role, words)
        .and(Role::Plain, format!(" the limit of {}", bare(limit, 3)));
    let is_over =
        |draw: Option<&Uncertain<Ampere>>| draw.is_some_and(|draw| judge(draw, limit) == Judged::Over);
    line.and(
        Role::Plain,
        match (verdict, is_over(found.level.as_ref()), is_over(found.average.as_ref())) {
            (Judged::Over, false, true) if found.level.is_some() => {
                " on average, though not at rest: find out what wakes it."
            }
            (Judged::Undecided, ..) if found.level.is_none() => ": it never rests.",
            _ => ".",
        },
    )
}

/// What a usual car battery gives until it no longer cranks, in ampere-hours.
///
/// # Source
/// A battery maker's manual: 33 days at 25 mA, 3.3 at 250 mA.
const USABLE: f64 = 20.0;

/// Holds the draw, wake-ups in, against how long the vehicle is told to stand before it is flat.
pub fn against_stand(found: &Settling, stand: Minute) -> Option<StyledText> {
    let average = found.average.as_ref()?.value();
    let taken = average.base() * stand.base() / 60.0;
    let line = StyledText::plain(format!("In the {} until it is flat, as told, this takes ", bare(stand, 2)))
        .and(Role::Value, format!("{taken:.1} Ah"))
        .and(Role::Plain, format!("; a usual car battery gives about {USABLE:.0} Ah"));
    Some(if taken < USABLE / 2.0 {
        line.and(
            Role::Doubt,
            ". This draw does not explain it: look at the battery, the charging, other nights.",
        )
    } else {
        line.and(Role::Plain, ".")
    })
}
