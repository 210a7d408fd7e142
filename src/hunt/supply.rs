//! What a case says about the supply: the battery's evidence, the charging side, what it has to give, and the draw
//! that the time to flat speaks for. What was answered before the battery was charged or replaced doesn't count.
//! Leaves to others: the questions (`stage`), the judgement (`battery`), the words (`text`).

use chrono::Datelike;

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Celsius, Day, Minute, Share, Typed, Uncertain, Unit, Volt};
use crate::base::styled::StyledText;
use crate::battery::capacity::{Capacity, capacity};
use crate::battery::charge::Charge;
use crate::battery::charging::{self, ChargingValues, Finding};
use crate::battery::chemistry::Chemistry;
use crate::battery::cold::{self, Use};
use crate::battery::converter::{ConverterValues, least_rise};
use crate::battery::judge::{BatteryEvidence, Judgement, Test, judge};
use crate::battery::pair::{self, PairCharging, Tap, days_apart};
use crate::battery::rating::{self, Ratings};
use crate::battery::reason::BatteryReason;
use crate::battery::stand::{Stock, draw_behind};
use crate::battery::table::BatteryTable;
use crate::circuit::map::{Map, VehicleClass};
use crate::instrument::uncertainty::{DETECTION, current};
use crate::log::case::{Case, Dated, Said};
use crate::log::question_id::QuestionId;
use crate::measure::{Measurement, Reading};
use crate::text;

/// Volts of one battery, as the tables have it.
const ONE: Volt = Volt::new(12.0);

/// Returns how many 12 V batteries stand in series; half a one for 6 V.
pub fn batteries(case: &Case) -> f64 {
    (case.map.system.base() / ONE.base()).max(0.5)
}

/// Returns the entry from which on answers of a question's stage count: battery or charging side was seen to there.
fn since(case: &Case, id: QuestionId) -> usize {
    let seen_to = [Some(QuestionId::BatteryAgain), Some(QuestionId::ChargingAgain)];
    let again = |said: &&Dated<Said>| {
        let Said { question, text } = &said.what;
        is_seen_to(text) && seen_to.contains(&question.plain()) && question.head.stage() == id.stage()
    };
    case.answers.iter().rev().find(again).map_or(0, |said| said.stamp.entry)
}

/// What is answered where the battery was replaced.
pub const REPLACED: &str = "replaced";

/// Returns true if battery or charging side was seen to, by what was answered to whether it was.
pub fn is_seen_to(answer: &str) -> bool {
    answer == "yes" || answer == REPLACED
}

/// Returns true if the battery that is judged now is a new one, put in during the hunt.
pub fn is_replaced(case: &Case) -> bool {
    case.answer(QuestionId::BatteryAgain) == Some(REPLACED)
}

/// Returns the newest answer about battery or charging side that still counts.
pub fn answer(case: &Case, id: QuestionId) -> Option<&str> {
    let since = since(case, id);
    let found = |said: &&Dated<Said>| said.stamp.entry > since && said.what.question.plain() == Some(id);
    case.answers.iter().rev().find(found).map(|said| said.what.text.as_str())
}

/// Returns true if a question about battery or charging side needs no asking any more.
pub fn settled(case: &Case, id: QuestionId) -> bool {
    let since = since(case, id);
    let skipped =
        case.skips.iter().any(|skip| skip.stamp.entry > since && skip.what.question.plain() == Some(id));
    answer(case, id).is_some() || skipped
}

/// Returns the rested volts at the posts: the first that were read, for later ones are under the draw for longer.
pub fn rested(case: &Case) -> Option<Volt> {
    let since = since(case, QuestionId::BatteryVolts);
    case.volts.iter().find(|volts| volts.stamp.entry > since).map(|volts| volts.what.value)
}

/// The total is read again once a 12 V battery stands so much lower than beside the first total. Editorial.
const SAGGED: Volt = Volt::new(0.1);

