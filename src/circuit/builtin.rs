//! The maps that are built in. Leaves to others: the tables (`tables`), what a map must satisfy (`check`).

use super::check::check;
use super::map::Map;
use super::wording::did_you_mean;
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::styled::clean;

/// A circuit map that is built in. All vehicles are invented.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BuiltinMap {
    /// Name to call it by, such as `hatch`.
    pub name: &'static str,
    /// Its text.
    pub text: &'static str,
}

/// Every map that is built in.
pub const MAPS: [BuiltinMap; 9] = [
    BuiltinMap { name: "hatch", text: include_str!("../../circuits/maps/hatch.yaml") },
    BuiltinMap { name: "van", text: include_str!("../../circuits/maps/van.yaml") },
    BuiltinMap { name: "hybrid", text: include_str!("../../circuits/maps/hybrid.yaml") },
    BuiltinMap { name: "tipper", text: include_str!("../../circuits/maps/tipper.yaml") },
    BuiltinMap { name: "motorcycle", text: include_str!("../../circuits/maps/motorcycle.yaml") },
    BuiltinMap { name: "e-van", text: include_str!("../../circuits/maps/e-van.yaml") },
    BuiltinMap { name: "motorhome", text: include_str!("../../circuits/maps/motorhome.yaml") },
    BuiltinMap { name: "boat", text: include_str!("../../circuits/maps/boat.yaml") },
    BuiltinMap { name: "blank", text: include_str!("../../circuits/maps/blank.yaml") },
];

/// Returns the built-in map of this name.
///
/// # Errors
/// No map has that name; the fault offers those there are.
pub fn map(name: &str) -> Result<Map, Faults> {
    let names = || MAPS.iter().map(|map| map.name);
    match MAPS.iter().find(|map| map.name.eq_ignore_ascii_case(name)) {
        Some(found) => Ok(check(found.name, found.text)?.0),
        None => {
            let all = format!("there are: {}", names().collect::<Vec<_>>().join(", "));
            let remedy = did_you_mean(name, names(), all);
            Err(Diagnostic::new(format!("no built-in map is called {}", clean(name))).remedy(remedy).into())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Ampere;
    use crate::circuit::limits::Limits;

    #[test]
    fn every_built_in_map_is_sound_and_reads_back_from_its_written_form() {
        for builtin in MAPS {
            let (map, warnings) = check(builtin.name, builtin.text).unwrap_or_else(|f| panic!("{f}"));
            let guessed = |what: &str| what.contains("guessed from the name") && what.contains("kind");
            let others: Vec<_> = warnings.iter().filter(|warning| !guessed(&warning.what)).collect();
            assert!(others.is_empty(), "{}: {others:?}", builtin.name);
            let text = map.to_yaml().expect("a written form");
            let (again, warnings) = check("again", &text).unwrap_or_else(|f| panic!("{f}\n{text}"));
            assert!(warnings.is_empty(), "{}: {warnings:?}", builtin.name);
            assert_eq!(map, again, "{}", builtin.name);
        }
    }

    #[test]
    fn a_map_is_found_by_name_and_a_near_name_is_offered() {
        assert_eq!(map("Hatch").expect("the hatch").system.milli(), 12_000.0);
        let said = map("hach").expect_err("no such map").to_string();
        assert!(said.contains("did you mean hatch"), "{said}");
        assert!(map("zeppelin").expect_err("no such map").to_string().contains("tipper"));
    }

    #[test]
    fn every_built_in_map_has_a_limit_or_a_time_and_its_sound_draw_is_within_it() {
        for builtin in MAPS {
            let map = map(builtin.name).unwrap_or_else(|f| panic!("{f}"));
            let limits = Limits::builtin();
            let Some(limit) = map.limit.clone().or_else(|| limits.default_limit(map.class)) else {
                assert!(limits.stand(map.class).is_some(), "{}: nothing proves a repair", builtin.name);
                continue;
            };
            let loads = map.feeds.iter().flat_map(|feed| &feed.loads).map(|load| load.asleep);
            let asleep: Ampere = loads.chain(map.unfused.iter().map(|item| item.asleep)).sum();
            assert!(asleep <= limit.current * 0.9, "{}: {} mA asleep", builtin.name, asleep.milli());
        }
    }
}
