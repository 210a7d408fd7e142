//! What a wake group is called before people.
//! Leaves to others: what is said of it (`suspects`, `reading`).

/// Returns what a group is called: `the body network`.
pub fn network(id: &str) -> String {
    let name = id.trim_end_matches("-bus").trim_end_matches("-network").replace(['-', '_'], " ");
    match name.as_str() {
        "network" | "bus" => "the network".to_owned(),
        name => format!("the {name} network"),
    }
}