/// Says so where these volts are lower than those beside the first total by so much that it must be read again.
pub fn sagged(case: &Case, now: Volt) -> Option<StyledText> {
    let is_total = |reading: &&Reading| matches!(reading.what, Measurement::Total { as_found: false, .. });
    let first_total = case.readings.iter().find(is_total)?.entry;
    let first = &case.volts.iter().find(|volts| volts.stamp.entry > first_total)?.what;
    let low = now < first.value - SAGGED * batteries(case);
    low.then(|| text::battery::sagged(first.value, now))
}

/// Says so where the volts read last are so much lower than beside the first total.
pub fn sank(case: &Case) -> Option<StyledText> {
    case.volts.last().and_then(|last| sagged(case, last.what.value))
}

/// Reads an answer as a value; none where nothing was measured.
pub(super) fn value<U: Readable>(case: &Case, id: QuestionId, bare: &str) -> Option<U> {
    answer(case, id).and_then(|text| U::read(text, bare).ok()).map(|typed| typed.value)
}

/// Returns the type of battery, if it is known.
pub fn chemistry(case: &Case) -> Option<Chemistry> {
    answer(case, QuestionId::BatteryType).and_then(Chemistry::from_name)
}

/// Returns what is printed on the battery, as far as it is known.
pub fn ratings(case: &Case) -> Ratings {
    let typed = answer(case, QuestionId::BatteryRating).or_else(|| case.answer(QuestionId::ProveRating));
    let mut ratings = typed.and_then(|text| rating::read(text).ok()).unwrap_or_default();
    ratings.measured = value(case, QuestionId::BatteryCapacity, "Ah");
    if ratings.reserve.is_none() && !is_replaced(case) {
        ratings.reserve = case.opened.reserve.as_ref().map(|reserve| reserve.value);
    }
    ratings
}

/// Returns everything that is known of the battery.
pub fn evidence(case: &Case) -> BatteryEvidence {
    let all = rested(case);
    let first: Option<Volt> = value(case, QuestionId::BatteryFirst, "V");
    let volts = match (all, first) {
        (Some(all), Some(first)) => vec![first, all - first],
        (Some(all), None) => vec![all / batteries(case)],
        (None, _) => Vec::new(),
    };
    let charged = match answer(case, QuestionId::BatteryCharged) {
        Some("yes") => Some(true),
        Some("no") => Some(false),
        _ => (case.answer(QuestionId::BatteryAgain) == Some("yes")).then_some(true),
    };
    let Ratings { capacity: rated_capacity, measured: measured_capacity, cranking: rated_cranking, .. } =
        ratings(case);
    BatteryEvidence {
        charged,
        rated_capacity,
        measured_capacity,
        rated_cranking,
        chemistry: chemistry(case),
        volts,
        temperature: value::<Celsius>(case, QuestionId::BatteryTemperature, "C"),
        rested: value::<Minute>(case, QuestionId::BatteryRest, "h"),
        test: match answer(case, QuestionId::BatteryTest) {
            Some("good") => Some(Test::Good),
            Some("bad") => Some(Test::Bad),
            Some("unsafe") => Some(Test::Unsafe),
            _ => None,
        },
        measured_cranking: value::<Ampere>(case, QuestionId::BatteryMeasured, "A"),
        load_test: value::<Volt>(case, QuestionId::BatteryLoad, "V"),
        post_leak: value::<Volt>(case, QuestionId::BatteryLeak, "V"),
        clamps_hold: answer(case, QuestionId::BatteryClamps).and_then(|text| match text {
            "hold" => Some(true),
            "bad" => Some(false),
            _ => None,
        }),
        age: age(case),
    }
}

/// Age from the year typed beside the maker's code: the newest year among its words that is not to come.
fn age(case: &Case) -> Option<u16> {
    let this_year = u16::try_from(case.last_at.year()).ok()?;
    let words = answer(case, QuestionId::BatteryMade)?.split(|c: char| !c.is_ascii_digit());
    let years = words.filter(|word| word.len() == 4).filter_map(|word| word.parse::<u16>().ok());
    years.filter(|year| (1980..=this_year).contains(year)).max().map(|year| this_year - year)
}

/// Returns the verdict on the battery.
///
/// # Errors
/// The battery table of this build does not read.
pub fn judgement(case: &Case) -> Result<Judgement, Diagnostic> {
    judge(BatteryTable::builtin()?, &evidence(case))
}

