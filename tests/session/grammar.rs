//! What is typed makes the same entry wherever it is typed: as words of a command, at a prompt, as a piped line, in an
//! answers file, as a line or as a bare value where that reading is proposed; and every reading can be taken apart, put
//! together, written and read back.

use std::io::Cursor;

use fusetrail::cli::ask::Prompter;
use fusetrail::cli::ask::answers::Answers;
use fusetrail::cli::ask::lines::LinePrompter;
use fusetrail::cli::clock::Clock;
use fusetrail::cli::context::{Context, OutputFormat};
use fusetrail::cli::paint::Color;
use fusetrail::hunt::question::{Answer, Question};
use fusetrail::hunt::take;
use fusetrail::log::case::Case;
use fusetrail::log::entry::{Entry, LogEvent};
use fusetrail::log::question_id::QuestionId;
use fusetrail::log::replay::fold;
use fusetrail::log::schema;
use fusetrail::log::typed::{Proposed, entered_at, read, read_line};
use fusetrail::measure::Measurement;
use fusetrail::measure::kind::{MeasurementKind, SlotValue, TargetKind};
use proptest::prelude::*;

use crate::world::{at, first, minute};

fn case() -> Case {
    let zero = read(&fold(&[first()]).expect("sound"), &words("zero 0.02mV")).expect("a zero");
    let temperature = read(&fold(&[first()]).expect("sound"), &words("temp battery-top=60C")).expect("a box");
    let entries = [first()].into_iter().chain(zero.into_iter().chain(temperature).map(|body| at(1, body)));
    fold(&entries.collect::<Vec<_>>()).expect("sound")
}

fn words(line: &str) -> Vec<String> {
    line.split(' ').map(str::to_owned).collect()
}

/// Targets of a kind on the van of these tests: as typed, and as the map has the names.
fn targets(kind: MeasurementKind) -> Vec<(&'static str, Vec<&'static str>)> {
    match kind.row().target {
        TargetKind::Battery => vec![("", vec![])],
        TargetKind::BoxIfAny => vec![("", vec![]), ("cabin", vec!["cabin"])],
        TargetKind::Fuse => vec![("F12", vec!["F12"]), ("f13", vec!["F13"]), ("L1", vec!["L1"])],
        TargetKind::FuseOrLoad => vec![("F12", vec!["F12"]), ("f12/Audio unit", vec!["F12/audio unit"])],
        TargetKind::Place => vec![("L1", vec!["L1"]), ("Alternator", vec!["alternator"])],
        TargetKind::Load => vec![("F12/audio unit", vec!["F12", "audio unit"])],
        TargetKind::Input => vec![("selector in park", vec!["selector in Park"])],
        TargetKind::InputOrLoad => {
            vec![("selector in park", vec!["selector in Park"]), ("f12/Audio unit", vec!["F12/audio unit"])]
        }
    }
}

/// One of the ways in which a number is typed with its unit, or bare.
fn number(
    (kind, at_input): (MeasurementKind, bool),
    value: SlotValue,
    digits: u32,
    way: usize,
) -> Option<String> {
    let bare = match value {
        SlotValue::Number(bare) => bare,
        SlotValue::Word(_) if kind == MeasurementKind::Report => {
            let words: &[&str] = if at_input { &["open", "shut"] } else { &["awake", "asleep", "woke=N"] };
            return Some(words[digits as usize % words.len()].replace('N', &digits.to_string()));
        }
        SlotValue::Word(words) => {
            return Some(words[digits as usize % words.len()].replace("=N", &format!("={digits}")));
        }
        SlotValue::Flag(_) => return None,
    };
    let unit = bare.unit().replace('°', "");
    let number = format!("{}.{}", digits / 10, digits % 10);
    Some(match way % 4 {
        0 => number,
        1 => format!("{number}{unit}"),
        2 => format!("{number} {unit}"),
        _ => format!("{}{unit}", number.replace('.', ",")),
    })
}

#[test]
fn a_report_is_of_an_input_or_of_a_load_and_each_has_words_of_its_own() {
    let entered = |line: &str| {
        read(&case(), &words(line)).map(|bodies| match bodies.as_slice() {
            [LogEvent::Reading(measured)] => Some(measured.what.clone()),
            _ => None,
        })
    };
    let report = |of: &str, says: &str| Some(Measurement::Report { of: of.into(), says: says.into() });
    for (line, of, says) in [
        ("report Selector in Park OPEN", "selector in Park", "open"),
        ("report F12/audio unit asleep", "F12/audio unit", "asleep"),
        ("report audio unit woke=12", "F12/audio unit", "woke=12"),
    ] {
        assert_eq!(entered(line), Ok(report(of, says)), "{line}");
    }
    for line in [
        "report selector in Park awake",
        "report selector in Park woke=3",
        "report audio unit shut",
        "report audio unit woke=N",
        "report audio unit woke",
        "report audio unit woke=-1",
        "report nothing open",
        "report audio unit",
    ] {
        assert!(entered(line).is_err(), "{line}");
    }
}

/// The entries of one answer or command as the log has them, but for the seal.
fn written(entries: Vec<LogEvent>) -> String {
    let entries = Entry::step(minute(2), entries, 4);
    entries.iter().map(|entry| schema::write(entry).expect("written")).collect()
}

