//! Answers from a file: a YAML mapping from question id to an answer, or to a list of answers used in turn.
//! An id may hold `*` for any text, as in `caution.*`; the more exact id counts first. A list that has run out
//! gives way to the next pattern that fits, then to the default of the question.
//! Leaves to others: what an answer means (`hunt`).

use std::cell::Cell;

use super::patience::Patience;
use super::{OnEnter, Pace, PromptStop, Prompter, Put, put};
use crate::base::caps::{ANSWER, ANSWER_IDS, ANSWERS, TOLD};
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::styled::{Role, StyledText};
use crate::base::yaml::{self, Mapping, Value};
use crate::cli::context::Context;
use crate::cli::signal;
use crate::cli::wait::status;
use crate::hunt::question::{Question, Wait};
use crate::text::ask::bench;
use crate::text::fault::answer as fault;

/// How often one answer may be given to one and the same question before it is clear that it is not accepted.
const PATIENCE: usize = 3;

/// The answers of one id.
#[derive(Debug, Clone)]
struct Rule {
    pattern: String,
    answers: Vec<String>,
    /// True if the one answer serves every time.
    again: bool,
    used: usize,
    matched: Cell<bool>,
}

/// The answers file.
#[derive(Debug)]
pub struct Answers {
    context: Context,
    file: String,
    /// The more exact first.
    rules: Vec<Rule>,
    patience: Patience,
    /// What stood above the last wait: said once, not at each reading.
    head: Vec<StyledText>,
}

impl Answers {
    /// Reads the text of an answers file.
    ///
    /// # Errors
    /// Not a YAML mapping, or answers that are not texts: all of them at once.
    pub fn read(context: Context, file: &str, text: &str) -> Result<Self, Faults> {
        let mapping: Mapping = yaml::read(text).map_err(|wrong| wrong.in_file(file).remedy(fault::LINES))?;
        within(mapping.len(), ANSWER_IDS, "question ids").map_err(|fault| fault.in_file(file))?;
        let mut faults = Vec::new();
        let mut rules: Vec<Rule> = Vec::new();
        for (key, value) in &mapping {
            match rule(key, value) {
                Ok(rule) => rules.push(rule),
                Err(fault) => faults.push(fault.in_file(file)),
            }
        }
        if !faults.is_empty() {
            let more = faults.len().saturating_sub(TOLD);
            faults.truncate(TOLD);
            faults.extend((more > 0).then(|| fault::further(more).in_file(file)));
            return Err(Faults(faults));
        }
        let answers = rules.iter().map(|rule| rule.answers.len()).sum();
        within(answers, ANSWERS, "answers").map_err(|fault| fault.in_file(file))?;
        rules.sort_by_cached_key(|rule| {
            let stars = rule.pattern.matches('*').count();
            (stars > 0, std::cmp::Reverse(rule.pattern.chars().count() - stars))
        });
        Ok(Self {
            context,
            file: file.to_owned(),
            rules,
            patience: Patience::with_one_answer(PATIENCE),
            head: Vec::new(),
        })
    }

    fn answer(&mut self, question: &Question) -> Result<String, PromptStop> {
        if signal::stopped() {
            return Err(PromptStop::Interrupted);
        }
        let mut found = None;
        let id = question.id.to_string();
        for rule in self.rules.iter_mut().filter(|rule| fits(&rule.pattern, &id)) {
            rule.matched.set(true);
            let at = if rule.again { 0 } else { rule.used };
            if let Some(answer) = rule.answers.get(at) {
                rule.used += 1;
                found = Some(answer.clone());
                break;
            }
        }
        let answer = match (found, &question.default) {
            (Some(answer), _) => answer,
            (None, Some(_)) => String::new(),
            (None, None) => return Err(PromptStop::Refused(self.missing(question))),
        };
        // An answer that leads to the very same question again was not accepted.
        self.patience
            .hear(question, &answer)
            .map_err(|fault| PromptStop::Refused(fault.in_file(&self.file)))?;
        Ok(answer)
    }