/// Returns what the charging side shows.
pub fn charging(case: &Case) -> Vec<Finding> {
    let Ok(table) = BatteryTable::builtin() else { return Vec::new() };
    let each = batteries(case);
    let measured = ChargingValues {
        running: value::<Volt>(case, QuestionId::ChargingVolts, "V").map(|volts| volts / each),
        rested: rested(case).map(|volts| volts / each),
        temperature: value::<Celsius>(case, QuestionId::BatteryTemperature, "C"),
        smart: match answer(case, QuestionId::ChargingKind) {
            Some("smart") => Some(true),
            Some("plain") => Some(false),
            // No engine computer sets the volts of these.
            _ => matches!(case.map.class, VehicleClass::Motorcycle | VehicleClass::Boat).then_some(false),
        },
        converter: has_converter(case),
        ripple: value::<Volt>(case, QuestionId::ChargingRipple, "mV"),
        cable_drop: value::<Volt>(case, QuestionId::ChargingCables, "V"),
        leak: value::<Ampere>(case, QuestionId::ChargingLeak, "mA"),
    };
    let mut found = charging::findings(table, &measured);
    // The second of two batteries, charged by itself.
    if let (Some(first), Some(all)) = (
        value::<Volt>(case, QuestionId::ChargingFirst, "V"),
        value::<Volt>(case, QuestionId::ChargingVolts, "V"),
    ) {
        let one = |running: Volt| ChargingValues {
            running: Some(running),
            ripple: None,
            cable_drop: None,
            leak: None,
            ..measured.clone()
        };
        found.extend(charging::findings(table, &one(first)));
        found.extend(charging::findings(table, &one(all - first)));
    }
    found
}

/// Returns what was read of a converter.
pub fn converter(case: &Case) -> ConverterValues {
    ConverterValues {
        ready: match answer(case, QuestionId::ChargingReady) {
            Some("yes") => Some(true),
            Some("no") => Some(false),
            _ => None,
        },
        rested: rested(case),
        posts: value(case, QuestionId::ChargingVolts, "V"),
        stud: value(case, QuestionId::ChargingStud, "V"),
        output: value(case, QuestionId::ChargingConverter, "A"),
        input: value(case, QuestionId::ChargingInput, "A"),
        traction: value(case, QuestionId::ChargingTraction, "V"),
    }
}

/// Returns true if the posts rose less than they should once the vehicle was ready.
pub fn rises_little(case: &Case) -> bool {
    let read = converter(case);
    let rise = read.posts.zip(read.rested).map(|(posts, rested)| posts - rested);
    let least = || BatteryTable::builtin().ok().map(least_rise);
    rise.zip(least()).is_some_and(|(rise, least)| rise < least)
}

/// Returns true if 12 V is tapped off one battery of a pair without an equaliser.
pub fn is_tapped(case: &Case) -> bool {
    answer(case, QuestionId::ChargingEqualiser) == Some("tap")
}

/// Returns what is known of a 12 V tap.
pub fn tap(case: &Case) -> Tap {
    match answer(case, QuestionId::ChargingEqualiser) {
        Some("tap") => Tap::Bare,
        Some("equaliser") => Tap::Equalised,
        _ => Tap::None,
    }
}

/// Returns two batteries in series while they are charged, where each was read.
pub fn pair_charging(case: &Case) -> Option<PairCharging> {
    let first = value(case, QuestionId::ChargingFirst, "V")?;
    let both = value(case, QuestionId::ChargingVolts, "V")?;
    Some(PairCharging::of(BatteryTable::builtin().ok()?, first, both, tap(case)))
}