/// What somebody answers where a reading is proposed: at a prompt, as a piped line, in an answers file.
fn answered(case: &Case, question: &Question, text: &str) -> [String; 3] {
    let context = || Context::new(OutputFormat::Text, Color::Never, Clock::Wall);
    let line = Cursor::new(format!("{text}\n"));
    let mut lines = LinePrompter::new(context(), line, false).expect("a thread");
    let file = format!("{}: \"{text}\"\n", question.id);
    let mut answers = Answers::read(context(), "answers.yaml", &file).expect("an answers file");
    let each =
        [text.to_owned(), lines.ask(question).expect("a line"), answers.ask(question).expect("an answer")];
    each.map(|typed| written(take(case, question, &Answer::read(&typed, question), minute(2)).entries))
}

/// A reading with any values: its words, its values alone, and where it is proposed.
#[derive(Debug, Clone)]
struct AnyReading {
    kind: MeasurementKind,
    words: Vec<String>,
    values: String,
    proposed: Proposed,
}

fn any_reading() -> impl Strategy<Value = AnyReading> {
    let kinds = MeasurementKind::typed().collect::<Vec<_>>();
    let (digits, ways) = (prop::array::uniform3(1u32..999), prop::array::uniform3(0usize..4));
    (prop::sample::select(kinds), 0usize..3, digits, ways).prop_map(|(kind, target, digits, ways)| {
        let row = kind.row();
        let all = targets(kind);
        let (typed, names) = &all[target % all.len()];
        let given = digits.into_iter().zip(ways);
        // What is reported of an input and of a load differs.
        let of = (kind, !typed.contains('/'));
        let values = row
            .slots
            .iter()
            .zip(given)
            .filter_map(|(slot, (digits, way))| number(of, slot.value, digits, way));
        let values: Vec<String> = values.collect();
        let words = [&[row.word.to_owned(), (*typed).to_owned()][..], &values].concat();
        let names = names.iter().map(|name| (*name).to_owned()).collect();
        AnyReading {
            kind,
            words: words.into_iter().filter(|part| !part.is_empty()).collect(),
            values: values.join(" "),
            proposed: Proposed {
                kind,
                names,
                as_found: false,
                after_repair: false,
                running: false,
                beside: None,
                round: vec![],
                listed: vec![],
            },
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn command_prompt_piped_line_and_answers_file_write_the_same_bytes(reading in any_reading()) {
        let case = case();
        let AnyReading { words, values, proposed, .. } = reading;
        let added = written(entered_at(&case, minute(2), read(&case, &words).expect("a reading")));
        let question = Question::of(QuestionId::TrailReading).reading(proposed);
        for text in [words.join(" "), values] {
            prop_assert_eq!(answered(&case, &question, &text), [(); 3].map(|()| added.clone()), "{}", text);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_reading_is_the_same_entry_wherever_it_is_typed(reading in any_reading()) {
        let case = case();
        let AnyReading { kind, words, values, proposed } = reading;
        let as_command = read(&case, &words).expect("a reading");
        let as_line = read_line(&case, &words.join(" "), None).expect("a reading");
        prop_assert_eq!(&as_command, &as_line);
        let as_value = read_line(&case, &values, Some(&proposed)).expect("a reading");
        prop_assert_eq!(&as_command, &as_value);
        for body in as_command {
            let entry = at(2, body.clone());
            let text = schema::write(&entry).expect("written");
            prop_assert_eq!(&schema::read(&text).expect("read back").body, &body);
            if let LogEvent::Reading(measured) = body {
                let parts = measured.what.parts();
                prop_assert_eq!(parts.kind, kind);
                prop_assert_eq!(Measurement::build(parts), Some(measured.what.clone()));
            }
        }
    }
}

#[test]
fn a_drop_takes_the_temperature_of_its_own_fuses_box() {
    let case = case();
    let temperature = |line: &str| match read_line(&case, line, None).expect("a drop").as_slice() {
        [LogEvent::Reading(measured)] => measured.temperature.map(fusetrail::base::quantity::Unit::base),
        other => panic!("{other:?}"),
    };
    assert_eq!(temperature("F13 3.0mV"), Some(20.0), "68 °F in the cabin, whatever was noted last elsewhere");
    assert_eq!(temperature("drop L1 3.0mV"), Some(60.0));
}

#[test]
fn a_bare_number_has_one_meaning_and_wrong_counts_and_units_are_refused_with_the_form() {
    let case = case();
    let current = |line: &str| match read_line(&case, line, None).expect("a step").as_slice() {
        [LogEvent::Reading(measured)] => match &measured.what {
            Measurement::Step { current, .. } => current.value.milli(),
            other => panic!("{other:?}"),
        },
        other => panic!("{other:?}"),
    };
    assert!((current("step F12 3.0 10.6 1.02") - 1020.0).abs() < 1e-9);
    assert!((current("step F12 3.0mV 10.6mV 1020mA") - 1020.0).abs() < 1e-9);
    for line in ["pull F12 482", "pull F12 1 2 3", "total", "clamp L1", "drop F12 3mA", "input selector 1 2"]
    {
        let said = read_line(&case, line, None).expect_err("refused").to_string();
        assert!(
            said.contains("expected") || said.contains("did you mean") || said.contains("there are"),
            "{line}: {said}"
        );
    }
}
