//! The evidence: figures, set-up, battery, every reading, suspects, where the total goes, cautions, the timeline, what was
//! struck, and what it was made with.
//! Leaves to others: the words (`text/page`), the entries (`render/record`).

use super::blocks::{PageBlock, PageGrid, PagePart, Tone};
use super::source::{PageSource, current, moment, short};
use super::{figures, night};
use crate::base::quantity::show::Q;
use crate::render::record::readings::ReadingRow;
use crate::render::record::sections::ProfileShape;
use crate::text::page;
use crate::text::suspects::odds;

/// Makes the part.
pub(super) fn part(source: PageSource) -> PagePart {
    let mut blocks = Vec::new();
    let drawn = [figures::goes, figures::suspects];
    blocks.extend(drawn.into_iter().filter_map(|draw| draw(source)).map(PageBlock::Figure));
    blocks.extend(night::blocks(source));
    blocks.extend(set_up(source));
    blocks.extend(battery(source));
    blocks.push(PageBlock::Heading("Readings"));
    blocks.push(readings(source.rows));
    blocks.extend(suspects(source));
    blocks.push(PageBlock::Heading("Cautions"));
    blocks.push(cautions(source));
    blocks.push(PageBlock::Heading("Everything in order"));
    blocks.push(timeline(source));
    blocks.extend(struck(source));
    blocks.extend(versions(source));
    PagePart { name: "evidence", heading: page::EVIDENCE, blocks }
}

fn set_up(source: PageSource) -> Vec<PageBlock> {
    let notes =
        source.record.complaint.notes.iter().map(|note| format!("{}: {}", moment(&note.at), note.text));
    let facts = told(source).into_iter().chain(measured_with(source)).chain(came_to(source));
    let blocks = [
        PageBlock::Heading("Complaint and set-up"),
        PageBlock::Facts(facts.filter(|(_, value)| value.is_some()).collect()),
        PageBlock::Points(notes.collect()),
    ];
    let is_empty = |block: &PageBlock| matches!(block, PageBlock::Points(points) if points.is_empty());
    blocks.into_iter().filter(|block| !is_empty(block)).collect()
}

