use super::Test;

word! {
    /// What would be given.
    Product is "a product" {
        /// Packed red cells, with a little plasma left.
        PackedCells = "packed_cells",
        /// Washed red cells, with next to no plasma.
        WashedCells = "washed_cells",
        /// Whole blood.
        WholeBlood = "whole_blood",
        /// Plasma without red cells.
        Plasma = "plasma",
    }
}

impl Product {
    /// Whether red cells are given.
    ///
    /// ```
    /// # use crossread_core::words::Product;
    /// assert!(Product::WashedCells.has_red_cells());
    /// assert!(!Product::Plasma.has_red_cells());
    /// ```
    pub fn has_red_cells(self) -> bool {
        match self {
            Self::PackedCells | Self::WashedCells | Self::WholeBlood => true,
            Self::Plasma => false,
        }
    }

    /// The tests that decide for this product.
    ///
    /// ```
    /// # use crossread_core::words::{Product, Test};
    /// assert_eq!(Product::PackedCells.deciding_tests(), [Test::Major]);
    /// assert_eq!(Product::WholeBlood.deciding_tests(), [Test::Major, Test::Minor]);
    /// ```
    pub fn deciding_tests(self) -> &'static [Test] {
        match self {
            Self::PackedCells | Self::WashedCells => &[Test::Major],
            Self::WholeBlood => &[Test::Major, Test::Minor],
            Self::Plasma => &[Test::Minor],
        }
    }

    /// The name in a sentence.
    pub fn spoken(self) -> &'static str {
        match self {
            Self::PackedCells => "packed cells",
            Self::WashedCells => "washed cells",
            Self::WholeBlood => "whole blood",
            Self::Plasma => "plasma",
        }
    }
}
