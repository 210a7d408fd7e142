//! What vehicle it is, as options: class, volts, batteries, year. Whatever the map doesn't say follows from them.
//! Leaves to others: what a class has (`circuit/complete`), what a map is made of them (`circuit/vehicle`).

use super::map_source;
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::quantity::Unit;
use crate::circuit::map::{Map, VehicleClass};
use crate::circuit::vehicle::VehicleTold;
use crate::cli::error::{CliError, Exit};
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;

/// What vehicle it is.
#[derive(Debug, Clone, clap::Args)]
pub struct VehicleArguments {
    /// Class of vehicle: car, electrified, motorcycle, truck, caravan, boat; else as the map says
    #[arg(long, value_name = "CLASS")]
    class: Option<String>,
    /// Volts of its system: 6, 12 or 24; else as the map or the class says
    #[arg(long, value_name = "V")]
    volts: Option<f64>,
    /// How many batteries it has; else as many as its volts need
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=12))]
    batteries: Option<u16>,
    /// Model year: decides how long to wait for sleep where the map doesn't say
    #[arg(long, value_name = "YYYY", value_parser = clap::value_parser!(u16).range(1900..=2100))]
    year: Option<u16>,
}

impl VehicleArguments {
    /// Returns true if anything of the vehicle was told.
    pub fn are_given(&self) -> bool {
        self.class.is_some() || self.volts.is_some() || self.batteries.is_some() || self.year.is_some()
    }

    /// Returns true if the year was told, which else is asked last.
    pub fn tells_year(&self) -> bool {
        self.year.is_some()
    }

    /// Loads a map and puts into it what these say, and what every vehicle of the class has where it says nothing.
    /// Returns it with what was doubtful, guessed or assumed.
    ///
    /// # Errors
    /// There is no such map, it has faults, or there is no such class or system.
    pub fn load(&self, name: &str) -> Result<(Map, Vec<Diagnostic>), CliError> {
        let (map, mut remarks) = map_source::read(name)?;
        let (map, assumed) = self.put_into(&map)?;
        remarks.extend(assumed);
        Ok((map, remarks))
    }

    /// Puts into a map what these say, and what every vehicle of the class has. Returns it with what was assumed.
    ///
    /// # Errors
    /// There is no such class or system, or it has not so many batteries.
    pub fn put_into(&self, map: &Map) -> Result<(Map, Vec<Diagnostic>), CliError> {
        let misused = |fault: Diagnostic, option: &str| CliError::usage(fault.in_field(option));
        let class = self.class.as_deref().map(|name| {
            let names = VehicleClass::NAMES.map(|(_, name)| name).join(", ");
            let fault = || misused(Diagnostic::new("no such class").expected(names), "--class");
            VehicleClass::from_name(name).ok_or_else(fault)
        });
        let system = self.volts.map(|volts| {
            let fault = || misused(Diagnostic::new("no such system").expected("6, 12 or 24"), "--volts");
            VehicleClass::SYSTEMS.into_iter().find(|known| known.base() == volts).ok_or_else(fault)
        });
        let told = VehicleTold {
            class: class.transpose()?,
            system: system.transpose()?,
            batteries: self.batteries,
            year: self.year,
        };
        let map = map.of_vehicle(&told);
        let map = map.map_err(|Faults(faults)| CliError { exit: Exit::Usage, faults })?;
        Ok(map.completed()?)
    }

    /// Returns what was given as answers to the questions of the interview, so that it needs no asking.
    pub fn answers(&self) -> Vec<LogEvent> {
        let given = [
            (QuestionId::InterviewClass, self.class.clone()),
            (QuestionId::InterviewVolts, self.volts.map(|volts| volts.to_string())),
            (QuestionId::InterviewBatteries, self.batteries.map(|count| count.to_string())),
            (QuestionId::InterviewYear, self.year.map(|year| year.to_string())),
        ];
        let answer = |(question, text): (QuestionId, Option<String>)| {
            Some(LogEvent::Answer { question: question.into(), answer: text? })
        };
        given.into_iter().filter_map(answer).collect()
    }
}
