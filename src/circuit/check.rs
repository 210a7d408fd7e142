//! Text of a circuit map to the checked map: every diagnostic at once, each with file, line and field; warnings apart.
//! Leaves to others: faults of shape (`parse`), of reference (`resolve`), doubtful but possible things (`lint`).

use schemars::JsonSchema;
use serde::Serialize;

use super::lint::warn;
use super::loads::Catalogue;
use super::map::Map;
use super::parse::read_map;
use super::resolve::resolve;
use super::schema::MapSchema;
use super::spotted::{Spotted, SpottedKey, field};
use crate::base::caps::FILE_BYTES;
use crate::base::diagnostic::{Diagnostic, Faults, Location};
use crate::base::yaml::{self, Node};

/// Most text that is walked to find lines, in bytes: each diagnostic costs one walk through the file. Diagnostics beyond
/// that, in a large file with very many of them, are reported without a line.
const WALKED: usize = 4 * 1024 * 1024;

/// What a check found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Checked {
    /// The map, if there is no problem.
    pub map: Option<Map>,
    /// What makes it unusable, by line.
    pub problems: Vec<Diagnostic>,
    /// What is doubtful or was guessed, by line.
    pub warnings: Vec<Diagnostic>,
}

/// The JSON shape of a check.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Report {
    /// True if there is no problem.
    pub ok: bool,
    /// What makes the map unusable.
    pub problems: Vec<Remark>,
    /// What is doubtful or was guessed.
    pub warnings: Vec<Remark>,
}

/// One problem or warning in the JSON shape.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Remark {
    /// Line, from 1; null where none can be told.
    pub line: Option<usize>,
    /// Field, such as `feeds[3].fuse.rating_a`, items counted from 0; empty for the whole document.
    pub field: String,
    /// What is wrong, what was expected, what to do.
    pub what: String,
}

impl Checked {
    /// Returns the JSON shape.
    pub fn report(&self) -> Report {
        let remarks = |faults: &[Diagnostic]| faults.iter().map(remark).collect();
        Report {
            ok: self.problems.is_empty(),
            problems: remarks(&self.problems),
            warnings: remarks(&self.warnings),
        }
    }
}

fn remark(fault: &Diagnostic) -> Remark {
    let bare = Diagnostic { place: Location::default(), ..fault.clone() };
    Remark {
        line: fault.place.line,
        field: fault.place.field.clone().unwrap_or_default(),
        what: bare.to_string(),
    }
}

/// Checks a map against the built-in load catalogue.
///
/// # Errors
/// Every diagnostic found: not YAML (then only that), another format, unknown, doubled or missing keys, wrong types,
/// numbers that are negative or not finite, doubled names, unknown parents, boxes, wake groups, families, kinds,
/// guards, and feeds that feed themselves.
pub fn check(file: &str, text: &str) -> Result<(Map, Vec<Diagnostic>), Faults> {
    let checked = examine(file, text, Catalogue::builtin());
    match checked.map {
        Some(map) => Ok((map, checked.warnings)),
        None => Err(Faults(checked.problems)),
    }
}

/// Checks a map and returns diagnostics and warnings together, with the map if it is sound.
pub fn examine(file: &str, text: &str, catalogue: &Catalogue) -> Checked {
    let node: Node = match read(text) {
        Ok(node) => node,
        Err(fault) => {
            return Checked { problems: vec![fault.in_file(file)], ..Checked::default() };
        }
    };
    let (mut found, mut doubts) = (SpottedKey::default(), SpottedKey::default());
    let written = read_map(&node, &mut found);
    let map = (!found.too_large).then(|| resolve(&written, catalogue, &mut found, &mut doubts));
    if let (true, Some(map)) = (found.is_empty(), &map) {
        warn(map, &written, &mut doubts);
    }
    let mut walk = FeedWalk { file, text, left: WALKED };
    let problems = walk.place(found, "faults");
    let warnings = walk.place(doubts, "remarks");
    Checked { map: map.filter(|_| problems.is_empty()), problems, warnings }
}

/// Checks a map that was made rather than read; diagnostics have fields but no lines.
///
/// # Errors
/// Every fault of reference, as [`check`].
pub(super) fn check_written(written: &MapSchema) -> Result<(Map, Vec<Diagnostic>), Faults> {
    let (mut found, mut doubts) = (SpottedKey::default(), SpottedKey::default());
    let map = resolve(written, Catalogue::builtin(), &mut found, &mut doubts);
    if found.is_empty() {
        warn(&map, written, &mut doubts);
    }
    let faults = |found: SpottedKey, what: &str| {
        let place = |spotted: Spotted| spotted.fault.in_field(field(&spotted.way));
        let rest = untold(found.more, what);
        found.told.into_iter().map(place).chain(rest).collect::<Vec<Diagnostic>>()
    };
    if found.is_empty() { Ok((map, faults(doubts, "remarks"))) } else { Err(Faults(faults(found, "faults"))) }
}

