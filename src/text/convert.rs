//! What a drop on a fuse is worth, in words, and what to know about it.
//! Leaves to others: the arithmetic (`measure/convert`), the figures (`circuit/fuse_table`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::show::{bare, with_interval};
use crate::base::quantity::{Ampere, Typed, Unit};
use crate::base::styled::{Role, StyledText, clean};
use crate::circuit::fuse::{Basis, Family, Remark, Resistance};
use crate::circuit::map::{Access, Feed, FuseSpec, Hazard};
use crate::measure::convert::Converted;

/// A fuse of no known maker.
pub const COUNTERFEIT: &str = "a fuse without a maker's name may be a counterfeit: then its resistance is anything and this figure is void; clamp, pull, or use a known load step";

/// Says that a colour is none of a family.
pub fn no_such_colour(colour: &str, family: &str, rating: Ampere, right: &str) -> String {
    let rating = rating.base();
    format!("{colour} stands for no rating in {family}, where {rating} A is {right}: read the digits")
}

/// Says that a family is not made in a rating, and in which it is.
pub fn not_made(fuse: &FuseSpec, made: &[Ampere]) -> String {
    let mut ratings: Vec<String> = made.iter().map(|rating| rating.base().to_string()).collect();
    let last = ratings.pop().unwrap_or_default();
    let those = format!("{} or {last} A", ratings.join(", "));
    format!("no {} is made: {those}; read the digits, and measure the width of the body again", fuse.words())
}

/// Says that no colours are known.
pub fn no_colours(fuse: &str) -> String {
    format!("no colours are listed for {fuse}: read the digits")
}

/// Says that a colour is another rating's.
pub fn other_colour(colour: &str, ratings: &[Ampere], family: &str, rating: Ampere) -> String {
    let some: Vec<String> = ratings.iter().map(|rating| format!("{} A", rating.base())).collect();
    let (some, rating) = (some.join(" or "), rating.base());
    format!("{colour} is {some} in {family}, not {rating} A: read the digits, and look at the family again")
}

/// Returns the current, behind what it was made of.
pub fn current(head: String, converted: &Converted) -> StyledText {
    let value = if converted.below_floor {
        format!("less than {}", bare(converted.floor.value(), 2))
    } else {
        with_interval(&converted.current)
    };
    StyledText::plain(head).and(Role::Value, value)
}

/// Returns the smallest current that could have been seen.
pub fn floor(floor: Ampere, meter: &str, zeroed: bool) -> StyledText {
    let line = StyledText::plain("Floor ").and(Role::Value, bare(floor, 2));
    let line = line.and(Role::Plain, format!(" with {meter}"));
    let line = if zeroed {
        line.and(Role::Plain, ", zero taken off")
    } else {
        line.and(Role::Hint, "; --zero (leads shorted) lowers it")
    };
    line.indented(2)
}

/// Says where a resistance is from, or what to know about it.
pub fn remark(remark: &Remark) -> String {
    match remark {
        Remark::Own => "resistance measured on this fuse".to_owned(),
        Remark::Step => basis(Basis::Calibrated).to_owned(),
        Remark::Memory => "figure from memory, not read in the sheet: wider interval".to_owned(),
        Remark::Source(title) => title.clone(),
        Remark::Estimated { fuse, law } => {
            format!("no sheet figure for {fuse}: estimated from other ratings, about 30 % either way ({law})")
        }
    }
}

/// Says what to know about a current: what its resistance rests on if that is no sheet, and that it reads high.
pub fn warnings(converted: &Converted, resistance: &Resistance) -> Vec<String> {
    let weak = |known: &&Remark| matches!(known, Remark::Memory | Remark::Estimated { .. });
    let mut warnings: Vec<String> = resistance.remarks.iter().filter(weak).map(remark).collect();
    if converted.warms_itself {
        let current = bare(converted.current.value(), 3);
        warnings.push(format!(
            "{current} is over a quarter of the rating: the fuse warms itself and the current reads high"
        ));
    }
    warnings
}

/// Returns what a figure rests on.
pub fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::DataSheet => "from a maker's data sheet",
        Basis::Estimate => "estimated from other ratings",
        Basis::Own => "as given for this fuse",
        Basis::Calibrated => "from a known load step on this fuse",
    }
}

/// There is no family of this name.
pub fn no_family(name: &str) -> Diagnostic {
    let names: Vec<&str> = Family::all().map(Family::name).collect();
    Diagnostic::new(format!("the fuse family \"{}\" is not known", clean(name)))
        .expected(names.join(", "))
        .remedy("measure the width of the body: fusetrail convert --help tells them apart")
}

/// A rating that can't be.
pub fn no_rating(rating: &Typed<Ampere>) -> Diagnostic {
    Diagnostic::new(format!("the rating \"{}\" is not above zero", rating.text)).expected("such as 10 A")
}

/// Nothing is known of any rating of a family.
pub fn no_resistances(family: Family) -> Diagnostic {
    Diagnostic::new(format!("no resistances are known for {} fuses", family.name()))
        .expected("blade, mini, low-mini, micro2, micro3 or maxi")
        .remedy("clamp the cable, or convert with --resistance as measured on the one fuse")
}

/// Below a sheet: empty cells.
pub const BLANK: &str = "Blank: less than the meter can show (floor), or over a quarter of the rating, where the fuse warms itself and reads high.";
/// Below a sheet: intervals.
pub const PLUS_MINUS: &str = "±: what fuse and temperature leave open, 95 %; the meter's last digit comes on top. An unbranded fuse may be anything.";
/// Below a sheet: estimates.
pub const ESTIMATE: &str = "estimate: no sheet figure, fitted through other ratings.";
/// Below a sheet: figures from memory.
pub const MEMORY: &str = "memory: a figure from memory, not read in the sheet.";
/// Heads the families in the help.
pub const FAMILIES: &str = "Families, told by the body:";

/// Heads the round of a bay.
pub fn bay_head(map: &str, sought: Ampere, is_excess: bool) -> StyledText {
    let what = if is_excess { "what is too much" } else { "the limit" };
    StyledText::of(Role::Heading, map).and(
        Role::Plain,
        format!(": high is a quarter of {}, {what}, or the least that shows", bare(sought, 2)),
    )
}

/// Heads a box of the bay.
pub fn bay_box(named: Option<&str>) -> StyledText {
    StyledText::of(Role::Heading, named.unwrap_or("in no box"))
}

/// Heads the columns of a bay.
pub const BAY_COLUMNS: [&str; 6] = ["", "fuse", "kind", "feeds", "asleep mV", "high from mV"];

/// What is done with a fuse that no drop is read on.
pub fn bay_else(feed: &Feed) -> &'static str {
    match (feed.hazard, feed.access) {
        (Some(Hazard::Restraint | Hazard::Hv), _) => "leave alone",
        (_, Access::None) => "out of reach",
        (_, Access::Pull) => "pull or clamp",
        _ => "clamp",
    }
}

/// What to do with the sheet.
pub const BAY_FOOT: &str = "One reads along the row and ticks, one types: none, the high ones with their millivolts, or all in order.";
