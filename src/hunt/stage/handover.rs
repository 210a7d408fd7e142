//! The end: what goes back, what was found, whether it is proven, how long it stands now, and where the record is.
//! A hunt can be handed over without a proof; then it says "not proven", and why.
//! Leaves to others: the record itself (`render/record`).

use chrono::{DateTime, FixedOffset};

use super::asking::{is_yes, settled};
use super::{back, repair, total, usage, verify};
use crate::balance::verdict::DrawVerdict;
use crate::base::quantity::{Ampere, AmpereHour, Day, Share, Uncertain, Unit};
use crate::base::styled::{Role, StyledText};
use crate::battery::cause::{SupplyCause, SupplyKind};
use crate::battery::stand::Stock;
use crate::hunt::analysis::{Analysis, plain_current};
use crate::hunt::night::{average_of, night_before_repair};
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, NextStep, Taken, causes, show, supply};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::identity::Identity;
use crate::log::question_id::QuestionId;
use crate::measure::Measurement;
use crate::text;
use crate::text::ask::handover as words;

/// What a charger puts in for each ampere-hour that is missing. Common practice for acid.
const CHARGE_FACTOR: f64 = 1.2;
/// The answer of who leaves out plate, order and the rest.
const NO_IDENTITY: &str = "none";
/// Less than this missing is not worth a word. Editorial.
const NEARLY_FULL: Share = Share::new(0.95);

/// What a hunt ends with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// The total after the repair is within the limit, and nothing speaks against it.
    Proven,
    /// Nothing was repaired, or the total after it doesn't prove it.
    NotProven,
    /// A pull cured it, and nothing was repaired.
    Cured,
    /// It is used too little to stay charged.
    Used,
    /// It was used too little, and stays charged as it is used now.
    Kept,
    /// The settled total was within the limit from the start.
    WithinLimit,
}

impl Outcome {
    /// Returns it in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Proven => words::PROVEN,
            Self::NotProven => words::NOT_PROVEN,
            Self::Cured => words::CURED,
            Self::Used => words::USED,
            Self::Kept => words::KEPT,
            Self::WithinLimit => words::WITHIN_LIMIT,
        }
    }
}

/// Returns what the hunt ends with.
pub fn outcome(case: &Case) -> Outcome {
    let leads = Analysis::of(case).leading_supply().map(SupplyCause::kind);
    if leads == Some(SupplyKind::Use) {
        return if usage::stays_charged(case) == Some(true) { Outcome::Kept } else { Outcome::Used };
    }
    if leads.is_none() && total::ends_within(case) {
        return Outcome::WithinLimit;
    }
    if verify::is_repaired(case) && verify::lacks(case).is_empty() {
        Outcome::Proven
    } else if repair::cured(case).is_some() {
        Outcome::Cured
    } else {
        Outcome::NotProven
    }
}

/// Returns the last questions, then the end.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    if let Some(step) = back::next(case) {
        return Some(step);
    }
    let is_told = settled(case, QuestionId::HandoverVehicle) || !case.identity.is_empty();
    if !is_told && !settled(case, QuestionId::HandoverDone) {
        return Some(HuntStep::ask(Question::of(QuestionId::HandoverVehicle).or(NO_IDENTITY)));
    }
    if !settled(case, QuestionId::HandoverDone) {
        let question = Question::acknowledge(QuestionId::HandoverDone);
        return Some(HuntStep::ask(question).after(summary(case)));
    }
    let say = vec![show::stop(&Analysis::of(case))];
    Some(HuntStep { say, next: NextStep::Done { why: outcome(case).words().to_owned() } })
}

fn summary(case: &Case) -> Vec<StyledText> {
    let outcome = outcome(case);
    let unproven = matches!(outcome, Outcome::NotProven | Outcome::Cured);
    let role = if unproven { Role::Doubt } else { Role::Good };
    let mut say = vec![StyledText::of(Role::Heading, "Hand over: ").and(role, outcome.words())];
    match outcome {
        Outcome::NotProven => {
            let lacks = if verify::is_repaired(case) {
                verify::lacks(case)
            } else {
                vec![text::ask::prove::NO_REPAIR.to_owned()]
            };
            // What the total after the repair showed was just said.
            let lacks = lacks.iter().filter(|why| **why != text::ask::prove::not_within(DrawVerdict::Over));
            say.extend(lacks.map(|why| StyledText::of(Role::Doubt, why).indented(2)));
        }
        Outcome::Proven => {
            say.extend(
                verify::leaves_open(case)
                    .iter()
                    .map(|open| StyledText::of(Role::Hint, format!("Open: {open}.")).indented(2)),
            );
        }
        Outcome::Cured => {
            say.extend(repair::finding(case, &Analysis::of(case), 1));
        }
        Outcome::Used => say.extend(causes::day(case)),
        Outcome::Kept | Outcome::WithinLimit => {}
    }
    if verify::is_intermittent(case) && !case.was_repaired() {
        say.push(verify::log_advice());
    }
    say.extend(stand_lines(case));
    say.extend(recharge(case).into_iter().flat_map(|charge| [charge, text::care::charger()]));
    say
}

