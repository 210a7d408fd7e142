//! Somebody who answers a hunt as bytes say: sensibly, wrongly, `back`, `skip`, `?`, hugely; who leaves and comes back,
//! strikes entries out, lets days go by; and who at the end only wants to be done. Whatever they do, an answer is
//! entered or refused with a word, the log reads back and gives the same case, and there is an end.

use std::rc::Rc;

use chrono::{DateTime, FixedOffset};
use fusetrail::base::quantity::Minute;
use fusetrail::circuit::{builtin, meters};
use fusetrail::hunt::analysis::Analysis;
use fusetrail::hunt::question::{Answer, Question, QuestionKind};
use fusetrail::hunt::{NextStep, next, take};
use fusetrail::log::case::Case;
use fusetrail::log::contents;
use fusetrail::log::entry::{Entry, LogEvent, Opened};
use fusetrail::log::question_id::QuestionId;
use fusetrail::log::replay::{Replay, fold};
use fusetrail::log::typed::Proposed;
use fusetrail::log::{schema, seal};
use fusetrail::measure::kind::TypedSlot;
use fusetrail::render::record::{self, RecordSource};
use fusetrail::render::redact::Redaction;
use fusetrail::sim::{SimClock, Vehicle};

/// Most answers that a hunt may take to its end, from wherever it is, when each is the nearest at hand.
const TO_THE_END: usize = 400;

/// Most answers as the bytes say.
const BY_BYTES: usize = 80;

/// What a question is answered with that nobody can mean.
const NONSENSE: [&str; 18] = [
    "",
    "nonsense",
    "-1",
    "0",
    "NaN",
    "1e308",
    "-1e300 mA",
    "1e308 1e308",
    "1e-320",
    "12,5 V",
    "\u{1b}[2J",
    "a\nb: c\n- at: \"no\"\n  seal: \"0123456789abcdef0123456789abcdef\"",
    "don't know",
    "yes",
    "no",
    "none",
    "\u{202e}482 mA",
    "all",
];

/// Lines as they are typed at a reading, true or not; `@` stands for a fuse of the map.
const LINES: [&str; 22] = [
    "@ 3.0",
    "@ 0.1 mV",
    "@=3.0mV @=0.1",
    "others 0.0",
    "clamp @ 350mA",
    "clamp @ -2 A",
    "pull @ 482 77",
    "pull @ 77 482",
    "refit @ 480",
    "step @ 3.0mV 10.6mV 1.02A",
    "step @ 3 3 0",
    "total 482",
    "total -482",
    "zero 0.02",
    "temp 20C",
    "temp -273.15 C",
    "disturb driver door",
    "note left at noon",
    "F40 mini 10 from @ horn",
    "F41 5 lamp, clock",
    "@ 1e300",
    "volts 12.1",
];

/// Minutes that go by at once: a moment, a shift, a week.
const SPANS: [f64; 6] = [1.0, 4.0, 20.0, 120.0, 1440.0, 10_080.0];

/// What a hunt came to.
#[derive(Debug)]
pub struct Played {
    /// Answers given.
    pub answers: usize,
    /// Entries in the log.
    pub entries: usize,
}

/// The bytes that are still to be used up.
struct Choices<'a>(&'a [u8]);

impl Choices<'_> {
    fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Returns one of so many; the first once the bytes are used up.
    fn of(&mut self, many: usize) -> usize {
        let Some((first, rest)) = self.0.split_first() else { return 0 };
        self.0 = rest;
        usize::from(*first) % many.max(1)
    }

    fn among<'b>(&mut self, texts: &[&'b str]) -> &'b str {
        let at = self.of(texts.len());
        texts.get(at).copied().unwrap_or_default()
    }
}

/// A hunt in memory, its log as text, and the vehicle that it is about.
pub struct Player {
    entries: Vec<Entry>,
    text: String,
    seal: String,
    case: Case,
    vehicle: Vehicle,
    clock: SimClock,
    /// True if the vehicle supplies its readings; else they are passed over.
    supplies: bool,
    answers: usize,
}

/// Plays a hunt as these bytes say, then to its end.
pub fn play(bytes: &[u8]) -> Played {
    let mut choices = Choices(bytes);
    let map = choices.among(&["motorcycle", "blank", "motorcycle", "hatch"]);
    let seed = u64::try_from(choices.of(256)).unwrap_or_default();
    let mut player = Player::on(map, seed, choices.of(4) > 0);
    while !choices.is_empty() && player.answers < BY_BYTES {
        player.act(&mut choices);
    }
    player.go_to_the_end();
    player.read_again();
    player.assert_record();
    Played { answers: player.answers, entries: player.entries.len() }
}

