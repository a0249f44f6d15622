"""Comparisons of faces, version 1. Written by make_results.py from schema/v1/compare.json."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from ._base import Record

__all__ = ["Change", "Comparison", "Confounder", "Contact", "Difference", "Face", "Route", "Same", "Table", "Warning"]


@dataclass(frozen=True, repr=False)
class Table(Record):
    """Table of a result."""

    version: str
    """The table's version."""

    sha256: str
    """SHA-256 of its files."""


@dataclass(frozen=True, repr=False)
class Same(Record):
    """Same of a result."""

    verdict: str
    """`same`, `different` or `cannot-tell`."""

    why: str | None
    """What differs, or why it cannot be told."""


@dataclass(frozen=True, repr=False)
class Face(Record):
    """Face of a result."""

    face: str
    """`exposed`, `reverse`, `covered`, `earlier` or `later`."""

    n: int
    """Number of spots."""


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
class Change(Record):
    """Change of a result."""

    id: str
    """Stable id of the marker."""

    shows: str
    """What it follows."""

    face: str
    """The face under question."""

    against: str
    """The face it is compared with."""

    primary: bool
    """Whether it is a marker named beforehand."""

    call: str
    """`changed`, `no-change-shown`, `too-blind`, `exploratory`, `not-tested` or `refused`."""

    scale: str
    """`ratio` (1: no change) or `difference` (0: no change)."""

    change: float | None
    """The change, corrected for contact where that could be fitted."""

    low: float | None
    """Lower end of its interval."""

    high: float | None
    """Upper end of its interval."""

    interval: str
    """What the interval holds."""

    p: float | None
    """Two-sided p value of Welch's test."""

    p_corrected: float | None
    """The same, corrected among the markers named beforehand (Holm)."""

    smallest_detectable: float | None
    """Smallest change these spots could have shown four times in five, on the same scale."""

    face_mean: float | None
    """Mean index of the face under question."""

    against_mean: float | None
    """Mean index of the other face."""

    face_values: list[float | None]
    """Index of each spot as read; null where refused."""

    against_values: list[float | None]
    """Index of each spot of the other face."""

    depth_ratio: float | None
    """How many times deeper the deeper of its two bands reaches."""

    contact_change: float | None
    """The change that the fitted contact alone makes."""

    below_detection: bool
    """Whether every spot of both faces reads below the detection limit of fresh references."""

    confounders: list[Confounder]
    """What disturbs it on either face."""

    why: str | None
    """The reason where refused or not tested."""

    definition: str
    """Limits, baseline and reference band in cm⁻¹."""

    source: str
    """Where the marker comes from."""

    status: str
    """`verified`, `memory`, `computed` or `common-practice`."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"confounders": Confounder}


@dataclass(frozen=True, repr=False)
class Contact(Record):
    """Contact of a result."""

    face: str
    """The face."""

    spot: int
    """The spot, from 1."""

    scale: float
    """The common factor."""

    gap_um: float
    """Extra air gap in micrometres."""

    gap_error_um: float
    """One standard error of the gap in micrometres."""

    bands_cm1: list[float]
    """The bands it was fitted on, in cm⁻¹."""


@dataclass(frozen=True, repr=False)
class Difference(Record):
    """Difference of a result."""

    face: str
    """The face under question."""

    against: str
    """The face it is compared with."""

    wavenumbers_cm1: list[float]
    """Wavenumbers in cm⁻¹, ascending."""

    differences: list[float]
    """Difference in absorbance."""

    standard_errors: list[float]
    """One standard error of each difference; empty below two spots a side."""


@dataclass(frozen=True, repr=False)
class Route(Record):
    """Route of a result."""

    id: str
    """Stable id."""

    sentence: str
    """"suggests …", in words."""

    pattern: list[str]
    """The marker states that met the pattern."""

    conditions: str
    """The light, heat or moisture under which the source saw it."""

    source: str
    """Where the pattern comes from."""

    status: str
    """`verified`, `memory`, `computed` or `common-practice`."""


@dataclass(frozen=True, repr=False)
class Warning(Record):
    """Warning of a result."""

    id: str
    """A stable id."""

    text: str
    """What was met, and what was done about it."""


@dataclass(frozen=True, repr=False)
class Comparison(Record):
    """One comparison."""

    schema: str
    """Always `bandlore/comparison/v1`."""

    tool: str
    """Name and version of the tool."""

    table: Table
    """The table whose markers were compared."""

    material: str | None
    """Material id, or null."""

    same_material: Same
    """Whether the faces are the same material."""

    faces: list[Face]
    """Number of spots a face."""

    markers: list[Change]
    """Every marker compared, those named beforehand first."""

    contact: list[Contact]
    """Contact of each spot; empty where it could not be fitted."""

    differences: list[Difference]
    """Difference spectra after scale and contact, one a pair of faces."""

    routes: list[Route]
    """Routes whose published pattern is met."""

    colour: str | None
    """What colour readings add, in words."""

    sentence: str
    """The result in plain words."""

    warnings: list[Warning]
    """Every doubt met on the way."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"table": Table, "same_material": Same, "faces": Face, "markers": Change, "contact": Contact, "differences": Difference, "routes": Route, "warnings": Warning}
