//! The work order: vehicle and order, complaint, cause, correction, the draw before and after against its limit, what is
//! open, the seal. One page in print; what was not told is left to be filled in by hand.
//! Leaves to others: the words (`text/page`).

use super::blocks::{PageBlock, PageGrid, PagePart, Tone};
use super::figures;
use super::source::{PageSource, current, cut, moment, shortened};
use crate::log::identity::IdentityKey;
use crate::text::page;

/// Longest text of one's own on this sheet, in characters.
const LONGEST: usize = 110;
/// Longest part of the identity on this sheet, in characters.
const SHORT: usize = 40;
/// Most points that are open on this sheet.
const POINTS: usize = 4;

/// Makes the sheet.
pub(super) fn part(source: PageSource) -> PagePart {
    let record = source.record;
    let mut blocks = vec![
        identity(source),
        PageBlock::Seal(record.seal.clone()),
        PageBlock::Heading("Complaint"),
        PageBlock::Facts(vec![
            ("In words", told(&record.complaint.in_words)),
            ("Flat after", told(&record.complaint.flat_after_standing)),
        ]),
        PageBlock::Heading("Cause"),
        PageBlock::Say(Tone::Lead, source.found()),
    ];
    blocks.extend(cause(source));
    blocks.push(PageBlock::Heading("Correction"));
    blocks.push(PageBlock::Facts(vec![
        ("What was done", told(&record.repair.what).filter(|_| record.repair.is_made)),
        (IdentityKey::Part.label(), told(&record.vehicle.identity.part)),
        (IdentityKey::Time.label(), told(&record.vehicle.identity.time)),
        ("Time of the search", Some(page::took(record.setup.hours))),
    ]));
    blocks.push(draws(source));
    blocks.push(PageBlock::Heading("Open"));
    blocks.push(open(source));
    PagePart { name: "order", heading: page::ORDER, blocks }
}

fn told(text: &Option<String>) -> Option<String> {
    text.as_deref().map(|text| cut(text, LONGEST))
}

fn identity(source: PageSource) -> PageBlock {
    let record = source.record;
    let told_of = &record.vehicle.identity;
    let short = |text: &Option<String>| text.as_deref().map(|text| shortened(text, SHORT));
    PageBlock::Facts(vec![
        ("Vehicle", short(&record.vehicle.name)),
        (IdentityKey::Plate.label(), short(&told_of.plate)),
        (IdentityKey::Vin.label(), short(&told_of.vin)),
        (IdentityKey::Odometer.label(), short(&told_of.odometer)),
        (IdentityKey::Order.label(), short(&told_of.order)),
        (IdentityKey::Technician.label(), short(&told_of.technician)),
        (IdentityKey::Battery.label(), short(&told_of.battery)),
        ("Begun", Some(moment(&record.setup.begun))),
        ("Last entry", Some(moment(&record.setup.last_entry))),
    ])
}

/// What failed, how, and the reading that says so.
fn cause(source: PageSource) -> Vec<PageBlock> {
    let record = source.record;
    let leader = &record.leader;
    if record.total.settled.is_none() || source.is_within() {
        return Vec::new();
    }
    let excess = leader.excess.as_ref().map(|excess| figures::milliampere(excess.value));
    let failed = match (source.at_times(), leader.kind) {
        (Some(what), _) => Some(page::failed_at_times(what)),
        (None, "group") => excess.map(|excess| page::held_awake(&excess)),
        _ => excess.map(|excess| page::failed(&excess)),
    };
    let part = Some(leader.parts.join(", ")).filter(|parts| !parts.is_empty()).or(leader.name.clone());
    let worth = source.worth();
    vec![
        PageBlock::Facts(vec![
            ("Failed part", part.as_deref().map(|part| cut(part, LONGEST))),
            ("How it failed", failed),
            ("Reading that says so", leader.why.as_deref().map(|why| cut(why, 2 * LONGEST))),
            ("How sure", Some(leader.odds.to_owned())),
        ]),
        PageBlock::Say(if source.is_proven() { Tone::Good } else { Tone::Doubt }, worth.to_owned()),
    ]
}

/// The draw before, its limit and the draw after, with intervals and how each was read.
fn draws(source: PageSource) -> PageBlock {
    let record = source.record;
    let method = record.setup.clamp.name.as_str();
    let row = |what: &str, value: Option<String>, how: String| {
        vec![what.to_owned(), value.unwrap_or_else(|| "not read".to_owned()), how]
    };
    let limit = record.limit.ma.map(figures::milliampere);
    let from = record.limit.source.as_deref().map(|from| cut(from, 120)).unwrap_or_default();
    let how = record.total.settled_how.map(|how| format!("{method}; {how}")).unwrap_or_default();
    let night = record.night.as_ref().and_then(|night| {
        let how = page::logged(night.hours);
        Some(row("Night", Some(figures::milliampere(night.average_ma?)), how))
    });
    let after = source.after().map(|_| method.to_owned()).unwrap_or_default();
    PageBlock::Grid(PageGrid {
        caption: "Settled draw, with 95 % interval",
        head: vec!["When", "Draw", "How it was read"],
        rows: [
            row("Before", source.before().map(current), how),
            row("Limit", limit, from),
            row("After", source.after().map(current), after),
        ]
        .into_iter()
        .chain(night)
        .collect(),
    })
}

fn open(source: PageSource) -> PageBlock {
    let proof = &source.record.proof;
    let left = proof.leaves_open.iter().map(|open| (*open).to_owned());
    let not_back = proof.put_back.iter().filter(|one| !one.back).map(|one| format!("not back: {}", one.item));
    let unfinished = (!proof.finished).then(|| proof.end.clone());
    let all: Vec<String> =
        proof.lacks.iter().cloned().chain(left).chain(not_back).chain(unfinished).collect();
    match all.len() {
        0 if source.is_proven() || source.is_within() => {
            PageBlock::Say(Tone::Plain, page::NOTHING_OPEN.to_owned())
        }
        0 => PageBlock::Say(Tone::Plain, proof.end.clone()),
        _ => PageBlock::Points(all.into_iter().take(POINTS).map(|one| cut(&one, LONGEST)).collect()),
    }
}