impl Player {
    pub fn on(map: &str, seed: u64, supplies: bool) -> Self {
        let start = DateTime::parse_from_rfc3339("2026-01-12T07:00:00+01:00").expect("a time");
        let map = builtin::map(map).expect("built in");
        let opened = Opened {
            program: "test".into(),
            tables: "test".into(),
            map: schema::tidy_map(&map.to_yaml().expect("text")).expect("tidy"),
            meter: meters::find("tenth-mv", true).expect("built in"),
            clamp: meters::find("clamp-1ma", false).expect("built in"),
            temperatures: vec![],
            limit: None,
            reserve: None,
            practice: Some(seed),
        };
        let vehicle = Vehicle::new(&map, seed).with_meters(&opened.meter, &opened.clamp);
        let first = Entry::new(start, LogEvent::Open(Box::new(opened)));
        let case = fold(std::slice::from_ref(&first)).unwrap_or_else(|faults| panic!("{faults}"));
        let mut item = schema::write(&first).expect("written");
        let seal = seal::close(seal::START, &mut item);
        let clock = SimClock::new(start);
        Self { entries: vec![first], text: item, seal, case, vehicle, clock, supplies, answers: 0 }
    }

    pub fn analysis(&self) -> Rc<Analysis> {
        Analysis::of(&self.case)
    }

    fn now(&self) -> DateTime<FixedOffset> {
        self.clock.at(self.vehicle.now())
    }

    /// Does one thing.
    fn act(&mut self, choices: &mut Choices) {
        let question = match self.step() {
            Ok(question) => question,
            Err(_) => return self.after_the_end(choices),
        };
        match choices.of(16) {
            0..=4 => self.answer_sensibly(&question),
            5 => self.answer(&question, &other_choice(&question, choices)),
            6 => self.answer(&question, choices.among(&NONSENSE)),
            7 => {
                let huge = choices.among(&["9", "x", "* ", "é", "F12=3 "]).repeat(3000);
                self.answer(&question, &huge);
            }
            8 => self.answer(&question, "back"),
            9 => self.answer(&question, "skip it can't be reached"),
            10 => self.answer(&question, choices.among(&["skip", "?", "quit"])),
            11 => self.read_again(),
            12 | 13 => {
                let line = choices.among(&LINES).replace('@', &self.some_feed(choices));
                self.answer(&question, &line);
            }
            14 => self.pass(choices),
            _ => self.strike(choices),
        }
    }

    /// At the end of a hunt somebody may take it up again, or find that an entry was wrong.
    fn after_the_end(&mut self, choices: &mut Choices) {
        match choices.of(3) {
            0 => self.read_again(),
            1 => self.pass(choices),
            _ => self.strike(choices),
        }
    }

    fn pass(&mut self, choices: &mut Choices) {
        let minutes = SPANS.get(choices.of(SPANS.len())).copied().unwrap_or(1.0);
        self.vehicle.pass(Minute::new(minutes));
    }

    fn some_feed(&self, choices: &mut Choices) -> String {
        let feeds = &self.case.map.feeds;
        feeds.get(choices.of(feeds.len()).into()).map_or("F1".to_owned(), |feed| feed.id.clone())
    }

    /// Returns the question that is open, or why the hunt has ended. However often it asks what the readings say, that is
    /// reckoned once.
    pub fn step(&self) -> Result<Question, String> {
        let before = self.analysis();
        let step = next(&self.case, self.now());
        assert!(Rc::ptr_eq(&before, &self.analysis()), "a prompt reckons the same readings again");
        match step.next {
            NextStep::Ask(question) => {
                assert!(
                    !question.prompt.trim().is_empty() && !question.help.trim().is_empty(),
                    "{question:?}"
                );
                Ok(question)
            }
            NextStep::Done { why } => {
                assert!(!why.trim().is_empty(), "ends without a word");
                Err(why)
            }
        }
    }

    /// Gives an answer; it is entered, or refused with a word.
    fn answer(&mut self, question: &Question, text: &str) {
        self.answers += 1;
        let before = self.analysis();
        let taken = take(&self.case, question, &Answer::read(text, question), self.now());
        assert!(
            !taken.entries.is_empty() || !taken.say.is_empty() || taken.leave,
            "{} swallows {text:?}",
            question.id
        );
        if taken.entries.is_empty() {
            assert!(Rc::ptr_eq(&before, &self.analysis()), "{}: no entry, yet reckoned again", question.id);
        } else {
            self.append(taken.entries);
        }
    }

    /// Gives the answer that is nearest at hand: what the vehicle or its customer says, else the default, else the
    /// first choice; what can't be had is passed over. One of the two is entered.
    pub fn answer_sensibly(&mut self, question: &Question) {
        let before = self.entries.len();
        if let Some(text) = self.sensible(question) {
            self.answer(question, &text);
        }
        if self.entries.len() == before {
            self.answer(question, "skip it can't be had");
        }
        assert!(self.entries.len() > before, "{} takes neither an answer nor a skip", question.id);
    }

