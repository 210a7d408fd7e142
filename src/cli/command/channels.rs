//! Further columns of a meter log, and a second log with a clock of its own: as options, and as channels beside the total.
//! Leaves to others: reading them (`trace/table`), laying clocks together (`trace/clocks`), what they show (`trace/channel`).

use std::path::Path;

use super::columns;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Minute, Ohm, Unit as _};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::map::Map;
use crate::cli::error::CliError;
use crate::cli::stream;
use crate::instrument::profile::Profile;
use crate::log::case::Case;
use crate::log::in_force::temperature_now;
use crate::measure::box_temperature;
use crate::measure::convert::{REFERENCE, own_spread};
use crate::measure::observation::Panel;
use crate::measure::observe::calibrations;
use crate::text::channel as words;
use crate::trace::channel::Channel;
use crate::trace::clocks::{ClockOffset, lay_together};
use crate::trace::options::{ChannelColumn, Options};
use crate::trace::settle::Settling;
use crate::trace::table::{Recording, Start, begins_with, read_channels};

/// What tells which columns are channels.
#[derive(Clone, Copy)]
pub struct ChannelSource<'a> {
    /// What was given as `--channel`.
    pub given: &'a [ChannelColumn],
    /// The map, whose feeds are channels by their names.
    pub map: Option<&'a Map>,
    /// The session log, whose temperatures and known load steps count.
    pub case: Option<&'a Case>,
    /// Clamp that wrote the log, if it was named.
    pub meter: Option<&'a Profile>,
}

/// Reads `--channel F12=3,mV`.
///
/// # Errors
/// Not of this form, or a unit of neither current nor voltage.
pub fn read(text: &str) -> Result<ChannelColumn, Diagnostic> {
    let fault =
        || Diagnostic::new(format!("\"{text}\" names no column")).expected(words::FORM).in_field("--channel");
    let (name, column) = text.split_once('=').ok_or_else(fault)?;
    let (column, unit) = match column.rsplit_once(',') {
        Some((column, unit)) => (column, Some(columns::unit(unit.trim(), "--channel")?)),
        None => (column, None),
    };
    let (name, column) = (name.trim().to_owned(), column.trim().to_owned());
    if name.is_empty() || column.is_empty() {
        return Err(fault());
    }
    Ok(ChannelColumn { name, column, unit, over: None })
}

impl ChannelSource<'_> {
    /// Chooses the columns: those given, and those whose heading is a feed of the map.
    fn choose(&self, headings: &[String]) -> Result<Vec<ChannelColumn>, Diagnostic> {
        let mut all = self.given.to_vec();
        let feeds = self.map.iter().flat_map(|map| map.feeds.iter());
        for feed in feeds.filter(|feed| !self.given.iter().any(|one| one.name.eq_ignore_ascii_case(&feed.id)))
        {
            if let Some(at) = headings.iter().position(|heading| begins_with(heading, &feed.id)) {
                let column = (at + 1).to_string();
                all.push(ChannelColumn { name: feed.id.clone(), column, ..ChannelColumn::default() });
            }
        }
        for one in &mut all {
            one.over = self.resistance(&one.name).map(|(ohm, _)| ohm);
        }
        Ok(all)
    }

    /// The resistance of a feed's fuse at the temperature taken for it, with its relative standard uncertainty; that of the
    /// fuse itself where a known load step told it. `None` if it is no feed, or no figure is known.
    fn resistance(&self, name: &str) -> Option<(Ohm, f64)> {
        let (id, feed) = self.map?.feeds.iter_ids().find(|(_, feed)| feed.id.eq_ignore_ascii_case(name))?;
        let table = FuseTable::builtin();
        let stepped = self
            .case
            .and_then(|case| calibrations(&case.readings, &Panel::new(case.map.clone()), table).remove(&id));
        let found = stepped.or_else(|| table.resistance(&feed.fuse).ok())?;
        let place = self.map?.box_of(feed).map(|place| place.id.as_str());
        let warmth = self
            .case
            .map_or_else(|| box_temperature(None), |case| temperature_now(&case.temperatures, place));
        let u = own_spread(&found).hypot(found.make).hypot(table.per_kelvin() * warmth.u().base());
        Some((found.r25 * (1.0 + table.per_kelvin() * (warmth.value() - REFERENCE).base()), u))
    }

    /// Reads the log of the total with its channels.
    ///
    /// # Errors
    /// As for a log; a channel that is not there, or whose volts are over a fuse that is not known.
    pub fn read(
        &self,
        file: &Path,
        options: &Options,
    ) -> Result<(Recording, Vec<(ChannelColumn, Recording)>), CliError> {
        let name = file.to_string_lossy();
        let read = read_channels(stream::open(file)?, options, |headings| self.choose(headings));
        Ok(read.map_err(|fault| fault.in_file(&name))?)
    }

    /// Makes a channel from what was read of it.
    fn channel(&self, column: &ChannelColumn, read: Recording, begins: Minute, begins_u: Minute) -> Channel {
        let gain = self.resistance(&column.name).filter(|_| read.is_over);
        Channel {
            name: column.name.clone(),
            trace: read.trace,
            begins,
            begins_u,
            gain_u: gain.map_or(0.0, |(_, u)| u),
            meter: self.meter.cloned(),
        }
    }

    /// Returns the channels of the total's own log.
    pub fn on_one_clock(&self, total: &Recording, all: Vec<(ChannelColumn, Recording)>) -> Vec<Channel> {
        let begins = |read: &Recording| Minute::new((read.first - total.first) / 60.0);
        all.into_iter()
            .map(|(column, read)| {
                let begins = begins(&read);
                self.channel(&column, read, begins, Minute::ZERO)
            })
            .collect()
    }

    /// Reads a second log, and lays its clock to that of the total.
    ///
    /// # Errors
    /// As for a log; too few changes fall together.
    pub fn second(
        &self,
        file: &Path,
        options: &Options,
        found: &Settling,
        start: &Start,
    ) -> Result<(Vec<Channel>, ClockOffset), CliError> {
        let (main, others) = self.read(file, options)?;
        let stem = file.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
        let mut all = others;
        if all.is_empty() {
            let column = ChannelColumn { name: stem, ..ChannelColumn::default() };
            all.push((column, main.clone()));
        }
        let said = start.apart(&main.start);
        let none = || {
            Diagnostic::new(words::NOT_LAID).in_file(&file.to_string_lossy()).remedy(words::NOT_LAID_REMEDY)
        };
        // The channel that changes most tells the offset best.
        let laid = all.iter().filter_map(|(_, read)| {
            let own = Minute::new((read.first - main.first) / 60.0);
            let offset = lay_together(&found.trace, &read.trace, said.map(|said| said + own))?;
            Some(ClockOffset { begins: offset.begins - own, ..offset })
        });
        let offset = laid.max_by_key(|offset| offset.changes).ok_or_else(none)?;
        let channels = all.into_iter().map(|(column, read)| {
            let begins = offset.begins + Minute::new((read.first - main.first) / 60.0);
            self.channel(&column, read, begins, offset.u)
        });
        Ok((channels.collect(), offset))
    }
}
