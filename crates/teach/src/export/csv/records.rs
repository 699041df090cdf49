//! CSV taken apart, with the place of every cell.
//!
//! Written here because the CSV libraries tell the line of a record at most, not the column of a
//! cell, and take a quote that stands wrong as it comes.

use std::iter::Peekable;
use std::str::Chars;

use super::responses::{ResponseFault, ResponseFaultCode};
use crate::export::shown::shown;

/// One cell, where it begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cell {
    pub(super) text: String,
    pub(super) line: usize,
    pub(super) column: usize,
}

/// The records that have something in a cell, and what is wrong with the quotes. A record goes over
/// several lines where a quoted cell does.
pub(super) fn records(text: &str) -> (Vec<Vec<Cell>>, Vec<ResponseFault>) {
    let mut reader =
        Reader { rest: text.chars().peekable(), line: 1, column: 1, faults: Vec::new() };
    let mut records = Vec::new();
    while reader.rest.peek().is_some() {
        let record = reader.record();
        if record.iter().any(|cell| !cell.text.trim().is_empty()) {
            records.push(record);
        }
    }
    (records, reader.faults)
}

struct Reader<'a> {
    rest: Peekable<Chars<'a>>,
    line: usize,
    column: usize,
    faults: Vec<ResponseFault>,
}

impl Reader<'_> {
    fn next(&mut self) -> Option<char> {
        let c = self.rest.next()?;
        if c == '\n' || (c == '\r' && self.rest.peek() != Some(&'\n')) {
            self.line = self.line.saturating_add(1);
            self.column = 1;
        } else {
            self.column = self.column.saturating_add(1);
        }
        Some(c)
    }

    fn record(&mut self) -> Vec<Cell> {
        let mut cells = Vec::new();
        loop {
            cells.push(self.cell());
            let ended = self.next();
            if ended == Some('\r') && self.rest.peek() == Some(&'\n') {
                self.next();
            }
            if ended != Some(',') {
                return cells;
            }
        }
    }

    /// One cell, up to its comma or the end of its line.
    fn cell(&mut self) -> Cell {
        let (line, column) = (self.line, self.column);
        let mut text = String::new();
        if self.rest.peek() == Some(&'"') {
            self.next();
            self.quoted(&mut text, line, column);
        } else {
            self.bare(&mut text);
        }
        Cell { text, line, column }
    }

    fn quoted(&mut self, text: &mut String, line: usize, column: usize) {
        loop {
            match self.next() {
                Some('"') if self.rest.peek() == Some(&'"') => {
                    self.next();
                    text.push('"');
                }
                Some('"') => break,
                Some(c) => text.push(c),
                None => {
                    let code = ResponseFaultCode::UnclosedQuote;
                    self.fault(code, line, column, "a closing `\"`", "the end of the file");
                    return;
                }
            }
        }
        let (line, column) = (self.line, self.column);
        let from = text.len();
        while let Some(c) = self.rest.next_if(|c| !matches!(c, ',' | '\r' | '\n')) {
            self.column = self.column.saturating_add(1);
            text.push(c);
        }
        if let Some(after) = text.get(from..).filter(|after| !after.is_empty()) {
            let code = ResponseFaultCode::TextAfterQuote;
            let after = shown(after);
            self.fault(code, line, column, "a comma or the end of the line", &after);
        }
    }

    fn bare(&mut self, text: &mut String) {
        while let Some(c) = self.rest.next_if(|c| !matches!(c, ',' | '\r' | '\n')) {
            if c == '"' {
                let (line, column) = (self.line, self.column);
                let code = ResponseFaultCode::StrayQuote;
                self.fault(code, line, column, "a cell that begins with `\"`", "`\"` within it");
            }
            self.column = self.column.saturating_add(1);
            text.push(c);
        }
    }

    fn fault(
        &mut self,
        code: ResponseFaultCode,
        line: usize,
        column: usize,
        expected: &str,
        found: &str,
    ) {
        let hint = "put the whole cell in `\"` and double every `\"` within it";
        self.faults.push(ResponseFault {
            code,
            line,
            column,
            expected: expected.to_owned(),
            found: found.to_owned(),
            hint: Some(hint.to_owned()),
        });
    }
}

#[cfg(test)]
mod tests {
    use csv::ReaderBuilder;
    use proptest::prelude::*;
    use rstest::rstest;

    use super::super::responses::ResponseFaultCode as Code;
    use super::records;

    fn texts(text: &str) -> Vec<Vec<String>> {
        let (records, faults) = records(text);
        assert_eq!(faults, []);
        records.into_iter().map(|cells| cells.into_iter().map(|cell| cell.text).collect()).collect()
    }

    #[rstest]
    #[case("a,b\r\nc,d\r\n")]
    #[case("a,b\nc,d")]
    #[case("a,b\rc,d\r")]
    #[case("\n\na,b\r\n\r\n , \nc,\"d\"\n,,,\n")]
    fn every_line_end_is_taken_and_empty_lines_are_passed_over(#[case] text: &str) {
        assert_eq!(texts(text), [["a", "b"], ["c", "d"]]);
    }

    #[test]
    fn a_cell_has_its_line_and_its_column_in_characters() {
        let (records, faults) = records("µ,\"a\r\nb\",c\r\n赤,\"x\"\"y\",z");
        let places: Vec<_> = records
            .iter()
            .flatten()
            .map(|cell| (cell.text.as_str(), cell.line, cell.column))
            .collect();
        assert_eq!(
            places,
            [
                ("µ", 1, 1),
                ("a\r\nb", 1, 3),
                ("c", 2, 4),
                ("赤", 3, 1),
                ("x\"y", 3, 3),
                ("z", 3, 10)
            ]
        );
        assert_eq!(faults, []);
    }

    #[rstest]
    #[case("a\"b,c", Code::StrayQuote, 1, 2)]
    #[case("x\n\"a\"b,c", Code::TextAfterQuote, 2, 4)]
    #[case("x,\"a\nb", Code::UnclosedQuote, 1, 3)]
    fn a_quote_that_stands_wrong_is_told(
        #[case] text: &str,
        #[case] code: Code,
        #[case] line: usize,
        #[case] column: usize,
    ) {
        let (_, faults) = records(text);
        let places: Vec<_> =
            faults.iter().map(|fault| (fault.code, fault.line, fault.column)).collect();
        assert_eq!(places, [(code, line, column)]);
    }

    proptest! {
        /// The CSV library is another reader of the same grammar.
        #[test]
        fn what_is_without_fault_reads_as_the_library_reads_it(
            text in "[a,\"\n\r µ]{0,24}",
        ) {
            let (mine, faults) = records(&text);
            prop_assume!(faults.is_empty());
            let mut library =
                ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
            let theirs: Vec<Vec<String>> = library
                .records()
                .map(|record| record.unwrap().iter().map(str::to_owned).collect::<Vec<_>>())
                .filter(|record: &Vec<_>| record.iter().any(|cell| !cell.trim().is_empty()))
                .collect();
            let mine: Vec<Vec<String>> = mine
                .into_iter()
                .map(|record| record.into_iter().map(|cell| cell.text).collect())
                .collect();
            prop_assert_eq!(mine, theirs);
        }
    }
}
