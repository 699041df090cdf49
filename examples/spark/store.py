"""Puts worksheets and their answers, two NDJSON streams, into one store in Parquet.

    python store.py WORKSHEETS ANSWERS STORE [FIRST]

FIRST is the row of the first line; with it a store that is there already is added to.
"""

import sys
from itertools import islice, zip_longest
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as parquet

SCHEMA = pa.schema([("row", pa.int64()), ("worksheet", pa.string()), ("answer", pa.string())])
ROWS_A_FILE = 5_000


def main(worksheets: str, answers: str, store: str, first: str = "1") -> None:
    folder = Path(store)
    folder.mkdir(parents=True, exist_ok=first != "1")
    with open(worksheets, encoding="utf-8", newline="\n") as sheets, open(
        answers, encoding="utf-8", newline="\n"
    ) as answered:
        rows = enumerate(zip_longest(sheets, answered), start=int(first))
        while part := list(islice(rows, ROWS_A_FILE)):
            numbers = [row for row, _ in part]
            texts = [[text.removesuffix("\n") for text in both] for _, both in part]
            columns = [numbers, [sheet for sheet, _ in texts], [answer for _, answer in texts]]
            table = pa.table(
                [pa.array(column, field.type) for column, field in zip(columns, SCHEMA)],
                schema=SCHEMA,
            )
            name = f"part-{numbers[0]:012}.parquet"
            parquet.write_table(table, folder / name, compression="zstd")


if __name__ == "__main__":
    main(*sys.argv[1:])