/// How long a full battery stands at a draw that was read.
#[derive(Debug, Clone)]
pub struct StandTime {
    /// The draw; of one that is not told from zero its upper end, for it promises no more.
    pub draw: Uncertain<Ampere>,
    /// The days.
    pub days: Uncertain<Day>,
    /// True if they are only the least that it stands.
    pub at_least: bool,
    /// True after the repair.
    pub after_repair: bool,
    /// True if the draw is the average of a logged night, wake-ups in.
    pub on_average: bool,
}

/// Returns how long it stands: at the draw found, and after the repair; from a full battery.
pub fn stand_times(case: &Case) -> Vec<StandTime> {
    let Ok(stock) = supply::stock(case, true) else { return Vec::new() };
    if supply::is_unreckoned(case) {
        return Vec::new();
    }
    let at = |total: Uncertain<Ampere>, after_repair: bool, on_average: bool| {
        let at_least = total.low() <= Ampere::ZERO;
        let draw = if at_least { Uncertain::exact(total.high()) } else { total };
        StandTime { days: stock.days(&draw), draw, at_least, after_repair, on_average }
    };
    let total = verify::total_before(case);
    let is_more =
        |average: &Uncertain<Ampere>| total.as_ref().is_none_or(|total| average.value() > total.value());
    let average = night_before_repair(case).and_then(|seen| average_of(case, &seen.what)).filter(is_more);
    let on_average = average.is_some();
    let before = average.or(total).map(|draw| at(draw, false, on_average));
    let after = case.total_after_repair().and_then(|reading| match &reading.what {
        Measurement::Total { current, .. } => Some(at(plain_current(current, case), true, false)),
        _ => None,
    });
    before.into_iter().chain(after).collect()
}

/// Returns the same in words.
pub fn stand_lines(case: &Case) -> Vec<StyledText> {
    if supply::is_unreckoned(case) {
        return vec![StyledText::of(Role::Doubt, text::supply::NO_DAYS)];
    }
    let line = |stand: StandTime| {
        let when = match (stand.after_repair, stand.on_average) {
            (true, _) => words::REPAIRED_FROM_FULL,
            (false, true) => words::AVERAGE_FROM_FULL,
            (false, false) => words::FROM_FULL,
        };
        if stand.at_least {
            text::stand::at_least(stand.draw.value(), &stand.days, when)
        } else {
            text::stand::stands(&stand.draw, &stand.days, when)
        }
    };
    let mut lines: Vec<StyledText> = stand_times(case).into_iter().map(line).collect();
    if !lines.is_empty()
        && let Ok(capacity) = supply::known_capacity(case)
    {
        lines.push(
            StyledText::of(Role::Hint, format!("With {}.", text::stand::capacity(&capacity))).indented(2),
        );
    }
    lines
}

/// Returns what to charge, and how.
pub fn recharge(case: &Case) -> Option<StyledText> {
    let Stock { capacity, charge, .. } = supply::stock(case, false).ok()?;
    let missing = Share::new(1.0) - charge.value();
    let known = supply::rested(case).is_some() && charge.value() < NEARLY_FULL;
    let amount = || AmpereHour::new(capacity.value().base() * missing.base() * CHARGE_FACTOR);
    Some(words::recharge(supply::chemistry(case), known.then(amount)))
}

/// Takes the answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    if question.id.head == QuestionId::HandoverBack {
        return back::take(case, text);
    }
    if question.id.head == QuestionId::HandoverVehicle {
        return match text {
            NO_IDENTITY => Taken::answer(question, NO_IDENTITY),
            told => Taken::read(Identity::read(told), |identity| Taken::entry(LogEvent::Vehicle(identity))),
        };
    }
    if is_yes(text) { Taken::answer(question, "yes") } else { Taken::refuse(words::TYPE_YES) }
}
