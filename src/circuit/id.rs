//! Positions in the lists of a circuit map, a type for each list, and the list that takes its own positions only.
//! Leaves to others: what stands in the lists (`map`, `tree`).
//!
//! ```
//! use fusetrail::circuit::{builtin, id::FeedId};
//! assert!(builtin::map("blank").is_ok_and(|map| map.feeds.get(FeedId::from(0)).is_none()));
//! ```
//!
//! A position in one list is none in another:
//!
//! ```compile_fail,E0308
//! use fusetrail::circuit::{builtin, id::UnfusedId};
//! assert!(builtin::map("blank").is_ok_and(|map| map.feeds.get(UnfusedId::from(0)).is_none()));
//! ```

use std::marker::PhantomData;
use std::ops::{Deref, DerefMut};

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $name(usize);

        impl From<usize> for $name {
            fn from(at: usize) -> Self {
                Self(at)
            }
        }

        impl From<$name> for usize {
            fn from(id: $name) -> Self {
                id.0
            }
        }
    )*};
}

ids! {
    /// A feed of a map.
    FeedId;
    /// An unfused item of a map.
    UnfusedId;
    /// A box of a map.
    BoxId;
    /// A wake group of a map.
    GroupId;
    /// A branch of the feed tree.
    BranchId;
    /// A current source of a map.
    PartId;
}

/// A load: the feed that lists it, and its place among the loads there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct LoadId {
    /// The feed.
    pub feed: FeedId,
    /// Its place on that feed, from 0.
    pub at: usize,
}

/// An input of a wake group: the group, and its place among the inputs there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct InputId {
    /// The wake group.
    pub group: GroupId,
    /// Its place in that group, from 0.
    pub at: usize,
}

/// A list whose items are asked for by positions of type `I`.
#[derive(Debug, Clone, PartialEq)]
pub struct IdVec<I, T>(Vec<T>, PhantomData<I>);

impl<I: Copy + From<usize> + Into<usize>, T> IdVec<I, T> {
    /// Returns the item at a position.
    pub fn get(&self, id: I) -> Option<&T> {
        self.0.get(id.into())
    }

    /// Returns the item at a position, to be changed.
    pub fn get_mut(&mut self, id: I) -> Option<&mut T> {
        self.0.get_mut(id.into())
    }

    /// Returns every position.
    pub fn ids(&self) -> impl Iterator<Item = I> + use<I, T> {
        (0..self.0.len()).map(I::from)
    }

    /// Returns every item with its position.
    pub fn iter_ids(&self) -> impl Iterator<Item = (I, &T)> {
        self.ids().zip(&self.0)
    }

    /// Returns the position of the first item that is meant.
    pub fn find_id(&self, is_meant: impl FnMut(&T) -> bool) -> Option<I> {
        self.0.iter().position(is_meant).map(I::from)
    }

    /// Returns a list with the same positions: what `of` makes of each.
    pub fn map_ids<U>(&self, of: impl FnMut(I) -> U) -> IdVec<I, U> {
        self.ids().map(of).collect()
    }
}

impl<I, T> Deref for IdVec<I, T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<I, T> DerefMut for IdVec<I, T> {
    fn deref_mut(&mut self) -> &mut [T] {
        &mut self.0
    }
}

impl<I, T> FromIterator<T> for IdVec<I, T> {
    fn from_iter<A: IntoIterator<Item = T>>(items: A) -> Self {
        Self(items.into_iter().collect(), PhantomData)
    }
}

impl<'a, I, T> IntoIterator for &'a IdVec<I, T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}
