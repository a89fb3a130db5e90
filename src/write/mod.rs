//! [`crate::sheet::SheetSet`] and [`crate::pipeline::Project`] become files.
//!
//! Writers translate and decide nothing; every one is a pure function to bytes. Only [`write_all`] touches the disk.

mod atomic;
mod check;
mod csv;
mod digits;
mod dxf;
#[cfg(test)]
pub(crate) mod fixtures;
mod json;
mod labels;
mod load_page;
mod pdf;
#[cfg(test)]
mod project_fixture;
mod set;
mod svg;
mod verify;
mod view;
mod xlsx;

pub use atomic::{OutputFile, write_all};
pub use check::check_invariants;
pub use csv::{circuits_csv, materials_csv, segments_csv};
pub use dxf::{model_shifts, overlay_dxf, sheets_dxf};
pub use json::{
    BoxJson, ChainJson, CheckJson, CircuitJson, ColdJson, CrossingJson, DrawingJson, EdgeJson, FaceJson, InspectJson,
    LeadJson, LegJson, NailGapJson, OpeningJson, OptionJson, ProjectJson, QuestionJson, RoofJson, SegmentJson,
    SensorJson, ZoneJson, inspect_json, json_bytes, project_json, project_schema,
};
pub use labels::labels_page;
pub use load_page::load_page;
pub use pdf::sheets_pdf;
pub use set::{project_files, stale_sheets};
pub use svg::sheet_svg;
pub use verify::{record_csv, verify_csv};
pub use view::view_page;
pub use xlsx::workbook;
