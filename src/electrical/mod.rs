//! Strip physics and code tables, shared by courses, wiring and checks.

mod circuit;
mod conductors;
mod strip;
mod tables;

pub use circuit::{
    CONTINUOUS_FACTOR, breaker_for, conductor_for, continuous_capacity, equipment_ground_for, largest_standard_rating,
};
pub use conductors::{
    CONDUCTOR_ROOM, COPPER_OHMS, ConductorRoom, CopperOhms, circuit_drop, conductor_room, copper_ohms_per_kft,
};
pub use strip::{ChainState, Piece, PieceState, Strip, element_strip, lead_loop_ohms, longest_strip, solve};
pub use tables::{
    COPPER_60C, CopperAmpacity, EQUIPMENT_GROUND, GroundSize, Label, SMALL_CONDUCTORS, STANDARD_RATINGS,
    SmallConductor, Table,
};
