//! The page that is handed over, made from the record alone, so that whatever was left out there is left out here: one
//! sheet for the customer, one for the work order, then the evidence.
//! Leaves to others: the record (`render/record`), words (`text/page`).

pub(crate) mod blocks;
mod customer;
mod evidence;
mod figures;
pub(crate) mod html;
mod order;
pub(crate) mod plain;
mod svg;

use self::blocks::HandoverPage;
use super::RecordShape;
use super::readings::ReadingRow;
use crate::base::quantity::show::{Q, with_interval};
use crate::base::quantity::{Ampere, Uncertain};
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

/// Makes the page.
pub fn page(source: PageSource) -> HandoverPage {
    let name = source.record.vehicle.name.clone().unwrap_or_default();
    let plate = source.record.vehicle.identity.plate.clone().unwrap_or_default();
    let of: Vec<&str> = [name.as_str(), plate.as_str()].into_iter().filter(|part| !part.is_empty()).collect();
    let title = match of.as_slice() {
        [] => page::TITLE.to_owned(),
        of => format!("{}: {}", page::TITLE, cut(&of.join(", "), 60)),
    };
    HandoverPage {
        title,
        letterhead: source.letterhead.iter().take(4).map(|line| cut(line, 90)).collect(),
        parts: vec![customer::part(source), order::part(source), evidence::part(source)],
    }
}

impl PageSource<'_> {
    /// Returns true if the repair is proven.
    fn is_proven(&self) -> bool {
        self.record.proof.outcome == PROVEN
    }

    /// Returns true if there was nothing to repair.
    fn is_within(&self) -> bool {
        self.record.proof.outcome == WITHIN_LIMIT
    }

    /// Returns what was found, in a sentence.
    fn found(&self) -> String {
        let leader = &self.record.leader;
        if self.record.total.settled.is_none() {
            return page::NOT_MEASURED.to_owned();
        }
        if self.is_within() {
            return page::WITHIN.to_owned();
        }
        let named = leader.parts.first().filter(|part| *part != crate::render::json::suspects::UNLISTED);
        page::found(
            leader.kind,
            leader.name.as_deref().unwrap_or_default(),
            named.map(String::as_str),
            self.is_proven(),
        )
    }

    /// Returns the total before the repair: the settled one.
    fn before(&self) -> Option<&Q> {
        self.record.total.settled.as_ref()?.current.as_ref()
    }

    /// Returns the total after it.
    fn after(&self) -> Option<&Q> {
        self.record.proof.total_after_repair.as_ref()?.current.as_ref()
    }
}

/// Returns a current with its interval.
fn current(q: &Q) -> String {
    with_interval(&Uncertain::new(Ampere::from_milli(q.value), Ampere::from_milli(q.u)))
}

/// Returns a text, cut where it is too long for its place, with word of where the rest stands.
fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most).collect::<String>() + page::MORE
}

/// Returns a time for a table, where the year is known: `11-02 08:16`.
fn short(at: &str) -> String {
    at.get(5..16).unwrap_or(at).replace('T', " ")
}

/// Returns a time for people: `2026-11-02 08:16`.
fn moment(at: &str) -> String {
    at.get(..16).unwrap_or(at).replace('T', " ")
}