    fn tell(&self, question: &Question, answer: &str) {
        let Put { mut lines, label } = put(question, self.context.width());
        lines.push(StyledText::plain(label).and(Role::Plain, " ").and(Role::Value, answer));
        self.context.talk(&lines);
    }

    fn missing(&self, question: &Question) -> Diagnostic {
        fault::none_left(&question.id, &question.prompt)
            .expected(super::lacking(question))
            .in_file(&self.file)
    }
}

/// Refuses more than are taken.
fn within(count: usize, cap: usize, what: &str) -> Result<(), Diagnostic> {
    if count <= cap {
        return Ok(());
    }
    Err(Diagnostic::new(format!("{what}: {count}")).expected(format!("at most {cap}")))
}

fn rule(key: &Value, value: &Value) -> Result<Rule, Diagnostic> {
    let pattern = key.as_str().ok_or_else(fault::odd_id)?;
    within(pattern.chars().count(), ANSWER, fault::OF_AN_ID)?;
    let (answers, again) = match value {
        Value::Sequence(items) => (items.iter().map(text).collect::<Result<_, _>>(), false),
        one => (text(one).map(|answer| vec![answer]), true),
    };
    let answers = answers.map_err(|fault| fault.in_field(pattern))?;
    Ok(Rule { pattern: pattern.to_owned(), answers, again, used: 0, matched: Cell::new(false) })
}

/// Returns an answer as text. A number with decimals would lose its last zeros, which say how finely the meter
/// reads, so it must be written as a text.
fn text(value: &Value) -> Result<String, Diagnostic> {
    match value {
        Value::Null => Ok(String::new()),
        Value::Bool(yes) => Ok(if *yes { "yes" } else { "no" }.to_owned()),
        Value::String(text) => {
            within(text.chars().count(), ANSWER, "characters of an answer")?;
            Ok(text.trim().to_owned())
        }
        Value::Number(number) if number.is_i64() || number.is_u64() => Ok(number.to_string()),
        Value::Number(number) => Err(fault::bare_number(number)),
        _ => Err(fault::no_text()),
    }
}

/// Returns true if an id fits a pattern in which `*` stands for any text. The parts between the stars are looked for
/// one after the other, each as early as it stands: the time grows with the lengths, not with the number of ways.
fn fits(pattern: &str, id: &str) -> bool {
    let Some((head, tail)) = pattern.split_once('*') else { return pattern == id };
    let Some(mut rest) = id.strip_prefix(head) else { return false };
    let (middle, end) = tail.rsplit_once('*').unwrap_or(("", tail));
    for part in middle.split('*') {
        let Some(at) = rest.find(part) else { return false };
        rest = rest.get(at + part.len()..).unwrap_or_default();
    }
    rest.ends_with(end)
}

impl Prompter for Answers {
    fn show(&mut self, lines: &[StyledText]) {
        self.context.show(lines);
    }

    fn ask_or(&mut self, question: &Question, on_enter: OnEnter) -> Result<String, PromptStop> {
        let answer = self.answer(question)?;
        let answer = if answer.is_empty() { on_enter().unwrap_or_default() } else { answer };
        let shown = if answer.is_empty() { question.default.as_deref().unwrap_or("") } else { &answer };
        self.tell(question, shown);
        Ok(answer)
    }

    fn wait(&mut self, question: &Question, wait: &Wait, pace: &mut dyn Pace) -> Result<String, PromptStop> {
        if self.head != wait.head {
            self.head.clone_from(&wait.head);
            self.context.talk(&wait.head);
        }
        if !wait.readings.is_empty() {
            self.context.talk(&[status(wait, pace.now())]);
        }
        let answer = self.answer(question)?;
        let answer = if answer.is_empty() { pace.on_enter().unwrap_or_default() } else { answer };
        self.tell(question, &answer);
        Ok(answer)
    }

