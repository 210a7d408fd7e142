//! How the inputs of a network are worked by hand, and what the vehicle says of one that rests. Editable in
//! `circuits/inputs.yaml`. Leaves to others: which inputs a vehicle has (`classes`, the map), what working one tells
//! (`measure`).

use serde::Deserialize;

use super::tables;
use super::wording::{Phrase, phrases_in, words_of};
use crate::base::diagnostic::Faults;

/// How an input is worked.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InputWay {
    words: Vec<String>,
    /// What to do, in words.
    pub how: String,
    /// What a scan tool says of it when all is as it should be.
    pub rests: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct InputsSchema {
    format: String,
    inputs: Vec<InputWay>,
}

tables::builtin!(Vec<InputWay>, read(tables::INPUTS));

fn read(text: &str) -> Result<Vec<InputWay>, Faults> {
    let written: InputsSchema =
        tables::read(text, "fusetrail-inputs/1", |found: &InputsSchema| (found.format.clone(), Vec::new()))?;
    Ok(written.inputs)
}

/// Returns how an input of this name is worked; `None` for one that the table doesn't know.
pub fn way_of(input: &str) -> Option<&'static InputWay> {
    let named = words_of(input);
    builtin().iter().find(|way| {
        let phrases: Vec<Phrase> = way.words.iter().map(|word| Phrase::new(word, 0)).collect();
        !phrases_in(&phrases, &named).is_empty()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::builtin::{MAPS, map};

    #[test]
    fn every_input_of_the_built_in_maps_and_classes_has_its_way() {
        let mut seen = 0;
        for built_in in MAPS {
            let map = map(built_in.name).expect("reads");
            for (_, input) in map.inputs() {
                assert!(way_of(input).is_some(), "{}: {input}", built_in.name);
                seen += 1;
            }
        }
        assert!(seen > 20, "{seen}");
    }

    #[test]
    fn a_bonnet_is_pushed_and_a_latch_is_tripped() {
        let how = |input| way_of(input).map(|way| way.how.as_str()).unwrap_or_default();
        assert!(how("bonnet switch").starts_with("push"));
        assert!(how("driver door latch").starts_with("trip"));
        assert!(how("door handle sensors").starts_with("pull the handle"), "{}", how("door handle sensors"));
        assert_eq!(way_of("flux capacitor"), None);
    }
}
