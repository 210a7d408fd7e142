//! How long a battery stands at a draw: what was asked, what it comes to, as text and as JSON.
//! Leaves to others: the arithmetic (`battery`), the words (`text/stand`, `text/battery`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Celsius, Day, Minute, Share, Uncertain, Volt};
use crate::base::styled::StyledText;
use crate::battery::capacity::{Capacity, Method};
use crate::battery::charge::{AtRest, Charge, Unreadable, charge};
use crate::battery::chemistry::Chemistry;
use crate::battery::cold::{self, Use};
use crate::battery::reason::BatteryReason;
use crate::battery::stand::Stock;
use crate::battery::table::BatteryTable;
use crate::text::{battery as battery_words, stand as words};

/// Draws of the table, in milliampere.
const DRAWS_MA: [f64; 8] = [10.0, 20.0, 30.0, 50.0, 100.0, 250.0, 500.0, 1000.0];
/// A battery that was not measured is taken as full, with this standard uncertainty. Editorial.
const FULL: (Share, Share) = (Share::new(1.0), Share::new(0.02));
/// Volts above this are of two 12 V batteries in series.
const TWO_BATTERIES: Volt = Volt::new(18.0);

/// What is asked.
#[derive(Debug, Clone)]
pub struct StandRequest {
    /// Draw; the average where it goes up and down.
    pub draw: Uncertain<Ampere>,
    /// Draw after a repair.
    pub after: Option<Uncertain<Ampere>>,
    /// Capacity with its method.
    pub capacity: Capacity,
    /// Volts at rest, if they were read.
    pub volts: Option<Volt>,
    /// Time since it was charged or driven, if known.
    pub rested: Option<Minute>,
    /// Type of battery; `None` if nobody knows.
    pub chemistry: Option<Chemistry>,
    /// Temperature while it stands.
    pub temperature: Celsius,
    /// Lowest state of charge that still does, if it is told.
    pub lowest: Option<Share>,
    /// What the vehicle needs its battery for.
    pub wanted: Use,
    /// Time that it should stand.
    pub days: Option<Day>,
}

/// What it comes to.
#[derive(Debug, Clone)]
pub struct StandResult {
    /// What the battery has to give.
    pub stock: Stock,
    /// Days at the draw.
    pub days: Uncertain<Day>,
    /// Days after the repair.
    pub after: Option<Uncertain<Day>>,
    /// Draw at which it stands the time that was asked for.
    pub allowed: Option<Uncertain<Ampere>>,
    /// Days at each of a range of draws.
    pub table: Vec<(Ampere, Uncertain<Day>)>,
    /// State of charge, if volts were read.
    pub charge: Option<Charge>,
    /// What to know about it.
    pub warnings: Vec<String>,
}

/// Works it out.
///
/// # Errors
/// The battery table of this build does not read.
pub fn stand(asked: &StandRequest) -> Result<StandResult, Diagnostic> {
    let table = BatteryTable::builtin()?;
    let figures = table.of(asked.chemistry.unwrap_or(Chemistry::Flooded))?;
    let batteries = asked.volts.map_or(1.0, |volts| if volts > TWO_BATTERIES { 2.0 } else { 1.0 });
    let read = |volts: Volt| {
        let at_rest =
            AtRest { volts: volts / batteries, temperature: Some(asked.temperature), rested: asked.rested };
        charge(table, &at_rest, asked.chemistry)
    };
    let found = asked.volts.map(read).transpose()?;
    let full = || Uncertain::new(FULL.0, FULL.1);
    let stock = Stock {
        capacity: asked.capacity.capacity.clone(),
        charge: found
            .as_ref()
            .filter(|found| !is_surface(found))
            .map_or_else(full, |found| found.share.clone()),
        lowest: asked
            .lowest
            .map_or_else(|| cold::lowest(table, figures, asked.temperature, asked.wanted), Uncertain::exact),
        self_discharge: figures.self_discharge.clone(),
        temperature: asked.temperature,
    };
    let draws = DRAWS_MA.map(Ampere::from_milli);
    Ok(StandResult {
        days: stock.days(&asked.draw),
        after: asked.after.as_ref().map(|draw| stock.days(draw)),
        allowed: asked.days.map(|days| stock.allowed(days)),
        table: draws.map(|draw| (draw, stock.days(&Uncertain::exact(draw)))).to_vec(),
        warnings: warnings(asked, found.as_ref(), batteries > 1.0),
        charge: found,
        stock,
    })
}

/// Surface charge hides what is below: then the most that it can stand is told, as if full.
fn is_surface(found: &Charge) -> bool {
    found.unreadable == Some(Unreadable::Surface)
}

fn warnings(asked: &StandRequest, found: Option<&Charge>, two: bool) -> Vec<String> {
    let mut warnings = Vec::new();
    if asked.capacity.method == Method::Assumed {
        warnings.push(words::assumed(asked.capacity.capacity.value()));
    }
    match found {
        None => warnings.push(words::NO_VOLTS.to_owned()),
        Some(unread) if unread.unreadable.is_some() => {
            warnings.push(battery_words::reason(&BatteryReason::ChargeUnreadable(unread.clone())));
            if is_surface(unread) {
                warnings.push(words::AS_IF_FULL.to_owned());
            }
        }
        Some(_) => {}
    }
    if two {
        warnings.push(words::TWO_BATTERIES.to_owned());
    }
    warnings.push(words::AS_RATED.to_owned());
    warnings
}

/// Returns it for people, without the table.
pub fn lines(asked: &StandRequest, meant: &StandResult) -> Vec<StyledText> {
    let stock = &meant.stock;
    let mut lines = vec![words::stands(&asked.draw, &meant.days, "")];
    if let (Some(draw), Some(days)) = (&asked.after, &meant.after) {
        lines.push(words::stands(draw, days, " after the repair"));
    }
    if let (Some(wanted), Some(allowed)) = (asked.days, &meant.allowed) {
        lines.push(words::allowed(wanted, allowed));
    }
    lines.push(StyledText::plain(format!("Capacity {}", words::capacity(&asked.capacity))).indented(2));
    let charge = match (&meant.charge, asked.volts) {
        (Some(found), Some(_)) if is_surface(found) => words::UNREADABLE.to_owned(),
        (Some(found), Some(volts)) => words::charged(found, volts),
        _ => words::TAKEN_AS_FULL.to_owned(),
    };
    let lowest = words::lowest(&stock.lowest, asked.temperature);
    lines.push(StyledText::plain(format!("{charge}; {lowest}")).indented(2));
    lines.push(words::usable(&stock.usable(), &stock.self_discharge()));
    lines
}
