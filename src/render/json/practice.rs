//! The JSON shape of `practice`: a vehicle, and its truth if that is asked for.

use crate::circuit::map::Map;
use crate::sim::{TrueCause, Truth, Vehicle};
use crate::text::truth::{complaint, oddity};

shape! {
    /// What `practice` prints.
    VehicleShape(number: u64, map: &Map, vehicle: &Vehicle, command: &str, revealed: Option<&Truth>) {
        seed: u64 = number,
        /// Title of the map.
        map: String = map.title.clone(),
        complaint: String = complaint(vehicle.stands()),
        /// Command that hunts on it.
        hunt: String = command.to_owned(),
        truth: Option<TruthShape> = revealed.map(TruthShape::of),
    }

    /// What is really wrong.
    TruthShape(truth: &Truth) {
        causes: Vec<TrueCauseShape> = truth.causes.iter().map(TrueCauseShape::of).collect(),
        oddities: Vec<String> = truth.oddities.iter().map(oddity).collect(),
        /// What it draws without the causes.
        sound_total_ma: f64 = truth.sound_total.milli(),
    }

    /// One cause.
    TrueCauseShape(cause: &TrueCause) {
        branch: String = cause.branch.clone(),
        also_from: Vec<String> = cause.also.clone(),
        load: String = cause.load.clone(),
        /// What it holds awake.
        held_awake: Vec<String> = cause.held_loads.clone(),
        excess_ma: f64 = cause.excess.milli(),
        /// True if it ends when its supply is taken off.
        hung: bool = cause.hung,
    }
}
