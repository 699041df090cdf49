word! {
    /// What a major or minor came to, beside its controls.
    Conclusion is "a conclusion" {
        /// Not read.
        NotRead = "not_read",
        /// Read and not usable.
        Void = "void",
        /// No reaction, and the controls allow to say so.
        Nonreactive = "nonreactive",
        /// A reaction that the controls do not let anybody read.
        Unresolved = "unresolved",
        /// A reaction that lies in the cells themselves.
        ReactiveCells = "reactive_cells",
        /// A reaction of this plasma with these cells.
        Reactive = "reactive",
    }
}
