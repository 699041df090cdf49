//! What a key does to a look: one key a grade, hemolysis before agglutination.

use crossread_core::protocol::HemolysisRule;
use crossread_core::words::{Agglutination, Grade, Hemolysis, Method, Pattern, Phase};
use crossread_journal::LookBegun;

/// What may be seen in a mixture.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rules {
    pub(crate) method: Method,
    pub(crate) hemolysis: HemolysisRule,
}

/// What a key comes to.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Pressed {
    /// The look as it is now.
    Look(LookBegun),
    /// The look is finished, although nobody looked for hemolysis.
    WithoutHemolysis,
    /// The key does nothing here, and why.
    Told(String),
}

/// Lays a key over a look.
pub(crate) fn press(look: &LookBegun, key: &str, rules: Rules) -> Pressed {
    let mut look = look.clone();
    match key {
        "0" | "1" | "2" | "3" | "4" => graded(look, key),
        "w" => match weaker(look.agglutination) {
            Ok(grade) => {
                look.agglutination = Some(Agglutination::Graded(grade));
                Pressed::Look(look)
            }
            Err(told) => Pressed::Told(told),
        },
        "s" => match stronger(look.agglutination) {
            Ok(grade) => {
                look.agglutination = Some(Agglutination::Graded(grade));
                Pressed::Look(look)
            }
            Err(told) => Pressed::Told(told),
        },
        "m" => {
            let micro = look.agglutination == Some(Agglutination::Graded(Grade::Micro));
            let grade = if micro { Grade::Rough } else { Grade::Micro };
            look.agglutination = Some(Agglutination::Graded(grade));
            Pressed::Look(look)
        }
        "x" => {
            look.agglutination = Some(Agglutination::Unreadable);
            Pressed::Look(look)
        }
        "p" => {
            look.pattern = next_pattern(look.pattern);
            Pressed::Look(look)
        }
        "f" => {
            look.mixed_field = !look.mixed_field;
            Pressed::Look(look)
        }
        "d" if rules.method == Method::Slide => {
            look.dried = !look.dried;
            Pressed::Look(look)
        }
        "d" => Pressed::Told("only the edge of a slide dries".to_owned()),
        "u" => Pressed::Look(LookBegun::new(look.of)),
        "h-" => without_hemolysis(&look),
        _ => longer(look, key, rules),
    }
}

fn graded(mut look: LookBegun, key: &str) -> Pressed {
    let grade = match key {
        "1" => Grade::G1,
        "2" => Grade::G2,
        "3" => Grade::G3,
        "4" => Grade::G4,
        _ => Grade::G0,
    };
    look.agglutination = Some(Agglutination::Graded(grade));
    Pressed::Look(look)
}

/// Keys of more than one sign: what they are about, and the value.
fn longer(mut look: LookBegun, key: &str, rules: Rules) -> Pressed {
    let unknown = || Pressed::Told(format!("`{key}` is no key here"));
    if let Some(digit) = key.strip_prefix('h') {
        if rules.hemolysis == HemolysisRule::NotReadable {
            return Pressed::Told("these rules do not read hemolysis here".to_owned());
        }
        let Some(hemolysis) = digit.parse().ok().and_then(Hemolysis::new) else { return unknown() };
        look.hemolysis = Some(hemolysis);
        return Pressed::Look(look);
    }
    let Some((what, value)) = key.split_once(':') else { return unknown() };
    match what {
        "check" if look.of.phase == Phase::Antiglobulin => match value.parse() {
            Ok(grade) => look.check_cells = Some(grade),
            Err(_) => return unknown(),
        },
        "check" => return Pressed::Told("check cells belong to the antiglobulin phase".to_owned()),
        "pattern" => match value.parse() {
            Ok(pattern) => look.pattern = (look.pattern != Some(pattern)).then_some(pattern),
            Err(_) => return unknown(),
        },
        "artefact" => match value.parse() {
            Ok(artefact) if look.artefacts.contains(&artefact) => {
                look.artefacts.retain(|seen| *seen != artefact);
            }
            Ok(artefact) => look.artefacts.push(artefact),
            Err(_) => return unknown(),
        },
        "parts" => {
            let parts = value.trim().parse().ok().and_then(crossread_core::document::Whole::new);
            if parts.is_none() {
                return Pressed::Told("write the parts of saline to 1 part, such as 4".to_owned());
            }
            look.saline_parts = parts;
        }
        _ => return unknown(),
    }
    Pressed::Look(look)
}

