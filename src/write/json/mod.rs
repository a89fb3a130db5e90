//! What was read and laid out becomes JSON for other programs.
//!
//! Points are in the drawing's own units and axes; lengths are inches. Later work only adds fields.

mod roof;
mod text;

pub use roof::{
    DrawingJson, EdgeJson, FaceJson, InspectJson, OpeningJson, OptionJson, QuestionJson, RoofJson, inspect_json,
};
pub use text::json_bytes;
