//! The record that is handed over: one document with everything said, read, passed over, struck, found and proven.
//! Leaves to others: its YAML (`yaml`), each entry in words (`timeline`), the conclusions (`suspects`, `account`).

use serde_json::{Map, Value, json};

use super::json::{account, next, q_or_null, suspects};
use super::timeline::timeline;
use crate::hunt::caution::text_of;
use crate::hunt::stage::handover::outcome;
use crate::hunt::stage::prove;
use crate::instrument::profile::{Profile, Way};
use crate::quantity::Unit;
use crate::quantity::show::q;
use crate::reading::What;
use crate::session::case::Case;
use crate::session::entry::Entry;
use crate::suspects::analysis::Analysis;
use crate::words;

/// Format name of a record.
pub const FORMAT: &str = "fusetrail-record/1";

/// Stands where something was left out on request.
pub const LEFT_OUT: &str = "left out";

/// What a record is made from.
pub struct Source<'a> {
    /// The entries of the log, in order.
    pub entries: &'a [Entry],
    /// What they add up to.
    pub case: &'a Case,
    /// What the readings say.
    pub analysis: &'a Analysis,
    /// Seal of the last entry.
    pub seal: &'a str,
    /// Leaves out vehicle, words of the customer, notes, places and the repair in words.
    pub redact: bool,
}

/// Returns the record. Every key is always there; `null` stands where nothing was read or said.
pub fn record(source: &Source) -> Value {
    let (case, analysis) = (source.case, source.analysis);
    json!({
        "format": FORMAT,
        "complaint": complaint(source),
        "vehicle": vehicle(source),
        "battery": battery(case),
        "setup": setup(case),
        "timeline": timeline(source),
        "limit": analysis.limit.as_ref().map(|limit| {
            json!({"ma": limit.current.milli(), "source": limit.source, "verdict": analysis.verdict.map(|v| v.word())})
        }),
        "total": total(source),
        "account": account(analysis),
        "suspects": blamed(analysis),
        "narrowed": narrowed(source),
        "repair": repair(source),
        "proof": proof(source),
        "cautions": cautions(case),
        "versions": {
            "program": case.opened.program,
            "fuse_tables": case.opened.tables,
            "entries": case.entries,
            "seal": source.seal,
            "weights": "editorial: nobody publishes how often each cause is found; see circuits/loads.yaml",
            "unknown_entries": case.unknown.iter().map(|(n, kind)| json!({"entry": n, "kind": kind})).collect::<Vec<_>>(),
        },
        "struck": case.struck.iter().map(|(stamp, target, why)| {
            json!({"entry": target, "by": stamp.entry, "at": stamp.at.to_rfc3339(), "why": source.words(why)})
        }).collect::<Vec<_>>(),
    })
}

impl Source<'_> {
    /// Returns words of people, or says that they are left out.
    pub fn words(&self, text: &str) -> String {
        if self.redact { LEFT_OUT.to_owned() } else { text.to_owned() }
    }

    fn said(&self, question: &str) -> Value {
        self.case.answer(question).map_or(Value::Null, |answer| json!(self.words(answer)))
    }
}

fn complaint(source: &Source) -> Value {
    json!({
        "words": source.said("interview.complaint"),
        "stands_before_flat": source.case.answer("interview.stand"),
        "recent_work": source.said("interview.recent"),
    })
}

fn vehicle(source: &Source) -> Value {
    let map = &source.case.map;
    json!({
        "name": source.said("interview.vehicle"),
        "model_year": source.case.answer("interview.year"),
        "map": source.words(&map.title),
        "class": map.class.name(),
        "system_v": map.system.base(),
        "feeds": map.feeds.len(),
        "practice_seed": source.case.opened.practice,
    })
}

fn battery(case: &Case) -> Value {
    let volts = case.volts.iter().map(|(stamp, volts)| {
        json!({"entry": stamp.entry, "at": stamp.at.to_rfc3339(), "v": volts.value.base(), "typed": volts.text})
    });
    json!({
        "type": case.answer("battery.type"),
        "test": case.answer("battery.test"),
        "gate": case.answer("battery.gate"),
        "volts": volts.collect::<Vec<_>>(),
        "charging": case.answer("charging.known"),
        "charging_volts": case.answer("charging.volts"),
    })
}

fn meter(profile: &Profile) -> Value {
    let (way, unit) = match profile.way {
        Way::Volts => ("volts", "mV"),
        Way::Clamp => ("clamp", "mA"),
        Way::Series => ("series", "mA"),
    };
    json!({
        "name": profile.name,
        "way": way,
        "resolution": profile.resolution * 1000.0,
        "unit": unit,
        "percent": profile.percent,
        "counts": profile.counts,
    })
}

