//! Live meters: `watch` writes down what they show, and a hunt takes its readings from them.

use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::process::Command;
use std::thread;
use std::time::Duration;

use crate::ends::{ends_soon, wait_for, with_endless_input};
use crate::world::{World, finish};

/// A meter on loopback that answers so often on each of its lines, then hangs up; after as many lines it is off.
pub fn meter(answers: usize, lines: usize) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let address = listener.local_addr().expect("an address");
    thread::spawn(move || {
        for stream in listener.incoming().take(lines) {
            let stream = stream.expect("a line");
            thread::spawn(move || answer(&stream, answers));
        }
    });
    format!("scpi://{address}")
}

fn answer(mut stream: &TcpStream, times: usize) {
    let questions = BufReader::new(stream.try_clone().expect("a second handle")).lines();
    for (count, question) in questions.take(times).enumerate() {
        let Ok(question) = question else { return };
        let shown: &[u8] = match question.as_str() {
            "MEAS:CURR:DC?" if count == 1 => b"+9.90000000E+37\n",
            "MEAS:CURR:DC?" => b"+6.00000000E-02\n",
            "MEAS:VOLT:DC?" => b"+1.00000000E-04\n",
            _ => b"\n",
        };
        if stream.write_all(shown).is_err() {
            return;
        }
    }
}

/// Answers up to the trail, for a hunt with live meters.
pub const ANSWERS: &str = "\
battery.volts: 12.6 V
battery.test: good
charging.known: good
hook-up.method: clamp
hook-up.temperature: 18 C
settle.wait: skip no time for it
total.volts: 12.6 V
trail.reading: ['', quit]
'caution.*': 'yes'
'*': ''
";

#[test]
fn lines_are_written_down_with_overload_and_garbage_counted() {
    let world = World::new();
    let meter = "watch --meter lines:-,A --to night.csv --format json";
    let words: Vec<&str> = meter.split(' ').collect();
    let mut child = world.start(&words);
    for line in ["0.482\n", "OL\n", "ready\n", "+2.51E-02\n", "9.9E37\n", "12 V\n"] {
        child.stdin.as_mut().expect("piped").write_all(line.as_bytes()).expect("written");
        // Samples that come together are not all kept.
        thread::sleep(Duration::from_millis(200));
    }
    drop(child.stdin.take());
    let run = finish(child).ends(0);
    let json = run.json();
    assert_eq!((json["samples"].as_u64(), json["overloads"].as_u64()), (Some(2), Some(2)));
    assert!(json["unreadable"].as_u64() >= Some(2), "{json}");
    world.run_with(&words, "25 mA\n").ends(0);
    let text = world.read("night.csv");
    let cells: Vec<&str> = text.lines().filter_map(|line| line.split_once(',')).map(|pair| pair.1).collect();
    assert_eq!(cells, ["current (mA)", "482", "OL", "25.1", "OL", "25"]);
    let settle = world.say("settle night.csv --format json").ends(1).json();
    assert_eq!((settle["samples"].as_u64(), settle["skipped"].as_u64()), (Some(3), Some(2)));
    world.write("other.csv", "a,b\n1,2\n");
    let refused = world.run_with(&["watch", "--meter", "lines:-", "--to", "other.csv"], "1\n").ends(1);
    assert!(refused.talk.contains("no log of watch"), "{refused:?}");
    assert_eq!(world.read("other.csv"), "a,b\n1,2\n");
}

#[test]
fn a_meter_that_hangs_up_is_said_and_taken_up_again() {
    let world = World::new();
    let meter = meter(3, 3);
    let run = world.run(&["watch", "--meter", &meter, "--to", "n.csv", "--for", "6s"]).ends(0);
    assert!(run.talk.contains("the meter is gone") && run.talk.contains("is back"), "{run:?}");
    let rows = world.read("n.csv").lines().filter(|line| line.ends_with(",60.000000")).count();
    assert!((4..=6).contains(&rows), "{rows} of two or three lines: {}", world.read("n.csv"));
}

#[test]
fn an_interrupted_watch_keeps_its_lines() {
    let world = World::new();
    let meter = meter(1000, 1);
    let child = world.start(&["watch", "--meter", &meter, "--to", "n.csv"]);
    while std::fs::read_to_string(world.path("n.csv")).unwrap_or_default().lines().count() < 3 {
        thread::sleep(Duration::from_millis(50));
    }
    // While it grows it can be read.
    let json = world.say("settle n.csv --format json").ends(1).json();
    assert!(json["samples"].as_u64() >= Some(1), "{json}");
    Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill runs");
    let run = finish(child).ends(130);
    assert!(run.out.contains("interrupted") && run.out.contains("n.csv"), "{run:?}");
}

#[test]
fn readings_of_a_hunt_come_from_the_meters_and_stand_in_the_log() {
    let world = World::new();
    world.write("answers.yaml", ANSWERS);
    let (volts, clamp) = (meter(1000, 1), meter(1000, 1));
    let line = ["hunt", "x.hunt.yaml", "--map", "hatch", "--answers", "answers.yaml", "--meter-from", &volts];
    let run = world.run(&[&line[..], &["--clamp-from", &clamp]].concat()).ends(0);
    let log = world.read("x.hunt.yaml");
    assert!(
        log.contains("entry: total") && log.contains("60 mA") && log.contains("value: 0.06,"),
        "{run:?}\n{log}"
    );
    assert!(log.contains("entry: zero") && log.contains("0.1 mV"), "{log}");
    assert!(run.out.contains("The meter shows 60 mA, steady."), "{run:?}");
}

