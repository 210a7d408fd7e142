//! Runs that are killed, and disks that are full: each test runs itself again as the process that comes to grief.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use fusetrail::log::store::{Store, StoreError, read_only};

use crate::world::{at, note, place, write_log};

/// Name of the variable that tells the second process its log.
const LOG: &str = "FUSETRAIL_TEST_LOG";

/// Runs one ignored test of this program in a shell.
fn again(test: &str, log: &Path, before: &str) -> Command {
    let mut command = Command::new("sh");
    let program = std::env::current_exe().expect("this program");
    command.arg("-c").arg(format!("{before} exec \"$0\" \"$@\"")).arg(program);
    command.args(["--exact", test, "--ignored", "--nocapture"]).env(LOG, log);
    command
}

fn told_log() -> Option<PathBuf> {
    std::env::var_os(LOG).map(PathBuf::from)
}

#[test]
#[ignore = "run by killed_at_any_moment_nothing_acknowledged_is_lost"]
fn writes_until_killed() {
    let Some(path) = told_log() else { return };
    let (mut store, found) = Store::open(&path).expect("the log");
    for number in found.entries.len() + 1.. {
        let entry = at(1, note(&format!("entry {number} {}", "x".repeat(number % 700))));
        println!("kept {}", store.append(std::slice::from_ref(&entry)).expect("appended"));
    }
}

#[test]
#[cfg(unix)]
fn killed_at_any_moment_nothing_acknowledged_is_lost() {
    let (_folder, path) = place();
    write_log(&path, &[]);
    for round in 0..12 {
        let mut run = again("crash::writes_until_killed", &path, "")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("a run");
        let mut lines = BufReader::new(run.stdout.take().expect("its output")).lines();
        let mut kept = Vec::new();
        for line in lines.by_ref().map_while(Result::ok) {
            kept.extend(line.rsplit_once("kept ").and_then(|(_, number)| number.parse::<usize>().ok()));
            if kept.len() > round * 3 {
                break;
            }
        }
        run.kill().expect("killed");
        for line in lines.map_while(Result::ok) {
            kept.extend(line.strip_prefix("kept ").and_then(|number| number.parse::<usize>().ok()));
        }
        run.wait().expect("ended");
        let last = *kept.last().expect("entries were acknowledged");
        let (_store, found) = Store::open(&path).expect("the lock went with the process");
        assert!(found.entries.len() >= last, "{last} were acknowledged, {} are there", found.entries.len());
        assert_eq!(found.edited, Vec::<usize>::new());
    }
}

#[test]
#[ignore = "run by when_no_room_is_left_the_log_stays_as_it_was"]
fn writes_until_full() {
    let Some(path) = told_log() else { return };
    let (mut store, _) = Store::open(&path).expect("the log");
    let before = fs::metadata(&path).expect("the log").len();
    let said = store.append(&[at(1, note(&"long ".repeat(2000)))]).expect_err("no room");
    assert!(matches!(said, StoreError::Full { .. }), "{said}");
    assert!(said.to_string().contains("nothing was added"), "{said}");
    assert_eq!(fs::metadata(&path).expect("the log").len(), before);
    store.append(&[at(1, note("short"))]).expect("what fits is still kept");
    println!("as it should be");
}

/// A limit on the size of files makes a write stop half-way, as a full disk does.
#[test]
#[cfg(unix)]
fn when_no_room_is_left_the_log_stays_as_it_was() {
    let (_folder, path) = place();
    write_log(&path, &[note("one")]);
    let run = again("crash::writes_until_full", &path, "trap '' XFSZ; ulimit -f 8;").output().expect("a run");
    let said = String::from_utf8_lossy(&run.stdout).into_owned() + &String::from_utf8_lossy(&run.stderr);
    assert!(said.contains("as it should be"), "{said}");
    let found = read_only(&path).expect("sound");
    assert_eq!((found.entries.len(), found.torn, found.edited), (3, None, vec![]));
}
