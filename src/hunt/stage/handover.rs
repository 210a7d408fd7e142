//! The end: what goes back, what was found, whether it is proven, how long it stands now, and where the record is.
//! A hunt can be handed over without a proof; then it says "not proven", and why.
//! Leaves to others: the record itself (`render/record`).

use crate::log::question_id::QuestionId;
use chrono::{DateTime, FixedOffset};

use super::asking::settled;
use super::{back, verify};
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, AmpereHour, Share, Uncertain, Unit};
use crate::base::styled::{Role, StyledText};
use crate::battery::stand::Stock;
use crate::hunt::analysis::{Analysis, plain_current};
use crate::hunt::question::{Question, QuestionKind};
use crate::hunt::{HuntStep, NextStep, Taken, show, supply};
use crate::log::case::Case;
use crate::measure::Measurement;
use crate::text;

/// What a charger puts in for each ampere-hour that is missing. Common practice for acid.
const CHARGE_FACTOR: f64 = 1.2;
/// Less than this missing is not worth a word. Editorial.
const NEARLY_FULL: Share = Share::new(0.95);

/// What a hunt ends with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// The total after the repair is within the limit, and nothing speaks against it.
    Proven,
    /// Nothing was repaired, or the total after it doesn't prove it.
    NotProven,
    /// The settled total was within the limit from the start.
    WithinLimit,
}

impl Outcome {
    /// Returns it in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Proven => "repaired and proven by the total afterwards",
            Self::NotProven => "not proven",
            Self::WithinLimit => "the settled draw is within its limit",
        }
    }
}

/// Returns what the hunt ends with.
pub fn outcome(case: &Case) -> Outcome {
    if case.answer(QuestionId::TotalWithin) == Some("stop") {
        return Outcome::WithinLimit;
    }
    if verify::was_repaired(case) && verify::lacks(case).is_empty() {
        Outcome::Proven
    } else {
        Outcome::NotProven
    }
}

/// Returns the last questions, then the end.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    if let Some(step) = back::next(case) {
        return Some(step);
    }
    if !settled(case, QuestionId::HandoverDone) {
        let question = Question {
            kind: QuestionKind::Acknowledge,
            ..Question::line(
                QuestionId::HandoverDone,
                "Is everything back in its place?",
                "The record keeps the answer. Latches, covers, fuses, plugs, charger and panel as they were; clock, windows, steering and radio code set.",
            )
            .or("yes")
        };
        return Some(HuntStep::ask(question).after(summary(case)));
    }
    let mut say = vec![StyledText::of(Role::Heading, "Likeliest cause")];
    say.extend(Analysis::of(case).map(|analysis| show::leading(&analysis, 1)).unwrap_or_default());
    let why = format!("the hunt has reached its end: {}", outcome(case).words());
    Some(HuntStep { say, next: NextStep::Done { why } })
}

fn summary(case: &Case) -> Vec<StyledText> {
    let outcome = outcome(case);
    let role = if outcome == Outcome::NotProven { Role::Doubt } else { Role::Good };
    let mut say = vec![
        StyledText::of(Role::Heading, "Hand over"),
        StyledText::plain("Outcome: ").and(role, outcome.words()),
    ];
    match outcome {
        Outcome::NotProven => {
            let lacks = if verify::was_repaired(case) {
                verify::lacks(case)
            } else {
                vec!["nothing was repaired".to_owned()]
            };
            say.extend(lacks.iter().map(|why| StyledText::of(Role::Doubt, why).indented(2)));
        }
        Outcome::Proven => {
            say.extend(
                verify::leaves_open(case)
                    .iter()
                    .map(|open| StyledText::of(Role::Hint, format!("Open: {open}.")).indented(2)),
            );
        }
        Outcome::WithinLimit => {}
    }
    if verify::is_intermittent(case) && !verify::was_repaired(case) {
        say.push(verify::log_advice());
    }
    say.extend(stand_lines(case));
    say.extend(recharge(case));
    say
}

/// Returns how long it stands: at the draw found, and after the repair; from a full battery.
pub fn stand_lines(case: &Case) -> Vec<StyledText> {
    let Ok(stock) = supply::stock(case, true) else { return Vec::new() };
    let mut lines = Vec::new();
    let mut at = |total: &Uncertain<Ampere>, when: &str| {
        // A draw that is not told from zero promises nothing but its upper end.
        let line = if total.low() > Ampere::ZERO {
            text::stand::stands(total, &stock.days(total), when)
        } else {
            let most = Uncertain::exact(total.high());
            text::stand::at_least(total.high(), &stock.days(&most), when)
        };
        lines.push(line);
    };
    let after = case.total_after_repair().map(|reading| &reading.what);
    if let Some(total) = verify::total_before(case) {
        at(&total, " from full");
    }
    if let Some(Measurement::Total { current, .. }) = after {
        at(&plain_current(current, case), " after the repair, from full,");
    }
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
    let how = match supply::chemistry(case) {
        Some(kind) if !kind.has_acid() => "with a charger for lithium iron phosphate, above 0 °C only",
        Some(kind) => match kind.name() {
            "agm" | "gel" => "with a charger set for its type: too high a voltage dries it out",
            _ => "with a charger; a short drive does not fill it",
        },
        None => "with a charger set for its type; a short drive does not fill it",
    };
    if supply::rested(case).is_none() || charge.value() >= NEARLY_FULL {
        return Some(StyledText::plain(format!("Charge the battery fully {how}: the hunt has drawn on it.")));
    }
    let amount = AmpereHour::new(capacity.value().base() * missing.base() * CHARGE_FACTOR);
    Some(StyledText::plain(format!("Charge the battery fully {how}: about ")).and(Role::Value, bare(amount, 2)).and(
        Role::Plain,
        " are missing (with a fifth for losses). Charger off before its clips move, never a frozen battery.",
    ))
}

/// Takes the answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    if question.id.head == QuestionId::HandoverBack {
        return back::take(case, text);
    }
    match text.to_lowercase().as_str() {
        "yes" | "y" => Taken::answer(question, "yes"),
        _ => Taken::refuse("Type yes when everything is back, or skip REASON."),
    }
}
