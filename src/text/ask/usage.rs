//! The questions about how a vehicle is used in words.

use super::wording::wordings;

wordings! {
    UseTrips, "How is it driven: starts a day, and minutes each?",
        "Such as 2 x 10 min, or 1 x 30 min a week. What driving puts back is reckoned against what starts and standing take. Don't know leaves it out.";
    UseRoad, "Where is it driven mostly?",
        "In town there is little to spare for the battery: about 5 A of a car, 15 A on a fast road (editorial).",
        "town" => "in town, with stops", "mixed" => "of both", "fast" => "on fast roads";
    UseAgreed, "What is agreed with the customer?",
        "No part is to be replaced: it is driven too little to stay charged. The record keeps what was agreed.",
        "charger" => "a charger, at home", "drives" => "longer drives", "told" => "told, nothing agreed",
        "not-told" => "not told yet";
    UseVolts ["V"], "Battery volts since then, rested overnight?",
        "On the posts, after some weeks of it, parked overnight. Good: 12.6 V or about it, it stays charged. Beware: under 12.4 V it doesn't, or something else draws.";
}

/// Says what volts after some weeks of the agreed use tell.
pub fn told(stays: bool) -> &'static str {
    if stays {
        "It stays charged as it is used now."
    } else {
        "Still low: what was agreed isn't enough, or something else draws."
    }
}
