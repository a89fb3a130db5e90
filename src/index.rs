//! Typed ids: the thread from a line on a sheet back to the drawing entity it came from.
//!
//! An id is a position in the vector of the stage that made it, so looking one up is an index, not a search. Ids are
//! given in a fixed order (roof, then y, then x after snapping), which makes them the same for a shuffled drawing.

use schemars::JsonSchema;
use serde::{Serialize, Serializer};

macro_rules! define_ids {
    ($($(#[$doc:meta])* $name:ident = $prefix:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u32);

        impl $name {
            /// The letter printed before the number.
            pub const PREFIX: &'static str = $prefix;

            /// The id of the item at `position` of its stage's vector.
            #[must_use]
            pub fn new(position: usize) -> Self {
                Self(u32::try_from(position).expect("more than 2^32 items in one stage"))
            }

            /// The position in the stage's vector.
            #[must_use]
            pub fn index(self) -> usize {
                self.0 as usize
            }
        }

        impl std::fmt::Display for $name {
            /// People count from one: position 0 prints as 1.
            fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                write!(out, "{}{}", $prefix, self.0 + 1)
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }
            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                schemars::json_schema!({
                    "type": "string",
                    "pattern": concat!("^", $prefix, "[1-9][0-9]*$")
                })
            }
        }
    )*};
}

define_ids! {
    /// A drawn entity, after blocks are expanded (`Linework::origins`).
    OriginId = "D";
    /// A path of the linework (`Linework::paths`).
    PathId = "W";
    /// One connected roof of the drawing.
    RoofId = "R";
    /// A piece of a roof joined without steps.
    PartId = "P";
    /// A point of the plan where edges end.
    NodeId = "N";
    /// A roof face.
    FaceId = "F";
    /// A roof edge.
    EdgeId = "E";
    /// A skylight, chimney, vent or hatch.
    OpeningId = "O";
    /// A heated zone.
    ZoneId = "Z";
    /// A clear stretch of one course.
    RunId = "U";
    /// One piece of heating element.
    SegmentId = "S";
    /// A chain of segments fed from one end.
    ChainId = "K";
    /// A cold lead or jumper.
    LeadId = "L";
    /// A strip of roof where leads may lie.
    LaneId = "A";
    /// A junction box.
    BoxId = "J";
    /// A branch circuit.
    CircuitId = "C";
    /// A place where leads cross a valley, hip or ridge.
    CrossingId = "X";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_print_from_one() {
        assert_eq!(FaceId::new(0).to_string(), "F1");
        assert_eq!(serde_json::to_string(&EdgeId(11)).unwrap(), "\"E12\"");
    }
}
