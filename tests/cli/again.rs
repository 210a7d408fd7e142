//! What `back` shows: what was taken back in words, and all that leads up to the question before once more.

use crate::world::World;

/// A practice hunt with these lines typed, then left: all that it printed.
fn played(lines: &[&str]) -> String {
    let world = World::new();
    let mut input = lines.join("\n");
    input.push_str("\nquit\n");
    let run = world.run_with(&World::words("hunt x.hunt.yaml --practice 3 --map hatch"), &input);
    format!("{}{}", run.out, run.talk)
}

#[test]
fn cautions_are_shown_again_after_back() {
    let shown = |text: &str| text.matches("Caution: before you touch the vehicle").count();
    let once = played(&["flat after 3 days", "nothing", "yes"]);
    assert_eq!(shown(&once), 1, "{once}");
    let again = played(&["flat after 3 days", "nothing", "yes", "back"]);
    assert_eq!(shown(&again), 2, "{again}");
    assert!(again.contains("Taken back: Caution, Battery gas and acid: yes and 3 more."), "{again}");
}

#[test]
fn an_answer_that_is_taken_back_is_named() {
    let text = played(&["flat after 3 days", "back"]);
    assert!(text.contains("Taken back: Complaint? flat after 3 days."), "{text}");
}
