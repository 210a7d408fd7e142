//! The simulated vehicle.
