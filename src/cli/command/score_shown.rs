//! A score as tables for people and as JSON for programs.
//! Leaves to others: the figures (`score`).

use serde_json::Value;

use crate::base::numeric::rate::{Rate, Spread};
use crate::base::quantity::Unit;
use crate::base::styled::{Role, StyledText};
use crate::cli::context::Context;
use crate::cli::error::CliError;
use crate::cli::table::Table;
use crate::render::json::score::{
    BinShape, BoundsShape, MissShape, PolicyShape, SaidShape, ScoreShape, SumShape,
};
use crate::score::{Bin, Group, Judged, Name, Policy, Said, Scored, Tally, bounds, ratio, tally};
use crate::text::score as words;

/// Prints the tables; with `misses` also where the first way of hunting went wrong.
///
/// # Errors
/// The stream cannot be written to.
pub fn text(context: &Context, scored: &[Scored], policies: &[Policy], misses: bool) -> Result<(), CliError> {
    let (Some(first), Some(last)) = (scored.first(), scored.last()) else {
        return context.print(&[StyledText::plain("No vehicle was scored.")]);
    };
    let head = words::head(scored.len(), first.seed, last.seed);
    context.print(&[StyledText::plain(head), StyledText::new()])?;
    let sums: Vec<Tally> = (0..policies.len()).map(|at| tally(scored, at, &Group::All)).collect();
    context.print_table(&overall(policies, &sums))?;
    context.print(&[StyledText::new(), words::ends(bounds(scored, &Group::All))])?;
    let Some(leading) = policies.first() else { return Ok(()) };
    let heading = |text: String| [StyledText::new(), StyledText::of(Role::Heading, text), StyledText::new()];
    context.print(&heading(format!("{}, {}", leading.name(), words::GROUPS)))?;
    context.print_table(&groups(scored, policies))?;
    if let (Policy::Plan, Some(sum)) = (leading, sums.first()) {
        context.print(&heading(words::CALIBRATION.to_owned()))?;
        context.print_table(&calibration(sum))?;
    }
    if misses {
        context.print(&heading(format!("Where it went wrong: {}", leading.name())))?;
        context.print(&scored.iter().flat_map(miss).collect::<Vec<StyledText>>())?;
    }
    Ok(())
}

fn overall(policies: &[Policy], sums: &[Tally]) -> Table {
    let headings: Vec<&str> =
        std::iter::once("").chain(policies.iter().map(|policy| policy.name())).collect();
    let mut table = Table::new(&headings);
    let mut row = |name: &str, cell: &dyn Fn(&Tally) -> String| {
        table.row(std::iter::once(name.to_owned()).chain(sums.iter().map(cell)));
    };
    row("right first", &|sum| rate(&sum.first));
    row("all right", &|sum| rate(&sum.all));
    row("falsely accused", &|sum| rate(&sum.accused));
    row("readings", &|sum| spread(&sum.readings));
    row("prompts", &|sum| spread(&sum.prompts));
    row("work, minutes", &|sum| spread(&sum.minutes));
    row("gone by, min.", &|sum| spread(&sum.elapsed));
    for (policy, other) in policies.iter().zip(sums) {
        row(&format!("work of {}", policy.name()), &|sum| share(ratio(sum, other)));
    }
    row("ended", &|sum| {
        let ended = sum.endings.iter().map(|(ending, count)| format!("{} {count}", ending.name()));
        ended.collect::<Vec<String>>().join(", ")
    });
    table
}

/// A line a group: shares in percent with their intervals, mean minutes of work, and these as shares of the others'.
fn groups(scored: &[Scored], policies: &[Policy]) -> Table {
    let others: Vec<(usize, &Policy)> = policies.iter().enumerate().skip(1).collect();
    let fixed = ["", "cars", "first %", "95 %", "all %", "95 %", "work"];
    let headings: Vec<&str> =
        fixed.into_iter().chain(others.iter().map(|(_, policy)| policy.name())).collect();
    let mut table = Table::new(&headings).right(&[1, 2, 4, 6, 7, 8]);
    for group in Group::present(scored) {
        let sum = tally(scored, 0, &group);
        let ratios = others.iter().map(|(at, _)| share(ratio(&sum, &tally(scored, *at, &group))));
        let cells = [
            group.name().to_owned(),
            sum.first.of.to_string(),
            percent(&sum.first),
            interval(&sum.first),
            percent(&sum.all),
            interval(&sum.all),
            format!("{:.1}", sum.minutes.mean),
        ];
        table.row(cells.into_iter().chain(ratios));
    }
    table
}

fn percent(rate: &Rate) -> String {
    rate.share.map_or_else(String::new, |share| format!("{:.1}", share * 100.0))
}

fn interval(rate: &Rate) -> String {
    format!("{:.0}–{:.0}", rate.low * 100.0, rate.high * 100.0)
}

fn calibration(sum: &Tally) -> Table {
    let mut table = Table::new(&["said", "cases", "on average", "right"]).right(&[1, 2]);
    for bin in &sum.calibration {
        table.row([
            format!("{:.0}–{:.0} %", bin.from * 100.0, bin.to * 100.0),
            bin.right.of.to_string(),
            if bin.right.of > 0 { format!("{:.1} %", bin.said * 100.0) } else { String::new() },
            rate(&bin.right),
        ]);
    }
    table
}

