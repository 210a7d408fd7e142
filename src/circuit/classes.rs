//! What every vehicle of a class has: what can hold its network awake, and what hangs at its battery without a fuse.
//! Common practice, editable in `circuits/classes.yaml`. Leaves to others: putting it into a map (`complete`).

use serde::Deserialize;

use super::loads::Catalogue;
use super::map::VehicleClass;
use super::tables;
use crate::base::diagnostic::{Diagnostic, Faults};

const FORMAT: &str = "fusetrail-classes/1";

/// What every vehicle of one class has.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClassDefaults {
    class: String,
    /// What can hold its network awake.
    pub inputs: Vec<DefaultInput>,
    /// What hangs at its battery without a fuse.
    pub unfused: Vec<DefaultUnfused>,
}

/// An input that every vehicle of a class has.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DefaultInput {
    /// Its name, the same for all.
    pub name: String,
    /// Names that a fuller map has for it, besides this one.
    #[serde(default)]
    pub also: Vec<String>,
}

/// An unfused item that every vehicle of a class has.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DefaultUnfused {
    /// Its name.
    pub name: String,
    /// Its kind in the load catalogue.
    pub kind: String,
    /// True if it may feed the vehicle.
    #[serde(default)]
    pub source: bool,
}

/// The table of all classes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Classes(Vec<ClassDefaults>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ClassesSchema {
    format: String,
    classes: Vec<ClassDefaults>,
}

impl Classes {
    tables::builtin!(pub Classes, Classes::read(tables::CLASSES));

    /// Reads a table.
    ///
    /// # Errors
    /// Not YAML of the expected form, an unknown format or class, a kind that the load catalogue has not.
    pub fn read(text: &str) -> Result<Classes, Faults> {
        let odd = |found: &ClassDefaults| {
            let class = Diagnostic::new(format!("the class {} is not known", found.class));
            let kind = |item: &DefaultUnfused| {
                let is_known = Catalogue::builtin().get(&item.kind).is_some();
                (!is_known).then(|| Diagnostic::new(format!("the kind {} is not known", item.kind)))
            };
            let is_known = VehicleClass::from_name(&found.class).is_some();
            let class = (!is_known).then_some(class);
            class.into_iter().chain(found.unfused.iter().filter_map(kind)).collect::<Vec<_>>()
        };
        let written: ClassesSchema = tables::read(text, FORMAT, |found: &ClassesSchema| {
            (found.format.clone(), found.classes.iter().flat_map(odd).collect())
        })?;
        Ok(Classes(written.classes))
    }

    /// Returns what vehicles of a class have.
    pub fn of(&self, class: VehicleClass) -> Option<&ClassDefaults> {
        self.0.iter().find(|found| found.class == class.name())
    }
}

impl ClassDefaults {
    /// Returns true if an input of this name is the same as one that a fuller map calls `other`.
    pub fn is_same_input(&self, name: &str, other: &str) -> bool {
        let known = self.inputs.iter().find(|input| input.name == name);
        name == other || known.is_some_and(|input| input.also.iter().any(|also| also == other))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_has_inputs_and_what_hangs_at_its_battery() {
        assert!(Classes::read(super::tables::CLASSES).is_ok());
        for (class, name) in VehicleClass::NAMES {
            let found = Classes::builtin().of(class).unwrap_or_else(|| panic!("{name}"));
            assert!(!found.inputs.is_empty() && !found.unfused.is_empty(), "{name}");
        }
    }

    #[test]
    fn what_cannot_be_meant_is_refused() {
        let text = super::tables::CLASSES;
        let kind = text.replacen("kind: starter", "kind: stater", 1);
        assert!(Classes::read(&kind).expect_err("a kind").to_string().contains("stater"));
        let class = text.replacen("class: boat", "class: raft", 1);
        assert!(Classes::read(&class).expect_err("a class").to_string().contains("raft"));
        let format = text.replacen("classes/1", "classes/9", 1);
        assert!(Classes::read(&format).expect_err("a format").to_string().contains("classes/9"));
    }

    #[test]
    fn an_input_is_known_by_the_names_of_a_fuller_map() {
        let car = Classes::builtin().of(VehicleClass::Car).expect("car");
        assert!(car.is_same_input("boot or tailgate latch", "tailgate latch"));
        assert!(car.is_same_input("bonnet switch", "bonnet switch"));
        assert!(!car.is_same_input("bonnet switch", "boot latch"));
    }
}
