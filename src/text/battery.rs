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
    let mut lines = vec![StyledText::plain("Battery: ").and(role, found.verdict.word())];
    lines.extend(found.reasons.iter().map(|one| {
        let role = if one.says() == BatteryVerdict::Fit { Role::Plain } else { Role::Doubt };
        StyledText::of(role, reason(one)).indented(2)
    }));
    lines
}

/// Returns a reason in one sentence, with what would settle it.
pub fn reason(reason: &BatteryReason) -> String {
    match reason {
        BatteryReason::Unsafe => {
            "Frozen, swollen or leaking: never charge, jump or test it, and let nobody start the vehicle. It is replaced by the maker's service information, eyes and hands guarded.".into()
        }
        BatteryReason::MayBeFrozen { freezes, temperature } => format!(
            "It may be frozen: at these volts its acid freezes at about {}, and it has {}. Never charge or jump it; thaw it slowly in a warm, aired place and look for cracks and bulges first.",
            bare(*freezes, 2),
            bare(*temperature, 2)
        ),
        BatteryReason::TestedGood => "Tested good.".into(),
        BatteryReason::TestedBad => {
            "Tested bad: a bad battery goes flat by itself, and no draw need be wrong. Charge it fully and test again, or replace it.".into()
        }
        BatteryReason::NotTested => {
            "Not tested: charge it, let it rest, then a load test or a conductance tester settles it.".into()
        }
        BatteryReason::Charged(found) => format!("Charge {}.{}", charge(found), surface(found)),
        BatteryReason::ChargeLow(found) => format!(
            "Charge {}: charge it fully and let it rest for hours before it is tested.{}",
            charge(found),
            surface(found)
        ),
        BatteryReason::ChargeUnreadable(found) => unreadable(found),
        BatteryReason::Cranking(share, says) => {
            let percent = bare(*share, 2);
            match says {
                BatteryVerdict::Fit => format!("Measured cranking rating {percent} of the rated one: sound."),
                _ => format!(
                    "Measured cranking rating {percent} of the rated one: weak below 80 %, worn out below 70 % (common practice). Test again fully charged, at the posts."
                ),
            }
        }
        BatteryReason::LoadTest { shown, least, says } => {
            let pair = format!("Load test {}, least at its temperature {}", volt(*shown), volt(*least));
            match says {
                BatteryVerdict::Fit => format!("{pair}: passed."),
                BatteryVerdict::NotYet => format!("{pair}: says nothing below 75 % charge; charge it and test again."),
                BatteryVerdict::Doubtful => format!("{pair}: failed."),
            }
        }
        BatteryReason::ShortedCell { shown, charged } => shorted(*shown, *charged),
        BatteryReason::Capacity { measured, rated, says } => holds(*measured, *rated, *says),
        BatteryReason::PostLeak(volts) => format!(
            "{} from post to case top: dirt and acid carry current there. Neutralise, wash and dry it, then measure again.",
            volt(*volts)
        ),
        BatteryReason::Clamps => {
            "Clamps that move or are corroded: clean them to bare metal, tighten, and read the volts at the posts again.".into()
        }
        BatteryReason::Old(years) => format!("{years} years old and not tested: test it before a draw is blamed."),
        BatteryReason::Unequal(apart) => format!(
            "The two batteries are {} apart: one is worn, or something is tapped off one of them only. Charge and test each by itself; look for 12 V taps and at the equaliser.",
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
    if found.maybe_surface {
        " If it was charged or driven within hours, take the surface charge off (headlamps 15 s, wait 2 min) and read again."
    } else {
        ""
    }
}

fn unreadable(found: &Charge) -> String {
    match found.unreadable {
        Some(Unreadable::Flat) => {
            "Charge not readable: lithium iron phosphate shows the same volts from a fifth to nearly full. Its own display, or charging it full, settles it.".into()
        }
        Some(Unreadable::Surface) => {
            "Charge not readable: it was charged just now, or a charger is on. Headlamps 15 s, wait 2 min, or better let it rest for hours, then read again.".into()
        }
        _ => "Charge not readable: so low only under load or with a dead cell. Switch everything off, wait 10 min and read again; if it stays, it is flat or dead.".into(),
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
        "{} beside the first total, {} now: read the total again before the next fuse, for what is drawn follows the volts.",
        volt(first),
        volt(now)
    );
    StyledText::of(Role::Doubt, text)
}

/// Returns what a 12 V tap without an equaliser does to a pair.
pub fn tapped() -> StyledText {
    StyledText::of(
        Role::Doubt,
        "A 12 V tap off one battery without an equaliser: that one goes flat, the other is overcharged, while their sum looks right. Clamp the tap's cable as well.",
    )
}

fn one_charging(finding: &Finding, converter: bool) -> String {
    match finding {
        Finding::WithinPlain(volts) => format!("{} running: charging.", volt(*volts)),
        Finding::WithinSmart(volts) => format!(
            "{} running: outside a plain regulator's band; smart charging may do so. Headlamps and blower on: if the volts rise or hold, it is regulating.",
            volt(*volts)
        ),
        Finding::Low { shown, least } => format!(
            "{} running is below {}: it is not charging as it should, and may go flat without any draw. Belt, cables, regulator and its wiring.",
            volt(*shown),
            volt(*least)
        ),
        Finding::High { shown, most } if converter => {
            format!(
                "{} is above {}: the converter is not regulating; the maker's procedure.",
                volt(*shown),
                volt(*most)
            )
        }
        Finding::High { shown, most } => format!(
            "{} running is above {}: it overcharges. Regulator and its sense lead; feel the battery for heat before anything else.",
            volt(*shown),
            volt(*most)
        ),
        Finding::Rises(volts) => format!("{} when made ready: the converter charges.", volt(*volts)),
        Finding::DoesNotRise(volts) => format!(
            "{} when made ready, no rise: the converter is not charging. Its high-voltage side is for trained people; the maker's procedure.",
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
