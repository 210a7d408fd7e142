//! The customer's sheet: what they told, what was found, what was done, what they can do. One page in print.
//! Leaves to others: the words (`text/page`).

use super::blocks::{PageBlock, PagePart, Tone};
use super::source::{PageSource, cut, moment};
use super::{figures, night};
use crate::text::page;

/// Longest text of one's own on this sheet, in characters.
const LONGEST: usize = 220;

/// Makes the sheet.
pub(super) fn part(source: PageSource) -> PagePart {
    let record = source.record;
    let mut blocks = Vec::new();
    if record.vehicle.practice.is_some() {
        blocks.push(PageBlock::Say(Tone::Doubt, page::PRACTICE.to_owned()));
    }
    if !record.versions.left_out.is_empty() {
        blocks.push(PageBlock::Say(Tone::Aside, page::REDACTED.to_owned()));
    }
    let told = |text: &Option<String>| text.as_deref().map(|text| cut(text, LONGEST));
    blocks.push(PageBlock::Facts(vec![
        ("Vehicle", told(&record.vehicle.name)),
        ("Plate", told(&record.vehicle.identity.plate)),
        ("Date", Some(moment(&record.setup.last_entry))),
        ("You told us", told(&record.complaint.in_words)),
    ]));
    blocks.push(PageBlock::Heading("What we found"));
    blocks.push(PageBlock::Say(Tone::Lead, source.found()));
    blocks.extend(standing(&source));
    blocks.extend(figures::totals(source).map(PageBlock::Figure));
    blocks.extend(night::cost(source));
    if let Some(done) = record.repair.what.as_ref().filter(|_| record.repair.is_made) {
        blocks.push(PageBlock::Heading("What we did"));
        blocks.push(PageBlock::Say(Tone::Plain, cut(done, LONGEST)));
        blocks.extend(record.proof.in_words.as_ref().map(|proof| PageBlock::Say(Tone::Plain, proof.clone())));
    }
    blocks.push(PageBlock::Heading("How long it stands"));
    blocks.extend(figures::stand(source).map(PageBlock::Figure));
    blocks.push(PageBlock::Heading("What you can do"));
    let mut points: Vec<String> = record.battery.recharge.iter().cloned().collect();
    points.push(page::AGAIN.to_owned());
    blocks.push(PageBlock::Points(points));
    PagePart { name: "customer", heading: page::CUSTOMER, blocks }
}

/// Says what the finding is worth.
fn standing(source: &PageSource) -> Option<PageBlock> {
    if source.record.total.settled.is_none() || source.is_within() {
        return None;
    }
    Some(match source.is_proven() {
        true => PageBlock::Say(Tone::Good, source.worth().to_owned()),
        false => PageBlock::Say(Tone::Doubt, source.worth().to_owned()),
    })
}
