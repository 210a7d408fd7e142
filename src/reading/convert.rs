//! Millivolt to milliampere.
