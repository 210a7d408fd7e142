//! What was read of a converter, in words, each with the next step. High voltage is left to trained people.
//! Leaves to others: what it means (`battery/converter`).

use crate::base::quantity::Unit;
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};
use crate::battery::converter::ConverterFinding;

/// Returns it, a line each.
pub fn converter(found: &[ConverterFinding]) -> Vec<StyledText> {
    let one = |finding: &ConverterFinding| {
        let role = match finding.good() {
            Some(true) => Role::Good,
            Some(false) => Role::Doubt,
            None => Role::Plain,
        };
        StyledText::of(role, said(finding))
    };
    found.iter().map(one).collect()
}

fn said(finding: &ConverterFinding) -> String {
    match finding {
        ConverterFinding::NotReady => {
            "It was not ready, so the converter is not judged. Read the fault codes first: while it won't get ready, its 12 V battery gets nothing.".to_owned()
        }
        ConverterFinding::NotSwitchedOn => {
            "The converter gives nothing and takes nothing: it is not switched on. Next: fault codes, then fuses and enable line on its 12 V side. The high-voltage side is for trained people: stop there.".to_owned()
        }
        ConverterFinding::TakesOnly(input) => format!(
            "It takes {} and gives nothing: the fault is in the converter or its output fuse. Next: volts at its 12 V output stud. The unit itself is for trained people: stop there.",
            bare(*input, 2)
        ),
        ConverterFinding::GivesNothing => {
            "It gives nothing now. A full battery with all switched off may take none: headlamps and blower on, and read again. Then read its input on the scan tool.".to_owned()
        }
        ConverterFinding::LostOnTheWay(lost) => format!(
            "The stud is good and the posts are {:.1} V lower: cable, link or earth between them. Next: volts along each, headlamps and blower on.",
            lost.base()
        ),
        ConverterFinding::StudLow(stud) => format!(
            "{:.1} V at its own stud is too little: it is the converter, not the cable. Next: fault codes, enable line. The unit itself is for trained people: stop there.",
            stud.base()
        ),
        ConverterFinding::Gives(output) => {
            format!("{} from the converter into the 12 V side: it charges.", bare(*output, 2))
        }
        ConverterFinding::Balance { input, due } => {
            let asked = format!("its output asks for {} to {}", bare(due.0, 2), bare(due.1, 2));
            match finding.good() {
                Some(true) => format!("It takes {} and {asked}: power in and out agree.", bare(*input, 2)),
                _ => format!(
                    "It takes {}, where {asked}: read both again at the same moment. Stays it so, follow the maker's procedure.",
                    bare(*input, 2)
                ),
            }
        }
    }
}

/// How a vehicle that charges its own 12 V battery while it is parked does so, and what stops it.
pub const TOP_UP: &str = "It may charge its 12 V battery while parked: up to 20 min at a time, none after ten in a row. On some a lid that reports open stops that charge.";
