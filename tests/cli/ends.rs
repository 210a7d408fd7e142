//! Whatever can be interrupted ends, whatever is piped in without end too, and what a system refuses is a fault.

use std::io::Write;
use std::os::unix::fs::FileTypeExt;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use crate::world::{Run, World, finish};

/// Sends a signal, such as `TERM`.
pub fn send(signal: &str, pid: u32) {
    let status = Command::new("kill").args([&format!("-{signal}"), &pid.to_string()]).status();
    assert!(status.expect("kill runs").success(), "nobody is there to hear {signal}");
}

/// Waits until the program listens to signals: before that they end it as the system has it.
pub fn until_listening(pid: u32) {
    wait_for("it to listen", || {
        let status = std::fs::read_to_string(format!("/proc/{pid}/status")).unwrap_or_default();
        let mask = status.lines().find_map(|line| line.strip_prefix("SigCgt:")).unwrap_or("0");
        u64::from_str_radix(mask.trim(), 16).expect("a mask") >> 14 & 1 == 1
    });
}

/// Waits until this is so, half a minute at most.
pub fn wait_for(what: &str, mut so: impl FnMut() -> bool) {
    let begun = Instant::now();
    while !so() {
        assert!(begun.elapsed() < Duration::from_secs(30), "waited for {what} in vain");
        thread::sleep(Duration::from_millis(10));
    }
}

/// Waits for the end, which must come by itself.
pub fn ends_soon(mut child: Child) -> Run {
    wait_for("the end", || child.try_wait().expect("a state").is_some());
    finish(child)
}

/// Returns a shell line to be run in the world; `$0` in it is the program under test.
fn in_shell(world: &World, line: &str) -> Command {
    let mut shell = Command::new("sh");
    shell.args(["-c", line]).arg(world.command().get_program()).current_dir(world.path(""));
    shell.stdout(Stdio::piped()).stderr(Stdio::piped());
    shell
}

/// Starts with an input that never ends, and returns how it ended and how many bytes it had taken by then.
pub fn with_endless_input(world: &World, arguments: &[&str], piece: &[u8]) -> (Run, usize) {
    let mut child = world.start(arguments);
    let mut stdin = child.stdin.take().expect("piped");
    let out = child.stdout.take().expect("piped");
    let talk = child.stderr.take().expect("piped");
    let read = |mut from: Box<dyn std::io::Read + Send>| {
        thread::spawn(move || {
            let mut text = String::new();
            from.read_to_string(&mut text).expect("read");
            text
        })
    };
    let (out, talk) = (read(Box::new(out)), read(Box::new(talk)));
    let begun = Instant::now();
    let mut written = 0;
    while begun.elapsed() < Duration::from_secs(60) && stdin.write_all(piece).is_ok() {
        written += piece.len();
    }
    let _ = child.kill();
    let code = child.wait().expect("gone").code();
    let run = Run { code, out: out.join().expect("read"), talk: talk.join().expect("read") };
    (run, written)
}

#[test]
fn whatever_opens_a_pipe_that_nobody_writes_to_ends_at_the_first_signal() {
    let world = World::new();
    assert!(Command::new("mkfifo").arg(world.path("pipe")).status().expect("mkfifo runs").success());
    assert!(std::fs::metadata(world.path("pipe")).expect("there").file_type().is_fifo());
    for (at, words) in [
        "watch --meter lines:pipe --to n.csv",
        "hunt x.hunt.yaml --clamp-from lines:pipe",
        "hunt x.hunt.yaml --answers pipe",
        "hunt x.hunt.yaml --map pipe",
        "settle -",
    ]
    .into_iter()
    .enumerate()
    {
        let mut child = world.start(&words.split(' ').collect::<Vec<_>>());
        let stdin = child.stdin.take();
        until_listening(child.id());
        send(["INT", "TERM", "HUP"][at % 3], child.id());
        let run = ends_soon(child);
        assert_eq!(run.code, Some(130), "{words}: {run:?}");
        drop(stdin);
    }
    assert!(!world.path("x.hunt.yaml").exists());
}

