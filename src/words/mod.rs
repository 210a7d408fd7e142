//! Conclusions in words: what a reading meant, where the total goes, who is suspect and why.
