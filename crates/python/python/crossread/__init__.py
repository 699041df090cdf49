"""Checks and interprets veterinary crossmatches: text in, text out.

A document is JSON as ``str`` or ``bytes``; an answer is JSON as ``str``, the very bytes that the
command ``crossread`` prints for the same document, without the line end.

    >>> import crossread
    >>> try:
    ...     crossread.interpret("{}")
    ... except crossread.Faults as found:
    ...     print(found.faults[0]["code"])
    missing-field

A value that you do not know means: do not release.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Literal, Optional, Sequence, TypeVar, Union

from . import _engine

if TYPE_CHECKING:
    import pandas
    import pyarrow

__all__ = [
    "Faults",
    "Rules",
    "__version__",
    "check",
    "compare",
    "explain",
    "interpret",
    "interpret_arrow",
    "interpret_many",
    "interpret_pandas",
    "schema",
]

Document = Union[str, bytes]
Kind = Literal["worksheet", "protocol", "interpretation"]

__version__: str = _engine.version()

# The name of a document that has no other, in its faults.
_UNNAMED = "<document>"


class Faults(ValueError):
    """A document was refused; nothing was found out, and no unit is free by it."""

    report: str
    """All faults: a document of the format ``crossread.fault/1``."""

    def __init__(self, report: str) -> None:
        super().__init__(report)
        self.report = report

    @property
    def faults(self) -> list[dict[str, Any]]:
        """All faults, each with ``code``, ``pointer``, ``line``, ``column``, ``expected``,
        ``found`` and, if there is one, ``hint``."""
        faults: list[dict[str, Any]] = json.loads(self.report)["faults"]
        return faults

    def __str__(self) -> str:
        return "\n".join(
            f"{fault['line']}:{fault['column']}: {fault['code']}: expected {fault['expected']}, "
            f"found {fault['found']}"
            for fault in self.faults
        )


class Rules:
    """The protocols that ship, and local ones besides.

    Each of ``protocols`` is a document of the format ``crossread.protocol/1``; one with the same id
    and version as another takes its place. Made once, used by many calls and threads; it can be
    pickled. Raises ``Faults`` if one is at fault.
    """

    __slots__ = ("_engine", "_local")

    def __init__(self, *protocols: Document) -> None:
        engine = _engine.Engine()
        for number, document in enumerate(protocols, start=1):
            with_it, faults = engine.with_protocol(document, f"<protocol {number}>")
            if with_it is None:
                raise Faults(faults or "")
            engine = with_it
        self._engine = engine
        self._local = protocols

    def __reduce__(self) -> tuple[type[Rules], tuple[Document, ...]]:
        return Rules, self._local

    def protocols(self) -> list[tuple[str, str, str]]:
        """Id, version and SHA-256 of every protocol."""
        return self._engine.protocols()


_SHIPPED = Rules()


def _of(rules: Optional[Rules]) -> _engine.Engine:
    return (_SHIPPED if rules is None else rules)._engine


def interpret(
    document: Document,
    rules: Optional[Rules] = None,
    *,
    source: str = _UNNAMED,
    line: Optional[int] = None,
    indent: bool = False,
) -> str:
    """What a worksheet comes to: a document of the format ``crossread.interpretation/1``.

    ``rules`` are the protocols that it may name; without them, those that ship. ``source`` and
    ``line`` (from 1) name its place in the faults. Raises ``Faults``.
    """
    interpreted, text = _of(rules).interpret(document, source, line, indent)
    if not interpreted:
        raise Faults(text)
    return text


def check(
    document: Document,
    rules: Optional[Rules] = None,
    *,
    kind: Optional[Kind] = None,
    source: str = _UNNAMED,
    indent: bool = False,
) -> str:
    """What a document is, in a few words. Raises ``Faults``.

    Without ``kind`` it is what it says itself, and a worksheet if it says nothing.
    """
    good, text = _of(rules).check(document, kind, source, indent)
    if not good:
        raise Faults(text)
    return text


def interpret_many(
    worksheets: Sequence[Optional[Document]],
    rules: Optional[Rules] = None,
    *,
    source: str = _UNNAMED,
    lines: Optional[Sequence[int]] = None,
) -> list[Optional[str]]:
    """The answer to each worksheet, in order, on one line.

    The answer to one at fault is its faults, ``crossread.fault/1``, in which no word ``releasable``
    is; to ``None`` it is ``None``. Neither frees a unit. With ``source`` and ``lines``, where each
    stands in a stream, the answers are the lines that the command writes for that stream. Other
    threads run meanwhile.
    """
    return _of(rules).interpret_many(worksheets, source, lines)


_Column = TypeVar("_Column", "pyarrow.Array", "pyarrow.ChunkedArray")


def interpret_arrow(
    worksheets: _Column,
    rules: Optional[Rules] = None,
    *,
    source: str = _UNNAMED,
    lines: Optional[Union[pyarrow.Array, pyarrow.ChunkedArray]] = None,
) -> _Column:
    """As ``interpret_many``, for a column of Arrow: an array or a chunked array of text or bytes.

    The answers are text, ``large_string`` if the worksheets have large offsets. They are longer
    than the worksheets; if those of one array have more than 2 GiB, it must be ``large_string``.
    """
    import pyarrow as pa

    text = _text_type(worksheets.type)
    if isinstance(worksheets, pa.ChunkedArray):
        chunks, start = [], 0
        for chunk in worksheets.chunks:
            of_chunk = None if lines is None else lines.slice(start, len(chunk))
            chunks.append(interpret_arrow(chunk, rules, source=source, lines=of_chunk))
            start += len(chunk)
        return pa.chunked_array(chunks, type=text)
    answers = interpret_many(
        worksheets.to_pylist(),
        rules,
        source=source,
        lines=None if lines is None else lines.to_pylist(),
    )
    column = pa.array(answers, text)
    if isinstance(column, pa.ChunkedArray):
        raise ValueError("the answers have more than 2 GiB: hand in worksheets as large_string")
    return column


def _text_type(of: pyarrow.DataType) -> pyarrow.DataType:
    import pyarrow as pa

    if pa.types.is_large_string(of) or pa.types.is_large_binary(of):
        return pa.large_string()
    if pa.types.is_string(of) or pa.types.is_binary(of) or pa.types.is_null(of):
        return pa.string()
    if pa.types.is_string_view(of) or pa.types.is_binary_view(of):
        return pa.string()
    raise TypeError(f"worksheets are text or bytes, not {of}")


def interpret_pandas(
    worksheets: pandas.Series[Any],
    rules: Optional[Rules] = None,
    *,
    source: str = _UNNAMED,
) -> pandas.Series[Any]:
    """As ``interpret_many``, for a series of pandas, with its index and name."""
    import pandas as pd

    missing = worksheets.isna()
    given = [None if gone else sheet for sheet, gone in zip(worksheets, missing)]
    answers = interpret_many(given, rules, source=source)
    return pd.Series(answers, index=worksheets.index, name=worksheets.name, dtype=object)


def compare(old: Document, new: Document) -> Optional[str]:
    """How two interpretations of one worksheet differ: which verdicts, and by which findings.

    ``None`` if they say the same, of the same document by the same rules. Raises ``ValueError`` if
    one is no interpretation, or they are of two worksheets.
    """
    return _engine.compare(old, new)


def explain(word: str) -> list[dict[str, Any]]:
    """All meanings of a finding, a fault, a key of a protocol or a word of the trade.

    Raises ``KeyError``, with what may have been meant, if it has none.
    """
    text, unknown = _engine.explain(word)
    if text is None:
        raise KeyError(unknown)
    meanings: list[dict[str, Any]] = json.loads(text)
    return meanings


def schema(name: Literal["worksheet", "interpretation", "protocol", "fault"]) -> str:
    """The JSON Schema of a document. Raises ``KeyError`` for another name."""
    text = _engine.schema(name)
    if text is None:
        raise KeyError(f"no schema is called {name}")
    return text
