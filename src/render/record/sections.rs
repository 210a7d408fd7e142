//! The sections of a record that say what was found at the vehicle: complaint, vehicle, battery, setup, limit, total.
//! A question that was passed over stands in `passed_over` with its reason.
//! Leaves to others: what follows from it (`findings`), every entry in order (`timeline`).

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use crate::base::quantity::show::{Q, q};
use crate::base::quantity::{Ampere, Typed, Unit};
use crate::base::styled::StyledText;
use crate::battery::energy::EnergyBalance;
use crate::battery::limit::{Rank, choose};
use crate::circuit::limits::Limits;
use crate::hunt::analysis::{Analysis, plain_current, sleep_after};
use crate::hunt::stage::handover::StandTime;
use crate::hunt::stage::{charging, handover, settle::is_told_asleep};
use crate::hunt::{causes, show, supply};
use crate::instrument::profile::{Profile, Way};
use crate::log::case::{Case, Dated, NotedTemperature, Said, Stamp};
use crate::log::identity::IdentityKey;
use crate::log::interview::FlatPattern;
use crate::log::onset::Onset;
use crate::log::question_id::QuestionId;
use crate::measure::{Measurement, Reading};
use crate::render::json::suspects::LimitShape;
use crate::render::redact::Redaction;
use crate::text;

