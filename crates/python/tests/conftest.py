from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[3]


@pytest.fixture(scope="session")
def examples() -> dict[str, tuple[str, str]]:
    """Worksheet and committed interpretation of every worked case."""
    cases = {
        answer.parent.name: (
            (answer.parent / "worksheet.json").read_text(encoding="utf-8"),
            answer.read_text(encoding="utf-8"),
        )
        for answer in sorted((PROJECT / "examples").glob("*/interpretation.json"))
    }
    assert len(cases) >= 40
    return cases


@pytest.fixture(scope="session")
def dog() -> str:
    """A protocol that ships."""
    path = PROJECT / "crates/core/protocols/dog-routine.json"
    return path.read_text(encoding="utf-8")
