"""The same JSON, the same bytes as the program, on every sample."""

import json

import bandlore
import numpy
import pytest

SAMPLES = ["two-column", "jcamp", "tide-clock/spectra", "broken"]
FACES = {
    face: [f"sample-spectra/tide-clock/spectra/F1-{face}-{spot}.csv" for spot in "abc"]
    for face in ("exposed", "covered")
}


@pytest.mark.parametrize("folder", SAMPLES)
@pytest.mark.parametrize("command", ["identify", "check", "ageing"])
def test_every_sample_gets_the_bytes_of_the_program(program, command, folder):
    place = f"sample-spectra/{folder}"
    found = getattr(bandlore, command)(place, errors="keep")
    printed = program(command, "--format", "json", place)
    assert found.to_json() == printed
    assert found.to_dict() == json.loads(printed)


def test_settings_mean_what_the_options_mean(program):
    place = "sample-spectra/two-column"
    found = bandlore.identify(place, errors="keep", top=7, crystal="germanium", angle=60, keep_fringes=True)
    options = ["--top", "7", "--crystal", "germanium", "--angle", "60", "--keep-fringes"]
    assert found.to_json() == program("identify", "--format", "json", *options, place)
    found = bandlore.ageing(place, errors="keep", material="pc")
    assert found.to_json() == program("ageing", "--format", "json", "--material", "pc", place)
    found = bandlore.check(place, errors="keep", film=True)
    assert found.to_json() == program("check", "--format", "json", "--film", place)


def test_faces_are_compared_as_the_program_does(program):
    found = bandlore.compare(**FACES)
    arguments = [word for face, files in FACES.items() for word in (f"--{face}", *files)]
    assert [found.to_dict()] == json.loads(program("compare", "--format", "json", *arguments))
    setup = {"crystal": "diamond", "angle": 45, "resolution": 4}
    files = list(FACES.values())
    found = bandlore.compare(earlier=files[1], later=files[0], earlier_setup=setup, later_setup=setup)
    words = "crystal=diamond,angle=45,resolution=4"
    arguments = ["--earlier", *files[1], "--later", *files[0], "--earlier-setup", words, "--later-setup", words]
    assert [found.to_dict()] == json.loads(program("compare", "--format", "json", *arguments))


def test_an_object_gets_the_bytes_of_the_program(program, tmp_path):
    found = bandlore.examine_object("sample-spectra/tide-clock")
    for ending in ("json", "html", "md", "csv"):
        theirs, ours = tmp_path / f"program.{ending}", tmp_path / f"ours.{ending}"
        program("object", "sample-spectra/tide-clock", "--date", "2026-03-12", "--report", str(theirs))
        found.write_report(ours, date="2026-03-12")
        assert ours.read_bytes() == theirs.read_bytes(), ending
    assert found.to_json() == (tmp_path / "program.json").read_text(encoding="utf-8")
    assert str(found) == program("object", "sample-spectra/tide-clock", "--date", "2026-03-12")


def test_points_are_those_that_the_program_reads(program):
    for place in ("sample-spectra/two-column", "sample-spectra/jcamp"):
        spectra = bandlore.read(place)
        printed = program("read", "--format", "csv", place).splitlines()[1:]
        assert len(printed) == sum(map(len, spectra))
        numbers = numpy.array([line.rsplit(",", 3)[1:3] for line in printed], dtype=float)
        assert numpy.array_equal(numbers[:, 0], numpy.concatenate([s.wavenumber for s in spectra]))
        assert numpy.array_equal(numbers[:, 1], numpy.concatenate([s.absorbance for s in spectra]))
