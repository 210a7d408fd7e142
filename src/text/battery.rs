//! What a battery and its charging side are fit for, in words, with what would settle each doubt.
//! Leaves to others: the verdict (`battery/judge`, `battery/charging`).

use crate::base::quantity::show::bare;
use crate::base::quantity::{AmpereHour, Share, Unit, Volt};
use crate::base::styled::{Role, StyledText};
use crate::battery::charge::{Charge, Unreadable};
use crate::battery::charging::Finding;
use crate::battery::judge::Judgement;
use crate::battery::reason::{BatteryReason, BatteryVerdict};

/// Returns a share in percent with its interval, kept between none and all: `85 % (71 to 99)`.
pub fn charge(charge: &Charge) -> String {
    let percent = |share: Share| (share.base() * 100.0).round();
    format!("{} % ({} to {})", percent(charge.share.value()), percent(charge.low()), percent(charge.high()))
}

/// Volts as a meter at the posts shows them.
fn volt(volts: Volt) -> String {
    format!("{:.2} V", volts.base())
}

/// Returns the verdict with its reasons, a line each.
pub fn judgement(found: &Judgement) -> Vec<StyledText> {
    let role = if found.verdict == BatteryVerdict::Fit { Role::Good } else { Role::Doubt };
    let mut lines = vec![StyledText::plain("Battery: ").and(role, called(found.verdict))];
    // What is charged before it is tested is said to be tested with that.
    let is_low = found.reasons.iter().any(|one| matches!(one, BatteryReason::ChargeLow(_)));
    let reasons = found.reasons.iter().filter(|one| !(is_low && **one == BatteryReason::NotTested));
    lines.extend(reasons.map(|one| {
        let role = if one.says() == BatteryVerdict::Fit { Role::Plain } else { Role::Doubt };
        StyledText::of(role, reason(one)).indented(2)
    }));
    lines
}

/// What a verdict is called.
fn called(verdict: BatteryVerdict) -> &'static str {
    match verdict {
        BatteryVerdict::Fit => "fit",
        BatteryVerdict::NotYet => "not proved good yet",
        BatteryVerdict::Doubtful => "doubtful",
    }
}

/// Returns a reason in one sentence, with what would settle it.
pub fn reason(reason: &BatteryReason) -> String {
    match reason {
        BatteryReason::Unsafe => {
            "Frozen, swollen or leaking: never charge, jump or test it, and let nobody start the vehicle. Replace it, eyes and hands guarded.".into()
        }
        BatteryReason::MayBeFrozen { freezes, temperature } => format!(
            "It may be frozen: at these volts its acid freezes at about {}, and it has {}. Never charge or jump it. Thaw it slowly in an aired place and look for cracks.",
            bare(*freezes, 2),
            bare(*temperature, 2)
        ),
        BatteryReason::TestedGood => "Tested good.".into(),
        BatteryReason::TestedBad => {
            "Tested bad: it goes flat by itself, without any draw. Charge it fully and test again, or replace it.".into()
        }
        BatteryReason::NotTested => {
            "Not tested: test it under load, full and rested.".into()
        }
        BatteryReason::Charged(found) => format!("Charge {}.{}", charge(found), surface(found)),
        BatteryReason::ChargeLow(found) => format!(
            "Charge {}: charge it fully and let it rest before you test it.{}",
            charge(found),
            surface(found)
        ),
        BatteryReason::ChargeUnreadable(found) => unreadable(found),
        BatteryReason::Cranking(share, says) => {
            let percent = bare(*share, 2);
            match says {
                BatteryVerdict::Fit => format!("Measured cranking rating {percent} of the rated one: sound."),
                _ => format!(
                    "Measured cranking rating {percent} of the rated one: weak below 80 %, worn out below 70 % (common practice). Test again, fully charged."
                ),
            }
        }
        BatteryReason::LoadTest { shown, least, says } => {
            let pair = format!("Load test {}, least at its temperature {}", volt(*shown), volt(*least));
            match says {
                BatteryVerdict::Fit => format!("{pair}: passed."),
                BatteryVerdict::NotYet => format!("{pair}: says nothing below 75 % charge. Charge it and test again."),
                BatteryVerdict::Doubtful => format!("{pair}: failed."),
            }
        }
        BatteryReason::ShortedCell { shown, charged } => shorted(*shown, *charged),
        BatteryReason::Capacity { measured, rated, says } => holds(*measured, *rated, *says),
        BatteryReason::PostLeak(volts) => format!(
            "{} from post to case top: dirt and acid carry current. Wash and dry it, then measure again.",
            volt(*volts)
        ),
        BatteryReason::Clamps => {
            "Clamps loose or corroded: clean to bare metal, tighten, read the volts again.".into()
        }
        BatteryReason::Old(years) => format!("{years} years old and not tested: test it before a draw is blamed."),
        BatteryReason::Unequal(apart) => format!(
            "The two batteries are {} apart: one is worn, or something is tapped off one of them only. Charge and test each. Look for 12 V taps.",
            volt(*apart)
        ),
    }
}

