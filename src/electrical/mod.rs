//! Strip physics and code tables, shared by courses, wiring and checks.

mod ampacity;
mod boxes;
mod circuit;
mod drop;
mod phases;
mod raceway;
mod strip;
mod switching;
mod tables;
mod warm;

pub use ampacity::{
    Conditions, CopperAmpacity, INSULATION, Rating, allowed_amps, ambient_factor, bundling_factor, celsius,
    copper_ratio, protected_at, table_amps,
};
pub use boxes::{BoxContents, BoxFill, STANDARD_BOXES, StandardBox, box_fill, standard_box_for};
pub use circuit::{
    Branch, BranchSizes, CONTINUOUS_FACTOR, branch_sizes, breaker_for, continuous_capacity, equipment_ground_for,
    interrupting_rating, largest_standard_rating,
};
pub use drop::circuit_drop;
pub use phases::{Balance, Lines, balance};
pub use raceway::{TradeSize, conduit_for, fill_limit, trade_sizes, wires_area};
pub use strip::{ChainState, Piece, PieceState, Strip, element_strip, lead_loop_ohms, longest_strip, solve};
pub use switching::{Switching, devices_for, switching};
pub use tables::{
    CIRCULAR_MILS, CONDUCTOR_ROOM, COPPER_OHMS, EQUIPMENT_GROUND, GroundSize, INSULATED_AREA, Label, PerSize,
    SMALL_CONDUCTORS, STANDARD_RATINGS, Table,
};
pub use warm::{
    Part, local_power, power_factor, solve_rated, solve_start, solve_steady, start_factor, steady_conductance,
};
