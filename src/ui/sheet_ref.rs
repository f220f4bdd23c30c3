//! A sheet as a property of a component.

use crate::calc::sheet::Sheet;

/// A sheet, compared by its id.
#[derive(Clone, Copy)]
pub(super) struct SheetRef(pub(super) &'static dyn Sheet);

impl PartialEq for SheetRef {
    fn eq(&self, other: &Self) -> bool {
        self.0.meta().id == other.0.meta().id
    }
}