shape! {
    /// A question that was passed over.
    SkipShape(skip: &Dated<Said>, redaction: Redaction) {
        entry: usize = skip.stamp.entry,
        question: String = skip.what.question.to_string(),
        why: String = redaction.free(&skip.what.text),
    }

    /// What the customer told.
    ComplaintShape(case: &Case, redaction: Redaction) [
        let answer = |id: QuestionId| case.answer(id).map(|answer| redaction.answer(&id.into(), answer));
    ] {
        in_words: Option<String> = answer(QuestionId::InterviewComplaint),
        flat_after_standing: Option<String> = answer(QuestionId::InterviewStand),
        when: Option<String> = answer(QuestionId::InterviewPattern),
        lately_added_or_repaired: Option<String> = answer(QuestionId::InterviewRecent),
        left_plugged_in: Option<String> = answer(QuestionId::InterviewPlugged),
        understood: UnderstoodShape = UnderstoodShape::of(case),
        notes: Vec<NoteShape> = case.notes.iter().map(|note| NoteShape::of(note.stamp, redaction.free(&note.what))).collect(),
        passed_over: Vec<SkipShape> = passed_over(case, &["interview"], redaction),
    }

    /// What was understood of the answers: it narrows the search before any reading.
    UnderstoodShape(case: &Case) [let told = case.told();] {
        add_on: bool = told.add_on,
        work: bool = told.work,
        water: bool = told.water,
        plugged_in: bool = told.plugged_in,
        /// That it was not filled again before it was parked: jump-started and hardly driven, or short trips.
        not_full: bool = !told.was_full(),
        warning_lamp: bool = told.warning_lamp,
        unlocked: bool = told.unlocked,
        ajar: bool = told.ajar,
        trouble_since_then: bool = told.onset == Onset::Since,
        long_ago: bool = told.onset == Onset::LongAgo,
        one_place_only: bool = told.pattern == FlatPattern::OnePlace,
        sometimes_only: bool = told.pattern == FlatPattern::Sometimes,
    }

    /// A note.
    NoteShape(stamp: Stamp, words: String) {
        entry: usize = stamp.entry,
        at: String = stamp.at.to_rfc3339(),
        text: String = words,
    }

    /// The vehicle and its map.
    RecordVehicleShape(case: &Case, redaction: Redaction) [let chart = &case.map;] {
        name: Option<String> = case.answer(QuestionId::InterviewVehicle).map(|name| redaction.answer(&QuestionId::InterviewVehicle.into(), name)),
        model_year: Option<String> = case.answer(QuestionId::InterviewYear).map(str::to_owned).or_else(|| chart.year.map(|year| year.to_string())),
        /// Plate, VIN and the rest, as told; null where it was not.
        identity: IdentityShape = IdentityShape::of(case, redaction),
        /// Title of the map.
        map: String = redaction.free(&chart.title),
        class: &'static str = chart.class.name(),
        system_v: f64 = chart.system.base(),
        batteries: u16 = chart.batteries(),
        /// How many feeds the map has.
        feeds: usize = chart.feeds.len(),
        practice: Option<PracticeShape> = case.opened.practice.map(PracticeShape::of),
    }

    /// What identifies vehicle, job and part.
    IdentityShape(case: &Case, redaction: Redaction) [
        let told = |key| case.identity.get(key).map(|value| redaction.free(value));
    ] {
        plate: Option<String> = told(IdentityKey::Plate),
        vin: Option<String> = told(IdentityKey::Vin),
        odometer: Option<String> = told(IdentityKey::Odometer),
        order: Option<String> = told(IdentityKey::Order),
        technician: Option<String> = told(IdentityKey::Technician),
        battery: Option<String> = told(IdentityKey::Battery),
        part: Option<String> = told(IdentityKey::Part),
        time: Option<String> = told(IdentityKey::Time),
    }

    /// The charging side.
    ChargingShape(case: &Case, redaction: Redaction) {
        #[schemars(with = "BTreeMap<String, String>")]
        answers: Map<String, Value> = answers(case, "charging", redaction),
        /// What they show, a sentence each.
        shows: Vec<String> = charging::findings(case).iter().map(StyledText::text).collect(),
        /// How it is used, and what a day of that puts in and takes out; null where it was not told.
        balance: Option<BalanceShape> = causes::energy(case).as_ref().map(|found| BalanceShape::of(found, case)),
        passed_over: Vec<SkipShape> = passed_over(case, &["charging"], redaction),
    }

    /// The energy balance of a day, in Ah a day.
    BalanceShape(found: &EnergyBalance, case: &Case) {
        starts_a_day: f64 = found.trips.a_day,
        minutes_each: f64 = found.trips.each.base(),
        /// What it draws while it stands.
        draw: Q = q(&found.draw),
        /// What driving puts back.
        driving: Q = q(&found.driving),
        /// What starts take.
        starts: Q = q(&found.starts),
        /// What standing takes.
        standing: Q = q(&found.standing),
        /// What the battery loses by itself.
        own: Q = q(&found.own),
        /// All of it; below zero where it loses.
        net: Q = q(&found.net),
        agreed: Option<String> = case.answer(QuestionId::UseAgreed).map(str::to_owned),
        /// Battery volts after some weeks of what was agreed.
        volts_since: Option<String> = case.answer(QuestionId::UseVolts).map(str::to_owned),
    }

    /// Says that the vehicle is a simulated one.
    PracticeShape(seed: u64) {
        vehicle: u64 = seed,
        note: &'static str = text::record::PRACTICE,
    }

    /// Battery and charging.
    BatteryShape(case: &Case, redaction: Redaction) [
        let asked = supply::settled(case, QuestionId::BatteryTest) || supply::rested(case).is_some();
        let judged = supply::judgement(case).ok().filter(|_| asked);
    ] {
        #[schemars(with = "BTreeMap<String, String>")]
        answers: Map<String, Value> = answers(case, "battery", redaction),
        volts: Vec<StampedShape> = case.volts.iter().map(|volts| StampedShape::of(volts.stamp, &volts.what.text)).collect(),
        /// That the volts fell during the search, so that the total was to be read again.
        fell: Option<String> = supply::sank(case).as_ref().map(StyledText::text),
        verdict: Option<&'static str> = judged.as_ref().map(|found| found.verdict.word()),
        reasons: Option<Vec<String>> = judged.as_ref().map(|found| found.reasons.iter().map(text::battery::reason).collect()),
        reserve: Option<String> = case.opened.reserve.as_ref().map(|reserve| reserve.text.clone()),
        #[schemars(with = "BTreeMap<String, String>")]
        charging: Map<String, Value> = answers(case, "charging", redaction),
        charging_shows: Vec<String> = charging::findings(case).iter().map(StyledText::text).collect(),
        /// How long a full one stands, in days.
        stand_time: Vec<StandTimeShape> = handover::stand_times(case).iter().map(StandTimeShape::of).collect(),
        stands: Vec<String> = handover::stand_lines(case).iter().map(StyledText::text).collect(),
        /// What to charge, and how.
        recharge: Option<String> = handover::recharge(case).as_ref().map(StyledText::text),
        passed_over: Vec<SkipShape> = passed_over(case, &["battery", "charging"], redaction),
    }

    /// How long a full battery stands.
    StandTimeShape(stand: &StandTime) {
        draw: Q = q(&stand.draw),
        /// Days.
        days: Q = q(&stand.days),
        /// True if it stands at least so long.
        at_least: bool = stand.at_least,
        after_repair: bool = stand.after_repair,
        /// True if the draw is the average of a logged night, wake-ups in.
        on_average: bool = stand.on_average,
    }

    /// A value with when it was entered.
    StampedShape(stamp: Stamp, typed: &str) {
        entry: usize = stamp.entry,
        at: String = stamp.at.to_rfc3339(),
        value: String = typed.to_owned(),
    }

    /// Meters and what was done before the first reading.
    SetupShape(case: &Case, redaction: Redaction) {
        begun: String = case.opened_at.to_rfc3339(),
        last_entry: String = case.last_at.to_rfc3339(),
        /// From the first entry to the last, in hours, waits included; 0 where the last one is of a log made before.
        hours: f64 = (case.last_at - case.opened_at).num_minutes().max(0) as f64 / 60.0,
        meter: ProfileShape = ProfileShape::of(case.meter()),
        clamp: ProfileShape = ProfileShape::of(case.ammeter()),
        zeros: Vec<StampedShape> = case.zeros.iter().map(|zero| StampedShape::of(zero.stamp, &zero.what.text)).collect(),
        temperatures: Vec<TemperatureShape> = case.temperatures.iter().map(TemperatureShape::of).collect(),
        #[schemars(with = "BTreeMap<String, String>")]
        found: Map<String, Value> = answers(case, "found", redaction),
        #[schemars(with = "BTreeMap<String, String>")]
        prepared: Map<String, Value> = answers(case, "prepare", redaction),
        #[schemars(with = "BTreeMap<String, String>")]
        hooked_up: Map<String, Value> = answers(case, "hook-up", redaction),
        sleep: SleepShape = SleepShape::of(case, redaction),
        passed_over: Vec<SkipShape> = passed_over(case, &["found", "prepare", "hook-up", "settle", "caution"], redaction),
    }

    /// A temperature with when it was entered.
    TemperatureShape(noted: &Dated<NotedTemperature>) {
        entry: usize = noted.stamp.entry,
        at: String = noted.stamp.at.to_rfc3339(),
        value: String = noted.what.value.text.clone(),
        /// Id of the box, or `all`.
        r#box: String = noted.what.place.as_deref().unwrap_or("all").to_owned(),
    }

    /// How it was let fall asleep.
    SleepShape(case: &Case, redaction: Redaction) {
        expected_min: f64 = sleep_after(case).base(),
        disturbances: Vec<DisturbanceShape> = case.disturbances.iter().map(|one| DisturbanceShape::of(one.stamp, &one.what, case, redaction)).collect(),
        wait_ended: Option<String> = case.answer(QuestionId::SettleWait).map(str::to_owned),
    }

    /// What started the sleep clock again.
    DisturbanceShape(stamp: Stamp, told: &str, case: &Case, redaction: Redaction) {
        entry: usize = stamp.entry,
        at: String = stamp.at.to_rfc3339(),
        // What a reading disturbed is told by its names on the map; only what was typed as a disturbance is free text.
        what: String = if case.reading(stamp.entry).is_some() { told.to_owned() } else { redaction.free(told) },
    }

    /// A meter.
    ProfileShape(profile: &Profile) [
        let unit = if profile.way == Way::Volts { "mV" } else { "mA" };
    ] {
        name: String = profile.name.clone(),
        last_digit: String = format!("{} {unit}", thousandths(profile.resolution)),
        percent_of_reading: f64 = profile.percent,
        counts: f64 = profile.counts,
    }

    /// The limit in force; the reserve capacity's suggestion is advice beside it.
    RecordLimitShape(case: &Case, redaction: Redaction) [
        let chosen = choose(case.limit.as_ref(), &case.map);
        let told = chosen.as_ref().is_some_and(|chosen| chosen.rank == Rank::Told);
        let advice = case.opened.reserve.as_ref().and_then(|reserve| Limits::builtin().reserve_advice(reserve.value));
        let limit = chosen.as_ref().map(|chosen| &chosen.limit);
    ] {
        ma: Option<f64> = limit.map(|limit| limit.current.milli()),
        /// Where it is from.
        source: Option<String> = limit.map(|limit| if told { redaction.free(&limit.source) } else { limit.source.clone() }),
        told_by_the_user: bool = told,
        /// Which rule chose it.
        rule: Option<&'static str> = chosen.as_ref().map(|chosen| chosen.rank.words()),
        advice_from_reserve: Option<LimitShape> = advice.as_ref().map(LimitShape::of),
    }

    /// The settled total.
    TotalShape(case: &Case, analysis: &Analysis) {
        settled: Option<ShownShape> = case.settled_total().map(|reading| ShownShape::of(reading, case)),
        /// Whether it was seen here that it was settled, or only told; null without a settled total.
        settled_how: Option<&'static str> = case.settled_total().map(|_| if is_told_asleep(case) { text::record::TOLD } else { text::record::SEEN }),
        as_found: Option<ShownShape> = case.total_as_found().map(|reading| ShownShape::of(reading, case)),
        current: Option<Q> = analysis.total.as_ref().map(q),
        excess: Option<Q> = analysis.excess.as_ref().map(q),
        verdict: Option<&'static str> = analysis.verdict.map(|verdict| verdict.word()),
        in_words: Option<String> = show::verdict(analysis, case.ammeter()).as_ref().map(StyledText::text),
        /// Totals that were taken before sleep was proved.
        provisional: Vec<ShownShape> = case.readings.iter().filter(|reading| reading.provisional).map(|reading| ShownShape::of(reading, case)).collect(),
    }

    /// A total as it was read.
    ShownShape(reading: &Reading, case: &Case) [let total = total_of(reading);] {
        entry: usize = reading.entry,
        at: String = reading.at.to_rfc3339(),
        shown: Option<String> = total.map(|total| total.text.clone()),
        current: Option<Q> = total.map(|total| q(&plain_current(total, case))),
    }
}

