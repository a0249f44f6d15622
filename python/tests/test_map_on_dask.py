"""A map judged by worker processes gets the counts of the program."""

import collections
import json
import subprocess
import sys

import pytest


def test_two_workers_count_what_the_program_counts(program, tmp_path):
    pytest.importorskip("distributed")
    spectra = 2000
    done = subprocess.run(
        [sys.executable, "examples/map_on_dask.py", str(spectra), "2", str(tmp_path)],
        capture_output=True, text=True, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    print(done.stdout)
    lines = program("identify", "--format", "jsonl", str(tmp_path / "map.csv")).splitlines()
    answers = [json.loads(line) for line in lines]
    counts = collections.Counter((a["outcome"], a["material"] or "") for a in answers)
    assert sum(counts.values()) == spectra and len(counts) > 1
    for (outcome, material), count in counts.items():
        assert f"{count:8} {outcome} {material}".rstrip() in [line.rstrip() for line in done.stdout.splitlines()]
    assert "spectra a second" in done.stdout