    fn sensible(&mut self, question: &Question) -> Option<String> {
        match &question.kind {
            QuestionKind::Acknowledge => Some("yes".to_owned()),
            QuestionKind::Reading(wanted) if self.supplies => self.read(wanted),
            QuestionKind::Reading(_) => None,
            QuestionKind::Wait(_) => {
                self.vehicle.pass(Minute::new(5.0));
                Some(self.vehicle.see_total().text)
            }
            QuestionKind::Choice(choices) => {
                let told = self.vehicle.answers(question.id.head).or_else(|| question.default.clone());
                told.or_else(|| choices.first().map(|(key, _)| key.clone()))
            }
            QuestionKind::Line => self.vehicle.answers(question.id.head).or_else(|| question.default.clone()),
        }
    }

    fn read(&mut self, wanted: &Proposed) -> Option<String> {
        let values = self.vehicle.measure(wanted.kind, &wanted.place(), wanted.running).ok()?;
        Some(values.iter().map(TypedSlot::text).collect::<Vec<_>>().join(" "))
    }

    /// Strikes an entry out, as the command does: only if the log adds up without it.
    fn strike(&mut self, choices: &mut Choices) {
        let target = 2 + choices.of(self.entries.len());
        let body = LogEvent::Strike { target, why: "typed in error".to_owned() };
        let mut entries = self.entries.clone();
        entries.push(Entry::new(self.now(), body.clone()));
        match fold(&entries) {
            Ok(_) => self.append(vec![body]),
            Err(faults) => assert!(!faults.0.is_empty()),
        }
    }

    /// Appends the entries of one answer as the program does: one that can't be written or does not add up is a fault
    /// of the hunt. What they add to the case is what the whole log adds up to.
    fn append(&mut self, bodies: Vec<LogEvent>) {
        for body in &bodies {
            match body {
                LogEvent::Disturb { .. } => self.vehicle.disturb(),
                LogEvent::Meter(profile) => self.vehicle.take_meter(profile),
                LogEvent::Answer { question, answer }
                    if question.plain() == Some(QuestionId::RepairWhat) && answer != "not-repaired" =>
                {
                    self.vehicle.repair();
                }
                _ => {}
            }
        }
        let new = Entry::step(self.now(), bodies, self.entries.len() + 1);
        let replay = Replay::new(self.entries.clone()).expect("added up before");
        let grown = replay.with(&new).unwrap_or_else(|faults| panic!("taken, but does not add up: {faults}"));
        for entry in new {
            let mut item = schema::write(&entry).unwrap_or_else(|fault| panic!("{fault}: {entry:?}"));
            let read = schema::read(&item).unwrap_or_else(|fault| panic!("{fault}: {item}"));
            assert_eq!(read, entry, "{item}");
            self.seal = seal::close(&self.seal, &mut item);
            self.text.push_str(&item);
            self.entries.push(entry);
        }
        self.case = fold(&self.entries).unwrap_or_else(|faults| panic!("{faults}"));
        assert_eq!(grown, self.case, "added one by one, the case is another one");
    }

    /// Leaves and comes back: the log gives the same entries and the same case, and the vehicle goes on from there.
    fn read_again(&mut self) {
        let held = contents::read(self.text.as_bytes()).unwrap_or_else(|why| panic!("{why:?}"));
        assert_eq!((held.edited.as_slice(), held.whole), ([].as_slice(), self.text.len()));
        assert_eq!((&held.entries, &held.seal), (&self.entries, &self.seal));
        let case = fold(&held.entries).unwrap_or_else(|faults| panic!("{faults}"));
        assert_eq!(case, self.case, "replayed, the case is another one");
        let map = fold(&held.entries[..1]).unwrap_or_else(|faults| panic!("{faults}")).map;
        let opened = &case.opened;
        let mut vehicle =
            Vehicle::new(&map, opened.practice.expect("practice")).with_meters(&opened.meter, &opened.clamp);
        for entry in &held.entries {
            vehicle.replay(&entry.body, self.clock.minutes(entry.at));
        }
        self.vehicle = vehicle;
    }

    /// Gives the nearest answer until the hunt ends.
    fn go_to_the_end(&mut self) {
        let mut asked = Vec::new();
        while let Ok(question) = self.step() {
            asked.push(question.id.to_string());
            assert!(asked.len() <= TO_THE_END, "no end; asked last: {:?}", &asked[asked.len() - 20..]);
            self.answer_sensibly(&question);
        }
    }

    fn assert_record(&self) {
        let source = RecordSource {
            entries: &self.entries,
            case: &self.case,
            seal: &self.seal,
            edited: &[],
            torn: None,
            redaction: Redaction(false),
        };
        let record = record::to_yaml(&source).expect("a record");
        assert!(!record.contains(".nan") && !record.contains(".inf"), "{record}");
    }
}

/// Returns any of the choices, or where there are none a word that many questions know.
fn other_choice(question: &Question, choices: &mut Choices) -> String {
    match &question.kind {
        QuestionKind::Choice(keys) => {
            keys.get(choices.of(keys.len())).map(|(key, _)| key.clone()).unwrap_or_default()
        }
        _ => choices
            .among(&["482 mA", "30 mA", "12.6 V", "11.2 V", "3 mV", "12 days", "flooded", "within"])
            .to_owned(),
    }
}
