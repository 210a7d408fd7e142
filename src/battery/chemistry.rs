//! The types of battery that the tables tell apart.
//! Leaves to others: their figures (`table`).

/// Type of a battery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Chemistry {
    /// Flooded: liquid acid.
    Flooded,
    /// Enhanced flooded.
    Efb,
    /// Absorbent glass mat.
    Agm,
    /// Gel.
    Gel,
    /// Lithium iron phosphate.
    Lithium,
}

impl Chemistry {
    /// Every type with the name used in text, options and tables.
    pub const NAMES: [(Self, &'static str); 5] = [
        (Self::Flooded, "flooded"),
        (Self::Efb, "efb"),
        (Self::Agm, "agm"),
        (Self::Gel, "gel"),
        (Self::Lithium, "lithium"),
    ];

    /// Returns the type of this name, letters of either size.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::NAMES.iter().find(|(_, known)| known.eq_ignore_ascii_case(name.trim())).map(|(found, _)| *found)
    }

    /// Returns its name.
    pub fn name(self) -> &'static str {
        Self::NAMES.iter().find(|(known, _)| *known == self).map_or("", |(_, name)| name)
    }

    /// Returns true if it holds acid: all but lithium.
    pub fn has_acid(self) -> bool {
        self != Self::Lithium
    }
}
