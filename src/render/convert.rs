//! A drop on one fuse, without a log: what it means, what it rests on, and what to know about it.
//! Leaves to others: the arithmetic (`measure/convert`), the figures (`circuit/fuse_table`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Celsius, Typed, Uncertain, Unit, Volt};
use crate::base::styled::{Role, StyledText};
use crate::circuit::fuse::{Basis, Family, Resistance};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::map::FuseSpec;
use crate::instrument::profile::Profile;
use crate::instrument::uncertainty::Zero;
use crate::measure::convert::{Converted, Fuse, current_of_drop};
use crate::text::convert as words;

/// A drop to be converted.
#[derive(Debug, Clone)]
pub struct ConvertRequest {
    /// Fuse: family, rating, and its resistance if somebody measured it.
    pub fuse: FuseSpec,
    /// Drop as shown.
    pub drop: Typed<Volt>,
    /// Meter.
    pub meter: Profile,
    /// What the meter showed with its leads shorted, if that was read.
    pub zero: Option<Volt>,
    /// Temperature of the fuse box.
    pub temperature: Uncertain<Celsius>,
    /// Colour of the fuse, as a check of the rating.
    pub colour: Option<String>,
    /// True if the fuse carries no maker's name.
    pub unbranded: bool,
}

/// What a drop means.
#[derive(Debug, Clone)]
pub struct ConvertResult {
    /// The current, with floor and resistance.
    pub converted: Converted,
    /// The figure that it rests on.
    pub resistance: Resistance,
    /// What to know about it, each in one sentence.
    pub warnings: Vec<String>,
}

/// Converts a drop.
///
/// # Errors
/// No resistance is known for this fuse: the diagnostic says what to do.
pub fn convert(asked: &ConvertRequest, table: &FuseTable) -> Result<ConvertResult, Diagnostic> {
    let known = table.resistance(&asked.fuse)?;
    let widened = asked.unbranded && known.basis != Basis::Own;
    let resistance = if widened { table.of_unknown_make(known) } else { known };
    let fuse = Fuse {
        family: asked.fuse.family,
        rating: asked.fuse.rating,
        resistance: resistance.clone(),
        place: String::new(),
    };
    let zero = asked.zero.map(|offset| Zero { entry: 0, offset });
    let converted = current_of_drop(&asked.drop, &asked.meter, zero, &fuse, &asked.temperature, table);
    let mut warnings = words::warnings(&converted, &resistance);
    if table.is_not_made(&asked.fuse) {
        warnings.push(words::not_made(&asked.fuse, &table.made_ratings(asked.fuse.family)));
    }
    warnings.extend(colour_check(asked, table));
    if widened {
        warnings.push(words::COUNTERFEIT.to_owned());
    }
    Ok(ConvertResult { converted, resistance, warnings })
}

/// The colour checks the rating: it depends on the family, so the digits on the fuse count.
fn colour_check(asked: &ConvertRequest, table: &FuseTable) -> Option<String> {
    let colour = asked.colour.as_deref()?;
    let FuseSpec { family, rating, .. } = asked.fuse;
    let meant = table.ratings_of_colour(family, colour);
    if meant.iter().any(|known| (known.base() - rating.base()).abs() < 1e-3) {
        return None;
    }
    let name = family.name();
    Some(match (meant.as_slice(), table.colour(family, rating)) {
        ([], None) => words::no_colours(&asked.fuse.words()),
        ([], Some(right)) => words::no_such_colour(colour, name, rating, right),
        (some, _) => words::other_colour(colour, some, name, rating),
    })
}

/// Returns it for people; the sources only if they are asked for.
pub fn lines(
    asked: &ConvertRequest,
    meant: &ConvertResult,
    table: &FuseTable,
    sources: bool,
) -> Vec<StyledText> {
    let converted = &meant.converted;
    let celsius = asked.temperature.value().base();
    let head = format!("{} on {} at {celsius} °C: ", asked.drop.text, asked.fuse.words());
    let floor = words::floor(converted.floor.value(), &asked.meter.name, asked.zero.is_some());
    let mut lines = vec![words::current(head, converted), floor];
    let resistance = format!("{:.2} mΩ", converted.resistance.milli());
    lines.push(
        StyledText::plain("Resistance ")
            .and(Role::Value, resistance)
            .and(Role::Plain, format!(", {}", words::basis(meant.resistance.basis)))
            .indented(2),
    );
    if sources {
        lines.extend(meant.resistance.remarks.iter().map(|one| source_line(&words::remark(one))));
        lines.push(source_line(&format!("temperature: {}", table.temperature_source())));
    }
    lines
}

