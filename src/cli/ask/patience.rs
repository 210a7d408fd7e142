//! How often one and the same question is answered without getting on before that is called endless.
//! Leaves to others: whose answers they are (`answers`, `lines`).

use super::lacking;
use crate::base::diagnostic::Diagnostic;
use crate::hunt::question::Question;
use crate::text::fault::answer as fault;

/// Counts answers in a row to one and the same question.
#[derive(Debug)]
pub struct Patience {
    most: usize,
    /// True if other answers to the question count too.
    any: bool,
    last: Option<(Question, String)>,
    times: usize,
}

impl Patience {
    /// Has patience until one answer was given so often to one question.
    pub fn with_one_answer(most: usize) -> Self {
        Self { most, any: false, last: None, times: 0 }
    }

    /// Has patience until one question was answered so often, in whatever way.
    pub fn with_any_answers(most: usize) -> Self {
        Self { any: true, ..Self::with_one_answer(most) }
    }

    /// Hears that a question is being answered.
    ///
    /// # Errors
    /// It was answered so often in a row that this will not be accepted either.
    pub fn hear(&mut self, question: &Question, answer: &str) -> Result<(), Diagnostic> {
        let same = |(asked, told): &(Question, String)| asked == question && (self.any || told == answer);
        self.times = if self.last.as_ref().is_some_and(same) { self.times + 1 } else { 1 };
        self.last = Some((question.clone(), answer.to_owned()));
        if self.times < self.most {
            return Ok(());
        }
        Err(fault::never_accepted(answer, &question.id, self.times).expected(lacking(question)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::ask::tests::question;
    use crate::hunt::question::QuestionKind;

    #[test]
    fn patience_ends_at_one_question_and_begins_anew_at_the_next() {
        let (a, b) = (question("a", QuestionKind::Line), question("b", QuestionKind::Line));
        let mut one = Patience::with_one_answer(3);
        let heard: Vec<bool> = [(&a, "x"), (&a, "x"), (&a, "y"), (&a, "x"), (&b, "x"), (&b, "x"), (&b, "x")]
            .map(|(question, answer)| one.hear(question, answer).is_ok())
            .to_vec();
        assert_eq!(heard, [true, true, true, true, true, true, false]);
        let mut any = Patience::with_any_answers(3);
        assert!(any.hear(&a, "x").is_ok() && any.hear(&a, "y").is_ok());
        let fault = any.hear(&a, "z").expect_err("enough");
        assert!(fault.what.contains("\"z\"") && fault.what.contains("after 3 tries"), "{fault}");
    }
}
