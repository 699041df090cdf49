"""Compares what the job made with what one machine makes of the same store, row by row.

    python check.py STORE OUT --new FILE --old-version VERSION --command CROSSREAD [--local FILE...]

The one machine runs the command: `interpret` over all worksheets as one stream, then `compare`.
Ends with 1 and says where if a byte of an answer or a count differs.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from threading import Thread
from typing import IO, Iterator

import pyarrow.parquet as parquet

from reread import renamed


def rows(folder: Path, columns: list[str]) -> Iterator[tuple]:
    for file in sorted(folder.glob("*.parquet")):
        for batch in parquet.ParquetFile(file).iter_batches(2_000, columns=columns):
            yield from zip(*(batch[column].to_pylist() for column in columns))


def digests(answers: Path) -> dict[int, bytes]:
    """The SHA-256 of the job's answer to each row; its files have them in no order."""
    found: dict[int, bytes] = {}
    for row, answer in rows(answers, ["row", "answer"]):
        if row in found:
            raise SystemExit(f"row {row} is answered twice")
        found[row] = sha256(answer.encode()).digest()
    return found


def feed(asked: argparse.Namespace, named: dict, to: IO[bytes]) -> None:
    """The worksheets, naming the new rules, one a line."""
    with suppress(BrokenPipeError), to:
        for (sheet,) in rows(asked.store, ["worksheet"]):
            sheet = renamed(sheet, named["id"], asked.old_version, named["version"])
            to.write(sheet.encode() + b"\n")


def stored(store: Path, to: Path) -> None:
    """The answers of the store, one a line."""
    with suppress(BrokenPipeError), open(to, "wb") as lines:
        for (answer,) in rows(store, ["answer"]):
            lines.write(answer.encode() + b"\n")


def last(lines: IO[bytes], into: list[bytes]) -> None:
    """The last line that comes."""
    for line in lines:
        into[:] = [line]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("store", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--new", required=True)
    parser.add_argument("--old-version", required=True)
    parser.add_argument("--command", required=True)
    parser.add_argument("--local", nargs="*", default=[])
    parser.add_argument("--jobs", default="1")
    asked = parser.parse_args()
    named = json.loads(Path(asked.new).read_text(encoding="utf-8"))

    found = digests(asked.out / "answers")
    protocols = [part for file in [*asked.local, asked.new] for part in ("--protocol", file)]
    with tempfile.TemporaryDirectory() as folder:
        # Pipes with names, so that nothing of the store is written once more.
        before, after = Path(folder, "before"), Path(folder, "after")
        os.mkfifo(before)
        os.mkfifo(after)
        interpret = subprocess.Popen(
            [asked.command, "interpret", "--stream", "--exit-zero", "--jobs", asked.jobs]
            + [*protocols, "-"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )
        compare = subprocess.Popen(
            [asked.command, "compare", "--format", "ndjson", before, after],
            stdout=subprocess.PIPE,
        )
        summary: list[bytes] = []
        threads = [
            Thread(target=feed, args=(asked, named, interpret.stdin), daemon=True),
            Thread(target=stored, args=(asked.store, before), daemon=True),
            Thread(target=last, args=(compare.stdout, summary), daemon=True),
        ]
        for thread in threads:
            thread.start()
        compared = 0
        with open(after, "wb") as to_compare:
            for row, wanted in enumerate(interpret.stdout, start=1):
                if found.pop(row, None) != sha256(wanted.removesuffix(b"\n")).digest():
                    print(f"row {row} differs", file=sys.stderr)
                    interpret.kill()
                    compare.kill()
                    return 1
                to_compare.write(wanted)
                compared = row
        if found:
            print(f"row {min(found)} is in the job's answers only", file=sys.stderr)
            return 1
        for thread in threads:
            thread.join()
        if interpret.wait() not in (0, 65) or compare.wait() not in (0, 1):
            print("the command failed", file=sys.stderr)
            return 1
        single = json.loads(summary[-1])["summary"]

    spark = json.loads((asked.out / "summary.json").read_text(encoding="utf-8"))
    for counts in (spark, single):
        counts["verdicts"].sort(key=lambda row: (row["old"] or "", row["new"] or ""))
    for key, value in spark.items():
        if value != single[key]:
            print(f"{key} differs: {value}, on one machine {single[key]}", file=sys.stderr)
            return 1
    changed = spark["verdicts_changed"]
    print(f"{compared} rows equal, by the SHA-256 of their bytes; {changed} verdicts changed, counts equal")
    return 0


if __name__ == "__main__":
    sys.exit(main())
