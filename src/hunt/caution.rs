//! Cautions: which ones, before which step, acknowledged once each and kept in the record.
//! Leaves to others: their words (`text/ask/caution`).

use chrono::{DateTime, FixedOffset};

use super::question::Question;
use super::stage::asking::{is_yes, settled};
use super::{HuntStep, Taken};
use crate::base::styled::{Role, StyledText};
use crate::circuit::map::{Feed, Hazard, Map, VehicleClass, in_series};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::measure::Measurement;
use crate::text;

/// The kind of load that records an interruption of its own supply.
const RECORDER: &str = "tachograph";

/// A caution, and whether a vehicle needs it.
type Needed = (QuestionId, fn(&Map) -> bool);

/// Cautions before any work, in the order in which they are shown.
const BEFORE_WORK: [Needed; 10] = [
    (QuestionId::CautionBattery, |_| true),
    (QuestionId::CautionServiceInformation, |_| true),
    (QuestionId::CautionMoving, |map| map.class != VehicleClass::Boat),
    (QuestionId::CautionRestraints, |map| {
        !matches!(map.class, VehicleClass::Motorcycle | VehicleClass::Boat)
    }),
    (QuestionId::CautionHighVoltage, |map| {
        map.class == VehicleClass::Electrified || map.feeds.iter().any(|feed| feed.hazard == Some(Hazard::Hv))
    }),
    (QuestionId::CautionTwoBatteries, |map| in_series(map.system) > 1),
    (QuestionId::CautionVapour, |map| map.class == VehicleClass::Boat),
    (QuestionId::CautionSeveralSources, |map| {
        matches!(map.class, VehicleClass::Boat | VehicleClass::Caravan) || map.side_by_side() > 1
    }),
    (QuestionId::CautionMotorcycle, |map| map.class == VehicleClass::Motorcycle),
    (QuestionId::CautionGasAndMains, |map| matches!(map.class, VehicleClass::Boat | VehicleClass::Caravan)),
];

/// The cautions before the work that a vehicle needs.
fn before_work(map: &Map) -> impl Iterator<Item = QuestionId> {
    BEFORE_WORK.iter().filter(|(_, applies)| applies(map)).map(|(id, _)| *id)
}

/// Returns the cautions that a vehicle needs, the one before the first pull included.
pub fn needed(map: &Map) -> impl Iterator<Item = QuestionId> {
    before_work(map).chain([QuestionId::CautionPull])
}

/// Returns the next caution that is not acknowledged yet.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    let open: Vec<QuestionId> = before_work(&case.map).filter(|id| !settled(case, *id)).collect();
    let passed_over = case.skipped(QuestionId::CautionPage).is_some();
    (!open.is_empty() && !passed_over).then(|| ask(QuestionId::CautionPage, &open))
}

/// Returns the caution before the first pull or unplugging, if it is not acknowledged yet.
pub fn before_pull(case: &Case) -> Option<HuntStep> {
    let pull = QuestionId::CautionPull;
    (!settled(case, pull)).then(|| ask(pull, &[pull]))
}

/// Returns the caution before the first pull or unplugging of what holds a recorder, if it is not acknowledged yet.
pub fn before_recorder(case: &Case, at: &str) -> Option<HuntStep> {
    let feed = at.split('/').next().unwrap_or(at);
    let holds_recorder =
        |found: &Feed| found.id == feed && found.loads.iter().any(|load| load.kind == RECORDER);
    let id = QuestionId::CautionRecorder;
    (case.map.feeds.iter().any(holds_recorder) && !settled(case, id)).then(|| ask(id, &[id]))
}

/// Returns the cautions that a command shows which begins a log: those before any work.
pub fn shown_by_open(map: &Map) -> Vec<StyledText> {
    before_work(map).map(said).collect()
}

/// Returns the caution that a command shows which enters these: that before the first pull or unplugging, once.
pub fn shown_by_add(case: &Case, entered: &[LogEvent]) -> Option<StyledText> {
    let pulls = |what: &Measurement| matches!(what, Measurement::Pull { .. } | Measurement::Unplug { .. });
    let is_pull = |entry: &LogEvent| matches!(entry, LogEvent::Reading(read) if pulls(&read.what));
    let is_first = !case.readings.iter().any(|reading| pulls(&reading.what));
    let id = QuestionId::CautionPull;
    (is_first && !settled(case, id) && entered.iter().any(is_pull)).then(|| said(id))
}

fn said(id: QuestionId) -> StyledText {
    StyledText::of(Role::Caution, format!("Caution: {}", text::ask::caution::text(id)))
}

/// A page of cautions. Enter acknowledges none of them.
fn ask(id: QuestionId, page: &[QuestionId]) -> HuntStep {
    let mut say = vec![StyledText::of(Role::Caution, text::ask::caution::heading(id))];
    say.extend(
        page.iter().map(|id| {
            StyledText::of(Role::Caution, format!("- {}", text::ask::caution::text(*id))).indented(2)
        }),
    );
    HuntStep::ask(Question { default: None, ..Question::acknowledge(id) }).after(say)
}

/// Takes the acknowledgement.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    if !is_yes(text) {
        return Taken::refuse(text::ask::caution::TYPE_YES);
    }
    if question.id.head != QuestionId::CautionPage {
        return Taken::answer(question, "yes");
    }
    let open = before_work(&case.map).filter(|id| !settled(case, *id));
    let answer = |id: QuestionId| LogEvent::Answer { question: id.into(), answer: "yes".to_owned() };
    Taken { entries: open.map(answer).collect(), ..Taken::default() }
}
