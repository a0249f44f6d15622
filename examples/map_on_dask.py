#!/usr/bin/env python3
"""Judges a map of a cross-section over worker processes with dask, and sums the answers there.

    python examples/map_on_dask.py                    2,000 spectra, two workers
    python examples/map_on_dask.py 20000 4            20,000 spectra, four workers
    python examples/map_on_dask.py 2000 2 FOLDER      keeps the map, also as one wide table, in FOLDER

Needs the package bandlore (python/) and `pip install 'dask[distributed]'`. The map is INVENTED: spectra of the invented
Tide Clock with noise, a layer of one plastic over another. Each worker opens the map itself and takes its rows, so
that no spectrum travels; what comes back is one short line a spectrum, summed where it was found.
"""

import sys
import tempfile
import time
from pathlib import Path

import numpy
from dask.bag import from_sequence
from dask.distributed import Client, LocalCluster

import bandlore

SAMPLES = Path(__file__).resolve().parent.parent / "sample-spectra" / "tide-clock" / "spectra"
# A layer on another, and what lies between: shares of the first from 1 to 0.
LAYERS = ("V02-covered-a.csv", "F1-covered-a.csv")
SEED = 1964
# Absorbance, one standard deviation: a good map.
NOISE = 2e-4
AT_ONCE = 250


def make_map(spectra: int, folder: Path) -> None:
    """Writes an invented map: wavenumbers in cm⁻¹ (n,), and absorbances (spectra, n)."""
    first, second = (bandlore.read(SAMPLES / name)[0] for name in LAYERS)
    axis = first.wavenumber
    other = numpy.interp(axis, second.wavenumber, second.absorbance)
    random = numpy.random.default_rng(SEED)
    share = numpy.clip(numpy.linspace(1.6, -0.6, spectra), 0, 1)[:, None]
    values = share * first.absorbance + (1 - share) * other + random.normal(0, NOISE, (spectra, len(axis)))
    numpy.save(folder / "wavenumbers.npy", axis)
    numpy.save(folder / "absorbances.npy", values.round(6))


def judge(rows: range, folder: str) -> list[tuple[str, str]]:
    """Judges some rows of the map, on a worker: outcome and material of each."""
    axis = numpy.load(Path(folder) / "wavenumbers.npy")
    # Only the rows that are asked for are read from the disk.
    values = numpy.load(Path(folder) / "absorbances.npy", mmap_mode="r")
    spectra = [bandlore.spectrum_of(axis, values[row], name=f"spot {row}") for row in rows]
    answers = bandlore.identify(spectra, errors="keep")
    return [(answer.outcome or "unread", answer.material or "") for answer in answers]


def write_wide(folder: Path) -> Path:
    """Writes the map as one wide table, a column a spectrum, for the program."""
    axis = numpy.load(folder / "wavenumbers.npy")
    values = numpy.load(folder / "absorbances.npy")
    place = folder / "map.csv"
    head = ",".join(["wavenumber (cm-1)", *(f"spot {row} absorbance" for row in range(len(values)))])
    numpy.savetxt(place, numpy.column_stack([axis, values.T]), fmt=["%.17g"] + ["%.6f"] * len(values), delimiter=",",
                  header=head, comments="", encoding="utf-8")  # fmt: skip
    return place


def main(spectra: int = 2000, workers: int = 2, kept: str | None = None) -> dict[tuple[str, str], int]:
    """Makes the map, judges it, and prints how often each answer was given."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(kept or scratch)
        make_map(spectra, folder)
        if kept:
            write_wide(folder)
        # One thread a worker process: the library would use all cores for each of them.
        with LocalCluster(n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None,
                          env={"RAYON_NUM_THREADS": "1"}) as cluster, Client(cluster):  # fmt: skip
            parts = [range(start, min(start + AT_ONCE, spectra)) for start in range(0, spectra, AT_ONCE)]
            began = time.perf_counter()
            answers = from_sequence(parts, npartitions=len(parts)).map(judge, folder=str(folder)).flatten()
            counts = dict(answers.frequencies().compute())
            took = time.perf_counter() - began
    for (outcome, material), count in sorted(counts.items(), key=lambda item: -item[1]):
        print(f"{count:8} {outcome} {material}")
    print(f"{spectra} spectra on {workers} workers in {took:.1f} s: {spectra / took:.0f} spectra a second")
    return counts


if __name__ == "__main__":
    given = sys.argv[1:]
    main(*(int(number) for number in given[:2]), *given[2:3])
