//! A bench for worked cases: an invented map, lines as a technician types them, and what they lead to.

use chrono::{DateTime, Duration, FixedOffset};
use fusetrail::base::styled::StyledText;
use fusetrail::circuit::meters;
use fusetrail::hunt::analysis::Analysis;
use fusetrail::hunt::question::{Answer, Question, QuestionKind};
use fusetrail::hunt::{NextStep, next, take};
use fusetrail::log::case::Case;
use fusetrail::log::entry::{Entry, LogEvent, Opened};
use fusetrail::log::replay::fold;
use fusetrail::log::typed::{entered_at, read_line};
use fusetrail::measure::observation::Panel;
use fusetrail::render::record::{self, RecordSource};
use fusetrail::render::redact::Redaction;

/// A hunt in memory.
#[derive(Clone)]
pub struct Bench {
    entries: Vec<Entry>,
    now: DateTime<FixedOffset>,
}

impl Bench {
    /// Opens a hunt on a map.
    pub fn on(map: &str) -> Self {
        Self::with_clamp(map, "clamp-1ma")
    }

    /// Opens a hunt on a map, with one of the built-in clamps.
    pub fn with_clamp(map: &str, clamp: &str) -> Self {
        let now = DateTime::parse_from_rfc3339("2026-01-12T07:00:00+01:00").expect("a time");
        let opened = Opened {
            program: "test".into(),
            tables: "test".into(),
            map: map.into(),
            meter: meters::find("tenth-mv", true).expect("built in"),
            clamp: meters::find(clamp, false).expect("built in"),
            temperatures: vec![],
            limit: None,
            reserve: None,
            practice: None,
        };
        Self { entries: vec![Entry::new(now, LogEvent::Open(Box::new(opened)))], now }
    }

    /// Returns the case so far.
    pub fn case(&self) -> Case {
        fold(&self.entries).unwrap_or_else(|faults| panic!("{faults}"))
    }

    /// Enters a line as it is typed at a reading question. After an input the modules had their time to sleep.
    pub fn enter(&mut self, line: &str) -> &mut Self {
        if line.starts_with("input ") {
            self.wait(60);
        }
        let bodies = read_line(&self.case(), line, None).unwrap_or_else(|fault| panic!("{line}: {fault}"));
        self.push(bodies);
        self
    }

    /// Adds a line as the command does.
    pub fn add(&mut self, line: &str) -> &mut Self {
        let case = self.case();
        let bodies = read_line(&case, line, None).unwrap_or_else(|fault| panic!("{line}: {fault}"));
        self.push(entered_at(&case, self.now + Duration::minutes(1), bodies));
        self
    }

    /// Enters events as a command does.
    pub fn enter_events(&mut self, bodies: Vec<LogEvent>) {
        self.push(bodies);
    }

    fn push(&mut self, bodies: Vec<LogEvent>) {
        self.now += Duration::minutes(1);
        let first = self.entries.len() + 1;
        self.entries.extend(Entry::step(self.now, bodies.into_iter().collect(), first));
    }

    /// Returns what the readings say.
    pub fn analysis(&self) -> std::rc::Rc<Analysis> {
        Analysis::of(&self.case())
    }

    /// Returns the map as the engine sees it.
    pub fn panel(&self) -> Panel {
        Panel::new(self.case().map)
    }

    /// Returns the question that is open, or why the hunt has ended.
    pub fn open(&self) -> Result<Question, String> {
        match next(&self.case(), self.now).next {
            NextStep::Ask(question) => Ok(question),
            NextStep::Done { why } => Err(why),
        }
    }

    /// Answers the open question, which must have this id.
    pub fn answer(&mut self, id: &str, text: &str) -> &mut Self {
        let question = self.open().unwrap_or_else(|why| panic!("{id} is not asked: {why}"));
        assert_eq!(question.id.to_string(), id);
        let taken = take(&self.case(), &question, &Answer::read(text, &question), self.now);
        assert!(!taken.entries.is_empty(), "{id}: {text} was refused: {:?}", taken.say);
        self.push(taken.entries);
        self
    }

    /// Returns the time on the bench.
    pub fn now(&self) -> DateTime<FixedOffset> {
        self.now
    }

    /// Lets minutes go by.
    pub fn wait(&mut self, minutes: i64) -> &mut Self {
        self.now += Duration::minutes(minutes);
        self
    }

    /// Returns what is said when the open question is answered so; nothing is entered.
    pub fn says(&self, id: &str, text: &str) -> String {
        let question = self.open().unwrap_or_else(|why| panic!("{id} is not asked: {why}"));
        assert_eq!(question.id.to_string(), id);
        let taken = take(&self.case(), &question, &Answer::read(text, &question), self.now);
        taken.say.iter().map(StyledText::text).collect::<Vec<_>>().join("\n")
    }

    /// Returns the record as text.
    pub fn record(&self) -> String {
        let case = self.case();
        let source = RecordSource {
            entries: &self.entries,
            case: &case,
            seal: "",
            edited: &[],
            torn: None,
            redaction: Redaction(false),
        };
        record::to_yaml(&source).expect("a record")
    }

    /// Answers the open question, which must refuse it.
    pub fn refuse(&self, id: &str, text: &str) {
        let question = self.open().unwrap_or_else(|why| panic!("{id} is not asked: {why}"));
        assert_eq!(question.id.to_string(), id);
        let taken = take(&self.case(), &question, &Answer::read(text, &question), self.now);
        assert!(taken.entries.is_empty(), "{text} was taken");
    }

    /// Types one total every five minutes until the wait with this id is over.
    pub fn wait_until_flat(&mut self, id: &str, total: &str) -> &mut Self {
        for _ in 0..60 {
            if self.open().is_ok_and(|question| question.id.to_string() != id) {
                return self;
            }
            self.wait(4).answer(id, total);
        }
        panic!("{id} never ends");
    }

    /// Answers questions with their defaults, or these answers by id, until one of the last id is open.
    pub fn until(&mut self, id: &str, answers: &[(&str, &str)]) -> &mut Self {
        for _ in 0..60 {
            match self.open() {
                Ok(question) if question.id.to_string() == id => return self,
                Ok(question) => {
                    let given = answers
                        .iter()
                        .find(|(known, _)| *known == question.id.to_string())
                        .map(|(_, text)| *text);
                    let text = given.unwrap_or(match &question.kind {
                        QuestionKind::Acknowledge => "yes",
                        _ if question.default.is_some() => "",
                        _ => "skip not for this case",
                    });
                    self.answer(&question.id.to_string(), text);
                }
                Err(why) => panic!("ended before {id}: {why}"),
            }
        }
        panic!("{id} is never asked; open is {:?}", self.open().map(|question| question.id));
    }
}
