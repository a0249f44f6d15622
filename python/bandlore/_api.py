"""The calls. Everything is judged by the Rust library; here its answers are given types."""

from __future__ import annotations

import datetime
import glob
import json
import os
from collections.abc import Iterable, Sequence
from typing import Any, Literal, TypedDict, TypeVar, Union

import numpy as np
import numpy.typing as npt

from . import _native
from ._native import Figure, Spectrum
from .errors import UsageError
from .results import Ageing, Check, Comparison, Identification, ObjectFindings, Results
from .results._base import Record, frame

Path = Union[str, "os.PathLike[str]"]
Source = Union[Path, Spectrum]
Sources = Union[Source, Iterable[Source], "tuple[npt.ArrayLike, npt.ArrayLike]"]
Ordinate = Literal[
    "absorbance",
    "transmittance",
    "percent-transmittance",
    "reflectance",
    "percent-reflectance",
    "relative-absorbance",
]
R = TypeVar("R", bound=Record)
Mode = Literal["atr", "transmission", "reflection"]


class Setup(TypedDict, total=False):
    """How an examination was measured: what must agree before two are compared by numbers."""

    crystal: str
    """``diamond``, ``zinc-selenide``, ``germanium``, ``silicon``, or its refractive index."""
    angle: float
    """Angle of incidence in degrees from the normal."""
    resolution: float
    """Nominal resolution in cm⁻¹."""
    check: Source
    """A stable check sample measured in the same session."""


# Every key that the compiled part asks for, with the defaults of the program.
DEFAULTS: dict[str, Any] = {
    "ordinate": None,
    "mode": None,
    "column": None,
    "block": None,
    "bands": None,
    "crystal": "diamond",
    "angle": "45",
    "top": 3,
    "keep_fringes": False,
    "scale_correction": None,
    "vapour": None,
    "references": None,
    "cache": None,
    "material": None,
    "film": False,
    "keep_errors": False,
}


def settings_of(**chosen: Any) -> dict[str, Any]:
    """Returns the settings of a call; a column and an angle may be given as numbers."""
    for name in ("column", "angle"):
        if isinstance(chosen.get(name), (int, float)):
            chosen[name] = format(chosen[name], "g")
    errors = chosen.pop("errors", "raise")
    if errors not in ("raise", "keep"):
        raise UsageError(f"errors={errors!r} is not known; give 'raise' or 'keep'")
    return {**DEFAULTS, **chosen, "keep_errors": errors == "keep"}


def is_source(given: Any) -> bool:
    """Says whether something is one file or one spectrum."""
    return isinstance(given, (str, os.PathLike, Spectrum))


def sources_of(given: Sources) -> list[Source]:
    """Returns files and spectra one by one; folders and patterns are expanded as the program does."""
    if is_source(given):
        given = [given]  # type: ignore[list-item]
    elif isinstance(given, tuple) and len(given) == 2 and not any(is_source(one) for one in given):
        return [spectrum_of(*given)]
    found: list[Source] = []
    for one in given:  # type: ignore[union-attr]
        if isinstance(one, Spectrum):
            found.append(one)
            continue
        if not is_source(one):
            raise UsageError(f"{type(one).__name__} is no file and no spectrum; give paths, spectra or two arrays")
        path = os.fspath(one)  # type: ignore[arg-type]
        if os.path.isdir(path):
            inside = list(walk(path))
            if not inside:
                looked = " .".join(_native.SPECTRUM_ENDINGS)
                raise UsageError(f"{path}: no spectra in this folder; looked for the endings .{looked}", path)
            found += inside
        elif not os.path.exists(path) and any(sign in path for sign in "*?["):
            fitting = sorted(file for file in glob.glob(path) if os.path.isfile(file))
            if not fitting:
                raise UsageError(f"{path}: no file fits this pattern", path)
            found += fitting
        else:
            found.append(path)
    return found


def walk(folder: str) -> Iterable[str]:
    """Returns the spectra of a folder and those below, in the order of their names."""
    for name in sorted(os.listdir(folder), key=os.fsencode):
        path = os.path.join(folder, name)
        if name.startswith("."):
            continue
        if os.path.isdir(path):
            yield from walk(path)
        elif os.path.splitext(name)[1][1:].lower() in _native.SPECTRUM_ENDINGS:
            yield path


