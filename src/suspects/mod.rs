//! Who is to blame, and what to measure next.
