//! The job file: what is typed ([`JobFile`]), what it means ([`Job`]), and the template that `init` writes.

mod assume;
mod defaults;
mod estimate;
mod file;
mod limits;
mod model;
mod places;
mod products;
mod read;
mod supply;
mod template;
mod template_tables;

pub use estimate::*;
pub use file::*;
pub use model::*;
pub use places::{Discharge, EntrySetting, ExclusionSetting, FastenerKind, FastenerSetting};
pub use supply::{ElectricalSettings, Panel, Service};
pub use template::template;