def spectrum_of(
    wavenumber: npt.ArrayLike,
    values: npt.ArrayLike,
    *,
    name: str = "array",
    ordinate: Ordinate = "absorbance",
    mode: Mode | None = None,
) -> Spectrum:
    """Makes a spectrum of two arrays of any kind that numpy takes.

    Parameters
    ----------
    wavenumber
        Shape (n,), cm⁻¹, ascending or descending.
    values
        Shape (n,), decadic absorbance without unit, or what ``ordinate`` says.
    """
    # In one piece and in doubles, whatever is given: a column of a table, a list, a part of a cube.
    pair = [np.ascontiguousarray(given, dtype=np.float64) for given in (wavenumber, values)]
    return Spectrum(*pair, name=name, ordinate=ordinate, mode=mode)


def read(
    sources: Sources,
    *,
    ordinate: Ordinate | None = None,
    mode: Mode | None = None,
    column: str | int | None = None,
    block: int | None = None,
) -> list[Spectrum]:
    """Reads spectra: two-column text, wide tables and JCAMP-DX (McDonald & Wilks 1988, Appl. Spectrosc. 42, 151).

    Parameters
    ----------
    sources
        A path, a folder, a pattern, or several of them.
    ordinate, mode
        What the ordinate is and how it was measured, where the file does not say.
    column
        The ordinate column to read, by heading or by number from 1 (the abscissa is column 1).
    block
        Only this spectrum of a file that holds several, from 1.

    Returns
    -------
    list of Spectrum
        Each with ``wavenumber`` (cm⁻¹, ascending) and ``absorbance`` (decadic), both of shape (n,).

    Raises
    ------
    ReadError, FileError
        With file, line and remedy.
    """
    settings = settings_of(ordinate=ordinate, mode=mode, column=column, block=block)
    return _native.read(sources_of(sources), settings)


def identify(
    sources: Sources,
    *,
    errors: Literal["raise", "keep"] = "raise",
    top: int = 3,
    bands: Path | None = None,
    crystal: str = "diamond",
    angle: float = 45.0,
    keep_fringes: bool = False,
    scale_correction: float | None = None,
    vapour: Path | None = None,
    references: Path | None = None,
    cache: Path | None = None,
    ordinate: Ordinate | None = None,
    mode: Mode | None = None,
    column: str | int | None = None,
    block: int | None = None,
) -> Results[Identification]:
    """Says what each spectrum shows: material, chlorine, plasticiser, and the bands behind them.

    The answer is of the surface at the spot that was measured. The sources of every band, rule and
    limit stand in the table (``bandlore bands``; `reference-bands/README.md`).

    Parameters
    ----------
    sources
        Paths, folders, patterns, spectra, or a tuple of two arrays: wavenumber in cm⁻¹ and decadic
        absorbance, both of shape (n,).
    errors
        ``"raise"``: the first spectrum that cannot be read or judged ends the call. ``"keep"``: it is
        an answer with ``error``, as in the program.
    top
        This many of the ranked candidates. Scores order, and are no probabilities.
    bands
        A folder with a table of one's own in place of the built-in one.
    crystal, angle
        The ATR element: ``diamond``, ``zinc-selenide``, ``germanium``, ``silicon`` or a refractive index;
        degrees from the normal.
    keep_fringes
        Leaves interference fringes in; else those that stand out are taken out, and the answer says so.
    scale_correction
        True wavenumber over measured, within 1 % of 1.
    vapour
        A measured vapour spectrum to subtract.
    references, cache
        A folder of one's own references for a second opinion, and where prepared ones are kept.

    Returns
    -------
    Results of Identification
        One for each spectrum, in the order given.
    """
    given = sources_of(sources)
    settings = settings_of(
        errors=errors, top=top, bands=bands, crystal=crystal, angle=angle, keep_fringes=keep_fringes,
        scale_correction=scale_correction, vapour=vapour, references=references, cache=cache,
        ordinate=ordinate, mode=mode, column=column, block=block,
    )  # fmt: skip
    return answered(Identification, _native.identify(given, settings), None, given)