fn holds(measured: AmpereHour, rated: AmpereHour, says: BatteryVerdict) -> String {
    let worth = match says {
        BatteryVerdict::Fit => "sound.",
        _ => "worn out below 80 % (common practice). Replace it.",
    };
    format!("Holds {} of {}: {worth}", bare(measured, 2), bare(rated, 2))
}

fn shorted(shown: Volt, charged: Option<bool>) -> String {
    let shown = volt(shown);
    match charged {
        Some(true) => format!(
            "{shown} at rest, after a charge: five cells of six. One is shorted; no charger mends that. Replace it."
        ),
        _ => format!(
            "{shown} at rest: a shorted cell, or flat right down. Charge it fully, let it rest overnight and read again: back at about 10.5 V, a cell is shorted."
        ),
    }
}

fn surface(found: &Charge) -> &'static str {
    if found.maybe_surface { " Just driven or charged? Headlamps 15 s, wait 2 min, back." } else { "" }
}

fn unreadable(found: &Charge) -> String {
    match found.unreadable {
        Some(Unreadable::Flat) => {
            "Charge not readable: lithium shows the same volts from a fifth to nearly full. Its own display tells, or charge it full.".into()
        }
        Some(Unreadable::Surface) => {
            "Charge not readable: it was charged just now, or a charger is on. Headlamps on for 15 s, wait 2 min, read again.".into()
        }
        _ => "Charge not readable: so low only under load or with a dead cell. Everything off, wait 10 min, read again.".into(),
    }
}

/// Returns what the charging side shows, a line each.
pub fn charging(findings: &[Finding], converter: bool) -> Vec<StyledText> {
    findings
        .iter()
        .map(|finding| {
            let role = match finding.good() {
                Some(true) => Role::Good,
                Some(false) => Role::Doubt,
                None => Role::Plain,
            };
            StyledText::of(role, one_charging(finding, converter))
        })
        .collect()
}

/// Returns what it means that the battery sank since the first total: currents before and after are of other volts.
pub fn sagged(first: Volt, now: Volt) -> StyledText {
    let text = format!(
        "Battery {} with the first total, {} now: the draw sinks with it. Read the total again before the next fuse.",
        volt(first),
        volt(now)
    );
    StyledText::of(Role::Doubt, text)
}

/// Returns what a 12 V tap without an equaliser does to a pair.
pub fn tapped() -> StyledText {
    StyledText::of(
        Role::Doubt,
        "A 12 V tap off one battery, no equaliser: that one goes flat, the other is overcharged. Clamp the tap's cable too.",
    )
}

fn one_charging(finding: &Finding, converter: bool) -> String {
    match finding {
        Finding::WithinPlain(volts) => format!("{} running: charging.", volt(*volts)),
        Finding::WithinSmart(volts) => format!(
            "{} running: outside a plain regulator's band, as smart charging may be. Headlamps and blower on: volts that rise or hold are regulated.",
            volt(*volts)
        ),
        Finding::Low { shown, least } => format!(
            "{} running is below {}: it doesn't charge as it should, and goes flat without any draw. See to belt, cables and regulator.",
            volt(*shown),
            volt(*least)
        ),
        Finding::High { shown, most } if converter => {
            format!(
                "{} is above {}: the converter doesn't regulate. Follow the maker's procedure.",
                volt(*shown),
                volt(*most)
            )
        }
        Finding::High { shown, most } => format!(
            "{} running is above {}: it overcharges. Feel the battery for heat first. See to the regulator and its sense lead.",
            volt(*shown),
            volt(*most)
        ),
        Finding::Rises(volts) => format!("{} when made ready: the converter charges.", volt(*volts)),
        Finding::DoesNotRise(volts) => format!(
            "{} when made ready, no rise: the converter doesn't charge. Its high-voltage side is for trained people. Follow the maker's procedure.",
            volt(*volts)
        ),
        other => beside_volts(other),
    }
}

fn beside_volts(finding: &Finding) -> String {
    let three = |good: &Option<bool>, [yes, between, no]: [&'static str; 3]| match good {
        Some(true) => yes,
        None => between,
        Some(false) => no,
    };
    match finding {
        Finding::Ripple(volts, good) => format!(
            "Ripple {}: {}.",
            bare(*volts, 2),
            three(
                good,
                [
                    "below every printed limit",
                    "between the printed limits of 90 and 300 mV: doubtful diodes",
                    "above every printed limit: diodes"
                ]
            )
        ),
        Finding::Cable(volts, too_much) => format!(
            "Cable drop {}: {}.",
            volt(*volts),
            if *too_much { "too much; clean and tighten its ends" } else { "good" }
        ),
        Finding::Leak(current, good) => format!(
            "Into the alternator with the key off {}: {}.",
            bare(*current, 2),
            three(
                good,
                [
                    "good",
                    "more than a good one leaks (about 2 mA); weigh it in the account",
                    "a leak: diodes or regulator"
                ]
            )
        ),
        _ => String::new(),
    }
}
