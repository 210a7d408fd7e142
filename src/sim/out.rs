//! A fuse left out while a series of wake-ups is due: what the night in the log shows goes on, unless its module has no supply.
//! Leaves to others: the night (`night`), what it says of the circuit (`infer/wake_clock`).

use super::constants as k;
use super::night::module;
use super::series::SimSeries;
use super::vehicle::Vehicle;
use super::wiring::chain;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Minute, Typed, Unit};
use crate::circuit::map::Access;
use crate::log::trace_summary::TraceSummary;
use crate::measure::kind::TypedSlot;

/// Wake-ups that are waited for: as many as the plan asks for.
const WAITED_FOR: f64 = 2.0;

/// Where the log shows no series it is waited for so long. Editorial: longer than most series take for two.
const WITHOUT_SERIES: Minute = Minute::new(30.0);

impl Vehicle {
    /// Takes over a night that was logged: what wakes so is the module that rises so; of several, that of the seed's night.
    pub(super) fn take_night(&mut self, seen: &TraceSummary) {
        let (Some(period), true) = (seen.period, seen.regular) else { return };
        let Some(line) = seen.ledger.costliest() else { return };
        let off = |more: crate::base::quantity::Ampere| (more - line.rise).base().abs();
        let loads = self.map.loads().map(|(id, load)| (off(load.awake - load.asleep), id.feed));
        let of_seed = module(&self.map, self.seed)
            .and_then(|(feed, more)| Some((off(more), self.map.feeds.find_id(|known| known.id == feed)?)));
        let nearest = of_seed.into_iter().chain(loads).min_by(|a, b| a.0.total_cmp(&b.0));
        self.series = nearest.map(|(_, feed)| SimSeries { period, feed });
    }

    /// Leaves a fuse out for two periods of what wakes and puts it back: how many wake-ups came, and the time.
    ///
    /// # Errors
    /// No such fuse, it cannot be pulled, or it is out already.
    pub(super) fn leave_out(&mut self, feed: &str) -> Result<[TypedSlot; 2], Diagnostic> {
        let (index, found) = self.feed(feed)?;
        if !matches!(found.access, Access::Points | Access::Pull) {
            return Err(
                Diagnostic::new(format!("{feed} cannot be pulled")).remedy("pass it over: skip REASON")
            );
        }
        self.pass(k::MINUTES_PULL);
        let series = self.series.filter(|_| !self.state.repaired);
        let time = series.map_or(WITHOUT_SERIES, |series| {
            Minute::new((series.period.base() * WAITED_FOR).ceil().max(1.0))
        });
        let began = self.now();
        self.pass(time);
        let came = series.map_or(0, |series| {
            let is_silent = chain(&self.map, series.feed).any(|above| above == index);
            let turns = |at: Minute| (at.base() / series.period.base()).floor() as u32;
            if is_silent { 0 } else { turns(began + time).saturating_sub(turns(began)) }
        });
        let word = if came == 0 { "none".to_owned() } else { format!("came={came}") };
        Ok([TypedSlot::Word(word), TypedSlot::Minute(Typed::measured(time, 1.0, bare(time, 3)))])
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::*;
    use crate::base::quantity::{Ampere, AmpereHour};
    use crate::circuit::id::FeedId;
    use crate::measure::night::{Ledger, LedgerKind, LedgerLine};

    #[test]
    fn the_series_of_the_night_is_silent_while_its_fuse_is_out_and_goes_on_else() {
        let map = map();
        let (feed, more) = module(&map, 1).expect("a module");
        let line = LedgerLine {
            what: LedgerKind::Series,
            times: 30,
            period: Some(Minute::new(9.5)),
            length: Minute::new(1.0),
            peak: more,
            rise: more,
            charge: AmpereHour::new(0.2),
            first: Minute::new(30.0),
        };
        let night = TraceSummary {
            file: "night.csv".into(),
            started: None,
            span: Minute::new(360.0),
            rests_after: Some(Minute::new(20.0)),
            level: Some(Ampere::from_milli(20.0)),
            average: Some(Ampere::from_milli(80.0)),
            period: line.period,
            regular: true,
            away: 0.1,
            count: 30,
            departures: Vec::new(),
            ledger: Ledger { lines: vec![line], held: Minute::new(340.0) },
            curve: Vec::new(),
            channels: Vec::new(),
        };
        let mut vehicle = Vehicle::new(&map, 1);
        let said = |vehicle: &mut Vehicle, at: &str| {
            vehicle.leave_out(at).map(|[came, time]| format!("{} {}", came.text(), time.text()))
        };
        assert_eq!(said(&mut vehicle, &feed).as_deref(), Ok("none 30.0 min"), "no night, no series");
        vehicle.take_night(&night);
        assert_eq!(said(&mut vehicle, &feed).as_deref(), Ok("none 19.0 min"));
        let is_other = |other: &&crate::circuit::map::Feed| {
            other.id != feed
                && matches!(other.access, Access::Points | Access::Pull)
                && other.parent.is_some()
        };
        let index = map.feeds.find_id(|known| known.id == feed).expect("it");
        let above: Vec<FeedId> = chain(&map, index).collect();
        let others = map.feeds.iter_ids().filter(|(id, _)| !above.contains(id)).map(|(_, feed)| feed);
        let other = others.into_iter().find(is_other).expect("another fuse").id.clone();
        assert_eq!(said(&mut vehicle, &other).as_deref(), Ok("came=2 19.0 min"));
        vehicle.repair();
        assert_eq!(said(&mut vehicle, &other).as_deref(), Ok("none 30.0 min"), "what woke is mended");
        assert!(vehicle.leave_out("F99").is_err());
    }
}
