"""Every kind of answer in JSON, compared with the committed schemas by a validator that is not ours (jsonschema)."""

import copy
import json
import os
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

ROOT = Path(__file__).resolve().parents[2]
SCHEMAS = sorted((ROOT / "schema" / "v1").glob("*.json"))
# A manifest is what a user writes: no command prints one.
ANSWERS = ["ageing", "check", "compare", "depth", "identify", "object"]
SAMPLES = ["two-column", "jcamp", "tide-clock/spectra", "broken"]
SPOTS = {face: [f"sample-spectra/tide-clock/spectra/F1-{face}-{spot}.csv" for spot in "abc"] for face in ("exposed", "covered")}
# Where the Rust tests leave the answers that they ask for.
LEFT = os.environ.get("BANDLORE_ANSWERS")


def validator(name):
    schema = json.loads((ROOT / "schema" / "v1" / f"{name}.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


def faults(schema, answer):
    return [f"{fault.json_path}: {fault.message}" for fault in schema.iter_errors(answer)]


@pytest.fixture(scope="module")
def answers(program, tmp_path_factory):
    """One answer of each kind, with as much in it as the samples give."""
    report = tmp_path_factory.mktemp("object") / "report.json"
    program("object", "sample-spectra/tide-clock", "--date", "2026-03-12", "--report", str(report))
    faces = [word for face, files in SPOTS.items() for word in (f"--{face}", *files)]
    clock = "sample-spectra/tide-clock/spectra"
    printed = {
        "ageing": program("ageing", "--format", "json", clock),
        "check": program("check", "--format", "json", clock),
        "compare": program("compare", "--format", "json", *faces),
        "depth": program("depth", "--format", "json", "1730", "700"),
        "identify": program("identify", "--format", "json", clock),
        "object": report.read_text(encoding="utf-8"),
    }
    return {name: json.loads(text) for name, text in printed.items()}


def test_every_schema_is_one_and_every_answer_has_one():
    names = [path.stem for path in SCHEMAS]
    assert names == sorted([*ANSWERS, "manifest"])
    for name in names:
        validator(name)


@pytest.mark.parametrize("name", ANSWERS)
def test_an_answer_is_as_its_schema_says(answers, name):
    assert faults(validator(name), answers[name]) == []


@pytest.mark.parametrize("folder", SAMPLES)
@pytest.mark.parametrize("command", ["identify", "check", "ageing"])
def test_every_sample_gets_an_answer_as_the_schema_says(program, command, folder):
    answer = json.loads(program(command, "--format", "json", f"sample-spectra/{folder}"))
    assert answer
    assert faults(validator(command), answer) == []


@pytest.mark.parametrize("name", ANSWERS)
def test_an_answer_that_lacks_a_promised_field_is_refused(answers, name):
    schema = validator(name)
    answer = answers[name]
    whole = answer[0] if isinstance(answer, list) else answer
    entry = schema.schema
    if isinstance(answer, list):
        entry = schema.schema["$defs"][entry["items"]["$ref"].rsplit("/", 1)[-1]]
    promised = entry["required"]
    assert {"schema", "tool"} <= set(promised)
    for field in promised:
        broken = {key: value for key, value in whole.items() if key != field}
        assert faults(schema, [broken] if isinstance(answer, list) else broken), field


@pytest.mark.parametrize(
    ("name", "place"),
    [
        ("identify", [0, "chlorine", "bands"]),
        ("identify", [0, "ranking", 0, "score"]),
        ("check", [0, "findings", 0, "severity"]),
        ("ageing", [0, "markers", 0, "id"]),
        ("compare", [0, "markers", 0, "id"]),
        ("depth", [0, "depths", 0, "depth_um"]),
        ("object", ["parts", 0, "chlorine"]),
    ],
)
def test_an_answer_with_nothing_in_a_place_is_refused(answers, name, place):
    broken = copy.deepcopy(answers[name])
    holder = broken
    for step in place[:-1]:
        holder = holder[step]
    assert holder[place[-1]] is not None
    holder[place[-1]] = None
    found = faults(validator(name), broken)
    assert found, "the schema lets it through"


def left():
    """The answers that the Rust tests left, by kind."""
    if LEFT is None:
        pytest.skip("BANDLORE_ANSWERS does not say where the Rust tests left their answers (target/tmp/json)")
    folder = os.path.join(ROOT, LEFT)
    assert os.path.isdir(folder), f"{folder}: no answers; run cargo test --test suite --test program first"
    return folder


@pytest.mark.parametrize("name", ANSWERS)
def test_every_answer_of_the_rust_tests_is_as_its_schema_says(name):
    folder = os.path.join(left(), name)
    files = sorted(os.listdir(folder))
    assert files
    schema = validator(name)
    for file in files:
        with open(os.path.join(folder, file), encoding="utf-8") as answer:
            assert faults(schema, json.load(answer)) == [], file


def test_the_rust_tests_leave_no_answer_without_a_schema():
    assert sorted(os.listdir(left())) == ANSWERS
