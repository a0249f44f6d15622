"""What Python adds: types, arrays, exceptions, tables, figures, the lock and the interruption."""

import gc
import pickle
import shutil
import signal
import subprocess
import sys
import threading
import time
import xml.etree.ElementTree as ElementTree
from dataclasses import FrozenInstanceError, fields, is_dataclass

import bandlore
import numpy
import pytest

VANE = "sample-spectra/tide-clock/spectra/V02-exposed-a.csv"


def test_arrays_are_the_library_s_own_memory_and_cannot_be_changed():
    spectrum = bandlore.read(VANE)[0]
    wavenumber, absorbance = spectrum.wavenumber, spectrum.absorbance
    assert wavenumber.dtype == absorbance.dtype == numpy.float64
    assert wavenumber.shape == absorbance.shape == (len(spectrum),)
    assert (numpy.diff(wavenumber) > 0).all()
    assert numpy.shares_memory(wavenumber, spectrum.wavenumber), "a copy would lie elsewhere"
    assert wavenumber.base is spectrum and not wavenumber.flags.owndata
    with pytest.raises(ValueError):
        wavenumber[0] = 1.0
    with pytest.raises(ValueError):
        absorbance.flags.writeable = True
    before = absorbance.sum()
    del spectrum
    gc.collect()
    assert absorbance.sum() == before, "the array keeps its spectrum"


def test_arrays_are_judged_as_the_file_is():
    spectrum = bandlore.read(VANE)[0]
    of_file = bandlore.identify(VANE)[0].to_dict()
    ways = [
        spectrum,
        (spectrum.wavenumber, spectrum.absorbance),
        (spectrum.wavenumber[::-1], spectrum.absorbance[::-1]),
        (list(spectrum.wavenumber), list(spectrum.absorbance)),
    ]
    for given in ways:
        found = bandlore.identify(given)[0].to_dict()
        for told in ("material", "outcome", "sentence", "chlorine", "ranking", "evidence", "findings"):
            assert found[told] == of_file[told]
    percent = 100 * 10**-spectrum.absorbance
    made = bandlore.spectrum_of(spectrum.wavenumber, percent, ordinate="percent-transmittance", name="vane")
    assert made.file == "vane" and made.ordinate == "percent-transmittance"
    numpy.testing.assert_allclose(made.absorbance, spectrum.absorbance, atol=1e-12)


def test_arrays_that_are_no_spectrum_are_refused():
    with pytest.raises(bandlore.UsageError, match="10 wavenumbers but 9 values; give one value for each"):
        bandlore.spectrum_of(range(10), range(9))
    with pytest.raises(bandlore.ReadError):
        bandlore.identify((numpy.arange(400.0, 404.0), numpy.zeros(4)))


def test_results_are_frozen_dataclasses_of_every_key():
    def look(record):
        assert is_dataclass(record)
        raw = record.to_dict()
        assert {field.name.rstrip("_") for field in fields(record)} >= set(raw)
        for field in fields(record):
            value = getattr(record, field.name)
            inside = value if isinstance(value, list) else [value]
            for one in inside:
                if is_dataclass(one):
                    look(one)
                else:
                    assert not isinstance(one, dict), f"{field.name} has no type"

    answer = bandlore.identify(VANE)[0]
    assert (answer.material, answer.outcome, answer.chlorine.bands) == ("PVC", "identified", "present")
    assert answer.evidence[0].bands[0].expected_cm1 > 400
    with pytest.raises(FrozenInstanceError):
        answer.material = "PP"
    look(answer)
    look(bandlore.check(VANE)[0])
    look(bandlore.ageing(VANE)[0])
    look(bandlore.examine_object("sample-spectra/tide-clock").findings)
    answer.to_dict()["material"] = "PP"
    assert answer.to_dict()["material"] == "PVC", "a copy is given out"