fn read(text: &str) -> Result<Node, Diagnostic> {
    if text.len() > FILE_BYTES {
        return Err(Diagnostic::new(format!("the map has {} bytes", text.len()))
            .expected(format!("at most {FILE_BYTES}"))
            .remedy("is this the right file?"));
    }
    let bare = text.trim_start_matches('\u{feff}');
    if bare.lines().all(|line| line.trim().is_empty() || line.trim_start().starts_with('#')) {
        return Err(
            Diagnostic::new("there is nothing in it").expected("a circuit map, format fusetrail-map/1")
        );
    }
    yaml::read(text)
}

/// Says how many there are besides those that are told.
fn untold(more: usize, what: &str) -> Option<Diagnostic> {
    let fault =
        || Diagnostic::new(format!("{more} further {what} are not listed")).remedy("see to these first");
    (more > 0).then(fault)
}

/// Gives diagnostics their places.
struct FeedWalk<'t> {
    file: &'t str,
    text: &'t str,
    left: usize,
}

impl FeedWalk<'_> {
    /// Looks up the lines and sorts by them.
    fn place(&mut self, found: SpottedKey, what: &str) -> Vec<Diagnostic> {
        let rest = untold(found.more, what).map(|fault| fault.in_file(self.file));
        let mut faults: Vec<Diagnostic> =
            found.told.into_iter().map(|spotted| self.place_one(spotted)).collect();
        faults.sort_by_key(|fault| fault.place.line.unwrap_or(usize::MAX));
        faults.extend(rest);
        faults
    }

    fn place_one(&mut self, spotted: Spotted) -> Diagnostic {
        let Spotted { way, fault } = spotted;
        let fault = fault.in_file(self.file);
        let fault = if way.is_empty() { fault } else { fault.in_field(field(&way)) };
        let Some(left) = self.left.checked_sub(self.text.len()) else { return fault };
        self.left = left;
        match yaml::line_of(self.text, &way) {
            Some(line) => fault.on_line(line),
            None => fault,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Lines and fields of the problems.
    fn problems(text: &str) -> Vec<(usize, String)> {
        let checked = examine("x.yaml", text, Catalogue::builtin());
        assert_eq!(checked.map.is_none(), !checked.problems.is_empty());
        let place = |fault: &Diagnostic| {
            (fault.place.line.unwrap_or(0), fault.place.field.clone().unwrap_or_default())
        };
        checked.problems.iter().map(place).collect()
    }

    fn due(list: &[(usize, &str)]) -> Vec<(usize, String)> {
        list.iter().map(|(line, field)| (*line, (*field).to_owned())).collect()
    }

    #[test]
    fn a_cycle_and_three_other_faults_are_all_reported_in_block_style() {
        let text = include_str!("../../tests/data/map-four-faults-block.yaml");
        let places = [
            (8, "feeds[0].from"),
            (21, "feeds[2].fuse.rating_a"),
            (22, "feeds[3].id"),
            (27, "feeds[3].fuse.family"),
        ];
        assert_eq!(problems(text), due(&places));
    }

    #[test]
    fn a_cycle_and_three_other_faults_are_all_reported_in_flow_style() {
        let text = include_str!("../../tests/data/map-four-faults-flow.yaml");
        let places = [
            (5, "feeds[0].from"),
            (8, "feeds[2].fuse.rating_a"),
            (9, "feeds[3].id"),
            (10, "feeds[3].fuse.family"),
        ];
        assert_eq!(problems(text), due(&places));
    }

    #[test]
    fn every_reference_that_leads_nowhere_is_reported() {
        let text = include_str!("../../tests/data/map-unknown-names.yaml");
        let places = [
            (4, "class"),
            (9, "feeds[0].from"),
            (10, "feeds[0].box"),
            (12, "feeds[0].probe"),
            (13, "feeds[0].guard"),
            (15, "feeds[0].loads[0].kind"),
            (16, "feeds[0].loads[0].wake_group"),
            (17, "feeds[0].loads[0].also_from[0]"),
            (18, "feeds[0].loads[0].also_from[1]"),
            (20, "unfused[0].from"),
            (21, "unfused[1].name"),
        ];
        assert_eq!(problems(text), due(&places));
    }

    #[test]
    fn every_fault_of_shape_is_reported() {
        let text = include_str!("../../tests/data/map-bad-shape.yaml");
        let places = [
            (1, "format"),
            (2, "system_v"),
            (3, "limit_ma"),
            (4, "limit_ma"),
            (5, "colour"),
            (6, "boxes.a.reach_min"),
            (7, "feeds[0]"),
            (8, "feeds[1].id"),
            (8, "feeds[1].from"),
            (8, "feeds[1].fuse.rating_a"),
            (9, "feeds[2].fuse"),
            (9, "feeds[2].loads"),
            (10, "unfused[0].source"),
        ];
        let mut found = problems(text);
        // The title is missing: that has the line of the whole.
        found.retain(|(_, field)| field != "title");
        found.sort();
        let mut due = due(&places);
        due.sort();
        assert_eq!(found, due);
    }

    #[test]
    fn numbers_that_are_not_finite_are_refused_in_every_field() {
        for bad in [".nan", ".inf", "-.inf", "-1", "1e999", "\"5\"", "[1]", "yes"] {
            let text = format!(
                "format: fusetrail-map/1\ntitle: t\nsystem_v: {bad}\nlimit_ma: {bad}\nsleep_after_min: {bad}\nboxes: {{b: {{reach_min: {bad}}}}}\nfeeds:\n- {{id: F1, from: battery, box: b, fuse: {{family: mini, rating_a: {bad}, r_mohm: {bad}}}, loads: [{{name: radio, asleep_ma: {bad}, awake_ma: {bad}, sleeps_after_min: {bad}}}]}}\n"
            );
            assert_eq!(problems(&text).len(), 9, "{bad}: {:?}", problems(&text));
        }
    }

    #[test]
    fn what_is_no_map_at_all_is_one_problem() {
        for text in ["", "# nothing\n", "[1, 2]", "a: [", "\t", "--- 1\n--- 2\n", "&a [*a]"] {
            assert!(!problems(text).is_empty(), "{text:?}");
        }
    }

    #[test]
    fn a_map_larger_or_deeper_than_any_vehicle_is_refused() {
        let map = |count: usize, from: &dyn Fn(usize) -> String| {
            let feed =
                |i| format!("- {{id: F{i}, from: {}, fuse: {{family: mini, rating_a: 10}}}}\n", from(i));
            let feeds: String = (0..count).map(feed).collect();
            format!("format: fusetrail-map/1\ntitle: t\nfeeds:\n{feeds}")
        };
        let chain = |i: usize| if i == 0 { "battery".to_owned() } else { format!("F{}", i - 1) };
        assert_eq!(problems(&map(32, &chain)), []);
        assert_eq!(problems(&map(40, &chain)), due(&[(36, "feeds[32].from")]));
        assert_eq!(problems(&map(2001, &|_| "battery".to_owned())), due(&[(3, "feeds")]));
    }

    #[test]
    fn the_json_shape_holds_line_field_and_what() {
        let checked =
            examine("x.yaml", "format: fusetrail-map/1\ntitle: t\nfeeds: 5\n", Catalogue::builtin());
        let json = serde_json::to_string(&checked.report()).expect("JSON");
        assert_eq!(
            json,
            r#"{"ok":false,"problems":[{"line":3,"field":"feeds","what":"feeds is 5; expected a list"}],"warnings":[]}"#
        );
    }

    proptest! {
        #[test]
        fn no_text_makes_the_checker_panic(text in "(?s).{0,200}|[-ab:{}\\[\\],#&*!|>'\"% \n\t.~?]{0,60}") {
            let _ = problems(&text);
        }

        #[test]
        fn no_damage_to_a_map_makes_the_checker_panic(
            at in 0.0..1.0_f64, cut in 0_usize..40, put in "[-!a-z0-9:{}\\[\\],#&*!|>'\" \n\t.~]{0,12}", map in 0_usize..6,
        ) {
            let maps = crate::circuit::builtin::MAPS;
            let text = maps[map % maps.len()].text;
            let floor = |mut at: usize| { while !text.is_char_boundary(at) { at -= 1; } at };
            let from = floor((at * text.len() as f64) as usize);
            let to = floor((from + cut).min(text.len()));
            let broken = format!("{}{put}{}", &text[..from], &text[to..]);
            for (line, _) in problems(&broken) {
                prop_assert!(line <= broken.lines().count() + 1);
            }
        }
    }
}
