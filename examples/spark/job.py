"""Reads stored worksheets anew under a new protocol, with Apache Spark.

    spark-submit --py-files reread.py job.py STORE OUT --new FILE --old-version VERSION [--local FILE...]

STORE is Parquet with `row` (from 1), `worksheet` and `answer`, the interpretation that was stored
with it. OUT gets `answers`, Parquet with the new answers and how each differs, and `summary.json`:
changed verdicts, and how often each finding changed and decided. The same file runs on one machine
and on a cluster; the wheel must be installed where its workers are.
"""

import argparse
import json
from pathlib import Path

import crossread
from pyspark.sql import Column, DataFrame, SparkSession
from pyspark.sql import functions as f

from reread import Reread

RESULT = "row long, answer string, kind string, change string, freed int, barred int"
FINDINGS = "array<struct<slug: string, old: string, new: string, decides: boolean>>"
PAIRS = f"array<struct<donor: string, old: string, new: string, findings: {FINDINGS}>>"
CHANGE = f"pairs {PAIRS}, panel {FINDINGS}"


def summary(answers: DataFrame) -> dict:
    """The counts that the command's `compare` gives for the old and new answers."""
    kinds = {row["kind"]: row for row in answers.groupBy("kind").agg(
        f.count("*").alias("rows"), f.sum("freed").alias("freed"), f.sum("barred").alias("barred")
    ).collect()}

    def rows(kind: str) -> int:
        return kinds[kind]["rows"] if kind in kinds else 0

    change = answers.where("change is not null").select(f.from_json("change", CHANGE).alias("c"))
    pairs = change.select(f.explode("c.pairs").alias("pair")).select("pair.*")
    verdicts = pairs.where("not (old <=> new)").groupBy("old", "new").count()
    verdicts = verdicts.orderBy("old", "new").collect()
    of_pairs = pairs.select(f.explode("findings").alias("finding"))
    of_panel = change.select(f.explode("c.panel").alias("finding"))

    def times(condition: str, name: str) -> Column:
        return f.sum(f.expr(f"cast({condition} as int)")).alias(name)

    findings = of_pairs.union(of_panel).select("finding.*").groupBy("slug").agg(
        times("old is null", "added"),
        times("old is not null and new is null", "removed"),
        times("old is not null and new is not null", "effect_changed"),
        times("decides", "decided"),
    ).orderBy("slug").collect()
    return {
        "worksheets": rows("alike") + rows("changed"),
        "alike": rows("alike"),
        "at_fault_in_both": rows("fault"),
        "turned": rows("turned"),
        "verdicts_changed": sum(row["count"] for row in verdicts),
        "now_releasable": sum(row["freed"] for row in kinds.values()),
        "no_longer_releasable": sum(row["barred"] for row in kinds.values()),
        "verdicts": [
            {"old": row["old"], "new": row["new"], "donors": row["count"]} for row in verdicts
        ],
        "findings": {
            row["slug"]: {key: value for key, value in row.asDict().items() if key != "slug"}
            for row in findings
        },
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("store")
    parser.add_argument("out")
    parser.add_argument("--new", required=True, help="the new protocol")
    parser.add_argument("--old-version", required=True, help="the version that it takes the place of")
    parser.add_argument("--local", nargs="*", default=[], help="other local protocols")
    asked = parser.parse_args()

    new = Path(asked.new).read_text(encoding="utf-8")
    rules = crossread.Rules(*(Path(file).read_bytes() for file in asked.local), new)
    named = json.loads(new)
    reread = Reread(rules, named["id"], asked.old_version, named["version"])

    spark = (
        SparkSession.builder.appName("crossread: stored worksheets read anew")
        # A row has some 30 kB.
        .config("spark.sql.execution.arrow.maxRecordsPerBatch", 1000)
        .getOrCreate()
    )
    store = spark.read.parquet(asked.store).select("row", "worksheet", "answer")
    answers = f"{asked.out}/answers"
    store.mapInArrow(reread, RESULT).write.option("compression", "zstd").parquet(answers)
    told = summary(spark.read.parquet(answers))
    Path(asked.out, "summary.json").write_text(json.dumps(told, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(told, indent=2))
    spark.stop()


if __name__ == "__main__":
    main()
