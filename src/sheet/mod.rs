//! The layout is drawn: [`SheetSet`].

mod clip;
mod dimensions;
mod flatten;
mod model;
mod text;

pub use dimensions::{DimensionParts, FIGURE_HEIGHT, dimension_parts};
pub use flatten::{Mark, MarkKind, TextBox, flatten, flatten_model_item, place_text};
pub use model::*;
pub use text::{FONT_FAMILY, can_print, font_bytes, font_size, printable, text_width, wrap};

pub use text::{Glyph, glyphs};
