//! Follows the plan through a small invented vehicle: who draws what is written down, the reading that the plan puts
//! first is taken as its meters would show it, until the plan stops. Knows nothing of the engine's model.

use fusetrail::circuit::fuse_table::FuseTable;
use fusetrail::circuit::loads::Catalogue;
use fusetrail::circuit::map::Hazard;
use fusetrail::hunt::analysis::Analysis;
use fusetrail::infer::assumptions::NARROWS_NOTHING;
use fusetrail::measure::kind::MeasurementKind;
use fusetrail::measure::observation::Panel;
use fusetrail::measure::observe::fuse_of;
use fusetrail::plan::proposal::{Proposal, Stop};

use crate::bench::Bench;

/// Who draws what, in milliampere: a load as `FEED/load`, `FEED/?` for one that no map lists, `battery/?` for what
/// hangs on the post itself.
#[derive(Default)]
pub struct World {
    /// What each draws all the time.
    pub always: Vec<(&'static str, f64)>,
    /// What each draws on top of it as long as their bus is awake.
    pub awake: Vec<(&'static str, f64)>,
    /// The input, or the load `FEED/load`, that keeps the bus awake.
    pub holder: &'static str,
    /// What was taken out or worked since: no need to say.
    pub out: Vec<String>,
}

/// How a hunt by the plan went.
pub struct Trail {
    /// Readings after the first total that looked for the circuit.
    pub searched: Vec<String>,
    /// Readings after that, for the component or the input.
    pub narrowed: Vec<String>,
    /// What the readings say in the end.
    pub end: std::rc::Rc<Analysis>,
}

impl World {
    /// Takes what the plan puts first, from the first total on, until it stops. No proposal on the way may be
    /// forbidden, none may be taken twice, and none may be left when every place of the panel has had its turn.
    pub fn follow(mut self, bench: &mut Bench) -> Trail {
        let total = self.total(bench);
        bench.enter(&format!("total {total:.0}"));
        let (mut searched, mut narrowed) = (Vec::new(), Vec::new());
        loop {
            let end = bench.analysis();
            end.plan().readings.iter().for_each(|proposal| assert_allowed(proposal, &end.panel));
            let narrows = |first: &&Proposal| {
                use MeasurementKind::{Input, Look, Report, Unplug};
                [Look, Report, Unplug, Input].contains(&first.action) && first.bits > NARROWS_NOTHING
            };
            let (next, list) = match end.plan().stop {
                Stop::Open => (end.plan().readings.first(), &mut searched),
                Stop::Decided(_) | Stop::NotWorth(_) => {
                    (end.plan().readings.first().filter(narrows), &mut narrowed)
                }
                _ => (None, &mut narrowed),
            };
            let Some(next) = next else {
                assert_ne!(end.plan().stop, Stop::Open, "open, and nothing is proposed");
                assert_short(&searched, &narrowed, &end.panel);
                return Trail { searched, narrowed, end };
            };
            let line = self.line(next, bench);
            assert!(!list.contains(&line), "{line} is proposed again: {list:?}");
            bench.enter(&line);
            if next.action != MeasurementKind::Zero {
                list.push(line);
            }
        }
    }

    /// What a technician types for a proposal.
    fn line(&mut self, proposal: &Proposal, bench: &Bench) -> String {
        let at = proposal.at.clone().unwrap_or_default();
        match proposal.action {
            MeasurementKind::Zero => "zero 0.0".to_owned(),
            MeasurementKind::Drop => {
                format!("{at} {:.1}", self.through(&at, bench) / 1000.0 * milliohms(&at, bench))
            }
            MeasurementKind::Clamp if bench.panel().tree.find_feed(&at).is_ok() => {
                format!("clamp {at} {:.0}mA", self.through(&at, bench))
            }
            MeasurementKind::Clamp => {
                format!("clamp {at} {:.0}mA", self.drawn(bench, |place, _| place == at))
            }
            MeasurementKind::Pull | MeasurementKind::Unplug | MeasurementKind::Input => {
                let before = self.total(bench);
                self.out.push(at.clone());
                format!("{} {at} {before:.0} {:.0}", proposal.action.row().word, self.total(bench))
            }
            MeasurementKind::Look => format!("look {at} {}", self.looks(&at, bench)),
            MeasurementKind::Report => format!("report {at} {}", self.reported(&at, bench)),
            _ => format!("total {:.0}", self.total(bench)),
        }
    }

    /// What somebody finds who looks at a load: a lamp lit, anything else warm, where it draws.
    fn looks(&self, at: &str, bench: &Bench) -> &'static str {
        let (feed, load) = at.split_once('/').expect("a load");
        let panel = bench.panel();
        let found = panel.map.load(panel.find_load(feed, load).expect("a load")).expect("a load");
        let is_lamp = Catalogue::builtin().get(&found.kind).is_some_and(|kind| kind.cause == "lamp");
        match (is_lamp, self.drawn(bench, |place, _| place == at) > 100.0) {
            (true, true) => "lit",
            (true, false) => "dark",
            (false, true) => "warm",
            (false, false) => "cold",
        }
    }

    /// What the vehicle says of an input that was not worked yet, or of a module.
    fn reported(&self, at: &str, bench: &Bench) -> &'static str {
        let is_holder = at == self.holder && !self.out.iter().any(|out| out == at);
        match (at.contains('/'), is_holder, self.drawn(bench, |place, _| place == at) > 100.0) {
            (false, true, _) => "open",
            (false, false, _) => "shut",
            (true, _, true) => "awake",
            (true, _, false) => "asleep",
        }
    }