/// Returns what a tap was read to take, in words.
pub fn tapped(case: &Case, at_plus: Ampere) -> Option<StyledText> {
    let total = case.readings.iter().rev().find_map(|reading| match &reading.what {
        Measurement::Total { current, as_found: false } => Some(current),
        _ => None,
    })?;
    let read = |typed: &Typed<Ampere>| current(typed, case.ammeter());
    let plus = Typed { value: at_plus, ..total.clone() };
    let taken = read(total).minus(&read(&plus));
    let capacity = known_capacity(case).ok()?.capacity.value();
    let is_clear = taken.value() > taken.u() * DETECTION;
    Some(match days_apart(pair::tap(total.value, at_plus), capacity).filter(|_| is_clear) {
        Some(days) => text::pair::tap(taken.value(), days),
        None => StyledText::plain(text::pair::NO_TAP),
    })
}

/// Returns true if a converter charges the 12 V battery instead of an alternator.
pub fn has_converter(case: &Case) -> bool {
    case.map.class == VehicleClass::Electrified
}

/// Returns the capacity by the best rating that is known.
///
/// # Errors
/// The battery table of this build does not read.
pub fn known_capacity(case: &Case) -> Result<Capacity, Diagnostic> {
    let one = capacity(BatteryTable::builtin()?, &ratings(case), case.map.class);
    Ok(one.times(case.map.side_by_side()))
}

/// Returns true if how long it stands can't be reckoned: the battery failed, and nobody measured what it holds.
pub fn is_unreckoned(case: &Case) -> bool {
    let failed = || judgement(case).is_ok_and(|found| found.reasons.iter().any(BatteryReason::is_fault));
    ratings(case).measured.is_none() && failed()
}

/// Returns the capacity of a vehicle of which no rating is known.
///
/// # Errors
/// The battery table of this build does not read.
pub fn assumed_capacity(map: &Map) -> Result<Capacity, Diagnostic> {
    Ok(capacity(BatteryTable::builtin()?, &Ratings::default(), map.class).times(map.side_by_side()))
}

/// Returns what the battery has to give: at the state of charge that was read; full where that is asked for, or where
/// it could not be read.
///
/// # Errors
/// The battery table of this build does not read.
pub fn stock(case: &Case, full: bool) -> Result<Stock, Diagnostic> {
    let table = BatteryTable::builtin()?;
    let figures = table.of(chemistry(case).unwrap_or(Chemistry::Flooded))?;
    let evidence = evidence(case);
    let temperature = evidence.temperature.unwrap_or(Celsius::new(20.0));
    let readable = |charge: &&Charge| charge.unreadable.is_none() && !full;
    let read = judge(table, &evidence)?.charge().filter(readable).map(|charge| charge.share.clone());
    let charge = read.unwrap_or_else(|| Uncertain::new(Share::new(1.0), Share::new(0.02)));
    Ok(Stock {
        capacity: known_capacity(case)?.capacity,
        charge,
        lowest: cold::lowest(table, figures, temperature, Use::of(case.map.class)),
        self_discharge: figures.self_discharge.clone(),
        temperature,
    })
}

/// Days for which the draw is told where no limit is published. Editorial: a holiday.
const ORIENTATION: Day = Day::new(30.0);

/// Returns what the battery itself would bear, where no limit is known: no limit, but something to hold one against.
pub fn for_orientation(case: &Case) -> Option<StyledText> {
    let allowed = stock(case, true).ok()?.allowed(ORIENTATION);
    let capacity = known_capacity(case).ok()?;
    (allowed.value() > Ampere::ZERO).then(|| text::stand::bears(&allowed, ORIENTATION, &capacity))
}

/// Returns what a time to flat says about the draw, beside the measured one if there is one.
pub fn expected(case: &Case, stood: Minute, measured: &Uncertain<Ampere>) -> Option<StyledText> {
    let capacity = stock(case, true).ok()?.capacity.value();
    let told = draw_told(case, stood)?;
    if !case.told().was_full() {
        return Some(text::stand::not_full(Day::from(stood)));
    }
    Some(text::stand::beside(told, capacity, Day::from(stood), measured))
}

/// Returns what a time to flat says about the draw: least (no longer cranking) and most (all gone).
pub fn draw_told(case: &Case, stood: Minute) -> Option<(Ampere, Ampere)> {
    let stock = stock(case, true).ok()?;
    let stood = Day::from(stood);
    let least = draw_behind(&stock.usable(), stood).value();
    Some((least, draw_behind(&stock.capacity, stood).value()))
}
