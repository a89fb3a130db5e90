//! [`crate::sheet::SheetSet`] and [`crate::pipeline::Project`] become files.
//!
//! Writers translate and decide nothing; every one is a pure function to bytes. Only [`write_all`] touches the disk.

mod atomic;
mod check;
mod dxf;
#[cfg(test)]
pub(crate) mod fixtures;
mod json;

pub use atomic::{OutputFile, write_all};
pub use check::check_invariants;
pub use dxf::{model_shifts, overlay_dxf, sheets_dxf};
pub use json::{
    DrawingJson, EdgeJson, FaceJson, InspectJson, OpeningJson, OptionJson, QuestionJson, RoofJson, inspect_json,
    json_bytes,
};