/// Whether a look can be finished, or what is still to be seen.
pub(crate) fn complete(look: &LookBegun, rules: Rules) -> Result<(), &'static str> {
    if look.agglutination.is_none() {
        return Err("no grade yet: 0 to 4, w, m, or x if it cannot be read");
    }
    if look.of.after == Some(crossread_core::words::Recheck::SalineDilution)
        && look.saline_parts.is_none()
    {
        return Err("write how many parts of saline there are to 1 part");
    }
    if look.hemolysis.is_none() && rules.hemolysis != HemolysisRule::NotReadable {
        return Err("hemolysis not entered: h and 0 to 4, or h and - if nobody looked");
    }
    Ok(())
}

fn without_hemolysis(look: &LookBegun) -> Pressed {
    if look.agglutination.is_none() {
        return Pressed::Told("enter the grade first".to_owned());
    }
    if look.hemolysis.is_some() {
        return Pressed::Told("hemolysis was entered: u takes the look back".to_owned());
    }
    Pressed::WithoutHemolysis
}

/// `w` by itself, or the weak variant of a whole grade. `3+w` is written `2+s`, and `4+w` is `3+s`.
fn weaker(seen: Option<Agglutination>) -> Result<Grade, String> {
    match seen.and_then(Agglutination::grade) {
        Some(Grade::G1) => Ok(Grade::G1w),
        Some(Grade::G2) => Ok(Grade::G2w),
        Some(Grade::G3) => Ok(Grade::G2s),
        Some(Grade::G4) => Ok(Grade::G3s),
        None | Some(Grade::G0 | Grade::Rough | Grade::Micro | Grade::W) => Ok(Grade::W),
        Some(grade @ (Grade::G1w | Grade::G1s | Grade::G2w | Grade::G2s | Grade::G3s)) => {
            Err(format!("{grade} is a variant already: press the digit again first"))
        }
    }
}

/// The strong variant of a whole grade.
fn stronger(seen: Option<Agglutination>) -> Result<Grade, String> {
    match seen.and_then(Agglutination::grade) {
        Some(Grade::G1) => Ok(Grade::G1s),
        Some(Grade::G2) => Ok(Grade::G2s),
        Some(Grade::G3) => Ok(Grade::G3s),
        None => Err("s is for after a digit: 1, 2 or 3".to_owned()),
        Some(
            grade @ (Grade::G0
            | Grade::Rough
            | Grade::Micro
            | Grade::W
            | Grade::G1w
            | Grade::G1s
            | Grade::G2w
            | Grade::G2s
            | Grade::G3s
            | Grade::G4),
        ) => Err(format!("{grade} has no strong variant")),
    }
}

/// The pattern after this one, and none after the last.
fn next_pattern(seen: Option<Pattern>) -> Option<Pattern> {
    let Some(seen) = seen else { return Pattern::ALL.first().copied() };
    let place = Pattern::ALL.iter().position(|pattern| *pattern == seen)?;
    Pattern::ALL.get(place.saturating_add(1)).copied()
}

#[cfg(test)]
mod tests {
    use crossread_core::protocol::HemolysisRule;
    use crossread_core::words::{Grade, Method, Phase, Test};
    use crossread_journal::{Cell, LookBegun};
    use rstest::rstest;

    use super::{Pressed, Rules, complete, press};

    const TUBE: Rules = Rules { method: Method::Tube, hemolysis: HemolysisRule::Required };
    const SLIDE: Rules = Rules { method: Method::Slide, hemolysis: HemolysisRule::NotReadable };

    fn empty(phase: Phase) -> LookBegun {
        LookBegun::new(Cell::new(Test::RecipientAuto, None, phase))
    }

    /// Keys one after the other; what was told is kept beside the look.
    fn keys(all: &str, phase: Phase, rules: Rules) -> (LookBegun, Vec<String>) {
        let mut told = Vec::new();
        let mut look = empty(phase);
        for key in all.split(' ') {
            match press(&look, key, rules) {
                Pressed::Look(now) => look = now,
                Pressed::Told(text) => told.push(text),
                Pressed::WithoutHemolysis => told.push("finished".to_owned()),
            }
        }
        (look, told)
    }

