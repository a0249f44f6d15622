"""Ageing markers, version 1. Written by make_results.py from schema/v1/ageing.json."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from ._base import OfSpectrum, Record

__all__ = ["Ageing", "Confounder", "Content", "Marker", "Slope", "Table", "Warning"]


@dataclass(frozen=True, repr=False)
class Table(Record):
    """Table of a result."""

    version: str
    """The table's version."""

    sha256: str
    """SHA-256 of its files."""


@dataclass(frozen=True, repr=False)
class Confounder(Record):
    """Confounder of a result."""

    id: str
    """Its id in the table."""

    does: str
    """What it does to the marker."""

    refuses: bool
    """Whether the marker is refused because of it."""


@dataclass(frozen=True, repr=False)
class Content(Record):
    """Content of a result."""

    value: float
    """The predicted content."""

    low: float
    """Lower end of the 95 % prediction interval."""

    high: float
    """Upper end of the 95 % prediction interval."""

    quantity: str
    """Name and unit, as the standards give them."""

    doubt: str | None
    """Why it must not be used, where the index lies outside the standards."""


@dataclass(frozen=True, repr=False)
class Marker(Record):
    """Marker of a result."""

    id: str
    """Stable id."""

    shows: str
    """What it follows."""

    value: float | None
    """The index; null below detection and where refused."""

    low: float | None
    """Lower end of the interval."""

    high: float | None
    """Upper end of the interval; the detection limit where below it."""

    interval: str
    """What the interval holds."""

    state: str
    """`measured`, `below-detection` or `refused`."""

    detection_limit: float | None
    """The index below which no number is given (3 s)."""

    quantification_limit: float | None
    """The index above which the number may be relied on (10 s)."""

    quantifiable: bool
    """Whether the value lies above the quantification limit."""

    refusal: str | None
    """Why it is refused."""

    confounders: list[Confounder]
    """What was found that disturbs it."""

    definition: str
    """Limits, baseline and reference band in cm⁻¹."""

    limits_from: str
    """Whether the limits are published or ours."""

    source: str
    """Where the marker comes from."""

    source_class: str
    """Class of the source."""

    status: str
    """`verified`, `memory`, `computed` or `common-practice`."""

    primary: bool
    """Whether it is a marker named beforehand for testing."""

    content: Content | None
    """The content it stands for, where a calibration was given."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"confounders": Confounder, "content": Content}


@dataclass(frozen=True, repr=False)
class Slope(Record):
    """Slope of a result."""

    marker: str
    """The marker's id."""

    unit: str
    """Unit of the dose: `lux h`, `W h/m²`, `h` or `d`."""

    conditions: str
    """Band of wavelengths, or temperature and humidity."""

    source: str
    """The lamp, the sun, the oven."""

    filter: str
    """The filter or glass in between."""

    n: int
    """Number of spectra."""

    lowest_dose: float
    """Lowest measured dose."""

    highest_dose: float
    """Highest measured dose."""

    slope: float | None
    """Change of the index per unit of dose, inside the measured doses; null where not fitted."""

    low: float | None
    """Lower end of its 95 % interval."""

    high: float | None
    """Upper end of its 95 % interval."""

    note: str
    """Why there is no slope, or what it does not say."""


@dataclass(frozen=True, repr=False)
class Warning(Record):
    """Warning of a result."""

    id: str
    """A stable id."""

    text: str
    """What was met, and what was done about it."""


@dataclass(frozen=True, repr=False)
class Ageing(OfSpectrum):
    """One spectrum."""

    schema: str
    """Always `bandlore/ageing/v1`."""

    tool: str
    """Name and version of the tool."""

    table: Table
    """The table whose markers were read."""

    file: str
    """The path as given."""

    block: int
    """The spectrum's place in the file, from 1."""

    material: str | None
    """Id of the material whose markers were read, or null."""

    material_from: str | None
    """`identified`, `given` or `unknown`; null where the file could not be read."""

    markers: list[Marker]
    """Every marker of the material."""

    noise: float | None
    """One standard deviation of the noise in absorbance."""

    series: list[Slope]
    """What the markers do over the doses this spectrum takes part in."""

    sentence: str
    """The result in plain words."""

    warnings: list[Warning]
    """Every doubt met on the way."""

    error: str | None
    """Null, or why the file could not be read."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"table": Table, "markers": Marker, "series": Slope, "warnings": Warning}
