//! The sections of a record that say what was found at the vehicle: complaint, vehicle, battery, setup, limit, total.
//! A question that was passed over stands in `passed_over` with its reason.
//! Leaves to others: what follows from it (`findings`), every entry in order (`timeline`).

use serde_json::{Map, Value, json};

use crate::base::quantity::{Ampere, Typed, Unit};
use crate::base::styled::StyledText;
use crate::battery::limit::{Rank, choose};
use crate::circuit::limits::Limits;
use crate::hunt::analysis::{Analysis, plain_current, sleep_after};
use crate::hunt::stage::{charging, handover};
use crate::hunt::{show, supply};
use crate::instrument::profile::{Profile, Way};
use crate::log::case::{Case, Dated, NotedTemperature, Said, Stamp};
use crate::log::interview::FlatPattern;
use crate::measure::{Measurement, Reading};
use crate::render::json::q_or_null;
use crate::render::redact::Redaction;
use crate::text;

/// Returns the newest answers to the questions of a stage, by the last part of their ids.
pub(super) fn answers(case: &Case, stage: &str, redaction: Redaction) -> Value {
    let mut all = Map::new();
    for Dated { what: Said { question, text: answer }, .. } in &case.answers {
        if let Some(name) = question.strip_prefix(stage).and_then(|rest| rest.strip_prefix('.')) {
            all.insert(name.to_owned(), json!(redaction.answer(question, answer)));
        }
    }
    Value::Object(all)
}

/// Returns what was passed over of these stages, each with its reason.
pub(super) fn passed_over(case: &Case, stages: &[&str], redaction: Redaction) -> Value {
    let belongs = |question: &str| {
        let name = question.strip_prefix("stage ").unwrap_or(question);
        stages.contains(&name.split('.').next().unwrap_or(name))
    };
    let skips = case.skips.iter().filter(|skip| belongs(&skip.what.question)).map(|Dated { stamp, what }| {
        json!({"entry": stamp.entry, "question": what.question, "why": redaction.free(&what.text)})
    });
    Value::Array(skips.collect())
}

/// Returns a value with when it was entered.
fn stamped<U>(stamp: Stamp, value: &Typed<U>) -> Value {
    json!({"entry": stamp.entry, "at": stamp.at.to_rfc3339(), "value": value.text})
}

pub(super) fn complaint(case: &Case, redaction: Redaction) -> Value {
    let answer = |id: &str| case.answer(id).map(|answer| redaction.answer(id, answer));
    let notes = case.notes.iter().map(|Dated { stamp, what: text }| {
        json!({"entry": stamp.entry, "at": stamp.at.to_rfc3339(), "text": redaction.free(text)})
    });
    json!({
        "in_words": answer("interview.complaint"),
        "flat_after_standing": answer("interview.stand"),
        "when": answer("interview.pattern"),
        "lately_added_or_repaired": answer("interview.recent"),
        "left_plugged_in": answer("interview.plugged"),
        "understood": understood(case),
        "notes": notes.collect::<Vec<_>>(),
        "passed_over": passed_over(case, &["interview"], redaction),
    })
}

/// What was understood of the answers: it narrows the search before any reading.
fn understood(case: &Case) -> Value {
    let told = case.told();
    json!({
        "add_on": told.add_on,
        "work": told.work,
        "water": told.water,
        "plugged_in": told.plugged_in,
        "one_place_only": told.pattern == FlatPattern::OnePlace,
        "sometimes_only": told.pattern == FlatPattern::Sometimes,
    })
}

pub(super) fn vehicle(case: &Case, redaction: Redaction) -> Value {
    let map = &case.map;
    let practice = case.opened.practice.map(|seed| {
        json!({"vehicle": seed, "note": "practice: a simulated vehicle; nothing in this record is of a real one"})
    });
    json!({
        "name": case.answer("interview.vehicle").map(|name| redaction.answer("interview.vehicle", name)),
        "model_year": case.answer("interview.year"),
        "map": redaction.free(&map.title),
        "class": map.class.name(),
        "system_v": map.system.base(),
        "feeds": map.feeds.len(),
        "practice": practice,
    })
}

pub(super) fn battery(case: &Case, redaction: Redaction) -> Value {
    let asked = supply::settled(case, "battery.test") || supply::rested(case).is_some();
    let judgement = supply::judgement(case).ok().filter(|_| asked);
    json!({
        "answers": answers(case, "battery", redaction),
        "volts": case.volts.iter().map(|Dated { stamp, what: volts }| stamped(*stamp, volts)).collect::<Vec<_>>(),
        "verdict": judgement.as_ref().map(|found| found.verdict.word()),
        "reasons": judgement.as_ref().map(|found| {
            found.reasons.iter().map(text::battery::reason).collect::<Vec<_>>()
        }),
        "reserve": case.opened.reserve.as_ref().map(|reserve| &reserve.text),
        "charging": answers(case, "charging", redaction),
        "charging_shows": charging::findings(case).iter().map(StyledText::text).collect::<Vec<_>>(),
        "stands": handover::stand_lines(case).iter().map(StyledText::text).collect::<Vec<_>>(),
        "passed_over": passed_over(case, &["battery", "charging"], redaction),
    })
}

