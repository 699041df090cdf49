//! What is shown of a look, as drawings.

use crossread_core::document::Whole;
use crossread_core::words::{Agglutination, Artefact, Grade, Hemolysis, Method, Pattern, Recheck};

use super::shown::{Shown, View};
use crate::picture::{
    Column, Field, Gel, Mixture, Moment, Picture, Plasma, Prefix, Scene, Slide, Stacks, Tube,
    has_a_look,
};
use crate::question::Drawn;

impl Shown {
    /// The drawing of it, with what stands under it; none if a drawing cannot show it, such as a
    /// thread of fibrin in a tube.
    pub(crate) fn drawn(&self, name: &str) -> Option<Drawn> {
        let (picture, prefix) = (self.picture()?, self.prefix()?);
        // One still of a tube cannot show how a weak button comes off.
        let tilted = if self.settled { None } else { picture.stills(&prefix) };
        let svg = tilted.unwrap_or_else(|| picture.svg(&prefix));
        Some(Drawn { name: name.to_owned(), svg, alt: picture.description() })
    }

    /// The same drawing as it moves, of a tube whose button is tilted off.
    pub(crate) fn moving(&self) -> Option<String> {
        let moves = if self.settled { None } else { self.picture() };
        moves?.moving(&self.prefix()?)
    }

    /// No two drawings of a set have the same case and view.
    fn prefix(&self) -> Option<Prefix> {
        let view = match self.view {
            View::NakedEye => "e",
            View::Microscope => "m",
        };
        Prefix::new(&format!("d{}{view}", self.case))
    }

    /// What went wrong, as far as the drawing shows it.
    pub(crate) fn fault(&self) -> Option<Artefact> {
        let is_column = (self.view, self.method) == (View::NakedEye, Method::Gel);
        let mut seen = self.artefacts.iter().copied().filter(|fault| has_a_look(*fault));
        is_column.then(|| seen.next()).flatten()
    }

    fn picture(&self) -> Option<Picture> {
        Picture::new(self.scene()?, self.species, self.seed, self.case).ok()
    }

    fn scene(&self) -> Option<Scene> {
        let hemolysis = Hemolysis::new(self.hemolysis.unwrap_or_default())?;
        let mixture = |grade| Mixture { grade, mixed_field: self.mixed_field, hemolysis };
        let plasma = Plasma::pale();
        match (self.view, self.method) {
            (View::Microscope, _) => self.field(mixture).map(Scene::Field),
            (View::NakedEye, Method::Tube) => {
                let Agglutination::Graded(grade) = self.seen else { return None };
                let moment = if self.settled { Moment::Settled } else { Moment::Tilted };
                Some(Scene::Tube(Tube { test: mixture(grade), control: None, plasma, moment }))
            }
            (View::NakedEye, Method::Gel) => {
                let fault = self.fault();
                let grade = match (self.seen, fault) {
                    (Agglutination::Graded(grade), _) => grade,
                    // What the cells did is hidden by what went wrong.
                    (Agglutination::Unreadable, Some(_)) => Grade::G0,
                    (Agglutination::Unreadable, None) => return None,
                };
                let test = Column { mixture: mixture(grade), fault };
                Some(Scene::Gel(Gel { test, control: None, plasma }))
            }
            (View::NakedEye, Method::Slide) => {
                let grade = match self.seen {
                    Agglutination::Graded(grade) => grade,
                    Agglutination::Unreadable if self.dried => Grade::G0,
                    Agglutination::Unreadable => return None,
                };
                // How much saline is not part of what is asked; one to one is the usual first step.
                let parts = u32::from(self.after == Some(Recheck::SalineDilution));
                let (saline_parts, mixed_field) = (Whole::new(parts)?, self.mixed_field);
                Some(Scene::Slide(Slide { grade, mixed_field, saline_parts, dried: self.dried }))
            }
        }
    }

    /// What the microscope shows.
    fn field(&self, mixture: impl Fn(Grade) -> Mixture) -> Option<Field> {
        let Agglutination::Graded(seen) = self.seen else { return None };
        let (grade, stacks) = match self.pattern {
            Some(Pattern::Unsure) => return None,
            Some(Pattern::Stacks) => (Grade::G0, Stacks::Many),
            Some(Pattern::Both) => (seen, Stacks::Many),
            Some(Pattern::Clumps) | None => (seen, Stacks::None),
        };
        // Stacks that are still there were not taken away.
        let in_saline = self.after == Some(Recheck::SalineReplacement);
        let saline_replaced = in_saline && stacks == Stacks::None;
        Some(Field { mixture: mixture(grade), stacks, saline_replaced, dried: self.dried })
    }
}
