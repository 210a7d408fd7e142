//! What vehicle it is, as options: class, volts, batteries, year. Whatever the map doesn't say follows from them.
//! Leaves to others: what a class has (`circuit/complete`).

use super::map_source;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::Unit;
use crate::circuit::map::{Map, VehicleClass};
use crate::cli::error::CliError;

/// What vehicle it is.
#[derive(Debug, Clone, clap::Args)]
pub struct VehicleArguments {
    /// Class of vehicle: car, electrified, motorcycle, truck, caravan, boat; else as the map says
    #[arg(long, value_name = "CLASS")]
    class: Option<String>,
    /// Volts of its system: 6, 12 or 24; else as the map or the class says
    #[arg(long, value_name = "V")]
    volts: Option<f64>,
}

impl VehicleArguments {
    /// Loads a map and puts into it what these say, and what every vehicle of the class has where it says nothing.
    /// Returns it with what was doubtful, guessed or assumed.
    ///
    /// # Errors
    /// There is no such map, it has faults, or there is no such class or system.
    pub fn load(&self, name: &str) -> Result<(Map, Vec<Diagnostic>), CliError> {
        let (map, mut remarks) = map_source::read(name)?;
        let (map, assumed) = self.put_into(map)?;
        remarks.extend(assumed);
        Ok((map, remarks))
    }

    /// Puts into a map what these say, and what every vehicle of the class has. Returns it with what was assumed.
    ///
    /// # Errors
    /// There is no such class or system.
    pub fn put_into(&self, mut map: Map) -> Result<(Map, Vec<Diagnostic>), CliError> {
        if let Some(name) = &self.class {
            let names = VehicleClass::NAMES.map(|(_, name)| name).join(", ");
            map.class = VehicleClass::from_name(name).ok_or_else(|| {
                CliError::usage(Diagnostic::new("no such class").expected(names).in_field("--class"))
            })?;
            map.system = map.class.usual_system();
        }
        if let Some(volts) = self.volts {
            map.system =
                VehicleClass::SYSTEMS.into_iter().find(|known| known.base() == volts).ok_or_else(|| {
                    CliError::usage(
                        Diagnostic::new("no such system").expected("6, 12 or 24").in_field("--volts"),
                    )
                })?;
        }
        Ok(map.completed()?)
    }
}