pub(super) fn setup(case: &Case, redaction: Redaction) -> Value {
    let temperature = |Dated { stamp, what: NotedTemperature { place, value } }: &Dated<NotedTemperature>| {
        let mut told = stamped(*stamp, value);
        if let Value::Object(fields) = &mut told {
            fields.insert("box".to_owned(), json!(place.as_deref().unwrap_or("all")));
        }
        told
    };
    // What a reading disturbed is told by its names on the map; only what was typed as a disturbance is free text.
    let disturbances = case.disturbances.iter().map(|Dated { stamp, what }| {
        let by_reading = case.reading(stamp.entry).is_some();
        let what = if by_reading { what.clone() } else { redaction.free(what) };
        json!({"entry": stamp.entry, "at": stamp.at.to_rfc3339(), "what": what})
    });
    json!({
        "begun": case.opened_at.to_rfc3339(),
        "last_entry": case.last_at.to_rfc3339(),
        "meter": profile(&case.opened.meter),
        "clamp": profile(&case.opened.clamp),
        "zeros": case.zeros.iter().map(|Dated { stamp, what: zero }| stamped(*stamp, zero)).collect::<Vec<_>>(),
        "temperatures": case.temperatures.iter().map(temperature).collect::<Vec<_>>(),
        "found": answers(case, "found", redaction),
        "prepared": answers(case, "prepare", redaction),
        "hooked_up": answers(case, "hook-up", redaction),
        "sleep": {
            "expected_min": sleep_after(case).base(),
            "disturbances": disturbances.collect::<Vec<_>>(),
            "wait_ended": case.answer("settle.wait"),
        },
        "passed_over": passed_over(case, &["found", "prepare", "hook-up", "settle", "caution"], redaction),
    })
}

fn profile(profile: &Profile) -> Value {
    let step = match profile.way {
        Way::Volts => format!("{} mV", thousandths(profile.resolution)),
        Way::Clamp | Way::Series => format!("{} mA", thousandths(profile.resolution)),
    };
    json!({
        "name": profile.name,
        "last_digit": step,
        "percent_of_reading": profile.percent,
        "counts": profile.counts,
    })
}

/// Thousandths of a base unit without what binary arithmetic leaves behind.
fn thousandths(base: f64) -> f64 {
    (base * 1e9).round() / 1e6
}

/// The limit in force and where it is from; the reserve capacity's suggestion is advice beside it.
pub(super) fn limit(case: &Case, redaction: Redaction) -> Value {
    let chosen = choose(case.limit.as_ref(), &case.map);
    let told = chosen.as_ref().is_some_and(|chosen| chosen.rank == Rank::Told);
    let rank = chosen.as_ref().map(|chosen| chosen.rank.words());
    let limit = chosen.map(|chosen| chosen.limit);
    let source =
        limit.as_ref().map(|limit| if told { redaction.free(&limit.source) } else { limit.source.clone() });
    let advice =
        case.opened.reserve.as_ref().and_then(|reserve| Limits::builtin().reserve_advice(reserve.value));
    json!({
        "ma": limit.as_ref().map(|limit| limit.current.milli()),
        "source": source,
        "told_by_the_user": told,
        "rule": rank,
        "advice_from_reserve": advice.map(|advice| json!({"ma": advice.current.milli(), "source": advice.source})),
    })
}

pub(super) fn total(case: &Case, analysis: &Analysis) -> Value {
    json!({
        "settled": case.settled_total().map(|reading| shown(reading, case)),
        "as_found": case.total_as_found().map(|reading| shown(reading, case)),
        "current": q_or_null(analysis.total.as_ref()),
        "excess": q_or_null(analysis.excess.as_ref()),
        "verdict": analysis.verdict.map(|verdict| verdict.word()),
        "in_words": show::verdict(analysis, &case.opened.clamp).as_ref().map(StyledText::text),
        "provisional": provisional(case),
    })
}

/// Totals that were taken before sleep was proved.
fn provisional(case: &Case) -> Vec<Value> {
    let all = case.readings.iter().filter(|reading| reading.provisional);
    all.map(|reading| shown(reading, case)).collect()
}

/// Returns a total as it was read.
pub(super) fn shown(reading: &Reading, case: &Case) -> Value {
    let current: Option<&Typed<Ampere>> = match &reading.what {
        Measurement::Total { current, .. } | Measurement::Watch { current } => Some(current),
        _ => None,
    };
    json!({
        "entry": reading.entry,
        "at": reading.at.to_rfc3339(),
        "shown": current.map(|current| &current.text),
        "current": q_or_null(current.map(|current| plain_current(current, case)).as_ref()),
    })
}
