//! A sheet to print: rows the current looked for, columns the ratings of a family, cells the millivolts that the
//! meter should show. Leaves to others: the arithmetic (`measure/convert`), layout on paper (`cli`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::uncertain::COVERAGE_95;
use crate::base::quantity::{Ampere, Celsius, Ohm, Typed, Uncertain, Unit, Volt};
use crate::circuit::fuse::{Basis, Family, Remark, Resistance};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::map::FuseSpec;
use crate::instrument::profile::Profile;
use crate::instrument::uncertainty::Zero;
use crate::measure::convert::{Fuse, current_of_drop, drop_of_current, own_spread};
use crate::text;

/// Currents looked for, in milliampere: from what one sleeping module draws to a bus held awake.
const CURRENTS: [f64; 14] =
    [5.0, 10.0, 20.0, 30.0, 50.0, 75.0, 100.0, 150.0, 200.0, 300.0, 500.0, 1000.0, 2000.0, 3000.0];

/// What a sheet is for.
#[derive(Debug, Clone)]
pub struct SheetRequest {
    /// Fuse family.
    pub family: Family,
    /// Meter.
    pub meter: Profile,
    /// Temperature of the fuse box.
    pub temperature: Uncertain<Celsius>,
    /// True if a zero is taken before the readings: the floors are lower then.
    pub zeroed: bool,
}

/// A sheet.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// What it is for.
    pub asked: SheetRequest,
    /// The currents of the rows.
    pub currents: Vec<Ampere>,
    /// The columns, lowest rating first.
    pub columns: Vec<Column>,
}

/// One rating.
#[derive(Debug, Clone)]
pub struct Column {
    /// The rating.
    pub rating: Ampere,
    /// Resistance at the temperature of the box.
    pub resistance: Ohm,
    /// What the figure rests on, with its sources.
    pub figure: Resistance,
    /// Smallest current that the meter can show.
    pub floor: Ampere,
    /// Half-width of the 95 % interval that fuse and temperature leave, as a share of the current.
    pub interval: f64,
    /// Drop at each current; `None` below the floor, and where the fuse would warm itself.
    pub cells: Vec<Option<Volt>>,
}

/// Makes a sheet.
///
/// # Errors
/// No resistance is known for any rating of the family: the diagnostic says what to do.
pub fn sheet(asked: SheetRequest, table: &FuseTable) -> Result<Sheet, Diagnostic> {
    let currents: Vec<Ampere> = CURRENTS.iter().map(|ma| Ampere::from_milli(*ma)).collect();
    let ratings = table.made_ratings(asked.family).into_iter();
    let columns: Vec<Column> =
        ratings.filter_map(|rating| column(rating, &asked, &currents, table).ok()).collect();
    if columns.is_empty() {
        return Err(text::convert::no_resistances(asked.family));
    }
    let mut sheet = Sheet { columns, currents, asked };
    sheet.drop_blank_rows();
    Ok(sheet)
}

fn column(
    rating: Ampere,
    asked: &SheetRequest,
    currents: &[Ampere],
    table: &FuseTable,
) -> Result<Column, Diagnostic> {
    let spec = FuseSpec { family: asked.family, rating, own_resistance: None };
    let figure = table.resistance(&spec)?;
    let fuse = Fuse { family: asked.family, rating, resistance: figure.clone(), place: String::new() };
    let zero = asked.zeroed.then_some(Zero { entry: 0, offset: Volt::ZERO });
    let nothing = Typed::measured(Volt::ZERO, asked.meter.resolution, "");
    let at_zero = current_of_drop(&nothing, &asked.meter, zero, &fuse, &asked.temperature, table);
    let floor = at_zero.floor.value();
    let celsius = asked.temperature.value();
    let warmth = table.per_kelvin() * asked.temperature.u().base();
    let relative = own_spread(&figure).hypot(figure.make).hypot(warmth);
    let shown = |current: &Ampere| *current >= floor && *current <= rating * WARMS_ITSELF;
    let cell = |current: &Ampere| shown(current).then(|| drop_of_current(*current, &fuse, celsius, table));
    Ok(Column {
        rating,
        resistance: at_zero.resistance,
        floor,
        interval: COVERAGE_95 * relative,
        cells: currents.iter().map(cell).collect(),
        figure,
    })
}

