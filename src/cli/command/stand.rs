//! `stand`: how long a battery stands at a draw.
//! Leaves to others: what it comes to (`render/stand`), meter logs (`trace`).

use std::path::PathBuf;

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, AmpereHour, Celsius, Day, Minute, Share, Typed, Uncertain, Volt};
use crate::base::styled::{Role, StyledText};
use crate::battery::capacity::capacity;
use crate::battery::chemistry::Chemistry;
use crate::battery::cold::Use;
use crate::battery::rating::Ratings;
use crate::battery::table::BatteryTable as Figures;
use crate::circuit::map::VehicleClass;
use crate::circuit::meters;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::minus::as_typed;
use crate::cli::stream;
use crate::cli::table::Table;
use crate::instrument::uncertainty::current;
use crate::render::json::stand::StandShape;
use crate::render::stand::{self, StandRequest, StandResult};
use crate::text::fault::argument;
use crate::text::fault::file::too_short;
use crate::text::stand as words;
use crate::trace::options::Options;
use crate::trace::settle::{Rules, settle};
use crate::trace::table::read as read_log;

const EXAMPLES: &str = "\
Examples:
  fusetrail stand --draw 482mA --capacity 60Ah --ocv 12.5V
  fusetrail stand --draw 482mA --after 22mA --reserve 100 --temp -10C
  fusetrail stand --trace night.csv --capacity 70Ah --chemistry agm --days 21";

/// The usage line, short enough for 60 columns.
const USAGE: &str = "fusetrail stand --draw mA [--capacity Ah] [--ocv V]";

/// Temperature that a battery stands at if nobody tells.
const MILD: &str = "20C";

/// Arguments of `stand`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, override_usage = USAGE, arg_required_else_help = true)]
pub struct Stand {
    /// Draw, the average where it goes up and down; a bare number is mA
    #[arg(long, value_name = "mA", required_unless_present = "trace")]
    draw: Option<String>,
    /// Log of a meter: its average is the draw, wake-ups in
    #[arg(long, value_name = "FILE", conflicts_with = "draw")]
    trace: Option<PathBuf>,
    /// Clamp or ammeter that the draw was read with: its errors come into the interval
    #[arg(long, value_name = "NAME")]
    clamp: Option<String>,
    /// Draw after the repair
    #[arg(long, value_name = "mA")]
    after: Option<String>,
    /// 20-hour capacity
    #[arg(long, value_name = "Ah")]
    capacity: Option<String>,
    /// Reserve capacity: minutes at 25 A
    #[arg(long, value_name = "MIN", conflicts_with = "capacity")]
    reserve: Option<String>,
    /// Cold cranking rating, where no other is known: a rough capacity
    #[arg(long, value_name = "A", conflicts_with_all = ["capacity", "reserve"])]
    cranking: Option<String>,
    /// Volts at rest; without them it is taken as full
    #[arg(long, value_name = "V")]
    ocv: Option<String>,
    /// Time since it was charged or driven, such as 8h; a short rest leaves surface charge
    #[arg(long, value_name = "TIME")]
    rest: Option<String>,
    /// Type: flooded, efb, agm, gel, lithium or unknown
    #[arg(long, value_name = "TYPE", default_value = "flooded")]
    chemistry: String,
    /// Temperature while it stands
    #[arg(long, value_name = "T", default_value = MILD)]
    temp: String,
    /// Lowest state of charge that still does, in percent; without it by type and temperature
    #[arg(long, value_name = "%")]
    lowest: Option<String>,
    /// Time that it should stand: the draw allowed for it is told
    #[arg(long, value_name = "DAYS")]
    days: Option<String>,
    /// List where the figures are from
    #[arg(long)]
    sources: bool,
}

