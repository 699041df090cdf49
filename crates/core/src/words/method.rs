word! {
    /// Where the mixture is read.
    Method is "a method" {
        /// In a tube, after re-suspending the button.
        Tube = "tube",
        /// On a slide or tile.
        Slide = "slide",
        /// In a gel column, after centrifugation.
        Gel = "gel",
    }
}

word! {
    /// Whether complement could act in the mixtures, and from where.
    Complement is "a source of complement" {
        /// No complement: anticoagulated plasma, or serum that is not fresh.
        None = "none",
        /// The complement of the animals' own fresh serum.
        FreshSerum = "fresh_serum",
        /// Complement was added.
        Added = "added",
    }
}
