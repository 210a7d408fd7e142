//! One vehicle's supply as a circuit: cells, a source that charges them, the cables between, what is switched on
//! meanwhile. Every volt that a meter would show follows from it, so that the readings of a case agree. Knows nothing
//! of the engine's tables.

/// Open-circuit volts of six flooded cells by charge: the table of the Battery Council, as reprinted by makers.
const AT_REST: [(f64, f64); 5] = [(0.0, 11.89), (0.25, 12.06), (0.5, 12.24), (0.75, 12.45), (1.0, 12.65)];
/// Cells of a 12 V battery.
const CELLS: f64 = 6.0;
/// What a battery holds against being charged, in ohm: a round figure for a starter battery.
const AGAINST_CHARGE: f64 = 0.1;

/// One 12 V battery.
#[derive(Clone, Copy)]
pub struct Battery {
    /// State of charge, 0 to 1.
    pub charge: f64,
    /// Cells that are shorted.
    pub shorted: u8,
    /// Inner resistance, in ohm.
    pub inner: f64,
}

/// What charges: volts that it makes at its own stud, and the two cables to the battery.
#[derive(Clone, Copy)]
pub struct Source {
    /// Volts between stud and case; 0 where it gives nothing.
    pub volts: f64,
    /// Plus cable, in ohm.
    pub plus: f64,
    /// Earth side, case to battery minus, in ohm.
    pub earth: f64,
}

/// A supply.
#[derive(Clone, Copy)]
pub struct Supply {
    /// The batteries in series.
    pub batteries: &'static [Battery],
    /// Their cold cranking rating, in ampere.
    pub rated: f64,
    /// What charges them.
    pub source: Source,
    /// What is switched on while it is looked at running, in ampere.
    pub lamps: f64,
}

pub const SOUND: Battery = Battery { charge: 0.95, shorted: 0, inner: 0.006 };
pub const ALTERNATOR: Source = Source { volts: 14.3, plus: 0.002, earth: 0.002 };
pub const GOOD: Supply = Supply { batteries: &[SOUND], rated: 540.0, source: ALTERNATOR, lamps: 15.0 };

impl Battery {
    /// Volts at rest.
    pub fn rested(&self) -> f64 {
        let above = AT_REST.iter().position(|(charge, _)| *charge >= self.charge).expect("a share").max(1);
        let ((from, low), (to, high)) = (AT_REST[above - 1], AT_REST[above]);
        let six = low + (high - low) * (self.charge - from) / (to - from);
        six * (CELLS - f64::from(self.shorted)) / CELLS
    }

    /// Volts at the end of a load test at half the rating.
    pub fn loaded(&self, rated: f64) -> f64 {
        self.rested() - rated / 2.0 * self.inner
    }
}

impl Supply {
    pub fn rested(&self) -> f64 {
        self.batteries.iter().map(Battery::rested).sum()
    }

    /// Volts at the posts with the source running: one loop of source, cables and battery, the lamps at the posts.
    pub fn running(&self) -> f64 {
        let count = self.batteries.len() as f64;
        let (rested, cables) = (self.rested(), self.source.plus + self.source.earth);
        let charged = (self.source.volts - rested - self.lamps * cables) / (cables + AGAINST_CHARGE * count);
        if charged > 0.0 {
            return rested + charged * AGAINST_CHARGE * count;
        }
        // The source gives less than the battery: the battery feeds the lamps.
        rested - self.lamps * self.batteries.iter().map(|battery| battery.inner).sum::<f64>()
    }

    /// Volts at the stud against the case: what the source makes, or what the battery puts there.
    pub fn stud(&self) -> f64 {
        if self.carried() > 0.0 { self.source.volts } else { self.running() }
    }

    /// What the cables carry from the source, in ampere.
    fn carried(&self) -> f64 {
        let cables = self.source.plus + self.source.earth;
        ((self.source.volts - self.running()) / cables).max(0.0)
    }

    /// Drop of the plus cable, and of the earth side.
    pub fn drops(&self) -> (f64, f64) {
        (self.carried() * self.source.plus, self.carried() * self.source.earth)
    }

    /// What a meter shows to a question; `None` where the circuit says nothing of it.
    pub fn shows(&self, question: &str) -> Option<String> {
        let volts = |volts: f64| Some(format!("{volts:.2} V"));
        let (plus, earth) = self.drops();
        match question {
            "battery.volts" | "found.volts" | "total.volts" => volts(self.rested()),
            "battery.first" => volts(self.batteries[0].rested()),
            "battery.load" => volts(self.batteries[0].loaded(self.rated)),
            "charging.volts" => volts(self.running()),
            "charging.first" => volts(self.running() / self.batteries.len() as f64),
            "charging.cables" => volts(plus.max(earth)),
            "charging.earth" => volts(earth),
            "charging.post" | "charging.stud" => volts(self.stud()),
            _ => None,
        }
    }
}
