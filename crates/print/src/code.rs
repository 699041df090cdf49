//! A mark that a scanner reads.

use qrcode::types::Color;
use qrcode::{EcLevel, QrCode};
use serde::Serialize;

/// A QR code and the text that it holds.
///
/// # Source
/// ISO/IEC 18004: the mark needs a quiet zone of 4 modules, which every renderer leaves; from
/// memory. Error correction level M, which the standard's table gives as about 15 % of the code
/// words; from memory.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Code {
    /// What a scanner types.
    pub text: String,
    /// The mark, a string a row, `1` dark and `0` light, without the quiet zone.
    pub modules: Vec<String>,
}

/// Modules of quiet zone on every side.
const QUIET: usize = 4;

impl Code {
    /// The code of a text; `None` if it is too long for a code (over 2331 bytes).
    ///
    /// ```
    /// # use crossread_print::Code;
    /// let code = Code::of("WS-0142 7 major D-091").unwrap();
    /// assert_eq!((code.modules.len(), code.modules[0].len()), (25, 25));
    /// assert_eq!(Code::of(&"7".repeat(8000)), None);
    /// ```
    pub fn of(text: &str) -> Option<Self> {
        let code = QrCode::with_error_correction_level(text, EcLevel::M).ok()?;
        let shade = |color: &Color| match color {
            Color::Dark => '1',
            Color::Light => '0',
        };
        let colors = code.to_colors();
        let rows = colors.chunks(code.width());
        let modules = rows.map(|row| row.iter().map(shade).collect()).collect();
        Some(Self { text: text.to_owned(), modules })
    }

    /// Modules on a side, with the quiet zone.
    pub(crate) fn side(&self) -> usize {
        self.modules.len().saturating_add(QUIET.saturating_mul(2))
    }

    /// The outline of the dark modules, as the path of a drawing with one unit a module.
    pub(crate) fn path(&self) -> String {
        let mut path = String::new();
        for (row, modules) in (QUIET..).zip(&self.modules) {
            for (column, module) in (QUIET..).zip(modules.chars()) {
                if module == '1' {
                    path.push_str(&format!("M{column} {row}h1v1h-1z"));
                }
            }
        }
        path
    }
}

#[cfg(test)]
mod tests {
    use super::Code;

    #[test]
    fn a_text_too_long_has_no_code() {
        assert!(Code::of(&"7".repeat(8000)).is_none());
        assert!(Code::of("WS-0142 7 major D-091").is_some_and(|code| code.modules.len() == 25));
    }
}