impl Stand {
    /// Carries the command out.
    ///
    /// # Errors
    /// A value that cannot be read or makes no sense, or a log that has no average.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let asked = self.asked()?;
        let meant = stand::stand(&asked)?;
        match context.format {
            OutputFormat::Json => context.print_json(&StandShape::of(&asked, &meant))?,
            OutputFormat::Text => {
                context.print(&stand::lines(&asked, &meant))?;
                context.print(&[StyledText::new()])?;
                context.print_table(&table(&meant))?;
                if self.sources {
                    context.print(&sources(Figures::builtin()?))?;
                }
                context.talk(&super::convert::warnings(&meant.warnings));
            }
        }
        Ok(Exit::Done)
    }

    fn asked(&self) -> Result<StandRequest, CliError> {
        let chemistry = match self.chemistry.as_str() {
            "unknown" => None,
            name => Some(Chemistry::from_name(name).ok_or_else(|| argument::no_chemistry(name))?),
        };
        let ratings = Ratings {
            capacity: positive::<AmpereHour>(self.capacity.as_deref(), "Ah", "--capacity")?,
            reserve: positive::<Minute>(self.reserve.as_deref(), "min", "--reserve")?,
            cranking: positive::<Ampere>(self.cranking.as_deref(), "A", "--cranking")?,
            ..Ratings::default()
        };
        Ok(StandRequest {
            draw: self.draw()?,
            after: self.current(self.after.as_deref(), "--after")?,
            capacity: capacity(Figures::builtin()?, &ratings, VehicleClass::Car),
            volts: positive::<Volt>(self.ocv.as_deref(), "V", "--ocv")?,
            rested: positive::<Minute>(self.rest.as_deref(), "h", "--rest")?,
            chemistry,
            temperature: temperature(&self.temp)?,
            lowest: self.lowest.as_deref().map(share).transpose()?,
            wanted: Use::Crank,
            days: positive::<Minute>(self.days.as_deref(), "d", "--days")?.map(Day::from),
        })
    }

    /// The draw as typed, or the average of a log.
    fn draw(&self) -> Result<Uncertain<Ampere>, CliError> {
        if let Some(draw) = self.current(self.draw.as_deref(), "--draw")? {
            return Ok(draw);
        }
        let Some(file) = &self.trace else {
            return Err(CliError::usage(Diagnostic::new("no draw was given")));
        };
        let name = file.to_string_lossy();
        let meter = self.clamp.as_deref().map(|name| meters::find(name, false)).transpose()?;
        let mut log =
            read_log(stream::open(file)?, &Options::default()).map_err(|fault| fault.in_file(&name))?;
        let found = settle(std::mem::take(&mut log.trace), &Rules { sleep_after: None, meter });
        found.average.ok_or_else(|| too_short(&name).into())
    }

    /// A current as typed: uncertain by its last digit, or by what its clamp adds.
    fn current(&self, text: Option<&str>, option: &str) -> Result<Option<Uncertain<Ampere>>, Diagnostic> {
        let Some(text) = text else { return Ok(None) };
        let typed = Ampere::read(&as_typed(text), "mA").map_err(|fault| fault.in_field(option))?;
        if typed.value < Ampere::ZERO {
            let fault = Diagnostic::new(format!("\"{text}\" is below zero")).expected(Ampere::EXAMPLE);
            return Err(fault.remedy("turn the clamp round").in_field(option));
        }
        let clamp = self.clamp.as_deref().map(|name| meters::find(name, false)).transpose();
        let clamp = clamp.map_err(|fault| fault.in_field("--clamp"))?;
        Ok(Some(clamp.map_or_else(|| digit(&typed), |clamp| current(&typed, &clamp))))
    }
}

/// One digit of indication is rectangular (JCGM 100:2008, F.2.2.1).
fn digit(typed: &Typed<Ampere>) -> Uncertain<Ampere> {
    Uncertain::new(typed.value, Ampere::new(typed.step / 12.0_f64.sqrt()))
}

fn positive<U: Readable>(text: Option<&str>, bare: &str, option: &str) -> Result<Option<U>, Diagnostic> {
    let Some(text) = text else { return Ok(None) };
    let value = U::read(&as_typed(text), bare).map_err(|fault| fault.in_field(option))?.value;
    if value.base() > 0.0 {
        return Ok(Some(value));
    }
    let fault = Diagnostic::new(format!("\"{text}\" is not above zero"));
    Err(fault.expected(format!("{} such as {}", U::WHAT, U::EXAMPLE)).in_field(option))
}

/// Coldest and warmest place that a battery stands in.
const WARMTH: (Celsius, Celsius) = (Celsius::new(-50.0), Celsius::new(80.0));

fn temperature(text: &str) -> Result<Celsius, Diagnostic> {
    let value = Celsius::read(&as_typed(text), "C").map_err(|fault| fault.in_field("--temp"))?.value;
    if (WARMTH.0..=WARMTH.1).contains(&value) {
        return Ok(value);
    }
    Err(argument::no_climate(text))
}

fn share(text: &str) -> Result<Share, Diagnostic> {
    let refuse = || argument::no_charge(text);
    let number: f64 = text.trim_end_matches('%').trim().replace(',', ".").parse().map_err(|_| refuse())?;
    if (0.0..=100.0).contains(&number) { Ok(Share::new(number / 100.0)) } else { Err(refuse()) }
}

fn table(meant: &StandResult) -> Table {
    let mut table = Table::new(&["draw", "stands"]).right(&[0]);
    for (draw, days) in &meant.table {
        table.row([bare(*draw, 2), words::days(days)]);
    }
    table
}

fn sources(figures: &Figures) -> Vec<StyledText> {
    let one = |(what, basis, source): (String, crate::circuit::loads::KindBasis, String)| {
        StyledText::of(Role::Hint, format!("{what} ({}): {source}", basis.words()))
    };
    figures.sources().into_iter().map(one).collect()
}