type Told = (&'static str, Option<String>);

fn told(source: PageSource) -> [Told; 5] {
    let (complaint, vehicle) = (&source.record.complaint, &source.record.vehicle);
    let (class, volts, fuses) = (vehicle.class, vehicle.system_v, vehicle.feeds);
    [
        ("In words", complaint.in_words.clone()),
        ("Lately added or repaired", complaint.lately_added_or_repaired.clone()),
        ("Left plugged in", complaint.left_plugged_in.clone()),
        ("Vehicle", Some(page::vehicle_line(class, volts, fuses))),
        ("Map", Some(vehicle.map.clone())),
    ]
}

fn measured_with(source: PageSource) -> [Told; 5] {
    let setup = &source.record.setup;
    let meter = |one: &ProfileShape| {
        Some(format!("{}: {}, {} % + {}", one.name, one.last_digit, one.percent_of_reading, one.counts))
    };
    let all = |values: Vec<String>| Some(values.join(", ")).filter(|text| !text.is_empty());
    let temperatures = setup.temperatures.iter().map(|one| format!("{} {}", one.r#box, one.value)).collect();
    [
        ("Meter", meter(&setup.meter)),
        ("Clamp", meter(&setup.clamp)),
        ("Zeros", all(setup.zeros.iter().map(|one| one.value.clone()).collect())),
        ("Temperatures", all(temperatures)),
        ("Time to sleep", Some(format!("{} min", setup.sleep.expected_min))),
    ]
}

fn came_to(source: PageSource) -> [Told; 4] {
    let record = source.record;
    [
        ("Settled", record.total.settled_how.map(str::to_owned)),
        ("Draw", record.total.in_words.clone()),
        ("Repair", record.repair.what.clone()),
        ("Came to", Some(record.proof.end.clone())),
    ]
}

fn battery(source: PageSource) -> Vec<PageBlock> {
    let battery = &source.record.battery;
    let volts = battery.volts.iter().map(|one| format!("{} at {}", one.value, moment(&one.at)));
    let points: Vec<String> = volts
        .chain(battery.reasons.iter().flatten().cloned())
        .chain(battery.charging_shows.iter().cloned())
        .chain(battery.stands.iter().map(|line| line.trim().to_owned()))
        .collect();
    if points.is_empty() {
        Vec::new()
    } else {
        vec![PageBlock::Heading("Battery and charging"), PageBlock::Points(points)]
    }
}

fn readings(rows: &[ReadingRow]) -> PageBlock {
    if rows.is_empty() {
        return PageBlock::Say(Tone::Plain, page::NO_READING.to_owned());
    }
    let row = |row: &ReadingRow| {
        let came = row.current.map(|[value, low, high, floor]| {
            let q = Q { value, u: (high - low) / 3.92, low, high, unit: "mA" };
            if value < floor { page::under(&figures::milliampere(floor)) } else { current(&q) }
        });
        let marks = [
            (row.provisional, "provisional"),
            (row.after_repair, "after the repair"),
            (row.struck, "struck"),
        ];
        let marks: Vec<&str> = marks.into_iter().filter(|(holds, _)| *holds).map(|(_, mark)| mark).collect();
        vec![
            row.entry.to_string(),
            moment(&row.at),
            came.unwrap_or_default(),
            marks.join(", "),
            row.said.clone(),
        ]
    };
    PageBlock::Grid(PageGrid {
        caption: "Every reading, with 95 % interval",
        head: vec!["No.", "When", "Came to", "Mark", "Read"],
        rows: rows.iter().map(row).collect(),
    })
}

fn suspects(source: PageSource) -> Vec<PageBlock> {
    let suspects = &source.record.suspects;
    let branches = suspects
        .branches
        .iter()
        .map(|one| vec![page::somewhere(&one.branch), odds(one.probability).to_owned(), one.why.clone()]);
    let groups = suspects
        .wake_groups
        .iter()
        .map(|one| vec![one.group.clone(), odds(one.probability).to_owned(), one.why.clone()]);
    vec![
        PageBlock::Heading("Suspects"),
        PageBlock::Say(Tone::Plain, suspects.search.clone()),
        PageBlock::Grid(PageGrid {
            caption: "Who is suspect, and why",
            head: vec!["Where", "Odds", "Why"],
            rows: branches.chain(groups).collect(),
        }),
        PageBlock::Say(Tone::Aside, page::others(suspects.other_branches.count)),
        PageBlock::Say(Tone::Aside, suspects.weights.basis.to_owned()),
    ]
}

fn cautions(source: PageSource) -> PageBlock {
    let row = |one: &super::super::findings::CautionShape| {
        let when = one.acknowledged.as_deref().map(short);
        vec![when.unwrap_or_else(|| "not shown".to_owned()), one.text.to_owned()]
    };
    PageBlock::Grid(PageGrid {
        caption: "Cautions, and when each was acknowledged",
        head: vec!["Acknowledged", "Caution"],
        rows: source.record.cautions.iter().map(row).collect(),
    })
}

fn timeline(source: PageSource) -> PageBlock {
    let row = |one: &super::super::timeline::TimelineShape| {
        vec![one.entry.to_string(), short(&one.at), one.marks.join(", "), one.said.clone()]
    };
    PageBlock::Grid(PageGrid {
        caption: "Every entry of the log",
        head: vec!["No.", "When", "Mark", "Entry"],
        rows: source.record.timeline.iter().map(row).collect(),
    })
}

fn struck(source: PageSource) -> Vec<PageBlock> {
    let row = |one: &super::super::timeline::RecordStruckShape| {
        let said = one.said.clone().unwrap_or_default();
        vec![one.entry.to_string(), short(&one.at), said, one.why.clone()]
    };
    let rows: Vec<_> = source.record.struck.iter().map(row).collect();
    if rows.is_empty() {
        return Vec::new();
    }
    vec![PageBlock::Grid(PageGrid {
        caption: "Struck entries",
        head: vec!["No.", "Struck at", "It said", "Why"],
        rows,
    })]
}

fn versions(source: PageSource) -> Vec<PageBlock> {
    let versions = &source.record.versions;
    let edited: Vec<String> = versions.entries_edited_after_writing.iter().map(ToString::to_string).collect();
    vec![
        PageBlock::Heading("Made with"),
        PageBlock::Facts(
            vec![
                ("Program", Some(format!("fusetrail {}", versions.program))),
                ("Log begun with", Some(format!("fusetrail {}", versions.log_begun_with))),
                ("Fuse tables", Some(versions.fuse_tables.clone())),
                ("Entries", Some(versions.entries.to_string())),
                (
                    "Changed after writing",
                    Some(if edited.is_empty() { "none".to_owned() } else { edited.join(", ") }),
                ),
                ("Left out", Some(versions.left_out.join("; ")).filter(|text| !text.is_empty())),
            ]
            .into_iter()
            .filter(|(_, value)| value.is_some())
            .collect(),
        ),
    ]
}
