"""The job on one machine, small: equal to the command, row by row and count by count.

`CROSSREAD_DOCUMENTS` names the folder of worksheets and answers, `CROSSREAD_COMMAND` the command;
`.ci/bindings` sets both. `ROWS` says how many worksheets.
"""

import json
import os
import subprocess
import sys
from itertools import islice
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
SHIPPED = HERE / "../../crates/core/protocols/dog-routine.json"
FOLDER, COMMAND = os.environ.get("CROSSREAD_DOCUMENTS"), os.environ.get("CROSSREAD_COMMAND")
ROWS = int(os.environ.get("ROWS", "2000"))


def run(script: str, *arguments: object) -> str:
    ended = subprocess.run(
        [sys.executable, HERE / script, *map(str, arguments)],
        env={**os.environ, "PYSPARK_PYTHON": sys.executable, "PYSPARK_SUBMIT_ARGS": SUBMIT},
        capture_output=True, text=True,
    )
    assert ended.returncode == 0, ended.stdout[-2000:] + ended.stderr[-6000:]
    return ended.stdout


SUBMIT = (
    "--master local[2] --conf spark.ui.enabled=false --conf spark.driver.host=127.0.0.1 "
    "--conf spark.sql.shuffle.partitions=4 pyspark-shell"
)


@pytest.mark.skipif(not (FOLDER and COMMAND), reason="not passed: needs CROSSREAD_DOCUMENTS and _COMMAND")
def test_the_job_is_equal_to_one_machine(tmp_path):
    with open(tmp_path / "worksheets.ndjson", "wb") as out:
        for kind, count in (("worksheets", ROWS), ("spoilt", ROWS // 20)):
            with open(Path(FOLDER, f"{kind}.ndjson"), "rb") as lines:
                out.writelines(islice(lines, count))
    local = sorted(map(str, Path(FOLDER).glob("protocols/*")))
    given = [part for file in local for part in ("--protocol", file)]
    with open(tmp_path / "worksheets.ndjson", "rb") as sheets, open(
        tmp_path / "answers.ndjson", "wb"
    ) as answers:
        ended = subprocess.run(
            [COMMAND, "interpret", "--stream", "--exit-zero", *given, "-"],
            stdin=sheets, stdout=answers,
        )
    assert ended.returncode == 65
    run("store.py", tmp_path / "worksheets.ndjson", tmp_path / "answers.ndjson", tmp_path / "store")

    # A change of the rules that frees some donors and bars others.
    rules = json.loads(SHIPPED.read_text(encoding="utf-8"))
    rules["version"] = "2.0.0"
    rules["doubtful_from"]["value"] = "w"
    rules["sample_max_hours"]["exposed"]["value"] = {"room": 2, "fridge": 2}
    (tmp_path / "new.json").write_text(json.dumps(rules), encoding="utf-8")
    asked = ["--new", tmp_path / "new.json", "--old-version", "1.0.0", "--local", *local]
    run("job.py", tmp_path / "store", tmp_path / "out", *asked)
    told = json.loads((tmp_path / "out/summary.json").read_text(encoding="utf-8"))
    assert told["verdicts_changed"] > ROWS // 200, told
    assert told["now_releasable"] > 0 and told["no_longer_releasable"] > 0, told
    assert told["alike"] > ROWS // 4 and told["at_fault_in_both"] > ROWS // 50, told
    assert told["findings"]["sample-too-old"]["decided"] > 0, told
    assert "rows equal" in run(
        "check.py", tmp_path / "store", tmp_path / "out", *asked, "--command", COMMAND
    )

    # That the check can fail: one answer that is another row's.
    import pyarrow.parquet as parquet

    part = max((tmp_path / "out/answers").glob("*.parquet"), key=lambda file: file.stat().st_size)
    table = parquet.read_table(part)
    row = table.num_rows // 2
    answers = table["answer"].to_pylist()
    answers[row] = answers[row].replace('"releasable":false', '"releasable":true ', 1) + " "
    table = table.set_column(table.schema.get_field_index("answer"), "answer", [answers])
    parquet.write_table(table, part)
    with pytest.raises(AssertionError, match="differs"):
        run("check.py", tmp_path / "store", tmp_path / "out", *asked, "--command", COMMAND)