def test_the_types_are_those_of_the_schemas():
    done = subprocess.run([sys.executable, "python/make_results.py", "--check"], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_the_stubs_are_what_is_there():
    pytest.importorskip("mypy")
    for command in (["-m", "mypy", "--config-file", "../pyproject.toml", "-p", "bandlore"], ["-m", "mypy.stubtest", "bandlore._native"]):
        done = subprocess.run([sys.executable, *command], capture_output=True, text=True, cwd="python/tests")
        assert done.returncode == 0, done.stdout + done.stderr


def test_errors_say_file_line_and_remedy(tmp_path):
    place = tmp_path / "one.csv"
    place.write_text("wavenumber,absorbance\n1000,0.1\n", encoding="utf-8")
    with pytest.raises(bandlore.ReadError) as caught:
        bandlore.read(place)
    assert caught.value.file == str(place) and str(place) in str(caught.value)
    empty = tmp_path / "empty.csv"
    empty.write_bytes(b"")
    with pytest.raises(bandlore.ReadError) as caught:
        bandlore.identify([VANE, empty])
    assert (caught.value.file, caught.value.remedy) == (str(empty), "export the spectrum again")
    faulty = tmp_path / "faulty.csv"
    rows = [f"{4000 - 2 * i},0.1" for i in range(100)]
    rows[40:80] = ["word,word"] * 40
    faulty.write_text("\n".join(["cm-1,A", *rows]), encoding="utf-8")
    with pytest.raises(bandlore.ReadError) as caught:
        bandlore.check(faulty)
    assert caught.value.line == 42
    with pytest.raises(OSError) as caught:
        bandlore.identify("no-such.csv")
    assert isinstance(caught.value, bandlore.FileError) and caught.value.file == "no-such.csv"
    kept = bandlore.identify([VANE, empty], errors="keep")
    assert kept[0].error is None and "export the spectrum again" in kept[1].error
    with pytest.raises(bandlore.ManifestError) as caught:
        (tmp_path / "object.toml").write_text("[object]\ntitle = \n", encoding="utf-8")
        bandlore.examine_object(tmp_path / "object.toml")
    assert (caught.value.file, caught.value.line) == (str(tmp_path / "object.toml"), 2)
    with pytest.raises(bandlore.UsageError, match=r"no material .nonesuch. in the table; "):
        bandlore.ageing(VANE, material="nonesuch")
    with pytest.raises(bandlore.UsageError, match="two faces are needed"):
        bandlore.compare(exposed=VANE)
    again = pickle.loads(pickle.dumps(caught.value))
    assert (str(again), again.file, again.line, again.remedy) == (
        str(caught.value), caught.value.file, caught.value.line, caught.value.remedy,
    )  # fmt: skip


@pytest.mark.parametrize("library", ["pandas", "polars"])
def test_results_become_tables(library, tmp_path):
    pytest.importorskip(library)
    answers = bandlore.identify("sample-spectra/two-column", errors="keep")
    table = answers.to_dataframe(library)
    assert len(table) == len(answers)
    named = [name if isinstance(name, str) else None for name in table["material"]]
    assert named == [answer.material for answer in answers]
    assert "chlorine.bands" in table.columns
    ranked = answers.to_dataframe(library, of="ranking")
    assert len(ranked) == sum(len(answer.ranking) for answer in answers)
    if library == "polars":
        kept = tmp_path / "answers.parquet"
        table.write_parquet(kept)
        import polars

        assert polars.read_parquet(kept).equals(table) and table.schema["block"] == polars.Int64
    markers = bandlore.ageing(VANE).to_dataframe(library)
    assert {"file", "id", "value", "low", "high"} <= set(markers.columns)
    parts = bandlore.examine_object("sample-spectra/tide-clock").to_dataframe(library)
    assert "chlorine.list" in parts.columns


def test_figures_show_in_a_notebook_and_can_be_kept(tmp_path):
    answer = bandlore.identify(VANE)[0]
    figure = answer.figure(range="C-Cl")
    assert ElementTree.fromstring(figure._repr_svg_()).tag.endswith("svg")
    assert figure._repr_svg_() == bandlore.plot(VANE, range=(760, 540)).svg
    spectrum = bandlore.read(VANE)[0]
    assert ElementTree.fromstring(spectrum._repr_svg_()).tag.endswith("svg")
    of_array = bandlore.identify((spectrum.wavenumber, spectrum.absorbance))[0].figure()
    assert ElementTree.fromstring(of_array.svg).tag.endswith("svg")
    for ending, starts in (("svg", b"<"), ("png", b"\x89PNG"), ("pdf", b"%PDF")):
        place = tmp_path / f"figure.{ending}"
        figure.save(place, scale=1)
        assert place.read_bytes().startswith(starts)
    with pytest.raises(bandlore.UsageError, match="ends in .svg, .png or .pdf"):
        figure.save(tmp_path / "figure.bmp")
    assert len(list(tmp_path.iterdir())) == 3, "nothing is left of what was refused"
    assert "<table>" in bandlore.identify([VANE])._repr_html_()
    whole = bandlore.examine_object("sample-spectra/tide-clock").figures()
    assert whole and all(ElementTree.fromstring(one.svg).tag.endswith("svg") for one in whole)


def test_a_report_is_never_written_over_what_was_read(tmp_path):
    place = tmp_path / "tide-clock"
    shutil.copytree("sample-spectra/tide-clock", place)
    measured = place / "spectra" / "V02-exposed-a.csv"
    before = measured.read_bytes()
    examined = bandlore.examine_object(place)
    with pytest.raises(bandlore.UsageError, match="which was read"):
        examined.write_report(measured, date="2026-03-12")
    assert measured.read_bytes() == before
    with pytest.raises(bandlore.UsageError, match="no day of the calendar"):
        examined.write_report(tmp_path / "report.html", date="2026-02-30")
    assert list(tmp_path.iterdir()) == [place]


def test_other_threads_run_while_the_library_works():
    spectra = bandlore.read([VANE]) * 400
    beats = []
    done = threading.Event()

    def beat():
        while not done.is_set():
            beats.append(time.perf_counter())
            time.sleep(0.002)

    heart = threading.Thread(target=beat)
    heart.start()
    began = time.perf_counter()
    bandlore.identify(spectra)
    took = time.perf_counter() - began
    done.set()
    heart.join()
    during = [one for one in beats if began < one < began + took]
    # Held all the time, the lock would let none through, or one where it is handed over.
    assert len(during) > 5, (len(during), took)


@pytest.mark.skipif(sys.platform == "win32", reason="no signal of another process there")
def test_an_interruption_ends_a_long_call():
    text = (
        "import bandlore\n"
        f"spectra = bandlore.read({VANE!r}) * 200_000\n"
        "print('ready', flush=True)\n"
        "try:\n"
        "    bandlore.identify(spectra)\n"
        "except KeyboardInterrupt:\n"
        "    print('heard', flush=True)\n"
    )
    child = subprocess.Popen([sys.executable, "-c", text], stdout=subprocess.PIPE, text=True)
    try:
        assert child.stdout.readline() == "ready\n"
        time.sleep(0.5)
        began = time.perf_counter()
        child.send_signal(signal.SIGINT)
        assert child.stdout.readline() == "heard\n"
        assert time.perf_counter() - began < 5.0
    finally:
        child.kill()
        child.wait()
