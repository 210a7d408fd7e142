//! At a terminal: prompts and the wait, Ctrl-C in both, and the same log as through a pipe.

use std::process::Command;
use std::thread;
use std::time::Duration;

use expectrl::process::unix::{PtyStream, UnixProcess};
use expectrl::{Eof, Expect};

use crate::world::{START, World};

/// Starts a shell line at a terminal of so many columns; `fusetrail` in it is the program under test.
pub fn at_terminal(world: &World, columns: u16, line: &str) -> Session {
    let program = world.command().get_program().to_string_lossy().into_owned();
    let mut shell = Command::new("sh");
    // The shell waits until the terminal has its size.
    shell.args(["-c", &format!("read go; {}", line.replace("fusetrail", &format!("'{program}'")))]);
    shell.current_dir(world.path("")).env_clear().env("TERM", "xterm").env("LANG", "C.UTF-8");
    shell.env("TZ", "UTC").env("PATH", std::env::var_os("PATH").unwrap_or_default());
    let mut session = Session::spawn(shell).expect("a terminal");
    session.get_process_mut().set_window_size(columns, 30).expect("a size");
    session.set_expect_timeout(Some(Duration::from_secs(20)));
    session.send_line("go").expect("sent");
    session
}

/// Presses Enter until this is seen, and returns all that was.
pub fn enter_until(session: &mut Session, wanted: &str) -> String {
    for _ in 0..400 {
        session.send("\r").expect("sent");
        thread::sleep(Duration::from_millis(60));
        let found = session.check(wanted).expect("read");
        if !found.is_empty() {
            return String::from_utf8_lossy(found.before()).into_owned();
        }
    }
    panic!("{wanted} never came");
}

pub fn end_of(session: &mut Session) -> String {
    let rest = session.expect(Eof).expect("it ends");
    String::from_utf8_lossy(rest.get(0).unwrap_or_default()).into_owned()
}

pub type Session = expectrl::Session<UnixProcess, PtyStream>;

/// Notes the modes of the terminal before and after.
pub fn with_modes(line: &str) -> String {
    format!("stty -a > before; {line}; echo code=$?; stty -a > after")
}

pub fn assert_sane(world: &World, rest: &str) {
    assert!(rest.contains("code=130"), "{rest}");
    assert_eq!(world.read("before"), world.read("after"), "the terminal's modes");
}

/// Leaves the hunt `x.hunt.yaml` in the wait, on a vehicle that is no practice one: there a wait takes its time.
pub fn leave_in_the_wait(world: &World) {
    let answers = "battery.volts: 12.6 V\nbattery.test: good\ncharging.known: good\nhook-up.zero: 0.1mV 18 C\n\
                   'caution.*': 'yes'\n'*': ''\n";
    world.write("answers.yaml", answers);
    // An empty answer is none during the wait: the hunt is left there.
    world.run(&["hunt", "x.hunt.yaml", "--map", "hatch", "--answers", "answers.yaml"]).ends(1);
}

#[test]
fn ctrl_c_in_a_prompt_leaves_the_terminal_sane_and_the_log_whole() {
    let world = World::new();
    let line = with_modes(&format!("fusetrail hunt x.hunt.yaml --practice 3 --at-start {START}"));
    let mut session = at_terminal(&world, 60, &line);
    session.expect("Any time:").expect("the first question");
    session.send("half an ans").expect("typed");
    session.expect("half an ans").expect("echoed");
    session.send("\u{3}").expect("Ctrl-C");
    assert_sane(&world, &end_of(&mut session));
    assert!(world.say("add x.hunt.yaml note whole").ends(0).out.starts_with("2: "));
}

#[test]
fn ctrl_c_in_the_wait_leaves_raw_mode_and_shows_the_cursor() {
    let world = World::new();
    leave_in_the_wait(&world);
    let mut session = at_terminal(&world, 80, &with_modes("fusetrail hunt x.hunt.yaml"));
    session.expect("mA > _").expect("the screen");
    session.send("12\u{3}").expect("Ctrl-C");
    let rest = end_of(&mut session);
    assert_sane(&world, &rest);
    assert!(rest.rfind("\u{1b}[?25h") > rest.rfind("\u{1b}[?25l"), "the cursor shows again: {rest}");
    let again = world.run_with(&["hunt", "x.hunt.yaml"], "quit\n").ends(0);
    assert!(again.talk.contains("until every module sleeps"), "it goes on in the wait: {again:?}");
}

#[test]
fn a_hunt_at_a_terminal_makes_the_same_log_as_through_a_pipe() {
    let world = World::new();
    let line = format!("fusetrail hunt t.hunt.yaml --practice 3 --at-start {START}; echo code=$?");
    let mut session = at_terminal(&world, 60, &line);
    enter_until(&mut session, "code=0");
    let piped = ["hunt", "p.hunt.yaml", "--practice", "3", "--at-start", START];
    world.run_with(&piped, &"\n".repeat(2000)).ends(0);
    assert_eq!(world.read("t.hunt.yaml"), world.read("p.hunt.yaml"));
}

#[test]
fn a_dumb_terminal_gets_no_control_codes() {
    let world = World::new();
    leave_in_the_wait(&world);
    let mut session = at_terminal(&world, 60, "TERM=dumb fusetrail hunt x.hunt.yaml; echo code=$?");
    let seen = session.expect("mA >").expect("the prompt");
    assert!(!String::from_utf8_lossy(seen.before()).contains('\u{1b}'), "{seen:?}");
    session.send("\u{3}").expect("Ctrl-C");
    session.expect("Interrupted.").expect("said");
}

#[test]
fn the_wait_shows_and_takes_what_a_live_meter_says() {
    let world = World::new();
    world.write("answers.yaml", &crate::live::ANSWERS.replace("settle.wait: skip no time for it\n", ""));
    let meter = crate::live::meter(10_000, 2);
    // An empty answer is none during the wait: the hunt is left there.
    let begin =
        ["hunt", "x.hunt.yaml", "--map", "hatch", "--answers", "answers.yaml", "--meter-from", &meter];
    world.run(&begin).ends(1);
    let line = with_modes(&format!("fusetrail hunt x.hunt.yaml --clamp-from {meter}"));
    let mut session = at_terminal(&world, 80, &line);
    session.expect("60.0 mA").expect("the meter's total on the screen");
    session.send("\r").expect("sent");
    session.expect("60 mA").expect("taken");
    session.send("q\r").expect("sent");
    let rest = end_of(&mut session);
    assert!(rest.contains("code=0") && world.read("before") == world.read("after"), "{rest}");
    let log = world.read("x.hunt.yaml");
    assert!(log.contains("entry: watch") && log.contains("value: 0.06,"), "{log}");
}
