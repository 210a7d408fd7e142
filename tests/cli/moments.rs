//! A practice hunt at a terminal, ended at random moments by Ctrl-C's signal, a request to end, a hang-up or a closed
//! window: it is gone within two seconds, the terminal is as it was, the log is whole and free.

use std::io::Write;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use expectrl::Expect;

use crate::ends::{send, until_listening, wait_for};
use crate::pty::{Session, assert_sane, at_terminal, end_of, leave_in_the_wait, with_modes};
use crate::world::{START, World};

/// Time to end: two seconds, and one for a machine that is busy.
const LIMIT: Duration = Duration::from_secs(3);

/// Ways to end a hunt.
const WAYS: [&str; 5] = ["INT", "TERM", "HUP", "closed", "closed, hang-up ignored"];

/// The line that starts a practice hunt and notes its process.
fn hunt(log: &str) -> String {
    format!("sh -c 'echo $$ > pid; exec fusetrail hunt {log} --practice 3 --at-start {START}'")
}

/// A terminal with a hunt in it.
enum Host {
    /// One that stays, which notes its modes before and after.
    Stays(Session),
    /// A window that can be closed: once its program is killed, nobody holds the terminal.
    Window(Child),
}

impl Host {
    fn new(world: &World, way: &str) -> Self {
        if !way.starts_with("closed") {
            return Self::Stays(at_terminal(world, 80, &with_modes(&hunt("x.hunt.yaml"))));
        }
        let trap = if way.ends_with("ignored") { "trap '' HUP; " } else { "" };
        let program = world.command().get_program().to_string_lossy().into_owned();
        let line = format!("{trap}exec {}", hunt("x.hunt.yaml").replace("fusetrail", &program));
        let mut window = Command::new("script");
        window.args(["-qfc", &line, "screen"]).current_dir(world.path("")).env("TERM", "xterm");
        window.env("SHELL", "/bin/sh").env("TZ", "UTC").env("LANG", "C.UTF-8").env_remove("COLUMNS");
        Self::Window(window.stdin(Stdio::piped()).stdout(Stdio::null()).spawn().expect("script starts"))
    }

    fn press_enter(&mut self) {
        match self {
            Self::Stays(session) => {
                session.send("\r").expect("sent");
                session.check("this is never said").expect("read");
            }
            Self::Window(window) => {
                window.stdin.as_mut().expect("piped").write_all(b"\r").expect("sent");
            }
        }
        thread::sleep(Duration::from_millis(15));
    }

    /// Ends the hunt in one way and returns the time that it took.
    fn end(self, world: &World, pid: u32, way: &str) -> Duration {
        let begun = Instant::now();
        match self {
            Self::Stays(mut session) => {
                send(way, pid);
                assert_sane(world, &end_of(&mut session));
            }
            Self::Window(mut window) => {
                window.kill().expect("killed");
                window.wait().expect("gone");
            }
        }
        wait_for("its end", || is_gone(pid));
        begun.elapsed()
    }
}

/// Waits until the hunt listens and returns its process.
fn process(world: &World) -> u32 {
    let told = || std::fs::read_to_string(world.path("pid")).ok()?.trim().parse().ok();
    wait_for("a process", || told().is_some());
    let pid = told().expect("a process");
    until_listening(pid);
    pid
}

/// True once the process has ended; one that nobody has buried yet has ended too.
fn is_gone(pid: u32) -> bool {
    let stat = std::fs::read_to_string(format!("/proc/{pid}/stat")).unwrap_or_default();
    stat.rsplit(") ").next().is_none_or(|rest| rest.is_empty() || rest.starts_with('Z'))
}

/// Ends hunts at so many random moments, in every way by turns, and prints what was seen.
fn end_at_moments(moments: u32) {
    let mut dice = 0x2545_F491_4F6C_DD1D_u64;
    let (mut slowest, mut logs, mut seen) = (Duration::ZERO, 0, [0; WAYS.len()]);
    for moment in 0..moments {
        let world = World::new();
        let at = moment as usize % WAYS.len();
        let mut host = Host::new(&world, WAYS[at]);
        let pid = process(&world);
        // The moments are the same in each run, as far as the machine is.
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let wait = Duration::from_millis(dice >> 33 & 0x7FF);
        let begun = Instant::now();
        while begun.elapsed() < wait {
            host.press_enter();
        }
        let took = host.end(&world, pid, WAYS[at]);
        assert!(took < LIMIT, "moment {moment}, {}: {took:?}", WAYS[at]);
        slowest = slowest.max(took);
        seen[at] += 1;
        if world.path("x.hunt.yaml").exists() {
            logs += 1;
            world.say("suspects x.hunt.yaml --format json").json();
            world.say("add x.hunt.yaml note whole").ends(0);
        }
    }
    println!("{moments} hunts ended, by {WAYS:?}: {seen:?}; logs whole: {logs}; slowest: {slowest:?}");
}

#[test]
fn a_hunt_ends_at_any_moment_in_every_way() {
    end_at_moments(10);
}

#[test]
#[ignore = "takes ten minutes"]
fn a_hunt_ends_at_two_hundred_moments() {
    end_at_moments(200);
}

#[test]
fn a_window_closed_in_the_wait_ends_the_hunt_even_where_no_signal_comes() {
    for way in ["closed", "closed, hang-up ignored"] {
        let world = World::new();
        let mut host = Host::new(&world, way);
        let pid = process(&world);
        let screen =
            || String::from_utf8_lossy(&std::fs::read(world.path("screen")).expect("read")).into_owned();
        wait_for("the wait", || {
            host.press_enter();
            screen().contains("mA > _")
        });
        let took = host.end(&world, pid, way);
        assert!(took < LIMIT, "{way}: {took:?}");
        world.say("add x.hunt.yaml note whole").ends(0);
    }
}

#[test]
fn half_a_character_does_not_keep_the_wait_from_hearing_a_signal() {
    let world = World::new();
    leave_in_the_wait(&world);
    let line = with_modes("sh -c 'echo $$ > pid; exec fusetrail hunt x.hunt.yaml'");
    let mut session = at_terminal(&world, 80, &line);
    let pid = process(&world);
    session.expect("mA > _").expect("the screen");
    session.send(&b"\xC3"[..]).expect("sent");
    thread::sleep(Duration::from_millis(300));
    let took = Host::Stays(session).end(&world, pid, "TERM");
    assert!(took < LIMIT, "{took:?}");
}

#[test]
fn a_score_that_is_interrupted_leaves_the_terminal_as_it_was() {
    let world = World::new();
    let line = with_modes("sh -c 'echo $$ > pid; exec fusetrail practice --score 5000 --policy plan'");
    let mut session = at_terminal(&world, 80, &line);
    let pid = process(&world);
    session.expect("vehicles").expect("the bar");
    send("INT", pid);
    let rest = end_of(&mut session);
    assert_sane(&world, &rest);
    assert!(rest.rfind("\u{1b}[?25h") >= rest.rfind("\u{1b}[?25l"), "the cursor shows: {rest}");
}
