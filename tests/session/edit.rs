//! A later edit is reported by the number of the entry.

use std::fs;

use fusetrail::log::contents;
use fusetrail::log::store::{Store, StoreError, read_only};

use crate::world::{drop_of, note, place, total, write_log};

#[test]
fn an_edit_of_any_byte_of_an_old_entry_is_reported_with_its_number() {
    let (_folder, path) = place();
    let (bytes, ends) =
        write_log(&path, &[note("one"), drop_of("F12", "3.0mV"), total("482mA"), note("two")]);
    let seal = ends[2] - "  seal: \"0123456789abcdef0123456789abcdef\"\n".len();
    let mut reported = 0;
    for place in ends[1]..ends[2] {
        for other in [bytes[place] ^ 1, b' ', b'\n', b'#', b'0', 0x80, 0] {
            if other == bytes[place] {
                continue;
            }
            let mut edited = bytes.clone();
            edited[place] = other;
            fs::write(&path, &edited).expect("edited");
            match read_only(&path) {
                Ok(found) => {
                    assert_eq!(found.entries.len(), 5, "byte {place} made {other}");
                    // With its seal line in pieces, nobody can say whether the entry after it still follows.
                    let is_named = found.edited == [3] || place >= seal && found.edited == [3, 4];
                    assert!(is_named, "byte {place} made {other}: {:?}", found.edited);
                    reported += 1;
                }
                Err(StoreError::Damaged { entry, .. }) => assert_eq!(entry, 3, "byte {place} made {other}"),
                Err(other) => panic!("byte {place}: {other}"),
            }
        }
    }
    assert!(reported > 300, "most edits can still be read: {reported}");
}

#[test]
fn an_edit_of_any_byte_of_the_first_entry_is_reported_or_it_is_no_log() {
    let (_folder, path) = place();
    let (bytes, ends) = write_log(&path, &[note("one")]);
    for place in 0..ends[0] {
        let mut edited = bytes.clone();
        edited[place] ^= 1;
        fs::write(&path, &edited).expect("edited");
        match read_only(&path) {
            Ok(found) => assert_eq!(found.edited.first(), Some(&1), "byte {place}"),
            Err(
                StoreError::Damaged { entry: 1, .. } | StoreError::NotALog { .. } | StoreError::Newer { .. },
            ) => {}
            Err(other) => panic!("byte {place}: {other}"),
        }
    }
}

#[test]
fn an_entry_taken_out_put_in_or_swapped_is_reported_where_the_chain_breaks() {
    let (_folder, path) = place();
    let (bytes, ends) = write_log(&path, &[note("one"), note("two"), note("three"), note("four")]);
    let part = |entry: usize| &bytes[if entry == 1 { 0 } else { ends[entry - 2] }..ends[entry - 1]];
    let edited = |order: &[usize]| {
        fs::write(&path, order.iter().map(|entry| part(*entry)).collect::<Vec<_>>().concat())
            .expect("edited");
        read_only(&path).expect("readable").edited
    };
    assert_eq!(edited(&[1, 2, 3, 4, 5]), Vec::<usize>::new());
    assert_eq!(edited(&[1, 2, 4, 5]), [3]);
    assert_eq!(edited(&[1, 2, 2, 3, 4, 5]), [3]);
    assert_eq!(edited(&[1, 3, 2, 4, 5]), [2, 3, 4]);
}

#[test]
fn a_log_saved_with_other_line_ends_is_still_read_and_goes_on() {
    let (_folder, path) = place();
    let (bytes, _) = write_log(&path, &[note("one"), note("two")]);
    let text = String::from_utf8(bytes).expect("a text").replace('\n', "\r\n");
    fs::write(&path, text).expect("edited");
    let (mut store, found) = Store::open(&path).expect("readable");
    assert_eq!((found.entries.len(), found.torn), (3, None));
    assert_eq!(found.edited, [1, 2, 3]);
    store.append(&[crate::world::at(5, note("three"))]).expect("goes on");
    drop(store);
    assert_eq!(read_only(&path).expect("readable").edited, [1, 2, 3]);
}

#[test]
fn kinds_of_a_newer_version_are_kept_and_named_and_their_text_stays() {
    use fusetrail::log::entry::LogEvent;
    use fusetrail::log::seal;
    let (_folder, path) = place();
    let (bytes, _) = write_log(&path, &[]);
    let mut text =
        "- at: \"2027-01-01T00:00:00+00:00\"\n  entry: thermogram\n  frame: [1, {x: 2}]\n".to_owned();
    let last = String::from_utf8_lossy(&bytes).rsplit('"').nth(1).expect("a seal").to_owned();
    seal::close(&last, &mut text);
    fs::write(&path, [&bytes, text.as_bytes()].concat()).expect("written");
    let (mut store, found) = Store::open(&path).expect("readable");
    assert_eq!(found.entries[1].body, LogEvent::Unknown { kind: "thermogram".into() });
    assert_eq!(found.edited, Vec::<usize>::new());
    assert!(matches!(store.append(&[found.entries[1].clone()]), Err(StoreError::Entry(_))));
    store.append(&[crate::world::at(1, note("after"))]).expect("goes on");
    drop(store);
    assert!(fs::read_to_string(&path).expect("the log").contains("  frame: [1, {x: 2}]\n"));
    assert_eq!(read_only(&path).expect("sound").edited, Vec::<usize>::new());
}

/// Tells whether a look through the bytes finds anything wrong.
fn is_reported(bytes: &[u8]) -> bool {
    contents::inspect(bytes).map_or(true, |found| {
        found.torn > 0 || found.entries.iter().any(|entry| !entry.fits || entry.entry.is_err())
    })
}

/// Edits, removes and doubles each byte, and returns how many such logs were looked through.
fn change_every_byte(bytes: &[u8]) -> usize {
    assert!(!is_reported(bytes), "the log as it was");
    let mut tried = 0;
    let mut try_one = |place: usize, how: &str, changed: &[u8]| {
        assert!(changed == bytes || is_reported(changed), "byte {place} {how}: {:?}", bytes.get(place));
        tried += 1;
    };
    for (place, byte) in bytes.iter().enumerate() {
        let mut edited = bytes.to_vec();
        for other in [byte ^ 1, byte ^ 0x20, b' ', b'\r', b'\n', 0] {
            edited[place] = other;
            try_one(place, "edited", &edited);
        }
        try_one(place, "removed", &[&bytes[..place], &bytes[place + 1..]].concat());
        for more in [*byte, b'\r', b'\n', b' ', b'#'] {
            try_one(place, "put before", &[&bytes[..place], &[more], &bytes[place..]].concat());
        }
    }
    tried
}

#[test]
fn every_byte_of_a_log_edited_removed_or_doubled_is_reported() {
    let (_folder, path) = place();
    let (bytes, _) = write_log(&path, &[note("one: \"1\""), drop_of("F12", "3.0mV"), total("482mA")]);
    let tried = change_every_byte(&bytes);
    println!("{tried} changed logs, all reported");
}

#[test]
#[ignore = "takes minutes: the same with whole hunts"]
fn every_byte_of_whole_hunts_edited_removed_or_doubled_is_reported() {
    for name in ["practice", "lid", "hand"] {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/logs/").to_owned() + name + ".hunt.yaml";
        let tried = change_every_byte(&fs::read(path).expect("an old log"));
        println!("{name}: {tried} changed logs, all reported");
    }
}
