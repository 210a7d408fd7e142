//! Puts stamps in order as they come: doubled ones are spread, single ones that run backward are left out, a clock
//! that was set back is carried on, a stamp far ahead of all that follow is left out.
//! Leaves to others: reading the stamps (`stamp`), gaps (`samples`).

/// What was done to the stamps.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TimestampRepairs {
    /// Samples whose stamp was the same as the one before.
    pub doubled: usize,
    /// Rows left out because their stamp did not fit between its neighbours.
    pub left_out: usize,
    /// Line of the first of them.
    pub first_left_out: Option<usize>,
    /// Times that the clock was set back.
    pub set_back: usize,
    /// Line after which the clock was first set back.
    pub first_set_back: Option<usize>,
}

/// A sample that has not found its place yet.
#[derive(Debug, Clone, Copy)]
struct Waiting {
    time: f64,
    value: f64,
    line: usize,
}

/// So many rows in sequence behind the time so far mean that the clock was set back.
const SET_BACK: usize = 4;

/// The samples so far, in order.
#[derive(Debug, Default)]
pub struct Order {
    /// Seconds since the first sample.
    times: Vec<f64>,
    values: Vec<f64>,
    origin: Option<f64>,
    /// Line of the last sample taken.
    line: usize,
    /// Index of the first of the samples that share the last stamp.
    same: usize,
    /// Last distance of two stamps that were apart, in seconds.
    distance: f64,
    /// Seconds added to each stamp since the clock was set back.
    shift: f64,
    waiting: Vec<Waiting>,
    mended: TimestampRepairs,
}

impl Order {
    /// Takes a sample: seconds of any clock, a value, and the line that it stands on.
    pub fn take(&mut self, time: f64, value: f64, line: usize) {
        let time = time - *self.origin.get_or_insert(time) + self.shift;
        match self.times.last() {
            Some(last) if time < *last => {
                self.waiting.push(Waiting { time, value, line });
                if self.waiting.len() == SET_BACK {
                    self.judge_waiting();
                }
            }
            _ => {
                if !self.waiting.is_empty() {
                    self.leave_out_waiting();
                }
                self.append(time, value, line);
            }
        }
    }

    fn append(&mut self, time: f64, value: f64, line: usize) {
        match self.times.last() {
            Some(last) if time > *last => {
                let distance = time - last;
                self.spread(distance);
                self.distance = distance;
                self.same = self.times.len();
            }
            Some(_) => self.mended.doubled += 1,
            None => {}
        }
        self.times.push(time);
        self.values.push(value);
        self.line = line;
    }

    /// Spreads the samples that share the last stamp evenly, over `distance` or the distance before if that is less:
    /// what follows may be a gap.
    fn spread(&mut self, distance: f64) {
        let count = self.times.len() - self.same;
        if count < 2 {
            return;
        }
        let room = if self.distance > 0.0 { distance.min(self.distance) } else { distance };
        for (at, time) in self.times.iter_mut().skip(self.same).enumerate() {
            *time += room * at as f64 / count as f64;
        }
    }

    /// Decides about a sequence of rows that lie behind the time so far.
    fn judge_waiting(&mut self) {
        let rising = self.waiting.is_sorted_by(|a, b| a.time <= b.time);
        let Some(first) = self.waiting.first().copied() else { return };
        if !rising {
            self.waiting.remove(0);
            self.leave_out(first.line, 1);
            return;
        }
        let before_last = self.times.len().checked_sub(2).and_then(|at| self.times.get(at)).copied();
        if before_last.is_some_and(|before| self.same == self.times.len() - 1 && before <= first.time) {
            // One stamp was far ahead, the others follow on from the one before it.
            self.times.pop();
            self.values.pop();
            self.leave_out(self.line, 1);
            self.same = self.times.len() - 1;
            self.distance = 0.0;
        } else {
            let last = self.times.last().copied().unwrap_or(0.0);
            let behind = last + self.distance - first.time;
            self.shift += behind;
            self.mended.set_back += 1;
            self.mended.first_set_back.get_or_insert(self.line);
            for waiting in &mut self.waiting {
                waiting.time += behind;
            }
        }
        for Waiting { time, value, line } in std::mem::take(&mut self.waiting) {
            self.append(time, value, line);
        }
    }

    fn leave_out_waiting(&mut self) {
        if let Some(first) = self.waiting.first().copied() {
            self.leave_out(first.line, self.waiting.len());
            self.waiting.clear();
        }
    }

    fn leave_out(&mut self, line: usize, count: usize) {
        self.mended.left_out += count;
        let first = self.mended.first_left_out.get_or_insert(line);
        *first = line.min(*first);
    }

    /// Returns seconds since the first sample, values, and what was done.
    pub fn finish(mut self) -> (Vec<f64>, Vec<f64>, TimestampRepairs) {
        self.leave_out_waiting();
        self.spread(if self.distance > 0.0 { self.distance } else { 0.0 });
        (self.times, self.values, self.mended)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn order(stamps: &[f64]) -> (Vec<f64>, TimestampRepairs) {
        let mut order = Order::default();
        for (line, stamp) in stamps.iter().enumerate() {
            order.take(*stamp, 1.0, line + 1);
        }
        let (times, values, mended) = order.finish();
        assert_eq!(times.len(), values.len());
        assert!(times.is_sorted(), "{times:?}");
        (times, mended)
    }

    #[test]
    fn doubled_stamps_are_spread_but_not_into_a_gap() {
        let (times, mended) = order(&[100.0, 100.0, 101.0, 101.0, 500.0, 500.0]);
        assert_eq!(times, [0.0, 0.5, 1.0, 1.5, 400.0, 599.5]);
        assert_eq!(mended, TimestampRepairs { doubled: 3, ..TimestampRepairs::default() });
    }

    #[test]
    fn a_single_stamp_behind_or_far_ahead_is_left_out() {
        let (times, mended) = order(&[0.0, 1.0, 2.0, 1.0, 3.0, 4.0]);
        assert_eq!(times, [0.0, 1.0, 2.0, 3.0, 4.0]);
        assert_eq!((mended.left_out, mended.first_left_out), (1, Some(4)));
        let (times, mended) = order(&[0.0, 1.0, 9e9, 2.0, 3.0, 4.0, 5.0, 6.0]);
        assert_eq!(times, [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]);
        assert_eq!((mended.left_out, mended.first_left_out), (1, Some(3)));
    }

    #[test]
    fn a_clock_that_was_set_back_runs_on() {
        let (times, mended) = order(&[3600.0, 3601.0, 3602.0, 3.0, 4.0, 5.0, 6.0, 7.0]);
        assert_eq!(times, [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]);
        assert_eq!((mended.set_back, mended.first_set_back, mended.left_out), (1, Some(3), 0));
    }
}
