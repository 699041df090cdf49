"""What is done with a batch of stored worksheets when the local rules change.

A worksheet names the protocol that it is read by. One that names the old rules is read as if it
named the new ones; every other stays as it is. The rules are crossread's: nothing here decides.
"""

import json
from typing import Iterator, Optional

import crossread
import pyarrow as pa

RESULT = pa.schema(
    [
        ("row", pa.int64()),
        ("answer", pa.large_string()),
        ("kind", pa.string()),  # alike, changed, fault (the same as before) or turned
        ("change", pa.string()),  # what `crossread.compare` says, if changed
        ("freed", pa.int32()),  # donors releasable now and not before
        ("barred", pa.int32()),  # donors releasable before and not now
    ]
)


def renamed(worksheet: str, protocol: str, old: str, new: str) -> str:
    """The worksheet, naming the new version of a protocol if it named the old one.

    Numbers keep their values: those of a worksheet have so few digits that a float holds them.
    """
    if protocol not in worksheet:
        return worksheet
    try:
        document = json.loads(worksheet)
        named = document["protocol"]
        if (named["id"], named["version"]) != (protocol, old):
            return worksheet
    except (ValueError, LookupError, TypeError):
        return worksheet  # at fault, as the engine will say
    named["version"] = new
    return json.dumps(document, ensure_ascii=False, separators=(",", ":"))


def _releasable(answer: str) -> set[str]:
    pairs = json.loads(answer).get("pairs", [])
    return {pair["donor"] for pair in pairs if pair["releasable"] is True}


def _is_fault(answer: str) -> bool:
    return answer.startswith('{"format":"crossread.fault/1"')


def compared(old: str, new: str) -> tuple[str, Optional[str], int, int]:
    """Kind, change, and how many donors were freed and barred."""
    faults = _is_fault(old), _is_fault(new)
    if all(faults):
        same = json.loads(old)["faults"] == json.loads(new)["faults"]
        return ("fault" if same else "turned"), None, 0, 0
    kind, change = "turned", None
    if not any(faults):
        change = None if old == new else crossread.compare(old, new)
        if change is None:
            return "alike", None, 0, 0
        kind = "changed"
    before, after = _releasable(old), _releasable(new)
    return kind, change, len(after - before), len(before - after)


class Reread:
    """Reads batches anew; made once, sent to every worker."""

    def __init__(self, rules: crossread.Rules, protocol: str, old: str, new: str) -> None:
        self.rules = rules
        self.named = (protocol, old, new)

    def __call__(self, batches: Iterator[pa.RecordBatch]) -> Iterator[pa.RecordBatch]:
        for batch in batches:
            sheets = [renamed(sheet, *self.named) for sheet in batch["worksheet"].to_pylist()]
            # Answered as the lines of one stream, whichever batch they came in.
            answers = crossread.interpret_many(
                sheets, self.rules, source="<stdin>", lines=batch["row"].to_pylist()
            )
            changes = [compared(*both) for both in zip(batch["answer"].to_pylist(), answers)]
            kinds, told, freed, barred = zip(*changes) if changes else ((), (), (), ())
            columns = [batch["row"].to_pylist(), answers, kinds, told, freed, barred]
            yield pa.record_batch(
                [pa.array(column, field.type) for column, field in zip(columns, RESULT)],
                schema=RESULT,
            )
