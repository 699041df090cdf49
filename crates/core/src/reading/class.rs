use crate::protocol::Rules;
use crate::words::{Grade, State};

/// What a grade, or a lysis, stands for by the protocol's cut-offs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Class {
    #[default]
    Negative,
    Doubtful,
    Reactive,
}

impl Rules {
    /// The class of a grade.
    pub(crate) fn class(&self, grade: Grade) -> Class {
        if grade >= self.reactive_from {
            Class::Reactive
        } else if grade >= self.doubtful_from && grade > Grade::G0 {
            Class::Doubtful
        } else {
            Class::Negative
        }
    }

    /// Whether a hemolysis counts as a reaction.
    pub(crate) fn is_lysis(&self, hemolysis: Option<u32>) -> bool {
        hemolysis.is_some_and(|hemolysis| hemolysis >= self.hemolysis_from)
    }
}

impl From<Class> for State {
    fn from(class: Class) -> Self {
        match class {
            Class::Negative => Self::Negative,
            Class::Doubtful => Self::Doubtful,
            Class::Reactive => Self::Reactive,
        }
    }
}