/// A share with its interval, in percent; empty without a case.
fn rate(rate: &Rate) -> String {
    rate.share.map_or_else(String::new, |share| {
        format!("{:.1} % ({:.1}–{:.1})", share * 100.0, rate.low * 100.0, rate.high * 100.0)
    })
}

fn spread(spread: &Spread) -> String {
    format!("{:.1} / {:.1} / {:.1}", spread.median, spread.mean, spread.p90)
}

fn share(ratio: Option<f64>) -> String {
    ratio.map_or_else(String::new, |ratio| format!("{ratio:.2}"))
}

/// One vehicle on which the first way of hunting went wrong.
fn miss(scored: &Scored) -> Vec<StyledText> {
    let Some((hunted, judged)) = scored.hunts.first() else { return Vec::new() };
    let wrong = wrong(judged);
    if wrong.is_empty() {
        return Vec::new();
    }
    let said: Vec<String> = hunted.said.iter().take(3).map(one_said).collect();
    let head = StyledText::of(Role::Name, format!("{} {}", scored.seed, scored.map))
        .and(Role::Hint, format!(" {} {}: ", scored.meter, scored.clamp))
        .and(Role::Doubt, wrong)
        .and(Role::Plain, format!(" · truth: {}", scored.truth))
        .and(Role::Plain, format!(" · said: {}", said.join(", ")))
        .and(Role::Plain, format!(" · {} after {}", hunted.ending.name(), hunted.readings));
    vec![head, StyledText::of(Role::Hint, hunted.trail.join(" · ")).indented(2)]
}

fn wrong(judged: &Judged) -> &'static str {
    match judged {
        Judged { accused: true, first: false, .. } => "wrong one accused",
        Judged { accused: true, .. } => "one too many accused",
        Judged { first: false, .. } => "not found",
        Judged { all: false, .. } => "not all found",
        _ => "",
    }
}

fn one_said(said: &Said) -> String {
    format!("{} {:.0} %", name(&said.name), said.probability * 100.0)
}

fn name(name: &Name) -> String {
    match name {
        Name::Nothing => "nothing wrong".to_owned(),
        Name::Gone => "gone since touched".to_owned(),
        Name::Branch(id) => id.clone(),
        Name::Group(id) => format!("group {id}"),
    }
}

/// Returns the score for programs: every sum for every way of hunting and every group, and every vehicle that went wrong.
pub fn shape(scored: &[Scored], policies: &[Policy], [map_kind, hands]: [&'static str; 2]) -> ScoreShape {
    let seeds = scored.first().zip(scored.last()).map(|(first, last)| [first.seed, last.seed]);
    let policy = |(at, policy): (usize, &Policy)| PolicyShape {
        policy: policy.name(),
        groups: Group::present(scored).iter().map(|group| group_sum(scored, policies, at, group)).collect(),
        misses: scored.iter().filter_map(|one| missed(one, at)).collect(),
    };
    let policies = policies.iter().enumerate().map(policy).collect();
    ScoreShape { vehicles: scored.len(), seeds, map_kind, hands, policies }
}

fn group_sum(scored: &[Scored], policies: &[Policy], at: usize, group: &Group) -> SumShape {
    let sum = tally(scored, at, group);
    let of = policies.iter().enumerate().map(|(other, policy)| {
        (policy.name().to_owned(), Value::from(ratio(&sum, &tally(scored, other, group))))
    });
    let work_of = of.collect();
    let bin = |bin: Bin| BinShape { from: bin.from, to: bin.to, said: bin.said, right: bin.right };
    let [known, sweep] = bounds(scored, group);
    SumShape {
        right_first: sum.first,
        all_right: sum.all,
        falsely_accused: sum.accused,
        readings: sum.readings,
        prompts: sum.prompts,
        minutes: sum.minutes,
        elapsed_min: sum.elapsed,
        endings: sum
            .endings
            .iter()
            .map(|(end, count)| (end.name().to_owned(), Value::from(*count)))
            .collect(),
        calibration: sum.calibration.into_iter().map(bin).collect(),
        work_of,
        group: group.name().to_owned(),
        bounds_min: BoundsShape { known, sweep },
    }
}

fn missed(scored: &Scored, at: usize) -> Option<MissShape> {
    let (hunted, judged) = scored.hunts.get(at)?;
    let said = |said: &Said| SaidShape { name: name(&said.name), probability: said.probability };
    (!wrong(judged).is_empty()).then(|| MissShape {
        seed: scored.seed,
        map: scored.map.clone(),
        meter: scored.meter.clone(),
        clamp: scored.clamp.clone(),
        kind: scored.kind.name(),
        truth: scored.truth.clone(),
        wrong: wrong(judged),
        said: hunted.said.iter().take(8).map(said).collect(),
        ending: hunted.ending.name(),
        minutes: hunted.hands_on.base(),
        readings: hunted.trail.clone(),
    })
}
