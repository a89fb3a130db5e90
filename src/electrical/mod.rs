//! Strip physics and code tables, shared by courses, wiring and checks.

mod circuit;
mod strip;
mod tables;

pub use circuit::{
    CONTINUOUS_FACTOR, breaker_for, conductor_for, continuous_capacity, equipment_ground_for, largest_standard_rating,
};
pub use strip::{ChainState, Piece, PieceState, Strip, element_strip, lead_loop_ohms, longest_strip, solve};
pub use tables::{
    COPPER_60C, CopperAmpacity, EQUIPMENT_GROUND, GroundSize, Label, SMALL_CONDUCTORS, STANDARD_RATINGS,
    SmallConductor, Table,
};
