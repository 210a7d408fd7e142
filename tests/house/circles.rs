//! No circle between files: what two files share stands in a third, below both.

use crate::graph::{arrows, circles, told};

fn told_of(files: &[(&str, &str)]) -> Vec<String> {
    let files: Vec<_> = files.iter().map(|(file, text)| (file.to_string(), text.to_string())).collect();
    let arrows = arrows(&files);
    circles(&arrows).iter().map(|circle| told(circle, &arrows)).collect()
}

#[test]
fn no_circle_between_files() {
    let arrows = arrows(&crate::sources());
    assert!(arrows.len() > 100, "the arrows were not found");
    let circles: Vec<_> = circles(&arrows).iter().map(|circle| told(circle, &arrows)).collect();
    assert!(circles.is_empty(), "{} circles:\n{}", circles.len(), circles.join("\n"));
}

#[test]
fn a_circle_is_found_through_braces_children_and_names_handed_on() {
    let top = ("src/lib.rs", "pub mod a;");
    let one = ("src/a/one.rs", "use crate::{a::{two::Two, x}, b};\npub struct One(Two);");
    let two = ("src/a/two.rs", "pub struct Two;\nfn f() -> super::one::One { todo!() }");
    let both = "  src/a/one.rs -> src/a/two.rs: Two\n  src/a/two.rs -> src/a/one.rs: One\n";
    assert_eq!(told_of(&[top, ("src/a/mod.rs", "mod one;\nmod two;"), one, two]), [both]);
    let handing = ("src/a/mod.rs", "mod one;\nmod two;\npub use one::One;");
    let around = ("src/a/two.rs", "use super::One;\npub struct Two;\nimpl One {}");
    assert_eq!(told_of(&[top, handing, one, around]), [both]);
    let parent = ("src/a/mod.rs", "mod one;\npub struct Shared;\nfn f() { one::f() }");
    let child = ("src/a/one.rs", "use super::Shared;\npub fn f() -> Shared { Shared }");
    let pair = "  src/a/mod.rs -> src/a/one.rs: f\n  src/a/one.rs -> src/a/mod.rs: Shared\n";
    assert_eq!(told_of(&[top, parent, child]), [pair]);
}

#[test]
fn declaring_handing_on_tests_and_words_are_no_circle() {
    let top = ("src/lib.rs", "pub mod a;");
    let child = ("src/a/one.rs", "use super::Shared;\npub fn f(_: Shared) {}");
    let handing = "pub mod one;\npub use one::f;\npub struct Shared;";
    let testing = "mod one;\npub struct Shared;\n#[cfg(test)]\nmod tests { use super::one::f; }";
    let telling = "mod one;\npub struct Shared; // one::f\nconst A: &str = \"one::f\";";
    for parent in [handing, testing, telling] {
        assert_eq!(told_of(&[top, ("src/a/mod.rs", parent), child]), [""; 0]);
    }
    let speaking = "mod one;\npub use one::f;\npub struct Shared;\npub fn g() { f(Shared) }";
    assert_eq!(told_of(&[top, ("src/a/mod.rs", speaking), child]).len(), 1);
}
