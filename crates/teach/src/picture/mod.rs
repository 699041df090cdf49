//! Pictures of readings: tubes, gel columns, slides and microscope fields, drawn from a seed.
//!
//! A [`Picture`] is a scene, a species and a seed; it gives an SVG, words that describe it, and
//! numbers of what was drawn. Everything is whole-number arithmetic: the same picture has the same
//! bytes on every machine and in every build. A picture is a drawing of what a grade looks like. It
//! is made for learning and is no evidence of anything, so every picture says "drawing".
//!
//! In an SVG there is no script, no font and no reference to the outside. Ids begin with a
//! [`Prefix`], so that several pictures can stand in one page.
//!
//! ```
//! use crossread_core::words::{Grade, Species};
//! use crossread_teach::picture::{Mixture, Moment, Picture, Plasma, Prefix, Scene, Tube};
//!
//! let test = Mixture::of(Grade::G2);
//! let tube = Tube { test, control: None, plasma: Plasma::pale(), moment: Moment::Tilted };
//! let picture = Picture::new(Scene::Tube(tube), Species::Dog, 42, 0)?;
//! let prefix = Prefix::new("q7").ok_or("not a prefix")?;
//! assert!(picture.svg(&prefix).starts_with("<svg "));
//! assert!(picture.description().contains("dark pieces"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![expect(
    clippy::arithmetic_side_effects,
    reason = "lengths and shares are bounded by the size of a picture and far from the ends of i64; \
              divisors are constants, or made at least 1"
)]

mod canvas;
mod chance;
mod clumps;
mod describe;
mod field;
mod flaws;
mod gel;
mod glass;
mod groups;
mod lettering;
mod measure;
mod paint;
mod plan;
mod plane;
#[cfg(feature = "png")]
mod png;
mod samples;
mod scene;
mod shore;
mod slide;
mod symbols;
mod tilt;
mod tube;
mod wall;

use crossread_core::words::{Artefact, Grade, Species};

use crate::chance::{Chance, Purpose};
use canvas::{Canvas, Detail};

pub use canvas::Prefix;
pub use flaws::has_a_look;
pub use measure::{Bands, Cells, Drawn, Measure, Pieces};
#[cfg(feature = "png")]
pub use png::{CannotRender, WIDEST, png};
pub use samples::samples;
pub use scene::{Column, Field, Gel, Icterus, Mixture, Moment, Plasma, Scene, Slide, Stacks, Tube};

/// Why a picture cannot be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CannotDraw {
    /// A mixed field needs clumps that the eye can see: grade `w` or more.
    #[error("a mixed field of grade {0} cannot be seen: take `w` or more")]
    MixedField(Grade),
    /// The flaw leaves no trace of its own in a column.
    #[error("`{0}` has no look of its own in a gel column")]
    NoLook(Artefact),
    /// How the species' cells look under the microscope is not known here.
    #[error("cells of `{0}` cannot be drawn: take dog, cat or horse")]
    Cells(Species),
}

/// A picture of one scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Picture {
    scene: Scene,
    species: Species,
    seed: u64,
    case: u32,
}

impl Picture {
    /// A picture of a scene. Two pictures with the same seed and different case numbers look
    /// different.
    ///
    /// ```
    /// # use crossread_core::words::{Artefact, Grade, Species};
    /// # use crossread_teach::picture::{CannotDraw, Column, Gel, Mixture, Picture, Plasma, Scene};
    /// let gel = |fault| {
    ///     let test = Column { fault, ..Column::of(Mixture::of(Grade::G2)) };
    ///     let gel = Gel { test, control: None, plasma: Plasma::pale() };
    ///     Picture::new(Scene::Gel(gel), Species::Cat, 42, 0)
    /// };
    /// assert!(gel(Some(Artefact::Bubble)).is_ok());
    /// let refused = gel(Some(Artefact::WrongOrder));
    /// assert_eq!(refused, Err(CannotDraw::NoLook(Artefact::WrongOrder)));
    /// ```
    ///
    /// # Errors
    /// If the scene shows a mixed field under grade `w`, a flaw without a look of its own, or the
    /// cells of a species other than dog, cat or horse.
    pub fn new(scene: Scene, species: Species, seed: u64, case: u32) -> Result<Self, CannotDraw> {
        let mixture = |Mixture { grade, mixed_field, .. }| {
            if mixed_field && grade < Grade::W {
                Err(CannotDraw::MixedField(grade))
            } else {
                Ok(())
            }
        };
        match scene {
            Scene::Tube(tube) => {
                mixture(tube.test)?;
                tube.control.map_or(Ok(()), mixture)?;
            }
            Scene::Gel(gel) => {
                for column in [Some(gel.test), gel.control].into_iter().flatten() {
                    mixture(column.mixture)?;
                    if let Some(fault) = column.fault.filter(|fault| !has_a_look(*fault)) {
                        return Err(CannotDraw::NoLook(fault));
                    }
                }
            }
            Scene::Slide(slide) => {
                mixture(Mixture { mixed_field: slide.mixed_field, ..Mixture::of(slide.grade) })?;
            }
            Scene::Field(field) => {
                mixture(field.mixture)?;
                symbols::look(species).ok_or(CannotDraw::Cells(species))?;
            }
        }
        Ok(Self { scene, species, seed, case })
    }