def check(
    sources: Sources,
    *,
    errors: Literal["raise", "keep"] = "raise",
    film: bool = False,
    vapour: Path | None = None,
    ordinate: Ordinate | None = None,
    mode: Mode | None = None,
    column: str | int | None = None,
    block: int | None = None,
) -> Results[Check]:
    """Says whether spectra are fit to be judged: signal, noise, range, and the faults of a measurement.

    With ``film`` they are of a polystyrene film, and the wavenumber scale is checked on it
    (`docs/check.md` defines every figure). Other parameters as
    in :func:`identify`.
    """
    given = sources_of(sources)
    settings = settings_of(
        errors=errors, film=film, vapour=vapour, ordinate=ordinate, mode=mode, column=column, block=block
    )
    return answered(Check, _native.check(given, settings), "findings", given)


def ageing(
    sources: Sources,
    *,
    material: str | None = None,
    errors: Literal["raise", "keep"] = "raise",
    bands: Path | None = None,
    crystal: str = "diamond",
    angle: float = 45.0,
    ordinate: Ordinate | None = None,
    mode: Mode | None = None,
    column: str | int | None = None,
    block: int | None = None,
) -> Results[Ageing]:
    """Reads the ageing markers of single spectra, of the identified material or of the one named.

    Every marker comes with its value (a ratio without unit), an interval from noise only, detection
    (3 s) and quantification (10 s) limits, its source, and what disturbs it. One spectrum shows no
    change: use :func:`compare`. Other parameters as in :func:`identify`.
    """
    given = sources_of(sources)
    settings = settings_of(
        material=material, errors=errors, bands=bands, crystal=crystal, angle=angle,
        ordinate=ordinate, mode=mode, column=column, block=block,
    )  # fmt: skip
    return answered(Ageing, _native.ageing(given, settings), "markers", given)


def compare(
    *,
    exposed: Sources = (),
    reverse: Sources = (),
    covered: Sources = (),
    earlier: Sources = (),
    later: Sources = (),
    material: str | None = None,
    earlier_setup: Setup | None = None,
    later_setup: Setup | None = None,
    bands: Path | None = None,
    crystal: str = "diamond",
    angle: float = 45.0,
    ordinate: Ordinate | None = None,
    mode: Mode | None = None,
) -> Comparison:
    """Compares the faces of one part, or two examinations of one spot.

    Give at least two of the five, each with three spots or more: below that nothing is tested. Only a
    covered face is a less-aged reference. Tests are Welch's, corrected by Holm's method; intervals are
    of 95 %. Other parameters as in :func:`ageing`.
    """
    asked = {"exposed": exposed, "reverse": reverse, "covered": covered, "earlier": earlier, "later": later}
    faces = []
    for face, given in asked.items():
        spots = sources_of(given)
        if spots:
            faces.append((face, spots))
    if len(faces) < 2:
        raise UsageError(
            "two faces are needed; give exposed= and covered= (or reverse=), or earlier= and later="
        )
    settings = settings_of(
        material=material, bands=bands, crystal=crystal, angle=angle, ordinate=ordinate, mode=mode
    )
    nothing = {"crystal": None, "angle": None, "resolution": None, "check": None}
    text = _native.compare(
        faces, {**nothing, **(earlier_setup or {})}, {**nothing, **(later_setup or {})}, settings
    )
    return Comparison.of(json.loads(text)[0])