    fn total(&self, bench: &Bench) -> f64 {
        self.drawn(bench, |_, _| true)
    }

    fn through(&self, feed: &str, bench: &Bench) -> f64 {
        self.drawn(bench, |_, path| path.iter().any(|above| above == feed))
    }

    /// What those draw that are chosen by their place and the feeds between them and the battery.
    fn drawn(&self, bench: &Bench, chosen: impl Fn(&str, &[String]) -> bool) -> f64 {
        let flows = |place: &str| {
            let path = path_of(place, bench);
            let is_whole = !self.out.iter().any(|out| out == place || path.contains(out));
            is_whole.then_some(path)
        };
        let held = flows(self.holder).is_some();
        let awake = self.awake.iter().filter(|_| held);
        let drawing = self.always.iter().chain(awake);
        drawing
            .filter(|(place, _)| flows(place).is_some_and(|path| chosen(place, &path)))
            .map(|(_, ma)| ma)
            .sum()
    }
}

/// The feeds from a load to the battery, its own first; none for an input or an item on the battery post.
fn path_of(place: &str, bench: &Bench) -> Vec<String> {
    let panel = bench.panel();
    let own = place.split_once('/').and_then(|(feed, _)| panel.tree.find_feed(feed).ok());
    let path = own.map(|feed| panel.tree.path_to_battery(feed).to_vec()).unwrap_or_default();
    path.into_iter().map(|feed| panel.map.feed_name(feed).to_owned()).collect()
}

fn milliohms(feed: &str, bench: &Bench) -> f64 {
    let panel = bench.panel();
    let table = FuseTable::builtin();
    let feed = panel.tree.find_feed(feed).expect("a feed");
    fuse_of(feed, &panel.map, table).expect("a resistance").resistance.r25.milli()
}

/// Asserts that a proposal is none of those that are never made.
pub fn assert_allowed(proposal: &Proposal, panel: &Panel) {
    let at = proposal.at.as_deref().unwrap_or("");
    let name = at.split('/').next().unwrap_or("");
    let guard = panel.tree.find_feed(name).ok().and_then(|feed| panel.map.feeds.get(feed)?.hazard);
    let title = &panel.map.title;
    match proposal.action {
        MeasurementKind::Drop => {
            assert!(!matches!(guard, Some(Hazard::Restraint | Hazard::Hv)), "{title}: drop at {at}")
        }
        MeasurementKind::Pull | MeasurementKind::Unplug => assert_eq!(guard, None, "{title}: {at} taken out"),
        MeasurementKind::Clamp => assert_ne!(guard, Some(Hazard::Hv), "{title}: clamp at {at}"),
        _ => {}
    }
}

/// One reading for each fuse, unfused item and input at most, and the total once more; then one for each load or input.
fn assert_short(searched: &[String], narrowed: &[String], panel: &Panel) {
    let inputs: usize = panel.map.wake_groups.iter().map(|group| group.inputs.len()).sum();
    let loads: usize = panel.map.feeds.iter().map(|feed| feed.loads.len()).sum();
    let places = panel.map.feeds.len() + panel.map.unfused.len() + inputs + 1;
    assert!(searched.len() <= places, "{} readings on {places} places: {searched:?}", searched.len());
    // Each input and module once by itself, once by what the vehicle reports of it.
    assert!(narrowed.len() <= 2 * (loads + inputs), "{narrowed:?}");
}
