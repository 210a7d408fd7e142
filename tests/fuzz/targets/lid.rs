//! Lines of a fuse-box lid, added to a blank map one by one. Checks: a line that is refused leaves the map as it was;
//! a map that grew reads back as it was; the entry of such a line makes the same map.
#![no_main]

use fusetrail::circuit::builtin;
use fusetrail::log::entry::{Entry, LogEvent};
use fusetrail::log::replay::fold;
use fusetrail_fuzz::{assert_all_said, assert_comes_back, assert_said, now, opened};
use libfuzzer_sys::fuzz_target;

/// Most lines that are added: each is checked with the whole map.
const LINES: usize = 24;

fuzz_target!(|text: &str| {
    let blank = builtin::map("blank").expect("built in");
    let mut entries = vec![opened(&blank)];
    let mut map = blank;
    for line in text.lines().take(LINES) {
        // A tab parts the box from the line.
        let (place, line) = match line.split_once('\t') {
            Some((place, line)) => (Some(place), line),
            None => (None, line),
        };
        let before = map.clone();
        match map.add_feed(place, line) {
            Ok(added) => {
                assert!(added.feeds.iter().all(|id| map.feeds.iter().any(|feed| feed.id == *id)));
                added.guesses.iter().for_each(assert_said);
                let body = LogEvent::Feed { place: place.map(str::to_owned), line: line.to_owned() };
                entries.push(Entry::new(now(), body));
            }
            Err(faults) => {
                assert_all_said(&faults);
                assert_eq!(map, before, "a refused line changed the map");
            }
        }
    }
    assert_comes_back(&map);
    let case = fold(&entries).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(case.map, map);
});
