//! The page that is handed over, made from the record alone, so that whatever was left out there is left out here: one
//! sheet for the customer, one for the work order, then the evidence.
//! Leaves to others: the record (`render/record`), words (`text/page`).

pub(crate) mod blocks;
mod customer;
mod draw;
mod escape;
mod evidence;
mod figures;
pub(crate) mod html;
mod night;
mod night_svg;
mod order;
pub(crate) mod plain;
pub(crate) mod source;
mod svg;

use self::blocks::HandoverPage;
use self::source::{PageSource, cut};
use crate::text::page;

/// Makes the page.
pub fn page(source: PageSource) -> HandoverPage {
    let name = source.record.vehicle.name.clone().unwrap_or_default();
    let plate = source.record.vehicle.identity.plate.clone().unwrap_or_default();
    let of: Vec<&str> = [name.as_str(), plate.as_str()].into_iter().filter(|part| !part.is_empty()).collect();
    let title = match of.as_slice() {
        [] => page::TITLE.to_owned(),
        of => format!("{}: {}", page::TITLE, cut(&of.join(", "), 60)),
    };
    HandoverPage {
        title,
        letterhead: source.letterhead.iter().take(4).map(|line| cut(line, 90)).collect(),
        parts: vec![customer::part(source), order::part(source), evidence::part(source)],
    }
}
