//! What a page is made from, and how the parts of it are told for people.
//! Leaves to others: what stands where (`customer`, `order`, `evidence`).

use chrono::{DateTime, TimeDelta};

use crate::balance::verdict::DrawVerdict;
use crate::base::quantity::show::{Q, with_interval};
use crate::base::quantity::{Ampere, Uncertain};
use crate::measure::night::LedgerKind;
use crate::render::json::suspects::UNLISTED;
use crate::render::record::RecordShape;
use crate::render::record::readings::ReadingRow;
use crate::text::ask::handover::{PROVEN, WITHIN_LIMIT};
use crate::text::page;

/// What a page is made from.
#[derive(Debug, Clone, Copy)]
pub struct PageSource<'a> {
    /// The record.
    pub record: &'a RecordShape,
    /// The readings.
    pub rows: &'a [ReadingRow],
    /// The shop's letterhead.
    pub letterhead: &'a [String],
}

impl PageSource<'_> {
    /// Returns true if the repair is proven.
    pub(super) fn is_proven(&self) -> bool {
        self.record.proof.outcome == PROVEN
    }

    /// Returns what the finding is worth, in a sentence.
    pub(super) fn worth(&self) -> &'static str {
        match (self.is_proven(), self.after()) {
            (true, _) => page::PROOF,
            (false, Some(_)) => page::NOT_YET,
            (false, None) => page::INDICATION,
        }
    }

    /// Returns true if there was nothing to repair.
    pub(super) fn is_within(&self) -> bool {
        self.record.proof.outcome == WITHIN_LIMIT
    }

    /// Returns what was found, in a sentence.
    pub(super) fn found(&self) -> String {
        let leader = &self.record.leader;
        if self.record.total.settled.is_none() {
            return page::NOT_MEASURED.to_owned();
        }
        if self.is_within() {
            return page::WITHIN.to_owned();
        }
        let named = leader.parts.first().filter(|part| *part != UNLISTED);
        page::found(
            leader.kind,
            leader.name.as_deref().unwrap_or_default(),
            named.map(String::as_str),
            self.is_proven(),
        )
    }

    /// Returns what draws at times, in words: the costliest part of a logged night that is over its limit only with it.
    pub(super) fn at_times(&self) -> Option<&str> {
        let night = self.record.night.as_ref()?;
        let parts = night.ledger.iter().filter(|part| part.what != LedgerKind::Rest.word());
        let costliest = parts.max_by(|a, b| a.ah_per_day.total_cmp(&b.ah_per_day))?;
        let rests_within = night.level_ma? <= self.record.limit.ma?;
        let is_over = night.verdict == Some(DrawVerdict::Over.word());
        (is_over && rests_within).then_some(costliest.in_words.as_str())
    }

    /// Returns the total before the repair: the settled one.
    pub(super) fn before(&self) -> Option<&Q> {
        self.record.total.settled.as_ref()?.current.as_ref()
    }

    /// Returns the total after it.
    pub(super) fn after(&self) -> Option<&Q> {
        self.record.proof.total_after_repair.as_ref()?.current.as_ref()
    }
}

/// Returns a current with its interval.
pub(super) fn current(q: &Q) -> String {
    with_interval(&Uncertain::new(Ampere::from_milli(q.value), Ampere::from_milli(q.u)))
}

/// Returns a text, cut where it is too long for its place, with word of where the rest stands.
pub(super) fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most).collect::<String>() + page::MORE
}

/// Returns a time for a table, where the year is known: `11-02 08:16`.
pub(super) fn short(at: &str) -> String {
    at.get(5..16).unwrap_or(at).replace('T', " ")
}

/// Returns a text for a narrow place, cut where it is too long.
pub(super) fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}

/// Added before the seconds are left out, so that a minute is the nearest one.
const HALF_A_MINUTE: i64 = 30;

/// Returns the time of day so many hours after a beginning; hours from it where it has no date.
pub(super) fn clock(start: Option<&str>, hours: f64) -> String {
    let begun = start.and_then(|start| DateTime::parse_from_rfc3339(start).ok());
    // A night is at most some hundred hours.
    let after = TimeDelta::seconds((hours * 3600.0).round() as i64 + HALF_A_MINUTE);
    match begun.and_then(|begun| begun.checked_add_signed(after)) {
        Some(at) => at.format("%H:%M").to_string(),
        None => format!("{hours:.1} h"),
    }
}

/// Returns a time for people: `2026-11-02 08:16`.
pub(super) fn moment(at: &str) -> String {
    at.get(..16).unwrap_or(at).replace('T', " ")
}