    #[rstest]
    #[case("0", "0")]
    #[case("1", "1+")]
    #[case("2", "2+")]
    #[case("3", "3+")]
    #[case("4", "4+")]
    #[case("w", "w")]
    #[case("m", "micro")]
    #[case("m m", "rough")]
    #[case("m m m", "micro")]
    #[case("1 w", "1+w")]
    #[case("1 s", "1+s")]
    #[case("2 w", "2+w")]
    #[case("2 s", "2+s")]
    #[case("3 w", "2+s")]
    #[case("3 s", "3+s")]
    #[case("4 w", "3+s")]
    #[case("0 w", "w")]
    #[case("2 s 3", "3+")]
    #[case("x", "unreadable")]
    #[case("x 2", "2+")]
    fn a_key_a_grade(#[case] pressed: &str, #[case] grade: &str) {
        let (look, told) = keys(pressed, Phase::Room, TUBE);
        assert_eq!(look.agglutination.map(crossread_core::words::Agglutination::word), Some(grade));
        assert!(told.is_empty(), "{told:?}");
    }

    /// Every grade there is has keys.
    #[test]
    fn no_grade_is_out_of_reach() {
        let mut reached = std::collections::BTreeSet::new();
        for one in ["0", "1", "2", "3", "4", "w", "m"] {
            for other in ["u", "w", "s", "m"] {
                let pressed = format!("{one} {other}");
                let pressed = if other == "u" { one } else { &pressed };
                let (look, _) = keys(pressed, Phase::Room, TUBE);
                reached.extend(
                    look.agglutination.and_then(crossread_core::words::Agglutination::grade),
                );
            }
        }
        assert_eq!(reached.into_iter().collect::<Vec<_>>(), Grade::ALL);
    }

    #[rstest]
    #[case("s")]
    #[case("0 s")]
    #[case("4 s")]
    #[case("2 s s")]
    #[case("2 s w")]
    #[case("h5")]
    #[case("q")]
    #[case("check:2+")]
    #[case("d")]
    #[case("parts:0")]
    #[case("artefact:none")]
    #[case("h0 1 h-")]
    #[case("h-")]
    fn a_key_that_does_nothing_says_so(#[case] pressed: &str) {
        let (_, told) = keys(pressed, Phase::Room, TUBE);
        assert_eq!(told.len(), 1, "{told:?}");
    }

    #[test]
    fn hemolysis_is_asked_for_where_it_can_be_read() {
        let (look, _) = keys("2", Phase::Warm37c, TUBE);
        assert!(complete(&look, TUBE).is_err());
        let (look, _) = keys("h0 2", Phase::Warm37c, TUBE);
        assert_eq!(complete(&look, TUBE), Ok(()));
        let (look, told) = keys("h0 2", Phase::Room, SLIDE);
        assert_eq!(told.len(), 1);
        assert_eq!(complete(&look, SLIDE), Ok(()));
        let (_, told) = keys("2 h-", Phase::Warm37c, TUBE);
        assert_eq!(told, ["finished"]);
    }

    #[test]
    fn undo_takes_everything_back() {
        let (look, _) = keys("h3 2 s p f x u", Phase::Room, TUBE);
        assert!(look.is_empty());
    }

    #[test]
    fn patterns_go_round_and_artefacts_come_and_go() {
        let (look, _) = keys("p p", Phase::Room, TUBE);
        assert_eq!(look.pattern.map(crossread_core::words::Pattern::word), Some("stacks"));
        let (look, _) = keys("p p p p p", Phase::Room, TUBE);
        assert_eq!(look.pattern, None);
        let (look, _) = keys("artefact:fibrin artefact:bubble artefact:fibrin", Phase::Room, TUBE);
        assert_eq!(look.artefacts.len(), 1);
        let (look, told) = keys("check:2+", Phase::Antiglobulin, TUBE);
        assert_eq!(look.check_cells, Some(Grade::G2));
        assert!(told.is_empty());
    }
}
