//! Drawings become DXF (R2000 or R2010, ASCII), written by ourselves.
//!
//! `sheets_dxf` keeps the set as it is: true-size models side by side in model space in inches, and a layout per sheet whose
//! viewports look at them. `overlay_dxf` is the plan alone, over the source drawing in its own units and coordinates.

mod document;
mod entities;
mod header;
mod objects;
mod overlay;
mod paragraph;
mod sheets;
mod tables;
mod tags;
#[cfg(test)]
mod tests;

pub use overlay::overlay_dxf;
pub use sheets::{model_shifts, sheets_dxf};