class ObjectExamination:
    """A whole object: what was found, and its condition report."""

    def __init__(self, examination: _native.Examination) -> None:
        self._examination = examination
        self._json = examination.json()
        self.findings: ObjectFindings = ObjectFindings.of(json.loads(self._json))
        """Everything that is said of the object, typed."""

    def to_json(self) -> str:
        """Returns the JSON, the same bytes as ``bandlore object … --report NAME.json`` writes."""
        return self._json

    def to_dict(self) -> dict[str, Any]:
        """Returns the parsed JSON."""
        return self.findings.to_dict()

    def to_dataframe(
        self, library: Literal["pandas", "polars"] | None = None, *, of: str = "parts"
    ) -> Any:
        """Returns a table of the parts, or of another list of the findings: ``"neighbours"``, ``"summary"``, …"""
        return frame([self.findings.to_dict()], of, library)

    def write_report(
        self, path: Path, *, date: str | datetime.date | None = None, full: bool = False
    ) -> None:
        """Writes the condition report, whole or not at all; the ending says in which form.

        Parameters
        ----------
        path
            Ends in .html, .md, .docx, .xlsx, .csv or .json. What is there already is replaced, a .docx that someone
            has written in too: give each its own name.
        date
            The day printed on it, such as ``2026-03-12``; today where left out.
        full
            Everything with settings and files, in place of what it takes to sign it.
        """
        day = datetime.date.today() if date is None else date
        if isinstance(day, str):
            try:
                if datetime.date.fromisoformat(day).isoformat() != day:
                    raise ValueError
            except ValueError:
                raise UsageError(f"date {day!r} is no day of the calendar; give one such as 2026-03-12") from None
        self._examination.write(os.fspath(path), str(day), full)

    def figures(self, *, full: bool = False) -> list[Figure]:
        """Draws the figures of the report; a notebook shows each by itself."""
        return self._examination.figures(full)

    @property
    def comparison_failures(self) -> list[tuple[str, str]]:
        """Parts whose faces could not be compared, and why."""
        return self._examination.comparison_failures

    def __str__(self) -> str:
        return self._examination.text(80)

    def __repr__(self) -> str:
        return f"ObjectExamination({self.findings.title!r}, {len(self.findings.parts)} parts)"

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        # The first page, where a notebook would show the bare name.
        printer.text(repr(self) if cycle else str(self))


def examine_object(
    manifest: Path,
    *,
    bands: Path | None = None,
    keep_fringes: bool = False,
    scale_correction: float | None = None,
    references: Path | None = None,
    cache: Path | None = None,
) -> ObjectExamination:
    """Examines a whole object from its manifest (a TOML file or a folder of CSV sheets; `docs/manifest.md`).

    Raises
    ------
    ManifestError
        With every fault, and file, line and remedy of the first. A spectrum that cannot be used is
        no error: it is left out, and ``findings.warnings`` says so.
    """
    settings = settings_of(
        bands=bands, keep_fringes=keep_fringes, scale_correction=scale_correction,
        references=references, cache=cache,
    )  # fmt: skip
    return ObjectExamination(_native.examine_object(os.fspath(manifest), settings))


def first_manifest(folder: Path) -> str:
    """Returns a first manifest, in TOML, for the spectra of a folder, to be filled in by hand.

    Before measuring: ask for permission; never clamp a split, crazed, tacky or coated area; measure
    loose fragments first.
    """
    return _native.first_manifest(os.fspath(folder))


def plot(
    sources: Sources,
    *,
    title: str | None = None,
    range: str | tuple[float, float] | None = None,
    size: tuple[float, float] | None = None,
    transmittance: bool = False,
    material: str | None = None,
    stacked: bool = False,
    labels: Sequence[str] | None = None,
    bands: Path | None = None,
    ordinate: Ordinate | None = None,
    mode: Mode | None = None,
    column: str | int | None = None,
    block: int | None = None,
) -> Figure:
    """Draws one spectrum with the bands behind its answer, or several over one another.

    Parameters
    ----------
    range
        Two wavenumbers in cm⁻¹, or ``hydroxyl``, ``C-H``, ``carbonyl``, ``fingerprint``, ``C-O``, ``C-Cl``.
    size
        Width and height in millimetres.
    transmittance
        Draws transmittance in percent in place of absorbance.
    material
        Of one spectrum: shows the bands of this material instead of those of the answer.
    stacked
        Of several: each above the one before.
    labels
        Of several: a name for each; those of one name are drawn as their mean, lowest and highest shaded.
    """
    settings = settings_of(
        material=material, bands=bands, ordinate=ordinate, mode=mode, column=column, block=block
    )
    look = {
        "title": title,
        "range": f"{range[0]:g}-{range[1]:g}" if isinstance(range, tuple) else range,
        "size": f"{size[0]:g}x{size[1]:g}" if size else None,
        "transmittance": transmittance,
        "stacked": stacked,
        "labels": list(labels) if labels is not None else None,
    }
    return _native.draw(sources_of(sources), look, settings)


def answered(kind: type[R], text: str, rows_of: str | None, given: list[Source]) -> Results[R]:
    """Gives the answers their types, and those to spectra in memory the spectrum to draw."""
    results = Results(kind, text, rows_of)
    if all(isinstance(one, Spectrum) for one in given):
        for record, spectrum in zip(results, given):
            object.__setattr__(record, "_spectrum", spectrum)
    return results
