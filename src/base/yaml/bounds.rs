//! Looks over a YAML text before the library reads it, and refuses what would take it too long: the library's time
//! grows with the square of the nesting and of the directives, and an alias may stand for a text many times its size.
//! Leaves to others: the tokens (`scan`), and whether the text is sound YAML (the library tells).

use super::scan::Scan;
use crate::base::caps::{YAML_DEPTH, YAML_DIRECTIVES};
use crate::base::diagnostic::Diagnostic;

/// Refuses a text that nests too deep, or has aliases or too many directives. Takes a time in proportion to it.
///
/// # Errors
/// Each of these, with the line and the figure found.
pub(super) fn check(text: &str) -> Result<(), Diagnostic> {
    let mut scan = Scan::new(text);
    while scan.token() {}
    if let Some(line) = scan.alias {
        let fault = Diagnostic::new("an alias (a star and a name) stands for something written elsewhere");
        return Err(fault.expected("everything written out").remedy("copy it to this place").on_line(line));
    }
    let (deepest, line) = scan.deepest;
    if deepest > YAML_DEPTH {
        let fault = Diagnostic::new(format!("lists and mappings stand {deepest} deep in each other"));
        return Err(fault.expected(format!("at most {YAML_DEPTH}")).on_line(line));
    }
    if scan.directives > YAML_DIRECTIVES {
        let fault = Diagnostic::new(format!("{} lines begin with %", scan.directives));
        return Err(fault.expected(format!("at most {YAML_DIRECTIVES} directives")));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::base::yaml::{Node, read};

    fn depth_of(node: &Node) -> usize {
        match node {
            Node::List(items) => 1 + items.iter().map(depth_of).max().unwrap_or(0),
            Node::Map(entries) => 1 + entries.iter().map(|(_, node)| depth_of(node)).max().unwrap_or(0),
            _ => 0,
        }
    }

    fn scanned(text: &str) -> usize {
        let mut scan = Scan::new(text);
        while scan.token() {}
        scan.deepest.0
    }

    #[test]
    fn nesting_is_counted_whatever_it_is_hidden_behind() {
        let cases = [
            ("a: {b: [c, {d: e}]}", 4),
            ("a:\n  b:\n    - c:\n        d", 4),
            ("- - - ? a\n      : b\n", 4),
            ("a: 'x {[{ it''s [[['\nb: \"{ \\\" [[\"\n", 1),
            ("a: driver's end [[ {{\nb: {c: d}\n", 2),
            ("a: plain\n  \" going on {[\nb: [x] # {[{[\n", 2),
            ("a: |\n  {[{[ \"\n   deeper\nb: >-\n  [\nc: [d]\n", 2),
            ("# [[[[[\n{a: b} # [[\n", 1),
            ("{a: b}: {d: {e: f}}\n", 3),
        ];
        for (text, due) in cases {
            assert_eq!(scanned(text), due, "{text}");
        }
    }

    #[test]
    fn too_deep_a_text_is_refused_at_once_with_the_cap_and_the_figure() {
        for (text, figure) in [
            ("{a: ".repeat(100_000), 100_000),
            ("[".repeat(100_000), 100_000),
            ("- ".repeat(65), 65),
            ("? ".repeat(90_000), 90_000),
            ((0..70).map(|i| format!("{}a:\n", " ".repeat(i))).collect(), 70),
        ] {
            let said = read::<Node>(&text).expect_err("too deep").to_string();
            assert!(said.contains(&figure.to_string()) && said.contains("at most 64"), "{said}");
        }
        assert!(read::<Node>(&format!("{}{}", "[".repeat(64), "]".repeat(64))).is_ok());
    }

    #[test]
    fn an_alias_and_very_many_directives_are_refused() {
        let said = read::<Node>("a: &x text\nb: [*x]\n").expect_err("an alias").to_string();
        assert!(said.starts_with("line 2: an alias") && said.contains("copy it"), "{said}");
        let tags: String = (0..50_000).map(|i| format!("%TAG !a{i}! a\n")).collect();
        assert!(
            read::<Node>(&(tags + "---\na\n")).expect_err("directives").to_string().contains("50000 lines")
        );
        assert!(read::<Node>("a: 5 * 3\nb: \"*x\"\nc: '*'\nd: x *y\n").is_ok());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(4000))]

        #[test]
        fn what_the_library_reads_is_scanned_as_deep_as_it_is(
            text in "([-?:,{}\\[\\]#&!|>'\"% \n a-c\t.~\\\\é]|: |- |\n |\n  |\n- |\n  - |a: |[{]a: |, |'' ){0,40}"
        ) {
            if let Ok(node) = read::<Node>(&text) {
                let (found, due) = (scanned(&text), depth_of(&node));
                // A list at the column of its key opens no column of its own; what has a tag, and keys, are not looked into.
                prop_assert!(found * 2 + 1 >= due, "{found} {due}");
                let hidden = text.contains(['!', '?']) || text.contains("]:") || text.contains("}:");
                prop_assert!(hidden || found <= due, "{found} {due}");
            }
        }
    }
}