    /// What it shows.
    pub fn scene(&self) -> Scene {
        self.scene
    }

    /// The picture as SVG, with a title and a description in it.
    ///
    /// ```
    /// # use crossread_core::words::{Grade, Species};
    /// # use crossread_teach::picture::{Mixture, Moment, Picture, Plasma, Prefix, Scene, Tube};
    /// # let test = Mixture::of(Grade::G2);
    /// # let tube = Tube { test, control: None, plasma: Plasma::pale(), moment: Moment::Tilted };
    /// # let picture = Picture::new(Scene::Tube(tube), Species::Dog, 42, 0)?;
    /// # let prefix = Prefix::new("q7").ok_or("not a prefix")?;
    /// // A tube that reacted 2+, tilted off.
    /// let svg = picture.svg(&prefix);
    /// assert!(svg.starts_with("<svg ") && svg.contains(r#"id="q7-"#));
    /// // The same picture has the same bytes.
    /// assert_eq!(picture.svg(&prefix), svg);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn svg(&self, prefix: &Prefix) -> String {
        let mut canvas = Canvas::new(prefix, Detail::Full);
        let (measure, size) = self.draw(&mut canvas);
        let said = describe::sentences(self.scene, self.species, measure);
        canvas.finish([0, 0, size.0, size.1], describe::title(self.scene), &said)
    }

    /// A small picture of the mixture alone, without surroundings, to stand beside a key: readable
    /// from 64 pixels of height (a slide: of width). Too small for the word "drawing", which stands
    /// in its title.
    ///
    /// ```
    /// # use crossread_core::words::{Grade, Species};
    /// # use crossread_teach::picture::{Mixture, Moment, Picture, Plasma, Prefix, Scene, Tube};
    /// # let test = Mixture::of(Grade::G2);
    /// # let tube = Tube { test, control: None, plasma: Plasma::pale(), moment: Moment::Tilted };
    /// # let picture = Picture::new(Scene::Tube(tube), Species::Dog, 42, 0)?;
    /// # let prefix = Prefix::new("q7").ok_or("not a prefix")?;
    /// // A tube that reacted 2+, tilted off.
    /// let icon = picture.icon(&prefix);
    /// assert!(icon.starts_with("<svg ") && icon.len() < picture.svg(&prefix).len());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn icon(&self, prefix: &Prefix) -> String {
        let mut canvas = Canvas::new(prefix, Detail::Plain);
        let (measure, view) = self.draw_icon(&mut canvas);
        let measure = Measure { test: measure, control: None };
        let said = describe::sentences(self.scene, self.species, measure);
        canvas.finish(view, describe::title(self.scene), &said)
    }

    /// A tube's button being tilted off, as a moving SVG of 10 s that repeats. It shows
    /// [`stills`](Self::stills) instead in print, where style is not obeyed, and to viewers who
    /// asked for less motion. `None` unless the scene is a tube.
    ///
    /// The motion is made by style inside the SVG. A page that forbids inline style should show it
    /// as an image with an address of its own.
    ///
    /// ```
    /// # use crossread_core::words::{Grade, Species};
    /// # use crossread_teach::picture::{Mixture, Moment, Picture, Plasma, Prefix, Scene, Tube};
    /// # let test = Mixture::of(Grade::G2);
    /// # let tube = Tube { test, control: None, plasma: Plasma::pale(), moment: Moment::Tilted };
    /// # let picture = Picture::new(Scene::Tube(tube), Species::Dog, 42, 0)?;
    /// # let prefix = Prefix::new("q7").ok_or("not a prefix")?;
    /// // A tube that reacted 2+, tilted off.
    /// let moving = picture.moving(&prefix).ok_or("no tube")?;
    /// assert!(moving.contains("@keyframes"));
    /// assert!(moving.contains("prefers-reduced-motion"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn moving(&self, prefix: &Prefix) -> Option<String> {
        self.tilted_off(prefix, true)
    }

    /// A tube's button being tilted off, as four stills in one SVG. `None` unless the scene is a
    /// tube.
    ///
    /// ```
    /// # use crossread_core::words::{Grade, Species};
    /// # use crossread_teach::picture::{Mixture, Moment, Picture, Plasma, Prefix, Scene, Tube};
    /// # let test = Mixture::of(Grade::G2);
    /// # let tube = Tube { test, control: None, plasma: Plasma::pale(), moment: Moment::Tilted };
    /// # let picture = Picture::new(Scene::Tube(tube), Species::Dog, 42, 0)?;
    /// # let prefix = Prefix::new("q7").ok_or("not a prefix")?;
    /// // A tube that reacted 2+, tilted off.
    /// let stills = picture.stills(&prefix).ok_or("no tube")?;
    /// assert!(!stills.contains("@keyframes"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn stills(&self, prefix: &Prefix) -> Option<String> {
        self.tilted_off(prefix, false)
    }

    fn tilted_off(&self, prefix: &Prefix, moving: bool) -> Option<String> {
        let Scene::Tube(scene) = self.scene else { return None };
        let mut canvas = Canvas::new(prefix, Detail::Full);
        let mut chance = self.chance(Purpose::Tube);
        let pieces = tilt::tilt(&mut canvas, &mut chance, scene.test, scene.plasma, moving);
        self.sign(&mut canvas, tilt::SIZE);
        let said = describe::tilting(pieces);
        let view = [0, 0, tilt::SIZE.0, tilt::SIZE.1];
        Some(canvas.finish(view, "Drawing of a button being tilted off", &said))
    }

    /// What can be seen, in sentences that do not give the reading away: an alternative to the
    /// picture for people who cannot see it. Begins with the title, which says that it is a drawing.
    ///
    /// ```
    /// # use crossread_core::words::{Grade, Species};
    /// # use crossread_teach::picture::{Mixture, Moment, Picture, Plasma, Prefix, Scene, Tube};
    /// # let test = Mixture::of(Grade::G2);
    /// # let tube = Tube { test, control: None, plasma: Plasma::pale(), moment: Moment::Tilted };
    /// # let picture = Picture::new(Scene::Tube(tube), Species::Dog, 42, 0)?;
    /// # let prefix = Prefix::new("q7").ok_or("not a prefix")?;
    /// // A tube that reacted 2+, tilted off.
    /// let said = picture.description();
    /// assert!(said.starts_with("Drawing of"));
    /// // The words do not give the grade away.
    /// assert!(!said.contains("2+"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn description(&self) -> String {
        let said = describe::sentences(self.scene, self.species, self.measure());
        format!("{}. {said}", describe::title(self.scene))
    }

    /// What was drawn, in numbers.
    ///
    /// ```
    /// # use crossread_core::words::{Grade, Species};
    /// # use crossread_teach::picture::{Mixture, Moment, Picture, Plasma, Prefix, Scene, Tube};
    /// # let test = Mixture::of(Grade::G2);
    /// # let tube = Tube { test, control: None, plasma: Plasma::pale(), moment: Moment::Tilted };
    /// # let picture = Picture::new(Scene::Tube(tube), Species::Dog, 42, 0)?;
    /// # let prefix = Prefix::new("q7").ok_or("not a prefix")?;
    /// // A tube that reacted 2+, tilted off.
    /// # use crossread_teach::picture::Drawn;
    /// let Drawn::Tube(pieces) = picture.measure().test else { panic!("no tube") };
    /// assert!(pieces.number > 1 && pieces.buttoned == 0);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn measure(&self) -> Measure {
        let prefix = Prefix::plain();
        self.draw(&mut Canvas::new(&prefix, Detail::Full)).0
    }

    fn chance(&self, purpose: Purpose) -> Chance {
        Chance::new(self.seed, self.case, purpose)
    }

    /// The word "drawing" in the lower right corner.
    fn sign(&self, canvas: &mut Canvas, (width, height): (i64, i64)) {
        let (color, up) = match self.scene {
            Scene::Field(_) => ("#d5dbe0", 800),
            Scene::Tube(_) | Scene::Gel(_) | Scene::Slide(_) => ("#4d5863", 600),
        };
        canvas.add(&lettering::up_to("drawing", width * 100 - 600, height * 100 - up, 560, color));
    }

    /// Draws all of it. Gives what was drawn, and width and height in pixels.
    fn draw(&self, canvas: &mut Canvas) -> (Measure, (i64, i64)) {
        let (measure, size) = match self.scene {
            Scene::Tube(scene) => self.draw_tubes(canvas, scene),
            Scene::Gel(scene) => self.draw_columns(canvas, scene),
            Scene::Slide(scene) => {
                let pieces = slide::slide(canvas, &mut self.chance(Purpose::Slide), scene);
                (Measure { test: Drawn::Slide(pieces), control: None }, slide::SIZE)
            }
            Scene::Field(scene) => {
                let mut chance = self.chance(Purpose::Microscope);
                let cells = field::field(canvas, &mut chance, scene, self.species);
                (Measure { test: Drawn::Field(cells), control: None }, field::SIZE)
            }
        };
        self.sign(canvas, size);
        (measure, size)
    }

    fn draw_tubes(&self, canvas: &mut Canvas, scene: Tube) -> (Measure, (i64, i64)) {
        let Tube { test, control, plasma, moment } = scene;
        let mut chance = self.chance(Purpose::Tube);
        let size = if control.is_some() { (300, 316) } else { (180, 304) };
        let (x, y) = if control.is_some() { (82, 26) } else { (90, 26) };
        glass::background(canvas, size);
        let drawn = tube::tube(canvas, &mut chance, (x, y), test, plasma, moment);
        let control = control.map(|control| {
            mark(canvas, [x, 218], 298);
            Drawn::Tube(tube::tube(canvas, &mut chance, (218, y), control, plasma, moment))
        });
        (Measure { test: Drawn::Tube(drawn), control }, size)
    }

    fn draw_columns(&self, canvas: &mut Canvas, scene: Gel) -> (Measure, (i64, i64)) {
        let Gel { test, control, plasma } = scene;
        let mut chance = self.chance(Purpose::Gel);
        let size = if control.is_some() { (230, 346) } else { (130, 330) };
        let (x, y) = if control.is_some() { (62, 22) } else { (65, 22) };
        wall::background(canvas, size.0, size.1);
        let drawn = gel::column(canvas, &mut chance, (x, y), test, plasma);
        let control = control.map(|control| {
            mark(canvas, [x, 168], 321);
            Drawn::Gel(gel::column(canvas, &mut chance, (168, y), control, plasma))
        });
        (Measure { test: Drawn::Gel(drawn), control }, size)
    }

    /// Draws the mixture alone. Gives what was drawn, and the part of the plane that holds it.
    fn draw_icon(&self, canvas: &mut Canvas) -> (Drawn, [i64; 4]) {
        match self.scene {
            Scene::Tube(Tube { test, plasma, moment, .. }) => {
                let mut chance = self.chance(Purpose::Tube);
                let pieces = tube::tube(canvas, &mut chance, (0, 0), test, plasma, moment);
                (Drawn::Tube(pieces), [-60, 54, 120, 202])
            }
            Scene::Gel(Gel { test, plasma, .. }) => {
                let mut chance = self.chance(Purpose::Gel);
                let bands = gel::column(canvas, &mut chance, (0, 0), test, plasma);
                (Drawn::Gel(bands), [-46, 66, 92, 218])
            }
            Scene::Slide(scene) => {
                let pieces = slide::slide(canvas, &mut self.chance(Purpose::Slide), scene);
                (Drawn::Slide(pieces), [66, 20, 276, 136])
            }
            Scene::Field(scene) => {
                let mut chance = self.chance(Purpose::Microscope);
                let cells = field::field(canvas, &mut chance, scene, self.species);
                (Drawn::Field(cells), [6, 6, 388, 388])
            }
        }
    }
}

/// The words under a pair.
fn mark(canvas: &mut Canvas, at: [i64; 2], y: i64) {
    for (word, x) in ["test", "control"].iter().zip(at) {
        canvas.add(&lettering::around(word, x * 100, y * 100, 700, paint::INK));
    }
}

#[cfg(test)]
mod tests {
    use super::{Prefix, lettering, samples};

    /// The seven letters stand one after the other in everything but the small forms.
    #[test]
    fn every_picture_says_that_it_is_a_drawing() {
        let prefix = Prefix::plain();
        let letters = lettering::lines("drawing");
        for (name, picture) in samples(3) {
            let forms =
                [Some(picture.svg(&prefix)), picture.moving(&prefix), picture.stills(&prefix)];
            for svg in forms.into_iter().flatten() {
                assert!(svg.contains(&letters), "{name}");
            }
        }
    }
}
