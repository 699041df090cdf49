//! Plots of agreement as SVG: the same bytes for the same figures, no color that carries meaning
//! alone, a title and a description for those who listen.
//!
//! Every plot is one `svg` element without identifiers, so that several can stand in one page.

mod bias;
mod confusion;
mod over_time;
mod readers;
mod svg;

pub use bias::bias;
pub use confusion::confusion;
pub use over_time::{Point, Series, over_time};
pub use readers::readers;
