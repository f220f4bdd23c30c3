//! A shared value as a property of a component.

use std::ops::Deref;
use std::rc::Rc;

/// A shared value, equal to itself alone: to compare what is in it would take longer than to draw it.
pub(super) struct Same<T>(pub(super) Rc<T>);

impl<T> Clone for Same<T> {
    fn clone(&self) -> Self {
        Self(self.0.clone())
    }
}

impl<T> Deref for Same<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0
    }
}

impl<T> PartialEq for Same<T> {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}
