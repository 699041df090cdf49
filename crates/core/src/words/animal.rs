word! {
    /// The species of a recipient or donor.
    Species is "a species" {
        /// Dog.
        Dog = "dog",
        /// Cat.
        Cat = "cat",
        /// Horse.
        Horse = "horse",
        /// Donkey.
        Donkey = "donkey",
        /// Cattle.
        Cattle = "cattle",
        /// Sheep.
        Sheep = "sheep",
        /// Goat.
        Goat = "goat",
        /// Alpaca, llama or another camelid.
        Camelid = "camelid",
        /// Pig.
        Pig = "pig",
        /// Ferret.
        Ferret = "ferret",
        /// Rabbit.
        Rabbit = "rabbit",
        /// Bird.
        Bird = "bird",
    }
}

word! {
    /// The answer to a question about an animal's past. Left out means `unknown`.
    Answer is "an answer" {
        /// It never happened.
        Never = "never",
        /// It happened.
        Yes = "yes",
        /// Nobody knows.
        Unknown = "unknown",
    }
}

word! {
    /// What is known of the recipient's illness. It shapes next steps, never a verdict.
    Condition is "a condition" {
        /// Immune-mediated hemolysis is known or suspected.
        ImmuneHemolysis = "immune_hemolysis",
        /// High globulin or fibrinogen: rouleaux are likely.
        HighGlobulin = "high_globulin",
        /// A plasma expander was given lately: rouleaux are likely.
        PlasmaExpander = "plasma_expander",
        /// A drug is suspected of making antibodies.
        DrugSuspected = "drug_suspected",
    }
}
