//! `convert`: millivolts across one fuse to milliampere, without a log.
//! Leaves to others: the conversion and its words (`render/convert`), the figures (`circuit/fuse_table`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Celsius, Ohm, Typed, Uncertain, Volt};
use crate::base::styled::{Role, StyledText};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::map::FuseSpec;
use crate::circuit::meters;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::minus::as_typed;
use crate::measure::box_temperature;
use crate::measure::convert::REFERENCE;
use crate::render::convert::{self, ConvertRequest};
use crate::render::json::convert::ConvertShape;
use crate::text::convert::FAMILIES;

const EXAMPLES: &str = "\
Examples:
  fusetrail convert --family mini --rating 10 --drop 3.0mV --temp -3C
  fusetrail convert --family blade --rating 20 --drop 0.8mV --zero 0.1mV";

/// The usage line, short enough for 60 columns.
const USAGE: &str = "fusetrail convert --family NAME --rating A --drop MV";

/// Arguments of `convert`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, after_help = looks(), override_usage = USAGE, arg_required_else_help = true)]
pub struct Convert {
    /// Fuse family, told by its body: see the list below
    #[arg(long, value_name = "NAME")]
    family: String,
    /// Rating printed on the fuse; a bare number is A
    #[arg(long, value_name = "A")]
    rating: String,
    /// What the meter shows across the fuse; a bare number is mV
    #[arg(long, value_name = "MV", required = true, num_args = 1..=2)]
    drop: Vec<String>,
    /// Temperature of the fuse box, 25 °C if not told; a bare number is °C
    #[arg(long, value_name = "T")]
    temp: Option<String>,
    /// Meter: tenth-mv, hundredth-mv, or RESOLUTION,PERCENT,COUNTS such as 0.1mV,0.5,2
    #[arg(long, value_name = "NAME", default_value = "tenth-mv")]
    meter: String,
    /// What the meter shows with its leads shorted: taken off, and the floor falls; a bare number is mV
    #[arg(long, value_name = "MV")]
    zero: Option<String>,
    /// Resistance measured on this very fuse at 25 °C; a bare number is mΩ
    #[arg(long, value_name = "MOHM")]
    resistance: Option<String>,
    /// Colour of the fuse, as a check of the rating
    #[arg(long, value_name = "NAME")]
    colour: Option<String>,
    /// The fuse carries no maker's name: a wide interval
    #[arg(long)]
    unbranded: bool,
    /// List where the figures are from
    #[arg(long)]
    sources: bool,
}

impl Convert {
    /// Carries the command out.
    ///
    /// # Errors
    /// A value or a name that cannot be read. No resistance known is an honest "no": exit code 1 with its JSON whole.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let table = FuseTable::builtin();
        let asked = self.asked()?;
        match convert::convert(&asked, table) {
            Ok(meant) => {
                match context.format {
                    OutputFormat::Json => context.print_json(&ConvertShape::of(Ok(&meant)))?,
                    OutputFormat::Text => {
                        context.print(&convert::lines(&asked, &meant, table, self.sources))?;
                        context.talk(&warnings(&meant.warnings));
                    }
                }
                Ok(Exit::Done)
            }
            Err(fault) => {
                if context.format == OutputFormat::Json {
                    context.print_json(&ConvertShape::of(Err(&fault)))?;
                }
                Err(fault.into())
            }
        }
    }

    fn asked(&self) -> Result<ConvertRequest, Diagnostic> {
        let family = convert::family(&self.family).map_err(|fault| fault.in_field("--family"))?;
        let rating = convert::rating(&read::<Ampere>(&self.rating, "A", "--rating")?)
            .map_err(|fault| fault.in_field("--rating"))?;
        let resistance =
            self.resistance.as_deref().map(|text| read::<Ohm>(text, "mohm", "--resistance")).transpose()?;
        if let Some(typed) = resistance.as_ref().filter(|typed| typed.value <= Ohm::ZERO) {
            return Err(Diagnostic::new(format!("\"{}\" is not above zero", typed.text))
                .expected(Ohm::EXAMPLE)
                .in_field("--resistance"));
        }
        let zero = self.zero.as_deref().map(|text| read::<Volt>(text, "mV", "--zero")).transpose()?;
        Ok(ConvertRequest {
            fuse: FuseSpec { family, rating, own_resistance: resistance.map(|typed| typed.value) },
            drop: Volt::read(&as_typed(&self.drop.join(" ")), "mV")
                .map_err(|fault| fault.in_field("--drop"))?,
            meter: meters::find(&self.meter, true).map_err(|fault| fault.in_field("--meter"))?,
            zero: zero.map(|typed| typed.value),
            temperature: temperature(self.temp.as_deref())?,
            colour: self.colour.clone(),
            unbranded: self.unbranded,
        })
    }
}

/// Returns the temperature that was told, else the one that cold resistance is stated for; each with the uncertainty
/// that a temperature has in a log.
///
/// # Errors
/// Not a temperature.
pub fn temperature(told: Option<&str>) -> Result<Uncertain<Celsius>, Diagnostic> {
    let told = told.map(|text| read::<Celsius>(text, "C", "--temp")).transpose()?;
    Ok(match told {
        Some(told) => box_temperature(Some(told.value)),
        None => Uncertain::new(REFERENCE, box_temperature(None).u()),
    })
}

fn read<U: Readable>(text: &str, bare: &str, option: &str) -> Result<Typed<U>, Diagnostic> {
    U::read(&as_typed(text), bare).map_err(|fault| fault.in_field(option))
}

/// Returns warnings as lines for people.
pub fn warnings(texts: &[String]) -> Vec<StyledText> {
    let line = |text: &String| StyledText::of(Role::Doubt, "warning: ").and(Role::Plain, text);
    texts.iter().map(line).collect()
}

/// Returns how the families are told apart, for the help.
pub fn looks() -> String {
    let families = convert::families(FuseTable::builtin());
    let lines: Vec<String> = families.iter().map(|line| format!("  {line}")).collect();
    format!("{FAMILIES}\n{}", lines.join("\n"))
}
