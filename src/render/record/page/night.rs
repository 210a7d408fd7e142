//! The night on the page: its curve, what its charge went to, and both in words.
//! Leaves to others: finding it (`render/record/night`), drawing it (`night_svg`).

use super::blocks::{BarTone, Drawing, FigureBar, NightCurve, PageBlock, PageFigure, PageGrid, Tone};
use super::figures::milliampere;
use super::source::{PageSource, clock};
use crate::base::quantity::{Day, Uncertain};
use crate::render::record::night::{LedgerShape, NightShape};
use crate::text::{page, stand};

/// Says what the night cost, if one was logged.
pub(super) fn cost(source: PageSource) -> Option<PageBlock> {
    let night = source.record.night.as_ref()?;
    let average = milliampere(night.average_ma?);
    let days =
        night.days.as_ref().map(|days| stand::days(&Uncertain::new(Day::new(days.value), Day::new(days.u))));
    let limit = source.record.limit.ma.map(milliampere).zip(night.verdict);
    let said = page::night_cost(night.level_ma.map(milliampere).as_deref(), &average, limit, days.as_deref());
    let tone = if night.verdict == Some("over") { Tone::Doubt } else { Tone::Plain };
    Some(PageBlock::Say(tone, said))
}

/// The curve, the ledger as bars and as a table; nothing without a logged night.
pub(super) fn blocks(source: PageSource) -> Vec<PageBlock> {
    let Some(night) = source.record.night.as_ref() else { return Vec::new() };
    let mut blocks: Vec<PageBlock> = vec![PageBlock::Heading(page::NIGHT)];
    blocks.extend(cost(source));
    let curve = curve(source, night);
    let cut_off = curve.as_ref().and_then(cut_off);
    blocks.extend(curve.map(PageBlock::Figure));
    blocks.extend(cut_off.map(|said| PageBlock::Say(Tone::Aside, said)));
    if night.curve.is_empty() && night.departures.len() < night.count {
        blocks.push(PageBlock::Say(Tone::Aside, page::drawn(night.departures.len(), night.count)));
    }
    blocks.extend(ledger(source, night).map(PageBlock::Figure));
    blocks.extend((!night.ledger.is_empty()).then(|| table(night)));
    blocks
}

/// What it comes back to: the rest, or the lower of what it goes up and down between.
fn base(night: &NightShape) -> Option<f64> {
    night.level_ma.or_else(|| night.ledger.first().map(|line| line.peak_ma))
}

fn curve(source: PageSource, night: &NightShape) -> Option<PageFigure> {
    let level = base(night)?;
    // What never rests is shown from its first rise on.
    let rises = night.ledger.iter().filter(|line| line.what != "rest").map(|line| line.first_min);
    let since = night.rests_after_min.or_else(|| rises.reduce(f64::min));
    let rests_after = since.unwrap_or_default() / 60.0;
    let wakes: Vec<(f64, f64, f64)> = night
        .departures
        .iter()
        .map(|one| (one.after_min / 60.0, one.after_min / 60.0 + one.seconds / 3600.0, one.peak_ma))
        .collect();
    let peak = wakes.iter().map(|wake| wake.2).fold(level, f64::max);
    let (low, high) = (milliampere(level), milliampere(peak));
    let shown = match night.level_ma {
        Some(_) => page::night(night.hours - rests_after, &low, &high, night.count),
        None => page::restless(night.hours, &low, &high),
    };
    let spread = night.curve.iter().map(|part| (part.after_min / 60.0, part.low_ma, part.high_ma));
    let hours = [0.0, 0.5, 1.0].map(|share| clock(night.start.as_deref(), night.hours * share));
    let curve = NightCurve {
        hours: night.hours,
        rests_after,
        level,
        average: night.average_ma,
        limit: source.record.limit.ma,
        wakes,
        spread: spread.collect(),
        marks: hours,
        shown,
    };
    Some(PageFigure { caption: page::FIGURE_NIGHT, drawing: Drawing::Night(curve) })
}

/// Says how high it was before the time from which the curve has its scale.
fn cut_off(figure: &PageFigure) -> Option<String> {
    let Drawing::Night(curve) = &figure.drawing else { return None };
    let highest = |from_rest: bool| {
        let parts = curve.spread.iter().filter(|part| (part.0 >= curve.rests_after) == from_rest);
        parts.map(|part| part.2).fold(0.0, f64::max)
    };
    (highest(false) > highest(true)).then(|| page::cut_off(&milliampere(highest(false))))
}

/// What the night's ampere-hours went to; what takes most above the rest stands out where it is over for that.
fn ledger(source: PageSource, night: &NightShape) -> Option<PageFigure> {
    let rests_within =
        night.level_ma.zip(source.record.limit.ma).is_some_and(|(level, limit)| level <= limit);
    let woken = night.verdict == Some("over") && rests_within;
    let above = night.ledger.iter().filter(|line| line.what != "rest");
    let most = above.map(|line| line.ah_per_day).fold(0.0, f64::max);
    let bar = |line: &LedgerShape| FigureBar {
        label: line.what.to_owned(),
        shown: page::ah_a_day(line.ah_per_day),
        value: line.ah_per_day,
        interval: None,
        before: None,
        tone: if woken && line.what != "rest" && line.ah_per_day >= most {
            BarTone::Blame
        } else {
            BarTone::Plain
        },
    };
    let drawing = Drawing::Bars { bars: night.ledger.iter().map(bar).collect(), limit: None };
    (!night.ledger.is_empty()).then_some(PageFigure { caption: page::FIGURE_LEDGER, drawing })
}

fn table(night: &NightShape) -> PageBlock {
    let row = |line: &LedgerShape| {
        let may_be = line.may_be.as_deref().map(|name| page::may_be(name, line.usual));
        vec![
            line.in_words.clone(),
            clock(night.start.as_deref(), line.first_min / 60.0),
            milliampere(line.ma),
            page::ah_a_day(line.ah_per_day),
            may_be.unwrap_or_default(),
        ]
    };
    PageBlock::Grid(PageGrid {
        caption: page::LEDGER,
        head: vec!["What", "First", "On average", "Takes", "May be"],
        rows: night.ledger.iter().map(row).collect(),
    })
}
