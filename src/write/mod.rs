//! [`crate::sheet::SheetSet`] becomes files.
