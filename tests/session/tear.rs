//! What an interrupted write leaves behind, and what readers see meanwhile.

use std::fs;

use fusetrail::log::store::{Store, read_only};

use crate::world::{at, drop_of, every_kind, note, place, write_log};

#[test]
fn cut_at_any_byte_of_the_last_two_entries_all_earlier_ones_survive_and_the_log_goes_on() {
    let (_folder, path) = place();
    let (bytes, ends) = write_log(&path, &[drop_of("F12", "3.0mV"), note("one"), note("two: \"3\"")]);
    let whole = read_only(&path).expect("sound").entries;
    let aside = path.with_extension("yaml.torn");
    for cut in ends[1]..bytes.len() {
        fs::write(&path, &bytes[..cut]).expect("cut");
        let _ = fs::remove_file(&aside);
        let finished = ends.iter().filter(|end| **end <= cut).count();
        let tail = &bytes[ends[finished - 1]..cut];

        let looked_at = read_only(&path).expect("readable");
        assert_eq!(looked_at.entries, whole[..finished], "cut at {cut}");
        assert_eq!(looked_at.torn.map(|torn| torn.bytes), (!tail.is_empty()).then_some(tail.len()));
        assert_eq!(fs::read(&path).expect("the log"), &bytes[..cut], "looking changes nothing");

        let (mut store, found) = Store::open(&path).expect("goes on");
        assert_eq!(found.entries, whole[..finished]);
        assert_eq!(found.edited, Vec::<usize>::new());
        if tail.is_empty() {
            assert!(found.torn.is_none() && !aside.exists());
        } else {
            let torn = found.torn.expect("a tail");
            assert_eq!(fs::read(torn.aside.expect("set aside")).expect("the tail"), tail);
        }
        assert_eq!(store.append(&[at(9, note("after"))]).expect("goes on"), finished + 1);
        drop(store);
        let after = read_only(&path).expect("sound");
        assert_eq!((after.entries.len(), after.torn, after.edited), (finished + 1, None, vec![]));
    }
}

#[test]
fn each_torn_end_goes_to_a_file_of_its_own_and_none_is_written_over() {
    let (_folder, path) = place();
    let (bytes, _) = write_log(&path, &[note("one")]);
    let tails = [&b"- at: \"2026"[..], &[0; 512], b"\xff\xfe"];
    for (tail, name) in tails.iter().zip([".torn", ".torn-2", ".torn-3"]) {
        fs::write(&path, [&bytes, *tail].concat()).expect("torn");
        let (store, found) = Store::open(&path).expect("goes on");
        let torn = found.torn.expect("a tail");
        assert_eq!(torn.bytes, tail.len());
        assert!(torn.aside.expect("set aside").to_string_lossy().ends_with(&format!(".yaml{name}")));
        drop(store);
        assert_eq!(fs::read(&path).expect("the log"), bytes);
    }
    for (tail, name) in tails.iter().zip(["yaml.torn", "yaml.torn-2", "yaml.torn-3"]) {
        assert_eq!(fs::read(path.with_extension(name)).expect("set aside"), *tail);
    }
}

#[test]
fn a_reader_never_sees_half_an_entry_nor_a_log_that_shrinks() {
    let (_folder, path) = place();
    let (_, _) = write_log(&path, &[]);
    let kinds = every_kind();
    std::thread::scope(|scope| {
        let writer = scope.spawn(|| {
            let (mut store, _) = Store::open(&path).expect("to write");
            for body in kinds.iter().cycle().take(150) {
                store.append(&[at(1, body.clone())]).expect("appended");
            }
        });
        let mut last = 1;
        while !writer.is_finished() {
            let seen = read_only(&path).expect("readable at any time");
            assert!(seen.entries.len() >= last, "{} after {last}", seen.entries.len());
            assert_eq!((seen.torn, seen.edited), (None, vec![]));
            last = seen.entries.len();
            for (entry, body) in seen.entries.iter().skip(1).zip(kinds.iter().cycle()) {
                assert_eq!(entry.body, *body);
            }
        }
    });
    assert_eq!(read_only(&path).expect("sound").entries.len(), 151);
}
