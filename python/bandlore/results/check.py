"""Checks of spectra, version 1. Written by make_results.py from schema/v1/check.json."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from ._base import OfSpectrum, Record

__all__ = ["Band", "Check", "Deviation", "Finding", "Fringes", "Interval", "Vapour", "Warning"]


@dataclass(frozen=True, repr=False)
class Finding(Record):
    """Finding of a result."""

    id: str
    """A stable id."""

    value: float | None
    """The figure."""

    limit: float | None
    """The limit it is compared with."""

    unit: str
    """Unit of both."""

    severity: str
    """`note`, `limits` or `unfit`."""

    consequence: str
    """What it means for the judgement."""

    remedy: str
    """What to do about it."""


@dataclass(frozen=True, repr=False)
class Band(Record):
    """One band of the film, in cm⁻¹."""

    nominal: float
    """Published place; with `--film-before` the centroid on the day before."""

    centroid: float
    """Centroid of its upper part."""

    minimum: float
    """Place of the least transmittance."""


@dataclass(frozen=True, repr=False)
class Interval(Record):
    """A figure with the ends of its 95 % interval."""

    value: float
    """The figure."""

    low: float
    """Lower end."""

    high: float
    """Upper end."""


@dataclass(frozen=True, repr=False)
class Deviation(Record):
    """A deviation in cm⁻¹ at a wavenumber in cm⁻¹."""

    at: float
    """The wavenumber."""

    deviation: float
    """Measured minus true."""


@dataclass(frozen=True, repr=False)
class Vapour(Record):
    """Vapour of a result."""

    factor: float
    """The vapour spectrum was subtracted so many times."""

    factor_error: float
    """Standard error of the factor."""

    residual: float
    """Fine structure left in the line regions, as a share of what was there before."""


@dataclass(frozen=True, repr=False)
class Fringes(Record):
    """Fringes of a result."""

    period_cm1: float
    """Distance between neighbouring maxima in cm⁻¹."""

    amplitude: float
    """From the mean to the crest, as absorbance."""

    thickness_um: float
    """Thickness in µm of a film of refractive index 1.5 that makes them."""


@dataclass(frozen=True, repr=False)
class Warning(Record):
    """Warning of a result."""

    id: str
    """A stable id."""

    text: str
    """What was met, and what was done about it."""


@dataclass(frozen=True, repr=False)
class Check(OfSpectrum):
    """One spectrum."""

    schema: str
    """Always `bandlore/check/v1`."""

    tool: str
    """Name and version of the tool."""

    file: str
    """The path as given."""

    block: int
    """The spectrum's place in the file, from 1."""

    title: str | None
    """Its title in the file."""

    sha256: str | None
    """SHA-256 of the file, or null where it could not be read."""

    ordinate: str | None
    """What the file's ordinate was."""

    mode: str | None
    """How it was measured: `atr`, `transmission` or `reflection`."""

    range: list[float] | None
    """Lowest and highest measured wavenumber in cm⁻¹."""

    spacing: float | None
    """Median distance between points in cm⁻¹."""

    findings: list[Finding]
    """Every finding, the gravest first."""

    bands: list[Band] | None
    """With `--film`: the bands found, ascending; null where the film could not be measured."""

    scale_ppm: Interval | None
    """With `--film`: proportional error in parts per million, measured minus nominal."""

    shift: Interval | None
    """With `--film`: constant offset in cm⁻¹, measured minus nominal."""

    k: float | None
    """With `--film`: true = k × measured."""

    deviations: list[Deviation] | None
    """With `--film`: measured minus true at 600, 1700 and 3000 cm⁻¹."""

    fault: str | None
    """With `--film`: `none`, `scale`, `shift` or `both`."""

    vapour_subtracted: Vapour | None
    """Measured vapour that was subtracted before the check."""

    fringes_removed: Fringes | None
    """Fringes that were taken out before the check."""

    steps: list[str]
    """Every step applied, in order."""

    warnings: list[Warning]
    """Every doubt met on the way."""

    error: str | None
    """Null, or why the file could not be read or checked."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"findings": Finding, "bands": Band, "scale_ppm": Interval, "shift": Interval, "deviations": Deviation, "vapour_subtracted": Vapour, "fringes_removed": Fringes, "warnings": Warning}
