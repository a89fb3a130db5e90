//! [`crate::sheet::SheetSet`] and [`crate::pipeline::Project`] become files.
//!
//! Writers translate and decide nothing; every one is a pure function to bytes. Only [`write_all`] touches the disk.

mod atomic;
mod json;

pub use atomic::{OutputFile, write_all};
pub use json::{
    DrawingJson, EdgeJson, FaceJson, InspectJson, OpeningJson, OptionJson, QuestionJson, RoofJson, inspect_json,
    json_bytes,
};
