//! What is refused, with words that help.

use std::fs;
use std::path::Path;

use fusetrail::log::store::{Store, StoreError, read_only};

use crate::world::{at, first, note, place, write_log};

fn refused(path: &Path) -> String {
    let to_read = read_only(path).expect_err("refused").to_string();
    let to_write = Store::open(path).expect_err("refused").to_string();
    assert_eq!(to_read, to_write);
    to_read
}

#[test]
fn a_second_writer_is_told_who_holds_the_log_and_a_reader_is_let_in() {
    let (_folder, path) = place();
    let mut store = Store::create(&path, &first()).expect("created");
    let said = Store::open(&path).expect_err("held");
    assert!(matches!(said, StoreError::Held { .. }));
    let said = said.to_string();
    assert!(said.contains(&format!("process {}, since 20", std::process::id())), "{said}");
    assert_eq!(read_only(&path).expect("readable").entries.len(), 1);
    // Another name for the same file meets the same lock.
    #[cfg(unix)]
    {
        let other = path.with_file_name("other.hunt.yaml");
        fs::hard_link(&path, &other).expect("a link");
        assert!(matches!(Store::open(&other), Err(StoreError::Held { .. })));
        fs::remove_file(&other).expect("the link");
        std::os::unix::fs::symlink(&path, &other).expect("a link");
        assert!(matches!(Store::open(&other), Err(StoreError::Held { .. })));
        fs::remove_file(&other).expect("the link");
    }
    store.append(&[at(1, note("one"))]).expect("appended");
    drop(store);
    assert!(!path.with_extension("yaml.lock").exists());
    let (store, found) = Store::open(&path).expect("free again");
    assert_eq!((store.entries(), found.entries.len()), (2, 2));
}

#[test]
fn what_is_no_log_is_said_to_be_none() {
    let (folder, path) = place();
    let cases: [(&[u8], &str); 6] = [
        (b"", "it is empty"),
        (b"hello\n", "no line of its head"),
        (b"\x7fELF\0\0\xff", "no line of its head"),
        (b"format: fusetrail-map/1\n", "its format is \"fusetrail-map/1\""),
        (b"- at: \"x\"\n  entry: open\n  format: fusetrail-hunt/1\n", "no whole entry"),
        (b"- at: x\n  format: \x1b[2J\n", "\\u{1b}[2J"),
    ];
    for (bytes, why) in cases {
        fs::write(&path, bytes).expect("written");
        let said = refused(&path);
        assert!(said.contains("no session log") && said.contains(why), "{said}");
        assert_eq!(fs::read(&path).expect("the file"), bytes, "it is left alone");
        assert_eq!(fs::read_dir(folder.path()).expect("the folder").count(), 1, "nothing is put beside it");
    }
    assert!(refused(folder.path()).contains("is a folder"));
    assert!(refused(&folder.path().join("none.hunt.yaml")).contains("no such file"));
    #[cfg(target_os = "linux")]
    assert!(refused(Path::new("/dev/full")).contains("no plain file"));
}

#[test]
fn a_newer_format_is_named_whatever_else_it_holds() {
    let (_folder, path) = place();
    for text in [
        "- format: fusetrail-hunt/2\n  odd: [\n",
        "- at: now\n  entry: open\n  format: \"fusetrail-hunt/12\"\n",
    ] {
        fs::write(&path, text).expect("written");
        let said = refused(&path);
        assert!(said.contains("newer format fusetrail-hunt/") && said.contains("newer one"), "{said}");
    }
}

#[test]
fn a_file_over_the_cap_is_refused_unread_with_its_size() {
    let (_folder, path) = place();
    write_log(&path, &[]);
    let file = fs::OpenOptions::new().write(true).open(&path).expect("the log");
    file.set_len(fusetrail::log::contents::LARGEST + 1).expect("a sparse file");
    assert!(refused(&path).contains("8388609 bytes; a session log has at most 8388608"));
}

#[test]
fn an_entry_that_could_not_be_read_back_is_not_written() {
    let (_folder, path) = place();
    let mut store = Store::create(&path, &first()).expect("created");
    let before = fs::read(&path).expect("the log");
    let long = "x".repeat(fusetrail::base::caps::YAML_BYTES);
    assert!(matches!(store.append(&[at(1, note(&long))]), Err(StoreError::TooLarge { .. })));
    assert!(matches!(store.append(&[first()]), Err(StoreError::Entry(_))));
    assert_eq!(fs::read(&path).expect("the log"), before);
}

#[test]
fn a_log_is_never_begun_over_a_file_nor_without_its_first_entry() {
    let (folder, path) = place();
    fs::write(&path, "mine").expect("written");
    assert!(matches!(Store::create(&path, &first()), Err(StoreError::Exists { .. })));
    assert_eq!(fs::read_to_string(&path).expect("the file"), "mine");
    assert!(matches!(Store::create(folder.path(), &first()), Err(StoreError::Folder { .. })));
    let other = folder.path().join("missing/van.hunt.yaml");
    assert!(matches!(Store::create(&other, &first()), Err(StoreError::Missing { .. })));
    let other = folder.path().join("new.hunt.yaml");
    assert!(matches!(Store::create(&other, &at(0, note("one"))), Err(StoreError::Entry(_))));
    assert_eq!(fs::read_dir(folder.path()).expect("the folder").count(), 1, "nothing is left lying about");
}

#[test]
fn an_entry_never_goes_to_a_file_that_was_changed_or_deleted_meanwhile() {
    let (_folder, path) = place();
    write_log(&path, &[note("one")]);
    let (mut store, _) = Store::open(&path).expect("open");
    let bytes = fs::read(&path).expect("the log");
    fs::write(&path, [&bytes, &b"# mine\n"[..]].concat()).expect("edited");
    assert!(matches!(store.append(&[at(2, note("two"))]), Err(StoreError::Changed { .. })));
    fs::write(&path, &bytes).expect("put back");
    store.append(&[at(2, note("two"))]).expect("as it was");
    fs::remove_file(&path).expect("deleted");
    let said = store.append(&[at(3, note("three"))]).expect_err("deleted");
    assert!(matches!(said, StoreError::Changed { .. }), "{said}");
}
