//! Reads a roof plan from DXF, works out eaves, rakes, ridges, hips and valleys, and drafts the heating layout that keeps eaves
//! and valleys free of ice dams.
//!
//! Data flows one way through the stages; each is a pure function from earlier values to a new plain value:
//!
//! ```text
//! DXF bytes -> Linework -> PlanGraph -> Roof -> Zones -> Courses -> Wiring -> Checks -> Takeoff -> SheetSet -> files
//!              import      plan         roof    zones    courses    wiring    checks    takeoff    sheet       write
//! ```

pub mod catalog;
pub mod checks;
pub mod cli;
pub mod courses;
pub mod electrical;
pub mod error;
pub mod field;
pub mod finding;
pub mod geometry;
pub mod import;
pub mod index;
pub mod job;
pub mod pipeline;
pub mod plan;
pub mod roof;
pub mod settings;
pub mod sheet;
pub mod skeleton;
pub mod takeoff;
pub mod terms;
pub mod thermal;
mod threads;
pub mod units;
pub mod wiring;
pub mod write;
pub mod zones;
