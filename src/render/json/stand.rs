//! The JSON shape of `stand`. Leaves to others: the arithmetic (`battery`).

use super::round;
use crate::base::quantity::show::{Q, Shown, q};
use crate::base::quantity::{Ampere, Day, Share, Uncertain};
use crate::render::stand::{StandRequest, StandResult};

shape! {
    /// What `stand` prints.
    StandShape(asked: &StandRequest, meant: &StandResult) [let stock = &meant.stock;] {
        days: Q = q_above_zero(&meant.days),
        usable_ah: Q = q_above_zero(&stock.usable()),
        self_discharge_ma: f64 = round(stock.self_discharge().value().milli(), 4),
        draw: Q = q(&asked.draw),
        days_after_repair: Option<Q> = meant.after.as_ref().map(q_above_zero),
        /// Draw at which it stands the time that was asked for.
        allowed: Option<Q> = meant.allowed.as_ref().map(q),
        /// Days at each of a range of draws.
        table: Vec<DrawShape> = meant.table.iter().map(|(draw, days)| DrawShape::of(*draw, days)).collect(),
        capacity: Q = q(&stock.capacity),
        capacity_from: String = asked.capacity.source.clone(),
        /// State of charge.
        charge: Q = share_q(&stock.charge),
        /// Lowest state of charge that still does.
        lowest: Q = share_q(&stock.lowest),
        warnings: Vec<String> = meant.warnings.clone(),
    }

    /// One row of the table.
    DrawShape(draw: Ampere, days: &Uncertain<Day>) {
        draw_ma: f64 = draw.milli(),
        days: Q = q_above_zero(days),
    }
}

/// The shape of what cannot be below zero, such as days.
fn q_above_zero<U: Shown>(days: &Uncertain<U>) -> Q {
    let q = q(days);
    Q { low: q.low.max(0.0), ..q }
}

fn share_q(share: &Uncertain<Share>) -> Q {
    let q = q_above_zero(share);
    Q { high: q.high.min(Share::JSON_FACTOR), ..q }
}
