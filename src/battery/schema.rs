//! The battery table as written in `circuits/battery.yaml`.
//! Leaves to others: its checked form (`table`).

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::circuit::loads::KindBasis;

/// Declares written rows: every key is required unless it is an option, and no other key is taken.
macro_rules! written {
    ($($(#[$doc:meta])* $name:ident { $($field:ident: $type:ty),+ $(,)? })+) => {
        $(
            $(#[$doc])*
            #[derive(Debug, Clone, Deserialize)]
            #[serde(deny_unknown_fields)]
            pub(super) struct $name {
                $(pub(super) $field: $type,)+
            }
        )+
    };
}

written! {
    /// The whole file.
    Written {
        format: String,
        chemistries: Vec<Chemical>,
        cold: Cold,
        load_test: LoadTest,
        cranking_standards: Vec<Standard>,
        cranking_share: CrankingShare,
        cranking_power: CrankingPower,
        freezing: Freezing,
        post_leak: Volts,
        shorted_cell: ShortedCell,
        measured_capacity: MeasuredCapacity,
        frost_asked_celsius: FrostAsked,
        causes: BTreeMap<String, f64>,
        energy: Energy,
        capacity: Capacity,
        charging: Charging,
    }
    /// A percentage with its standard uncertainty.
    Percent { percent: f64, u: f64, basis: KindBasis, source: String }
    /// Cold: volts of a full battery by temperature.
    Cold { basis: KindBasis, source: String, rows: Vec<ColdRow> }
    /// A row of it.
    ColdRow { fahrenheit: f64, volts: f64 }
    /// Load test.
    LoadTest { basis: KindBasis, source: String, least_charge_percent: f64, rows: Vec<LoadRow> }
    /// A row of it.
    LoadRow { celsius: f64, volts: f64 }
    /// A standard of the cranking rating.
    Standard { name: String, seconds: f64, volts: f64, basis: KindBasis, source: String }
    /// Shares of the cranking rating.
    CrankingShare { sound_percent: f64, weak_percent: f64, basis: KindBasis, source: String }
    /// Cranking power by temperature.
    CrankingPower {
        basis: KindBasis,
        source: String,
        rows: Vec<PowerRow>,
        warm_share_percent: f64,
        warm_share_source: String,
    }
    /// A row of it.
    PowerRow { celsius: f64, gives_percent: f64, asks_percent: f64 }
    /// Freezing points.
    Freezing { basis: KindBasis, source: String, gravity_to_volts: f64, rows: Vec<FreezingRow> }
    /// A row of it.
    FreezingRow { gravity: f64, celsius: f64 }
    /// A voltage.
    Volts { volts: f64, basis: KindBasis, source: String }
    /// Volts of a battery with a shorted cell.
    ShortedCell { low_v: f64, high_v: f64, basis: KindBasis, source: String }
    /// Measured capacity.
    MeasuredCapacity { sound_percent: f64, u_percent: f64, basis: KindBasis, source: String }
    /// Where the acid freezes from which on the temperature is asked for.
    FrostAsked { celsius: f64, basis: KindBasis, source: String }
    /// What driving puts back and a start takes.
    Energy { reference_ah: f64, surplus: Surplus, start: Start, acceptance: Acceptance }
    /// Current to spare for charging.
    Surplus { town_a: f64, mixed_a: f64, fast_a: f64, u_percent: f64, basis: KindBasis, source: String }
    /// Charge of a start.
    Start { ah: f64, u_ah: f64, basis: KindBasis, source: String }
    /// What a battery takes.
    Acceptance {
        basis: KindBasis,
        source: String,
        u_percent: f64,
        rows: Vec<AcceptanceRow>,
        warmth: Vec<WarmthRow>,
    }
    /// A row of it by charge.
    AcceptanceRow { percent: f64, a_per_ah: f64 }
    /// A row of it by temperature.
    WarmthRow { celsius: f64, share_percent: f64 }
    /// Capacity by rating.
    Capacity {
        rated_u_percent: f64,
        rated_source: String,
        reserve_95_percent: f64,
        reserve_source: String,
        cranking_ah_per_a: f64,
        cranking_95_percent: f64,
        cranking_source: String,
        assumed_u_percent: f64,
        assumed_source: String,
        assumed_ah: BTreeMap<String, f64>,
    }
    /// The charging side.
    Charging {
        plain: Plain,
        smart: Band,
        ripple: Ripple,
        cable_drop: Volts,
        key_off_leak: Leak,
        ready_rise: Volts,
        converter_input: Input,
        converter: ConverterFigures,
        pair: Volts,
        equaliser: Volts,
    }
    /// Volts of a plain regulator by temperature.
    Plain { basis: KindBasis, source: String, rows: Vec<PlainRow> }
    /// A row of it.
    PlainRow { celsius: f64, low: f64, high: f64 }
    /// A band of volts.
    Band { low: f64, high: f64, basis: KindBasis, source: String }
    /// Ripple.
    Ripple { good_mv: f64, bad_mv: f64, basis: KindBasis, source: String }
    /// Leakage into the alternator.
    Leak { good_ma: f64, bad_ma: f64, basis: KindBasis, source: String }
    /// What a converter does to the volts, and its efficiency, least and most.
    ConverterFigures { rise_v: f64, efficiency_percent: (f64, f64), basis: KindBasis, source: String }
    /// Input of a converter.
    Input { low_a: f64, high_a: f64, basis: KindBasis, source: String }
}

/// One type of battery.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Chemical {
    pub(super) name: String,
    #[serde(default)]
    pub(super) rows: Vec<(f64, f64)>,
    #[serde(default)]
    pub(super) flat: Option<Flat>,
    pub(super) basis: KindBasis,
    pub(super) source: String,
    pub(super) spread_v: f64,
    pub(super) self_discharge: Percent,
    pub(super) lowest: Percent,
}

/// Where volts say next to nothing.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Flat {
    pub(super) from_v: f64,
    pub(super) to_v: f64,
    pub(super) percent_from: f64,
    pub(super) percent_to: f64,
    pub(super) below_percent: f64,
    pub(super) above_percent: f64,
}
