//! Fuse families, and what is known of one fuse's cold resistance.
//! Leaves to others: looking a figure up (`fuse_table`), millivolt to milliampere (`measure/convert`).

use serde::Deserialize;

use crate::base::quantity::Ohm;

/// Family of a protection element: its form, which decides its resistance at a rating.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Regular blade fuse (ISO 8820-3 type C).
    Blade,
    /// Mini blade fuse (ISO 8820-3 type F).
    Mini,
    /// Low-profile mini.
    LowMini,
    /// Micro with two legs (ISO 8820-12).
    Micro2,
    /// Micro with three legs (ISO 8820-13).
    Micro3,
    /// Maxi blade fuse (ISO 8820-3 type E).
    Maxi,
    /// Slotted cartridge.
    Cartridge,
    /// Bolt-down strip.
    Bolt,
    /// Glass tube.
    Glass,
    /// Torpedo.
    Torpedo,
    /// A fusible link: a piece of wire.
    Wire,
}

impl Family {
    /// Every family, in the order in which they are listed to people.
    pub const ALL: [Self; 11] = [
        Self::Blade,
        Self::Mini,
        Self::LowMini,
        Self::Micro2,
        Self::Micro3,
        Self::Maxi,
        Self::Cartridge,
        Self::Bolt,
        Self::Glass,
        Self::Torpedo,
        Self::Wire,
    ];

    /// Returns every family.
    pub fn all() -> impl Iterator<Item = Self> {
        Self::ALL.into_iter()
    }

    /// Returns the name used in maps and options.
    pub fn name(self) -> &'static str {
        match self {
            Self::Blade => "blade",
            Self::Mini => "mini",
            Self::LowMini => "low-mini",
            Self::Micro2 => "micro2",
            Self::Micro3 => "micro3",
            Self::Maxi => "maxi",
            Self::Cartridge => "cartridge",
            Self::Bolt => "bolt",
            Self::Glass => "glass",
            Self::Torpedo => "torpedo",
            Self::Wire => "wire",
        }
    }

    /// Returns the family of a name, letter case aside.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|family| family.name().eq_ignore_ascii_case(name.trim()))
    }
}

/// What a cold resistance rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// A maker's data sheet, or a printed band.
    DataSheet,
    /// The law fitted through other ratings.
    Estimate,
    /// Measured on this fuse by the user.
    Own,
    /// From a known load step on this fuse.
    Calibrated,
}

impl Basis {
    /// Returns the word that JSON uses.
    pub fn word(self) -> &'static str {
        match self {
            Self::DataSheet => "data sheet",
            Self::Estimate => "estimate",
            Self::Own => "own",
            Self::Calibrated => "calibrated",
        }
    }
}

/// Cold resistance of one fuse at 25 °C with its relative standard uncertainties.
#[derive(Debug, Clone, PartialEq)]
pub struct Resistance {
    /// Resistance at 25 °C.
    pub r25: Ohm,
    /// Relative standard uncertainty that all fuses of the family in one vehicle share.
    pub make: f64,
    /// Relative standard uncertainty of one fuse against the next.
    pub fuse: f64,
    /// Resistance of the legs, left out when the test points on the back are probed; zero where not known.
    pub legs: Ohm,
    /// What it rests on.
    pub basis: Basis,
    /// Sources, and what to know about the figure.
    pub remarks: Vec<Remark>,
}

/// Where a resistance is from, or what to know about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remark {
    /// Measured on this very fuse.
    Own,
    /// Reckoned from a known load step on this fuse.
    Step,
    /// Not read in the sheet, but remembered.
    Memory,
    /// A sheet or list, by its title.
    Source(String),
    /// From other ratings of the family, as no sheet has this one.
    Estimated {
        /// The fuse, in words.
        fuse: String,
        /// What the law was fitted to.
        law: String,
    },
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_family_is_found_by_its_name() {
        for family in Family::ALL {
            assert_eq!(Family::from_name(family.name()), Some(family));
        }
        assert_eq!(Family::from_name(" Low-Mini "), Some(Family::LowMini));
        assert_eq!(Family::from_name("midi"), None);
    }
}
