//! Plots of agreement as SVG: the same bytes for the same figures, no color that carries meaning
//! alone, a title and a description for those who listen.
//!
//! Every plot is one `svg` element without identifiers, so that several can stand in one page.
//!
//! ```
//! # use crossread_teach::statistics::*;
//! let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
//! let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
//! let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
//! let pairs = Pairs::new(&scale, &key, &read)?;
//! let table = pairs.table();
//! use crossread_teach::statistics::plot;
//!
//! let svg = plot::confusion(&table, "anna, set EX-1", "key", "answer", Some(scale.cut(1)?));
//! assert!(svg.starts_with("<svg ") && svg.contains("anna, set EX-1"));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

mod bias;
mod confusion;
mod over_time;
mod readers;
mod svg;

pub use bias::bias;
pub use confusion::confusion;
pub use over_time::{Point, Series, over_time};
pub use readers::readers;