    fn farewell(&self, _done: bool) -> Vec<StyledText> {
        let idle: Vec<&str> =
            self.rules.iter().filter(|rule| !rule.matched.get()).map(|rule| rule.pattern.as_str()).collect();
        if idle.is_empty() {
            return Vec::new();
        }
        vec![bench::idle(&self.file, &idle.join(", "))]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::ask::tests::question;
    use crate::cli::clock::Clock;
    use crate::cli::context::OutputFormat;
    use crate::cli::paint::Color;
    use crate::hunt::question::QuestionKind;

    fn answers(text: &str) -> Result<Answers, Faults> {
        Answers::read(Context::new(OutputFormat::Text, Color::Never, Clock::Wall), "answers.yaml", text)
    }

    #[test]
    fn the_more_exact_id_counts_first_and_lists_run_out() {
        let mut front = answers("\"*\": skip\ncaution.*: yes\ncaution.acid: [\"no\", back]\n").expect("read");
        let mut ask = |id: &str| front.ask(&question(id, QuestionKind::Line)).expect("an answer");
        assert_eq!([ask("caution.acid"), ask("caution.acid"), ask("caution.acid")], ["no", "back", "yes"]);
        assert_eq!([ask("caution.keys"), ask("battery.volts")], ["yes", "skip"]);
    }

    #[test]
    fn without_an_answer_the_default_serves_and_without_that_the_id_is_named() {
        let mut front = answers("a: 1\n").expect("read");
        let with_default =
            Question { default: Some("20 C".into()), ..question("temperature", QuestionKind::Line) };
        assert_eq!(front.ask(&with_default), Ok(String::new()));
        let Err(PromptStop::Refused(fault)) = front.ask(&question("battery.volts", QuestionKind::Line))
        else {
            panic!("must be refused")
        };
        assert!(fault.to_string().contains("battery.volts"), "{fault}");
        assert!(front.farewell(true)[0].text().contains("met no question: a"));
    }

    #[test]
    fn an_answer_that_is_never_accepted_does_not_go_on_for_ever() {
        let mut front = answers("a: nonsense\n").expect("read");
        let results: Vec<_> = (0..PATIENCE).map(|_| front.ask(&question("a", QuestionKind::Line))).collect();
        assert!(results[0].is_ok() && matches!(results[PATIENCE - 1], Err(PromptStop::Refused(_))));
    }

    #[test]
    fn digits_that_yaml_would_drop_are_refused_all_at_once() {
        let faults = answers("a: 3.0\nb: {c: d}\n3: x\n").expect_err("refused");
        assert_eq!(faults.0.len(), 3, "{faults}");
        assert!(answers("- a\n").is_err() && answers("a: 3.0 mV\nb: 7\nc: true\nd:\n").is_ok());
    }

    #[test]
    fn stars_stand_for_any_text() {
        assert!(
            fits("caution.*", "caution.")
                && fits("*", "")
                && fits("a*c*", "abcd")
                && fits("*.volts", "battery.volts")
        );
        assert!(!fits("caution.*", "caution") && !fits("a*c", "abcd") && !fits("é*", "e"));
        assert!(fits("a*b*a", "aba") && !fits("a*a", "a") && !fits("ab*ba", "aba") && fits("**", "x"));
    }

    #[test]
    fn a_pattern_of_very_many_stars_is_held_against_an_id_at_once() {
        let id = "a".repeat(60);
        assert!(!fits(&("*a".repeat(40) + "*b"), &id) && fits(&"*a".repeat(40), &id));
        assert!(!fits(&"*a".repeat(900), &id));
    }

    #[test]
    fn more_than_is_taken_is_refused_with_the_cap_and_the_figure() {
        let many: String = (0..=ANSWER_IDS).map(|i| format!("q{i}: x\n")).collect();
        let list = format!("q: [{}]\n", "x,".repeat(ANSWERS + 1));
        for (text, due) in [
            (many, "question ids: 2001; expected at most 2000"),
            (list, "answers: 20001; expected at most 20000"),
            (format!("q: {}\n", "x".repeat(3000)), "characters of an answer: 3000"),
            (format!("\"{}\": x\n", "*".repeat(900)), ""),
        ] {
            match answers(&text) {
                Err(faults) => assert!(!due.is_empty() && faults.to_string().contains(due), "{faults}"),
                Ok(_) => assert!(due.is_empty(), "{due}"),
            }
        }
    }
}
