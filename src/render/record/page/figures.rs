//! The figures of the page: the draw before and after, where the total goes, suspects before and after the readings, how
//! long it stands.
//! Leaves to others: drawing them (`svg`), the night (`night`).

use super::blocks::{BarTone, Drawing, FigureBar, PageFigure};
use super::source::{PageSource, current};
use crate::base::quantity::show::{Q, bare};
use crate::base::quantity::{Ampere, Day, Uncertain};
use crate::render::json::suspects::FeedShape;
use crate::text::suspects::odds;
use crate::text::{page, stand};

/// Most bars of one figure.
const BARS: usize = 6;

/// Returns a current of so many mA for people.
pub(super) fn milliampere(ma: f64) -> String {
    bare(Ampere::from_milli(ma), 3)
}

fn bar(label: impl Into<String>, shown: String, value: f64, tone: BarTone) -> FigureBar {
    FigureBar { label: label.into(), shown, value, interval: None, before: None, tone }
}

fn of(q: &Q, label: impl Into<String>, tone: BarTone) -> FigureBar {
    FigureBar { interval: Some((q.low, q.high)), ..bar(label, current(q), q.value, tone) }
}

/// The settled draw before and after, against its limit.
pub(super) fn totals(source: PageSource) -> Option<PageFigure> {
    let over = source.record.total.verdict != Some("within");
    let before = of(source.before()?, "As found", if over { BarTone::Blame } else { BarTone::Good });
    let good = if source.is_proven() { BarTone::Good } else { BarTone::Open };
    let after = source.after().map(|after| of(after, "After the repair", good));
    let limit = source.record.limit.ma.map(|ma| (ma, format!("limit {}", milliampere(ma))));
    let drawing = Drawing::Bars { bars: [before].into_iter().chain(after).collect(), limit };
    Some(PageFigure { caption: page::FIGURE_TOTALS, drawing })
}

/// What was read at a fuse: below its floor it says no more than that.
fn read_bar(line: &FeedShape, tone: BarTone) -> FigureBar {
    match line.floor.as_ref().filter(|floor| line.current.value < floor.value) {
        Some(floor) => {
            bar(page::somewhere(&line.id), page::under(&milliampere(floor.value)), line.own.value, tone)
        }
        None => of(&line.own, page::somewhere(&line.id), tone),
    }
}

/// Where the total goes: what was read at each fuse, the rest of them together, and what no reading places.
pub(super) fn goes(source: PageSource) -> Option<PageFigure> {
    let account = &source.record.account;
    account.total.as_ref()?;
    let blamed = source.record.leader.name.as_deref();
    let mut read: Vec<_> =
        account.feeds.iter().chain(&account.unfused).filter(|line| line.measured).collect();
    read.sort_by(|a, b| b.own.value.total_cmp(&a.own.value));
    let tone = |id: &str| if blamed == Some(id) { BarTone::Blame } else { BarTone::Plain };
    let mut bars: Vec<FigureBar> =
        read.iter().take(BARS).map(|line| read_bar(line, tone(&line.id))).collect();
    if let Some(rest) = read.get(BARS..).filter(|rest| !rest.is_empty()) {
        let sum: f64 = rest.iter().map(|line| line.own.value).sum();
        bars.push(bar(format!("{} others read", rest.len()), milliampere(sum), sum, BarTone::Plain));
    }
    bars.extend(account.unplaced.as_ref().map(|left| of(left, "Not placed", BarTone::Open)));
    (!read.is_empty())
        .then_some(PageFigure { caption: page::FIGURE_GOES, drawing: Drawing::Bars { bars, limit: None } })
}

/// Who was suspect with the total alone, and who is now.
pub(super) fn suspects(source: PageSource) -> Option<PageFigure> {
    let suspects = &source.record.suspects;
    let branches = suspects.branches.iter().map(|one| (one.branch.as_str(), one.probability));
    let groups = suspects.wake_groups.iter().map(|one| (one.group.as_str(), one.probability));
    let now: Vec<(&str, f64)> = branches.chain(groups).collect();
    let before =
        |name: &str| suspects.before.iter().find(|one| one.name == name).map_or(0.0, |one| one.probability);
    let was_only = suspects
        .before
        .iter()
        .map(|one| one.name.as_str())
        .filter(|name| !now.iter().any(|one| one.0 == *name));
    let mut all: Vec<(&str, f64)> = now.iter().copied().chain(was_only.map(|name| (name, 0.0))).collect();
    all.sort_by(|a, b| (b.1 + before(b.0) * 0.1).total_cmp(&(a.1 + before(a.0) * 0.1)));
    let leads = source.record.leader.name.as_deref();
    let bars = all.iter().take(BARS).map(|(name, after)| FigureBar {
        before: Some(before(name) * 100.0),
        ..bar(
            page::somewhere(name),
            page::now_and_before(odds(*after), odds(before(name))),
            after * 100.0,
            if leads == Some(*name) { BarTone::Blame } else { BarTone::Plain },
        )
    });
    let drawing = Drawing::Bars { bars: bars.collect(), limit: None };
    (!suspects.before.is_empty()).then_some(PageFigure { caption: page::FIGURE_SUSPECTS, drawing })
}

/// How long it stands at the draw found and after the repair.
pub(super) fn stand(source: PageSource) -> Option<PageFigure> {
    let stands = &source.record.battery.stand_time;
    let bars: Vec<FigureBar> = stands
        .iter()
        .map(|one| {
            let days = Uncertain::new(Day::new(one.days.value), Day::new(one.days.u));
            let tone = if one.after_repair { BarTone::Good } else { BarTone::Plain };
            let label = match (one.after_repair, one.on_average) {
                (true, _) => "After the repair",
                (false, true) => "By the night logged",
                (false, false) => "As found",
            };
            let shown = stand::days(&days);
            FigureBar {
                interval: Some((one.days.low, one.days.high)),
                ..bar(label, shown, one.days.value, tone)
            }
        })
        .filter(|bar| bar.value.is_finite())
        .collect();
    (!bars.is_empty())
        .then_some(PageFigure { caption: page::FIGURE_STAND, drawing: Drawing::Bars { bars, limit: None } })
}
