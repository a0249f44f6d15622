"""The compiled part: the Rust library, called without the interpreter's lock."""

from collections.abc import Mapping, Sequence
from os import PathLike
from typing import Any, final

import numpy as np
import numpy.typing as npt

__all__ = [
    "SPECTRUM_ENDINGS", "VERSION", "Examination", "Figure", "Spectrum", "ageing", "check", "compare", "draw",
    "examine_object", "first_manifest", "identify", "read",
]  # fmt: skip

VERSION: str
SPECTRUM_ENDINGS: list[str]

_Source = str | PathLike[str] | Spectrum

@final
class Spectrum:
    """Absorbance over ascending wavenumber, with where it came from. It cannot be changed.

    Parameters
    ----------
    wavenumber
        Shape (n,), float64, cm⁻¹, ascending or descending.
    values
        Shape (n,), float64: decadic absorbance without unit, or what ``ordinate`` says.
    name
        What stands as ``file`` in results.
    ordinate
        ``absorbance``, ``transmittance`` (0 to 1), ``percent-transmittance``, ``reflectance``,
        ``percent-reflectance`` or ``relative-absorbance``.
    mode
        ``atr``, ``transmission`` or ``reflection``; ATR is assumed where nothing is said.

    The arrays are read as a file of two columns would be: filler at the ends, values past the
    instrument's range and single bad points are found in the same way, and give the same answers.
    """

    def __new__(
        cls,
        wavenumber: npt.NDArray[np.float64],
        values: npt.NDArray[np.float64],
        *,
        name: str = "array",
        ordinate: str = "absorbance",
        mode: str | None = None,
    ) -> Spectrum: ...
    @property
    def wavenumber(self) -> npt.NDArray[np.float64]:
        """Shape (n,), cm⁻¹, strictly ascending. The library's own memory, not a copy; read-only."""
    @property
    def absorbance(self) -> npt.NDArray[np.float64]:
        """Shape (n,), decadic, without unit. The library's own memory, not a copy; read-only."""
    @property
    def measured(self) -> npt.NDArray[np.bool_]:
        """Shape (n,): false where a point is filler or left out of every judgement. A copy."""
    @property
    def file(self) -> str:
        """The path as given, or the name of an array."""
    @property
    def block(self) -> int:
        """The spectrum's place in the file, from 1."""
    @property
    def title(self) -> str | None:
        """Its title, sample name, column heading or row label, where the file has one."""
    @property
    def sha256(self) -> str:
        """SHA-256 of the file's bytes; of arrays, that of their two columns as text."""
    @property
    def records(self) -> list[tuple[str, str]]:
        """Labelled data records or header lines, in file order: name, value."""
    @property
    def ordinate(self) -> str:
        """What the ordinate of the file was before it became absorbance."""
    @property
    def mode(self) -> str:
        """How it was measured: ``atr``, ``transmission`` or ``reflection``."""
    @property
    def range_cm1(self) -> tuple[float, float]:
        """Lowest and highest measured wavenumber in cm⁻¹."""
    @property
    def spacing_cm1(self) -> float:
        """Median distance between points in cm⁻¹."""
    @property
    def history(self) -> list[str]:
        """Every step applied so far, in order."""
    @property
    def warnings(self) -> list[tuple[str, str]]:
        """Doubts met while reading: id, text."""
    def covers(self, low_cm1: float, high_cm1: float) -> bool:
        """Says whether everything between two wavenumbers in cm⁻¹ was measured."""
    def __len__(self) -> int: ...
    def _repr_svg_(self) -> str: ...

@final
class Figure:
    """A drawn figure; a notebook shows it by itself."""

    @property
    def svg(self) -> str:
        """The figure as an SVG document."""
    @property
    def title(self) -> str:
        """The heading."""
    @property
    def description(self) -> str:
        """What the figure shows in words: its alternative text."""
    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels, 96 to an inch."""
    def png(self, scale: float = 3.0) -> bytes:
        """Returns a PNG with ``scale`` pixels for each pixel of the drawing."""
    def pdf(self) -> bytes:
        """Returns a PDF."""
    def save(self, path: str | PathLike[str], *, scale: float = 3.0) -> None:
        """Writes the figure, whole or not at all; .svg, .png or .pdf says in which form."""
    def _repr_svg_(self) -> str: ...

@final
class Examination:
    comparison_failures: list[tuple[str, str]]
    def json(self) -> str: ...
    def text(self, width: int) -> str: ...
    def write(self, path: str | PathLike[str], date: str, full: bool) -> None: ...
    def figures(self, full: bool) -> list[Figure]: ...

def read(sources: Sequence[_Source], settings: Mapping[str, Any]) -> list[Spectrum]: ...
def identify(sources: Sequence[_Source], settings: Mapping[str, Any]) -> str: ...
def check(sources: Sequence[_Source], settings: Mapping[str, Any]) -> str: ...
def ageing(sources: Sequence[_Source], settings: Mapping[str, Any]) -> str: ...
def compare(
    faces: Sequence[tuple[str, Sequence[_Source]]],
    earlier: Mapping[str, Any],
    later: Mapping[str, Any],
    settings: Mapping[str, Any],
) -> str: ...
def draw(sources: Sequence[_Source], look: Mapping[str, Any], settings: Mapping[str, Any]) -> Figure: ...
def examine_object(manifest: str | PathLike[str], settings: Mapping[str, Any]) -> Examination: ...
def first_manifest(folder: str | PathLike[str]) -> str: ...