fn source_line(text: &str) -> StyledText {
    StyledText::of(Role::Hint, "Source: ").and(Role::Hint, text).indented(2)
}

/// Returns how to tell the families by their bodies: a line each.
pub fn families(table: &FuseTable) -> Vec<String> {
    let one = |family: Family| table.describe(family).map(|(_, look)| format!("{:<10}{look}", family.name()));
    Family::all().filter_map(one).collect()
}

/// Finds a family by name.
///
/// # Errors
/// There is none of that name: the diagnostic lists those there are.
pub fn family(name: &str) -> Result<Family, Diagnostic> {
    Family::from_name(name).ok_or_else(|| words::no_family(name))
}

/// Returns a rating that can be: above zero.
///
/// # Errors
/// Zero or below.
pub fn rating(rating: &Typed<Ampere>) -> Result<Ampere, Diagnostic> {
    Some(rating.value).filter(|value| *value > Ampere::ZERO).ok_or_else(|| words::no_rating(rating))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Ohm;
    use crate::base::quantity::parse::Readable;
    use crate::circuit::meters;

    fn asked(family: Family, rating: f64) -> ConvertRequest {
        ConvertRequest {
            fuse: FuseSpec { family, rating: Ampere::new(rating), own_resistance: None },
            drop: Volt::read("3.0 mV", "mV").expect("a value"),
            meter: meters::find("tenth-mv", true).expect("built in"),
            zero: None,
            temperature: Uncertain::new(Celsius::new(25.0), Celsius::new(2.0)),
            colour: None,
            unbranded: false,
        }
    }

    fn warnings(asked: &ConvertRequest) -> String {
        convert(asked, FuseTable::builtin()).expect("a figure").warnings.join("\n")
    }

    #[test]
    fn a_colour_of_another_rating_is_told_with_that_rating() {
        let with = |colour: &str| ConvertRequest { colour: Some(colour.into()), ..asked(Family::Mini, 15.0) };
        assert!(
            warnings(&with("red")).contains("red is 10 A in mini, not 15 A"),
            "{}",
            warnings(&with("red"))
        );
        assert!(warnings(&with("Blue")).is_empty());
        assert!(warnings(&with("purple")).contains("where 15 A is blue"));
        let bare = ConvertRequest { colour: Some("red".into()), ..asked(Family::Micro2, 10.0) };
        assert!(warnings(&bare).contains("no colours are listed"));
    }

    #[test]
    fn a_rating_that_is_not_made_is_told_with_those_that_are() {
        let said = warnings(&asked(Family::Micro3, 30.0));
        assert!(said.contains("no micro3 30 A is made") && said.contains("5, 7.5, 10 or 15 A"), "{said}");
    }

    #[test]
    fn an_unbranded_fuse_has_a_wide_interval_and_the_warning_but_not_one_that_was_measured() {
        let table = FuseTable::builtin();
        let u = |asked: &ConvertRequest| {
            let current = convert(asked, table).expect("a figure").converted.current;
            current.u() / current.value()
        };
        let unbranded = ConvertRequest { unbranded: true, ..asked(Family::Mini, 10.0) };
        assert!(u(&unbranded) > 0.14 && u(&asked(Family::Mini, 10.0)) < 0.11);
        assert!(warnings(&unbranded).contains("counterfeit"));
        let mut measured = unbranded;
        measured.fuse.own_resistance = Some(Ohm::from_milli(7.2));
        assert!(!warnings(&measured).contains("counterfeit"));
    }

    #[test]
    fn an_unknown_family_is_refused_and_each_known_one_is_told_by_its_body() {
        assert!(family("midi").expect_err("unknown").remedy.contains("width"));
        assert_eq!(families(FuseTable::builtin()).len(), Family::all().count());
    }
}