#[test]
fn a_program_that_can_write_no_further_ends_two_seconds_after_a_signal_or_at_the_second() {
    let world = World::new();
    for twice in [false, true] {
        let mut child = world.start(&["hunt", "x.hunt.yaml", "--practice", "3"]);
        let mut stdin = child.stdin.take().expect("piped");
        // Nobody reads its explanations, which soon fill the pipe.
        stdin.write_all("?\n".repeat(900).as_bytes()).expect("written");
        thread::sleep(Duration::from_secs(1));
        send("TERM", child.id());
        thread::sleep(Duration::from_millis(300));
        if twice {
            send("TERM", child.id());
        }
        let begun = Instant::now();
        wait_for("the end", || child.try_wait().expect("a state").is_some());
        let after = begun.elapsed();
        assert!(after < Duration::from_secs(10), "{after:?}");
        assert_eq!(child.wait().expect("ended").code(), Some(130));
        world.say("add x.hunt.yaml note whole").ends(0);
    }
}

#[test]
fn an_endless_input_of_answers_that_are_refused_ends_the_hunt() {
    let world = World::new();
    let (run, taken) = with_endless_input(&world, &["hunt", "x.hunt.yaml", "--practice", "3"], b"y\n");
    assert_eq!(run.code, Some(1), "{}", run.talk);
    assert!(run.talk.contains("is not accepted") && run.talk.contains("after 1000 tries"), "{}", run.talk);
    assert!(run.talk.contains("All that was accepted is kept"), "{}", run.talk);
    assert!(taken < 1 << 20, "it takes in what it asks for, not {taken} bytes");
}

#[test]
fn a_line_without_end_is_refused_with_the_longest_that_is_taken() {
    let world = World::new();
    let (run, taken) = with_endless_input(&world, &["hunt", "x.hunt.yaml", "--practice", "3"], &[b'a'; 4096]);
    assert_eq!(run.code, Some(1), "{}", run.talk);
    assert!(run.talk.contains("more than 65536 bytes"), "{}", run.talk);
    assert!(taken < 1 << 20, "{taken} bytes were taken");
}

/// No thread can have a stack of this size.
const NO_STACK: (&str, &str) = ("RUST_MIN_STACK", "70368744177664");

#[test]
fn where_no_thread_can_be_had_it_is_said_and_what_needs_none_works() {
    let world = World::new().with(NO_STACK.0, NO_STACK.1);
    for words in ["hunt x.hunt.yaml --practice 3", "watch --meter lines:- --to n.csv", "practice --score 2"] {
        let run = world.say(words).ends(1);
        assert!(run.talk.contains("gives no further thread") && run.talk.contains("what to do"), "{run:?}");
    }
    world.say("convert --family mini --rating 10 --drop 3.0mV").ends(0);
    let mut child = world.start(&["settle", "-"]);
    until_listening(child.id());
    send("TERM", child.id());
    wait_for("the end", || child.try_wait().expect("a state").is_some());
}

#[test]
fn a_limit_on_the_size_of_files_is_a_full_disk() {
    let world = World::new();
    let run = |line: &str| {
        let output = in_shell(&world, &format!("ulimit -f 1; exec \"$0\" {line}")).output().expect("it runs");
        (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
    };
    let (code, talk) = run("open x.hunt.yaml --map hatch");
    assert!(code == Some(1) && talk.contains("no room is left"), "{code:?} {talk}");
    assert!(!world.path("x.hunt.yaml").exists());
    world.say("open y.hunt.yaml --map hatch").ends(0);
    let (code, talk) = run("record y.hunt.yaml --to y.yaml");
    assert!(code == Some(1) && talk.contains("make room"), "{code:?} {talk}");
    let left: Vec<_> = std::fs::read_dir(world.path("")).expect("listed").flatten().collect();
    assert_eq!(left.len(), 1, "only the log is there: {left:?}");
}
