//! What was read and laid out becomes JSON for other programs.
//!
//! Points are in the drawing's own units and axes; lengths are inches. Later work only adds fields.

mod project;
mod project_model;
mod roof;
mod text;

pub use project::project_json;
pub use project_model::{
    BoxJson, ChainJson, CheckJson, CircuitJson, ColdJson, CrossingJson, LeadJson, LegJson, NailGapJson, ProjectJson,
    SegmentJson, SensorJson, ZoneJson,
};
pub use roof::{
    DrawingJson, EdgeJson, FaceJson, InspectJson, OpeningJson, OptionJson, QuestionJson, RoofJson, inspect_json,
};
pub use text::{json_bytes, project_schema};
