//! The colors. Lightness and shape carry the meaning; hue only repeats it, and no red stands
//! against green.

/// Packed red cells.
pub(super) const CELL: &str = "#8a2a27";
/// Packed red cells in their own shade.
pub(super) const CELL_DARK: &str = "#571416";
/// Packed red cells where light falls.
pub(super) const CELL_LIT: &str = "#bb5a4c";
/// Free cells held in fluid: brick, and not to be looked through.
pub(super) const CLOUD: &str = "#b3493f";
/// Hemoglobin in solution: cherry, and clear.
pub(super) const LYSIS: &str = "#b0162b";
/// Plasma of an icteric animal.
pub(super) const ICTERUS: &str = "#d99a12";
/// Plasma and saline.
pub(super) const STRAW: &str = "#f3ebcf";
/// Gel.
pub(super) const GEL: &str = "#e9e6dd";
/// The table behind.
pub(super) const TABLE: &str = "#dfe3e6";
/// The card behind.
pub(super) const CARD: &str = "#fbfaf6";
/// Ruled lines and words.
pub(super) const INK: &str = "#29323d";
/// Ruled lines that must show through colored fluid.
pub(super) const RULE: &str = "#0d1219";
/// The edge of glass.
pub(super) const GLASS: &str = "#66727f";
/// Deep shadow.
pub(super) const SHADE: &str = "#18222c";
/// Light.
pub(super) const LIGHT: &str = "#ffffff";

/// How much of what lies behind is taken away by hemoglobin in solution, hemolysis 0 to 4, in
/// thousandths.
pub(super) fn lysis(level: u32) -> i64 {
    match level {
        0 => 0,
        1 => 170,
        2 => 360,
        3 => 580,
        _ => 740,
    }
}

/// The same for the yellow of icteric plasma, 0 to 3.
pub(super) fn icterus(level: u32) -> i64 {
    match level {
        0 => 0,
        1 => 190,
        2 => 360,
        _ => 540,
    }
}

/// How much of what lies behind is hidden by free cells, in thousandths; `free` is their share of
/// all cells in thousandths.
pub(super) fn cloud(free: i64) -> i64 {
    free * (2000 - free) / 1000 * 970 / 1000
}
