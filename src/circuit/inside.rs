//! What can be taken off inside an item that hangs at the battery without a fuse, to tell which of its parts draws.
//! Editable in `circuits/inside.yaml`. Leaves to others: what a fall says (`measure`), when it is worth doing (`plan`).

use std::sync::OnceLock;

use serde::Deserialize;

use super::id::UnfusedId;
use super::map::{Map, VehicleClass};
use super::tables;
use crate::base::diagnostic::{Diagnostic, Faults};

/// A part of an unfused item that can be taken off by itself.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InnerPart {
    kind: String,
    #[serde(default)]
    class: Vec<String>,
    /// What is taken off: `control plug`.
    pub part: String,
    /// In which order, in words.
    pub how: String,
    /// What draws if the total falls with it, in words.
    pub blames: String,
    /// True if it cuts the item off altogether.
    #[serde(default)]
    pub whole: bool,
    /// Share of the faults of such an item that sit there; editorial.
    pub share: f64,
    /// Minutes of work; editorial.
    pub minutes: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct InsideSchema {
    format: String,
    inside: Vec<InnerPart>,
}

/// From this share of its faults on the part stands for its item. Editorial: the rest is an end of cable.
const READS_ITEM: f64 = 0.9;

impl InnerPart {
    /// Returns the table that is built in. A test holds that it reads.
    fn builtin() -> &'static [InnerPart] {
        static BUILTIN: OnceLock<Vec<InnerPart>> = OnceLock::new();
        BUILTIN.get_or_init(|| Self::read(tables::INSIDE).unwrap_or_default())
    }

    /// Reads a table.
    ///
    /// # Errors
    /// Not YAML of the expected form, another format, or a share or a time that can't be.
    fn read(text: &str) -> Result<Vec<InnerPart>, Faults> {
        let odd = |one: &InnerPart| {
            let fault =
                Diagnostic::new(format!("{} of {}: {} and {}", one.part, one.kind, one.share, one.minutes));
            let fits = one.share > 0.0 && one.share < 1.0 && one.minutes > 0.0 && one.minutes.is_finite();
            (!fits).then(|| fault.expected("a share between 0 and 1, minutes above 0"))
        };
        let written: InsideSchema = tables::read(text, "fusetrail-inside/1", |found: &InsideSchema| {
            (found.format.clone(), found.inside.iter().filter_map(odd).collect())
        })?;
        Ok(written.inside)
    }

    /// Returns true if it cuts the item off and nearly all faults sit behind it: then its fall is what the item draws.
    pub fn reads_item(&self) -> bool {
        self.whole && self.share >= READS_ITEM
    }

    fn is_of(&self, kind: &str, class: VehicleClass) -> bool {
        self.kind == kind && (self.class.is_empty() || self.class.iter().any(|one| one == class.name()))
    }
}

/// Returns the parts of an unfused item that can be taken off one by one, in the order in which that is done.
pub fn parts_of(item: UnfusedId, map: &Map) -> Vec<&'static InnerPart> {
    let kind = map.unfused.get(item).map_or("", |item| item.kind.as_str());
    InnerPart::builtin().iter().filter(|part| part.is_of(kind, map.class)).collect()
}

/// Finds a part written `alternator/control plug`, letter case aside.
pub fn find_part(item: &str, part: &str, map: &Map) -> Option<(UnfusedId, &'static InnerPart)> {
    let id = map.unfused.find_id(|found| found.name.eq_ignore_ascii_case(item.trim()))?;
    let part = parts_of(id, map).into_iter().find(|found| found.part.eq_ignore_ascii_case(part.trim()))?;
    Some((id, part))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::loads::Catalogue;

    #[test]
    fn the_table_reads_and_names_kinds_and_classes_that_there_are() {
        let all = InnerPart::read(tables::INSIDE).expect("reads");
        for one in &all {
            assert!(Catalogue::builtin().get(&one.kind).is_some(), "{one:?}");
            assert!(one.class.iter().all(|class| VehicleClass::from_name(class).is_some()), "{one:?}");
        }
        let odd = tables::INSIDE.replacen("share: 0.3", "share: 1.3", 1);
        assert!(InnerPart::read(&odd).is_err());
    }

    #[test]
    fn nothing_is_taken_off_a_converter_of_the_high_voltage_system() {
        let map = crate::circuit::builtin::map("hybrid").expect("built in");
        let converter = map.unfused.find_id(|item| item.kind == "converter").expect("listed");
        assert!(parts_of(converter, &map).is_empty());
    }
}
