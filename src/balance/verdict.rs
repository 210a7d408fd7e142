//! The verdict on the settled draw against a limit, by the decision rule of JCGM 106:2012 (7.3, one-sided 95 %).
//! Leaves to others: which limit applies (`circuit/limits`, `hunt`).

use super::assumptions::ONE_SIDED_95;
use crate::base::numeric::density::normal_below;
use crate::base::quantity::{Ampere, Uncertain, Unit};

/// What the readings say about the draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrawVerdict {
    /// At or below the limit with at least 95 % confidence.
    Within,
    /// At or above the limit with at least 95 % confidence.
    Over,
    /// Neither: the readings don't carry a verdict.
    Undecided,
}

impl DrawVerdict {
    /// Returns the word used in text and JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Over => "over",
            Self::Undecided => "undecided",
        }
    }
}

/// Judges a draw: `Over` if y − 1.645 u ≥ T, `Within` if y + 1.645 u ≤ T, else `Undecided`.
pub fn judge(draw: &Uncertain<Ampere>, limit: Ampere) -> DrawVerdict {
    let guard = draw.u() * ONE_SIDED_95;
    if draw.value() - guard >= limit {
        DrawVerdict::Over
    } else if draw.value() + guard <= limit {
        DrawVerdict::Within
    } else {
        DrawVerdict::Undecided
    }
}

/// Judges a night by its level at rest and its average: over if either is, within only if both are. Without a rest it is
/// never within.
pub fn judge_night(
    level: Option<&Uncertain<Ampere>>,
    average: Option<&Uncertain<Ampere>>,
    limit: Ampere,
) -> DrawVerdict {
    let judged = [level, average].map(|draw| draw.map(|draw| judge(draw, limit)));
    if judged.contains(&Some(DrawVerdict::Over)) {
        DrawVerdict::Over
    } else if judged.iter().all(|one| *one == Some(DrawVerdict::Within)) {
        DrawVerdict::Within
    } else {
        DrawVerdict::Undecided
    }
}

/// Returns the probability that the true draw is within the limit (JCGM 106:2012, 7.2.2).
pub fn conformance(draw: &Uncertain<Ampere>, limit: Ampere) -> f64 {
    normal_below((limit - draw.value()).base() / draw.u().base().max(f64::MIN_POSITIVE))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rest_and_average_both_count() {
        let draw = |y: f64| Uncertain::new(Ampere::new(y), Ampere::new(1.0));
        let night = |level: Option<f64>, average: f64| {
            judge_night(level.map(draw).as_ref(), Some(&draw(average)), Ampere::new(50.0))
        };
        assert_eq!(night(Some(24.0), 40.0), DrawVerdict::Within);
        assert_eq!(night(Some(24.0), 136.0), DrawVerdict::Over);
        assert_eq!(night(Some(60.0), 40.0), DrawVerdict::Over);
        assert_eq!(night(Some(24.0), 50.0), DrawVerdict::Undecided);
        assert_eq!(night(None, 40.0), DrawVerdict::Undecided);
        assert_eq!(judge_night(Some(&draw(24.0)), None, Ampere::new(50.0)), DrawVerdict::Undecided);
    }

    /// Limit 50, u 3: acceptance up to 45.065, rejection from 54.935 (JCGM 106:2012, 8.3.2, one-sided guard band).
    #[test]
    fn the_guard_band_decides() {
        let judge = |y: f64| judge(&Uncertain::new(Ampere::new(y), Ampere::new(3.0)), Ampere::new(50.0));
        let cases = [
            (57.0, DrawVerdict::Over),
            (55.5, DrawVerdict::Over),
            (54.0, DrawVerdict::Undecided),
            (46.0, DrawVerdict::Undecided),
            (44.5, DrawVerdict::Within),
            (44.0, DrawVerdict::Within),
        ];
        for (draw, verdict) in cases {
            assert_eq!(judge(draw), verdict, "{draw}");
        }
        let p = conformance(&Uncertain::new(Ampere::new(50.0), Ampere::new(3.0)), Ampere::new(50.0));
        assert!((p - 0.5).abs() < 1e-12);
    }
}