/// Returns the newest answers to the questions of a stage, by the last part of their ids.
fn answers(case: &Case, stage: &str, redaction: Redaction) -> Map<String, Value> {
    let one = |Dated { what: Said { question, text }, .. }: &Dated<Said>| {
        let id = question.to_string();
        let name = id.strip_prefix(stage).and_then(|rest| rest.strip_prefix('.'))?;
        Some((name.to_owned(), Value::String(redaction.answer(question, text))))
    };
    case.answers.iter().filter_map(one).collect()
}

/// Returns what was passed over of these stages, each with its reason.
pub(super) fn passed_over(case: &Case, stages: &[&str], redaction: Redaction) -> Vec<SkipShape> {
    let belongs = |question: &str| {
        let name = question.strip_prefix("stage ").unwrap_or(question);
        stages.contains(&name.split('.').next().unwrap_or(name))
    };
    let skips = case.skips.iter().filter(|skip| belongs(&skip.what.question.to_string()));
    skips.map(|skip| SkipShape::of(skip, redaction)).collect()
}

/// Thousandths of a base unit without what binary arithmetic leaves behind.
fn thousandths(base: f64) -> f64 {
    (base * 1e9).round() / 1e6
}

fn total_of(reading: &Reading) -> Option<&Typed<Ampere>> {
    match &reading.what {
        Measurement::Total { current, .. } | Measurement::Watch { current } => Some(current),
        _ => None,
    }
}
