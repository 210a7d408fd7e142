//! Twenty-four invented vehicles: one circuit each, what is told of it, and what a technician would say. Six classes;
//! battery, charging, use, circuit, network and nothing.

use super::circuit::{ALTERNATOR, Battery, GOOD, SOUND, Source, Supply};

/// One vehicle.
pub struct Row {
    pub name: &'static str,
    /// Built-in map, or the text of one.
    pub map: &'static str,
    pub supply: Supply,
    /// What is told, by question.
    pub told: &'static [(&'static str, &'static str)],
    /// What draws beside what the map has asleep: `FEED/load`, mA.
    pub draws: &'static [(&'static str, f64)],
    /// What draws besides as long as this input, or this load, holds the network.
    pub held: Option<(&'static str, &'static [(&'static str, f64)])>,
    /// What leads: kind and name.
    pub leader: (&'static str, &'static str),
    /// The limit in mA, and how far it may lie from it in percent where it is reckoned from a stand time.
    pub limit: Option<(f64, f64)>,
    /// Where the hunt stands then: the question that is open.
    pub next: &'static str,
    /// Words of the reason.
    pub reason: &'static str,
}

const TESTED: (&str, &str) = ("battery.test", "good");
const CHARGES: (&str, &str) = ("charging.known", "good");
const MEASURE: (&str, &str) = ("charging.known", "measure");
const RESULTS: (&str, &str) = ("battery.test", "results");
const FLOODED: (&str, &str) = ("battery.type", "flooded");
const RATED: (&str, &str) = ("battery.rating", "60 Ah 540 A EN");
const SERIES: (&str, &str) = ("hook-up.method", "series");
const TWO_WEEKS: (&str, &str) = ("total.stand", "14 days");

const CAR_LIMIT: Option<(f64, f64)> = Some((50.0, 0.0));

/// What most rows share.
const PLAIN: Row = Row {
    name: "",
    map: "hatch",
    supply: GOOD,
    told: &[FLOODED, TESTED, CHARGES],
    draws: &[],
    held: None,
    leader: ("nothing", ""),
    limit: CAR_LIMIT,
    next: "total.within",
    reason: "within",
};

/// Half of its rated current takes more than 3 V away: worn plates.
const WORN: Battery = Battery { charge: 0.95, shorted: 0, inner: 0.0125 };

const CARAVAN: &str = "format: fusetrail-map/1
title: Caravan with one leisure battery (invented)
class: caravan
system_v: 12
boxes: {panel: {where: in the wardrobe}}
feeds:
  - {id: M, from: battery, box: panel, fuse: {family: bolt, rating_a: 50}, probe: clamp}
  - {id: P1, from: M, box: panel, fuse: {family: mini, rating_a: 5}, loads: [{name: control panel, kind: body-control, asleep_ma: 8, awake_ma: 250}]}
  - {id: P2, from: M, box: panel, fuse: {family: mini, rating_a: 10}, loads: [{name: water pump, kind: pump}]}
  - {id: P3, from: M, box: panel, fuse: {family: mini, rating_a: 10}, loads: [{name: awning lamp, kind: lamp-outside, awake_ma: 800}]}
  - {id: P4, from: M, box: panel, fuse: {family: mini, rating_a: 3}, loads: [{name: gas alarm, kind: alarm, asleep_ma: 70}]}
";

const BOAT: &str = "format: fusetrail-map/1
title: Motor boat with one battery (invented)
class: boat
system_v: 12
limit_ma: 30
limit_source: what hangs past the isolator by right, added up
boxes: {panel: {where: beside the helm}}
feeds:
  - {id: M, from: battery, box: panel, fuse: {family: bolt, rating_a: 60}, probe: clamp}
  - {id: B1, from: M, box: panel, fuse: {family: blade, rating_a: 7.5}, loads: [{name: bilge pump, kind: pump, awake_ma: 3000}]}
  - {id: B2, from: M, box: panel, fuse: {family: blade, rating_a: 5}, loads: [{name: radio memory, kind: audio, asleep_ma: 10}]}
  - {id: B3, from: M, box: panel, fuse: {family: blade, rating_a: 10}, loads: [{name: cabin lamps, kind: lamp-interior, awake_ma: 1200}]}
";

pub const ROWS: [Row; 24] = [
    Row {
        name: "car, a shorted cell",
        supply: Supply { batteries: &[Battery { charge: 0.95, shorted: 1, inner: 0.008 }], ..GOOD },
        told: &[FLOODED, RESULTS, RATED, ("battery.rest", "10 h"), ("battery.charged", "yes")],
        leader: ("battery", "shorted cell"),
        next: "battery.gate",
        reason: "10.5",
        ..PLAIN
    },
    Row {
        name: "car, the belt slips",
        supply: Supply { source: Source { volts: 12.4, ..ALTERNATOR }, ..GOOD },
        told: &[FLOODED, TESTED, MEASURE, ("charging.kind", "plain"), ("charging.belt", "slips")],
        leader: ("charging", "belt"),
        next: "charging.again",
        reason: "belt",
        ..PLAIN
    },
    Row {
        name: "car, short trips",
        told: &[
            FLOODED,
            TESTED,
            CHARGES,
            RATED,
            ("interview.recent", "short trips"),
            ("use.trips", "4 x 2 min"),
            ("use.road", "town"),
        ],
        leader: ("use", "short trips"),
        next: "use.agreed",
        reason: "Ah a day",
        ..PLAIN
    },
    Row {
        name: "car, the boot latch holds the body network",
        held: Some(("boot latch", &[("C1/body control module", 600.0), ("C3/audio unit", 210.0)])),
        leader: ("group", "body-bus"),
        next: "trail",
        reason: "boot latch",
        ..PLAIN
    },
    Row {
        name: "van, many starts a day",
        map: "van",
        told: &[
            FLOODED,
            TESTED,
            CHARGES,
            ("battery.rating", "95 Ah 800 A EN"),
            ("interview.recent", "short trips, parcels"),
            ("use.trips", "60 x 1 min"),
            ("use.road", "town"),
        ],
        leader: ("use", "short trips"),
        next: "use.agreed",
        reason: "starts",
        ..PLAIN
    },
    Row {
        name: "hybrid, the converter gives nothing",
        map: "hybrid",
        supply: Supply { source: Source { volts: 0.0, ..ALTERNATOR }, lamps: 10.0, ..GOOD },
        told: &[FLOODED, TESTED, MEASURE],
        leader: ("charging", "converter"),
        next: "charging.again",
        reason: "no rise",
        ..PLAIN
    },
    Row {
        name: "hybrid, its 12 V battery failed the tester",
        map: "hybrid",
        told: &[FLOODED, ("battery.test", "bad")],
        leader: ("battery", "failed test"),
        next: "battery.gate",
        reason: "Tested bad",
        ..PLAIN
    },
    Row {
        name: "hybrid, the amplifier stays on",
        map: "hybrid",
        draws: &[("R5/audio amplifier", 320.0)],
        leader: ("branch", "R5"),
        next: "trail",
        reason: "R5",
        ..PLAIN
    },
    Row {
        name: "hybrid, the tailgate latch holds the body network",
        map: "hybrid",
        held: Some((
            "tailgate latch",
            &[("C1/body control module", 500.0), ("C2/network gateway", 200.0), ("C11/door modules", 350.0)],
        )),
        leader: ("group", "body-bus"),
        next: "trail",
        reason: "tailgate latch",
        ..PLAIN
    },
    Row { name: "hybrid, nothing", map: "hybrid", ..PLAIN },
    Row {
        name: "motorcycle, the regulator overcharges",
        map: "motorcycle",
        supply: Supply { source: Source { volts: 16.2, ..ALTERNATOR }, lamps: 5.0, ..GOOD },
        told: &[FLOODED, TESTED, MEASURE, SERIES],
        leader: ("charging", "regulator"),
        limit: Some((1.5, 0.0)),
        next: "charging.again",
        reason: "overcharges",
        ..PLAIN
    },
    Row {
        name: "motorcycle, a battery worn out",
        map: "motorcycle",
        supply: Supply { batteries: &[Battery { inner: 0.032, ..WORN }], rated: 210.0, ..GOOD },
        told: &[FLOODED, RESULTS, ("battery.rating", "12 Ah 210 A EN")],
        leader: ("battery", "failed test"),
        limit: Some((1.5, 0.0)),
        next: "battery.gate",
        reason: "Load test",
        ..PLAIN
    },
    Row {
        name: "motorcycle, the alarm",
        map: "motorcycle",
        told: &[FLOODED, TESTED, CHARGES, SERIES],
        draws: &[("F7/add-on alarm", 12.0)],
        leader: ("branch", "F7"),
        limit: Some((1.5, 0.0)),
        next: "trail",
        reason: "F7",
        ..PLAIN
    },
    Row {
        name: "motorcycle, nothing",
        map: "motorcycle",
        told: &[FLOODED, TESTED, CHARGES, SERIES],
        limit: Some((1.5, 0.0)),
        ..PLAIN
    },
    Row {
        name: "truck, a pair apart",
        map: "tipper",
        supply: Supply { batteries: &[SOUND, Battery { charge: 0.45, ..SOUND }], ..GOOD },
        told: &[FLOODED, ("battery.test", "not-tested")],
        limit: None,
        leader: ("battery", "pair apart"),
        next: "battery.gate",
        reason: "apart",
        ..PLAIN
    },
    Row {
        name: "truck, the plus cable",
        map: "tipper",
        supply: Supply {
            batteries: &[SOUND, SOUND],
            source: Source { volts: 28.4, plus: 0.06, earth: 0.002 },
            lamps: 25.0,
            ..GOOD
        },
        told: &[
            FLOODED,
            TESTED,
            MEASURE,
            ("charging.kind", "plain"),
            TWO_WEEKS,
            ("battery.rating", "170 Ah"),
        ],
        limit: Some((242.0, 3.0)),
        leader: ("charging", "plus cable"),
        next: "charging.again",
        reason: "plus cable",
        ..PLAIN
    },
    Row {
        name: "truck, the cab network held",
        map: "tipper",
        supply: Supply { batteries: &[SOUND, SOUND], ..GOOD },
        told: &[FLOODED, TESTED, CHARGES, TWO_WEEKS, ("battery.rating", "170 Ah")],
        held: Some((
            "driver door latch",
            &[("K3/cab control module", 600.0), ("K6/instrument cluster", 350.0)],
        )),
        limit: Some((242.0, 3.0)),
        leader: ("group", "cab-bus"),
        next: "trail",
        reason: "driver door latch",
        ..PLAIN
    },
    Row {
        name: "caravan, a leisure battery that holds half",
        map: CARAVAN,
        told: &[FLOODED, RESULTS, ("battery.rating", "90 Ah"), ("battery.capacity", "38 Ah")],
        limit: None,
        leader: ("battery", "worn out"),
        next: "battery.gate",
        reason: "38 Ah",
        ..PLAIN
    },
    Row {
        name: "caravan, the control panel",
        map: CARAVAN,
        told: &[FLOODED, TESTED, CHARGES, ("battery.rating", "90 Ah"), TWO_WEEKS],
        draws: &[("P1/control panel", 260.0)],
        limit: Some((128.0, 3.0)),
        leader: ("branch", "P1"),
        next: "trail",
        reason: "P1",
        ..PLAIN
    },
    Row {
        name: "caravan, nothing but the gas alarm",
        map: CARAVAN,
        told: &[FLOODED, TESTED, CHARGES, ("battery.rating", "90 Ah"), TWO_WEEKS],
        limit: Some((128.0, 3.0)),
        ..PLAIN
    },
    Row {
        name: "boat, the engine's earth strap",
        map: BOAT,
        supply: Supply { source: Source { volts: 14.3, plus: 0.002, earth: 0.06 }, lamps: 20.0, ..GOOD },
        told: &[FLOODED, TESTED, MEASURE],
        limit: Some((30.0, 0.0)),
        leader: ("charging", "earth strap"),
        next: "charging.again",
        reason: "earth",
        ..PLAIN
    },
    Row {
        name: "boat, the bilge pump's float",
        map: BOAT,
        draws: &[("B1/bilge pump", 290.0)],
        limit: Some((30.0, 0.0)),
        leader: ("branch", "B1"),
        next: "trail",
        reason: "B1",
        ..PLAIN
    },
    Row {
        name: "boat, half an hour a week",
        map: BOAT,
        told: &[
            FLOODED,
            TESTED,
            CHARGES,
            ("battery.rating", "90 Ah"),
            ("interview.recent", "short trips"),
            ("use.trips", "1 x 10 min a week"),
            ("use.road", "town"),
        ],
        draws: &[("B2/radio memory", 12.0)],
        limit: Some((30.0, 0.0)),
        leader: ("use", "short trips"),
        next: "use.agreed",
        reason: "Ah a day",
        ..PLAIN
    },
    Row {
        name: "motorcycle, three kilometres to work",
        map: "motorcycle",
        told: &[
            FLOODED,
            TESTED,
            CHARGES,
            SERIES,
            ("battery.rating", "12 Ah 210 A EN"),
            ("interview.recent", "short trips"),
            ("use.trips", "4 x 1 min"),
            ("use.road", "town"),
        ],
        limit: Some((1.5, 0.0)),
        leader: ("use", "short trips"),
        next: "use.agreed",
        reason: "Ah a day",
        ..PLAIN
    },
];
