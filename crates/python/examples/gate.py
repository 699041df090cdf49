"""A gate between verdict and unit: opens for one donor of one worksheet, or stays shut.

    python gate.py WORKSHEET DONOR && echo "hand over the unit"

It ends with 0 only if the worksheet was interpreted, its answer has this donor once, and
`releasable` of this donor is true. Everything else, an exception included, ends otherwise. The
verdict is serology only; local rules and the veterinarian decide.
"""

import json
import sys
from pathlib import Path

import crossread


def frees(worksheet: bytes, donor: str) -> bool:
    """Whether the donor may be released by the verdict."""
    answer = json.loads(crossread.interpret(worksheet))
    pairs = [pair for pair in answer["pairs"] if pair["donor"] == donor]
    return len(pairs) == 1 and pairs[0]["releasable"] is True


def main(arguments: list[str]) -> int:
    if len(arguments) != 3:
        print("usage: gate.py WORKSHEET DONOR", file=sys.stderr)
        return 2
    try:
        freed = frees(Path(arguments[1]).read_bytes(), arguments[2])
    except (OSError, crossread.Faults) as why:
        print(f"{why}\ndo not release", file=sys.stderr)
        return 1
    print(f"{arguments[2]}: {'releasable by the verdict' if freed else 'do not release'}", flush=True)
    return 0 if freed else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv))