/// Share of the rating above which a fuse warms itself noticeably; as for the warning of a single conversion.
const WARMS_ITSELF: f64 = 0.25;

impl Sheet {
    /// A current that no column shows is no row.
    fn drop_blank_rows(&mut self) {
        let shown =
            |row: usize| self.columns.iter().any(|one| one.cells.get(row).is_some_and(Option::is_some));
        let kept: Vec<bool> = (0..self.currents.len()).map(shown).collect();
        let mut rows = kept.iter();
        self.currents.retain(|_| rows.next() == Some(&true));
        for column in &mut self.columns {
            let mut rows = kept.iter();
            column.cells.retain(|_| rows.next() == Some(&true));
        }
    }

    /// Returns a drop in millivolt with as many decimals as the meter shows.
    pub fn millivolts(&self, drop: Volt) -> String {
        let digit = self.asked.meter.resolution * 1000.0;
        let places = (0..4).find(|places| digit * 10_f64.powi(*places) > 0.999).unwrap_or(4);
        let places = usize::try_from(places).unwrap_or(0);
        format!("{:.places$}", drop.milli())
    }

    /// Returns the sources of all columns, each once.
    pub fn sources(&self) -> Vec<&str> {
        let mut all: Vec<&str> = Vec::new();
        let listed = self.columns.iter().filter(|column| column.figure.basis != Basis::Estimate);
        for remark in listed.flat_map(|column| &column.figure.remarks) {
            if let Remark::Source(title) = remark
                && !all.contains(&title.as_str())
            {
                all.push(title);
            }
        }
        all
    }
}

impl Column {
    /// Returns what the figure rests on, in one short word.
    pub fn basis(&self) -> &'static str {
        match self.figure.basis {
            Basis::Estimate => "estimate",
            _ if self.figure.remarks.contains(&Remark::Memory) => "memory",
            _ => "sheet",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::meters;

    fn asked(family: Family) -> SheetRequest {
        SheetRequest {
            family,
            meter: meters::find("tenth-mv", true).expect("built in"),
            temperature: Uncertain::new(Celsius::new(25.0), Celsius::new(2.0)),
            zeroed: false,
        }
    }

    fn made(asked: SheetRequest) -> Sheet {
        sheet(asked, FuseTable::builtin()).expect("figures")
    }

    /// 200 mA across 7.42 mΩ, the sheet's figure of a mini 10 A, is 1.484 mV.
    #[test]
    fn a_cell_is_current_times_resistance() {
        let sheet = made(asked(Family::Mini));
        let row = sheet.currents.iter().position(|c| (c.milli() - 200.0).abs() < 1e-9).expect("a row");
        let column =
            sheet.columns.iter().find(|column| column.rating == Ampere::new(10.0)).expect("a column");
        let drop = column.cells[row].expect("above the floor");
        assert!((drop.milli() - 1.484).abs() < 1e-9);
        assert_eq!(sheet.millivolts(drop), "1.5");
    }

    #[test]
    fn below_the_floor_a_cell_is_blank_and_a_zero_fills_more_cells() {
        let count = |zeroed| {
            let sheet = made(SheetRequest { zeroed, ..asked(Family::Mini) });
            for column in &sheet.columns {
                for (current, cell) in sheet.currents.iter().zip(&column.cells) {
                    assert!(cell.is_none() || *current >= column.floor);
                }
            }
            sheet.columns.iter().flat_map(|column| &column.cells).flatten().count()
        };
        assert!(count(true) > count(false));
    }

    #[test]
    fn a_family_without_figures_is_estimated_if_it_is_blade_like_and_refused_if_not() {
        let micro = made(asked(Family::Micro2));
        assert!(micro.columns.iter().all(|column| column.basis() == "estimate"));
        assert_eq!(
            micro.columns.first().map(|column| column.rating),
            Some(Ampere::new(5.0)),
            "none below is made"
        );
        let table = FuseTable::builtin();
        assert!(sheet(asked(Family::Bolt), table).expect_err("no figures").remedy.contains("clamp"));
    }
}
