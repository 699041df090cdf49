"""The example that fails closed."""

import json
import subprocess
import sys

from conftest import PROJECT

GATE = PROJECT / "crates/python/examples/gate.py"


def opens(worksheet, donor) -> bool:
    ended = subprocess.run([sys.executable, GATE, worksheet, donor], capture_output=True, text=True)
    assert ended.returncode in (0, 1), ended.stderr
    return ended.returncode == 0


def test_the_gate_opens_for_a_releasable_donor_only(examples, tmp_path):
    sys.path.insert(0, str(GATE.parent))
    import gate

    opened = 0
    for name, (worksheet, committed) in examples.items():
        for pair in json.loads(committed)["pairs"]:
            assert gate.frees(worksheet.encode(), pair["donor"]) == pair["releasable"], name
            opened += pair["releasable"]
    assert opened > 5

    clean = PROJECT / "examples/clean-run/worksheet.json"
    assert opens(clean, "D-081")
    assert not opens(clean, "D-999")
    assert not opens(clean, "")
    assert not opens(PROJECT / "examples/major-2-plus/worksheet.json", "D-072")
    assert not opens(clean.with_name("interpretation.json"), "D-081")
    assert not opens(tmp_path / "no-such-file", "D-081")