#[test]
fn a_meter_unplugged_in_the_middle_is_said_and_typing_goes_on() {
    let world = World::new();
    world.write(
        "answers.yaml",
        &format!("'*zero*': skip no meter for it\ntotal.reading: ['', 62 mA]\n{ANSWERS}"),
    );
    let clamp = meter(1, 1);
    let line = ["hunt", "x.hunt.yaml", "--map", "hatch", "--answers", "answers.yaml", "--clamp-from", &clamp];
    let run = world.run(&line);
    let said = "No reading from the meter: the meter is gone";
    assert!((run.out.clone() + &run.talk).contains(said), "{run:?}");
    assert!(world.read("x.hunt.yaml").contains("62 mA"), "{run:?}");
}

#[test]
fn a_meter_that_is_not_there_or_not_named_is_refused_before_anything_is_written() {
    let world = World::new();
    for (words, code, said) in [
        ("hunt x.hunt.yaml --meter-from scpi://127.0.0.1:1", 1, "scpi://127.0.0.1:1"),
        ("hunt x.hunt.yaml --meter-from usb", 2, "serial:PATH@BAUD"),
        ("hunt x.hunt.yaml --clamp-from lines:-", 2, "--answers"),
        ("hunt x.hunt.yaml --practice 1 --meter-from lines:x", 2, "cannot be used with"),
        ("watch --meter serial:/dev/no-such@9600 --to n.csv", 1, "serial:/dev/no-such"),
        ("watch --meter lines:no-such --to n.csv", 1, "no-such"),
        ("watch --meter lines:- --to n.csv --for never", 2, "--for"),
    ] {
        let run = world.say(words).ends(code);
        assert!(run.talk.replace("\n  ", " ").contains(said), "{words}: {run:?}");
        assert!(!world.path("x.hunt.yaml").exists(), "{words}");
    }
}

#[test]
fn a_watch_that_is_killed_loses_nothing_it_has_written_and_is_gone_on_with() {
    let world = World::new();
    let meter = meter(1000, 2);
    let mut child = world.start(&["watch", "--meter", &meter, "--to", "n.csv"]);
    while std::fs::read_to_string(world.path("n.csv")).unwrap_or_default().lines().count() < 4 {
        thread::sleep(Duration::from_millis(50));
    }
    child.kill().expect("killed");
    child.wait().expect("ended");
    let before = world.read("n.csv");
    assert!(before.ends_with('\n'), "lines are written whole: {before}");
    world.run(&["watch", "--meter", &meter, "--to", "n.csv", "--for", "2s"]).ends(0);
    let after = world.read("n.csv");
    assert!(after.starts_with(&before) && after.len() > before.len(), "{after}");
    let json = world.say("settle n.csv --format json").ends(1).json();
    // One row in each run has the overload mark.
    assert_eq!(json["skipped"].as_u64(), Some(2), "{after}");
}

#[test]
fn two_watches_do_not_write_one_file() {
    let world = World::new();
    let mut first = world.start(&["watch", "--meter", "lines:-", "--to", "n.csv"]);
    first.stdin.as_mut().expect("piped").write_all(b"25 mA\n").expect("written");
    wait_for("a line", || {
        std::fs::read_to_string(world.path("n.csv")).is_ok_and(|text| text.contains(",25"))
    });
    let before = world.read("n.csv");
    let second = world.run_with(&["watch", "--meter", "lines:-", "--to", "n.csv"], "480 mA\n").ends(75);
    assert!(second.talk.contains("n.csv") && second.talk.contains("another watch"), "{second:?}");
    assert_eq!(world.read("n.csv"), before);
    drop(first.stdin.take());
    ends_soon(first).ends(0);
    world.run_with(&["watch", "--meter", "lines:-", "--to", "n.csv"], "480 mA\n").ends(0);
}

#[test]
fn a_fast_meter_is_kept_ten_times_a_second_and_the_rest_is_counted() {
    let world = World::new();
    let words = ["watch", "--meter", "lines:-", "--to", "n.csv", "--for", "2s", "--format", "json"];
    let (run, _) = with_endless_input(&world, &words, "25 mA\n".repeat(500).as_bytes());
    let json = run.ends(0).json();
    let (kept, between) =
        (json["samples"].as_u64().expect("kept"), json["between"].as_u64().expect("between"));
    assert!((1..=25).contains(&kept) && between > 1000, "{json}");
    assert_eq!(world.read("n.csv").lines().count() as u64, kept + 1);
}

#[test]
fn times_of_a_watch_that_make_no_sense_are_refused_with_those_that_do() {
    let world = World::new();
    for (option, time, range) in [
        ("--every", "1e308", "60 µs to ten years"),
        ("--every", "1e-9s", "60 µs to ten years"),
        ("--every", "2h", "0.01 s to 1 h"),
        ("--for", "1e6 min", "1 s to 31 days"),
        ("--for", "0.1s", "1 s to 31 days"),
    ] {
        let run = world.run(&["watch", "--meter", "lines:-", "--to", "n.csv", option, time]).ends(2);
        assert!(run.talk.contains(time) && run.talk.contains(range), "{option} {time}: {run:?}");
    }
    assert!(!world.path("n.csv").exists());
}
