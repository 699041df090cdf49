"""Every worksheet of the corpus, and spoilt ones, have the bytes of the command."""

import os
from itertools import zip_longest
from pathlib import Path

import pytest

import crossread

FOLDER = os.environ.get("CROSSREAD_DOCUMENTS")


@pytest.mark.skipif(FOLDER is None, reason="not passed: CROSSREAD_DOCUMENTS names no folder")
@pytest.mark.parametrize("stream, least", [("worksheets", 20_000), ("spoilt", 1_000)])
def test_the_bytes_are_those_of_the_command(stream, least):
    folder = Path(FOLDER)
    rules = crossread.Rules(*(path.read_bytes() for path in sorted(folder.glob("protocols/*"))))
    with open(folder / f"{stream}.ndjson", "rb") as given, open(
        folder / f"{stream}.answers.ndjson", "rb"
    ) as wanted:
        number = 0
        for number, (sheet, answer) in enumerate(zip_longest(given, wanted), start=1):
            sheet = sheet.removesuffix(b"\n")
            (text,) = crossread.interpret_many([sheet], rules, source="<stdin>", lines=[number])
            assert text.encode() + b"\n" == answer, f"line {number}"
        assert number >= least