fn setup(case: &Case) -> Value {
    json!({
        "opened_at": case.opened_at.to_rfc3339(),
        "meter": meter(&case.opened.meter),
        "clamp": meter(&case.opened.clamp),
        "method": case.answer("hook-up.method"),
        "zeros": case.zeros.iter().map(|(stamp, v)| json!({"entry": stamp.entry, "mv": v.value.milli()})).collect::<Vec<_>>(),
        "temperatures": case.temperatures.iter().map(|(stamp, place, celsius)| {
            json!({"entry": stamp.entry, "box": place, "celsius": celsius.value.base()})
        }).collect::<Vec<_>>(),
        "reserve_min": case.opened.reserve.as_ref().map(|reserve| reserve.value.base()),
        "settled": case.answer("settle.wait").or_else(|| case.skipped("settle.wait").map(|_| "passed over")),
    })
}

fn total(source: &Source) -> Value {
    let found = source.case.total_as_found();
    json!({
        "settled": q_or_null(source.analysis.total.as_ref()),
        "excess": q_or_null(source.analysis.excess.as_ref()),
        "provisional": source.case.settled_total().is_none() && source.analysis.total.is_some(),
        "as_found": found.map(|reading| match &reading.what {
            What::Total { current, .. } => json!(q(&crate::instrument::uncertainty::current(current, &reading.clamp))),
            _ => Value::Null,
        }),
    })
}

fn blamed(analysis: &Analysis) -> Value {
    let Value::Object(all) = suspects(analysis) else { return Value::Null };
    let kept = ["suspects", "pairs", "wake_groups", "nothing_wrong", "not_present_now"];
    let mut found: Map<String, Value> =
        all.into_iter().filter(|(key, _)| kept.contains(&key.as_str())).collect();
    let (leader, probability) = analysis.leader();
    found.insert("leader".to_owned(), json!({"name": leader, "odds": words::suspects::odds(probability)}));
    let left = next(analysis);
    found.insert("stop".to_owned(), json!({"done": left.get("done"), "why": left.get("why")}));
    Value::Object(found)
}

/// Loads unplugged and inputs worked, with by how much the total fell.
fn narrowed(source: &Source) -> Value {
    let (case, panel) = (source.case, &source.analysis.panel);
    let claims = source.analysis.observed.claims.iter().filter(|claim| {
        case.reading(claim.entry)
            .is_some_and(|r| matches!(r.what, What::Unplug { .. } | What::Input { .. } | What::Pull { .. }))
    });
    let readings = claims.filter(|claim| !matches!(claim.scope, crate::reading::claim::Scope::Total)).map(|claim| {
        json!({"entry": claim.entry, "what": words::reading::subject(claim.scope, panel), "fall": q(&claim.current)})
    });
    let events = source
        .analysis
        .observed
        .events
        .iter()
        .map(|(entry, event)| json!({"entry": entry, "what": words::reading::event(event).text()}));
    json!({"readings": readings.collect::<Vec<_>>(), "events": events.collect::<Vec<_>>()})
}

fn repair(source: &Source) -> Value {
    json!({
        "what": source.said("repair.what"),
        "still_out": source.case.pulled(),
        "still_unplugged": source.case.unplugged().iter().map(|(feed, load)| format!("{feed}/{load}")).collect::<Vec<_>>(),
    })
}

fn proof(source: &Source) -> Value {
    let case = source.case;
    let after = case.total_after_repair().filter(|_| prove::was_repaired(case));
    let total = after.and_then(|reading| match &reading.what {
        What::Total { current, .. } => Some(current),
        _ => None,
    });
    json!({
        "outcome": outcome(case).words(),
        "finished": case.answer("handover.done").is_some(),
        "total_after": total.map(|current| q(&crate::instrument::uncertainty::current(current, &case.opened.clamp))),
        "in_words": total.and_then(|current| prove::proof(case, current)).map(|line| line.text()),
        "waited": case.answer("prove.wait"),
    })
}

fn cautions(case: &Case) -> Value {
    let asked = case.answers.iter().filter(|(_, id, _)| id.starts_with("caution."));
    let shown = asked.map(
        |(stamp, id, _)| json!({"id": id, "acknowledged_at": stamp.at.to_rfc3339(), "text": text_of(id)}),
    );
    shown.collect()
}
