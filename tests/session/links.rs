//! Links, pipes, folders and files of somebody else in the way of the files beside a log: a log may come by mail, in a
//! folder that a stranger packed.
#![cfg(unix)]

use std::fs;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::Command;

use fusetrail::log::store::Store;

use crate::world::{at, first, note, place, write_log};

/// Opens the log, adds an entry and closes it again, within reason: what hangs here would hang for ever.
fn go_on(path: &Path) -> Option<PathBuf> {
    let path = path.to_owned();
    let (sender, done) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        let (mut store, found) = Store::open(&path).expect("goes on");
        store.append(&[at(1, note("after"))]).expect("appended");
        drop(store);
        let _ = sender.send(found.torn.and_then(|torn| torn.aside));
    });
    done.recv_timeout(std::time::Duration::from_secs(20)).expect("it does not hang")
}

fn make_fifo(path: &Path) {
    assert!(Command::new("mkfifo").arg(path).status().expect("mkfifo runs").success());
}

#[test]
fn a_torn_end_never_goes_through_a_link() {
    for exists in [true, false] {
        let (folder, path) = place();
        let (bytes, _) = write_log(&path, &[note("one")]);
        fs::write(&path, [&bytes, &b"alias ls=evil\n"[..]].concat()).expect("torn");
        let target = folder.path().join("startup");
        if exists {
            fs::write(&target, "mine\n").expect("written");
        }
        symlink(&target, path.with_extension("yaml.torn")).expect("a link");
        let aside = go_on(&path).expect("set aside");
        assert!(aside.to_string_lossy().ends_with(".torn-2"), "{}", aside.display());
        assert_eq!(fs::read(aside).expect("kept"), b"alias ls=evil\n");
        assert_eq!(fs::read_to_string(&target).ok(), exists.then(|| "mine\n".to_owned()));
    }
}

#[test]
fn whatever_has_the_name_of_the_note_stays_as_it_is() {
    let (folder, path) = place();
    write_log(&path, &[note("one")]);
    let note = path.with_extension("yaml.lock");
    let target = folder.path().join("mine");
    fs::write(&target, "pid: 1\nsince: mine\n").expect("written");

    symlink(&target, &note).expect("a link");
    assert_eq!(go_on(&path), None);
    assert!(fs::symlink_metadata(&note).expect("there").is_symlink());
    assert_eq!(fs::read_to_string(&target).expect("mine"), "pid: 1\nsince: mine\n");
    fs::remove_file(&note).expect("removed");

    for text in
        ["my shopping list", "pid: 7\n", "pid: 7\nsince: \"2026-11-02T07:40:00+01:00\"\nmore: mine\n", ""]
    {
        fs::write(&note, text).expect("written");
        go_on(&path);
        assert_eq!(fs::read_to_string(&note).expect("still there"), text);
    }
    fs::remove_file(&note).expect("removed");

    fs::create_dir(&note).expect("a folder");
    go_on(&path);
    assert!(note.is_dir());
    fs::remove_dir(&note).expect("removed");

    make_fifo(&note);
    go_on(&path);
    assert!(!fs::symlink_metadata(&note).expect("there").is_file());
}

#[test]
fn a_note_that_a_killed_run_left_is_replaced_and_goes_with_the_next_run() {
    let (_folder, path) = place();
    write_log(&path, &[note("one")]);
    let note = path.with_extension("yaml.lock");
    fs::write(&note, "pid: 999999\nsince: \"2026-11-02T07:40:00+01:00\"\n").expect("written");
    let (store, _) = Store::open(&path).expect("open");
    assert!(fs::read_to_string(&note).expect("noted").contains(&std::process::id().to_string()));
    drop(store);
    assert!(!note.exists());
}

#[test]
fn folders_and_pipes_in_the_way_of_a_torn_end_are_passed_by() {
    let (_folder, path) = place();
    let (bytes, _) = write_log(&path, &[note("one")]);
    fs::create_dir(path.with_extension("yaml.torn")).expect("a folder");
    make_fifo(&path.with_extension("yaml.torn-2"));
    fs::write(&path, [&bytes, &b"- at"[..]].concat()).expect("torn");
    assert!(go_on(&path).expect("set aside").to_string_lossy().ends_with(".torn-3"));
}

#[test]
fn a_log_is_never_begun_through_a_link() {
    let (folder, path) = place();
    symlink(folder.path().join("startup"), &path).expect("a link");
    Store::create(&path, &first()).expect_err("the name is taken");
    assert!(!folder.path().join("startup").exists());
    assert_eq!(fs::read_dir(folder.path()).expect("listed").count(), 1, "no draft is left");
}
