"""Identifications, version 1. Written by make_results.py from schema/v1/identify.json."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from ._base import OfSpectrum, Record

__all__ = ["Band", "ChlorineFinding", "Class", "Component", "Evidence", "Finding", "Identification", "PlasticiserFinding", "Ranked", "Resembling", "Rule", "SecondOpinion", "Setting", "Shape", "ShapeShare", "Step", "Table", "Unexplained", "Unsettled", "Value", "Warning"]


@dataclass(frozen=True, repr=False)
class Table(Record):
    """Table of a result."""

    version: str
    """The table's version."""

    sha256: str
    """SHA-256 of its files."""


@dataclass(frozen=True, repr=False)
class Class(Record):
    """Class of a result."""

    id: str
    """Id of the class in the table."""

    name: str
    """Its name in words."""

    members: list[str]
    """Ids of the materials that it may be."""


@dataclass(frozen=True, repr=False)
class ShapeShare(Record):
    """ShapeShare of a result."""

    shape: str
    """A shape of the sum."""

    materials: list[str]
    """Ids of the materials that it stands for."""

    weight: float
    """Its share of the length of the spectrum's first derivative."""


@dataclass(frozen=True, repr=False)
class Shape(Record):
    """Shape of a result."""

    shape: str
    """The measured shape that the spectrum resembles best."""

    materials: list[str]
    """Ids of the materials that it stands for."""

    similarity: float
    """Correlation of the first derivatives, at most 1; an order of likeness, not a probability."""

    sum: list[ShapeShare]
    """The shapes whose sum accounts for the spectrum, heaviest first; empty where no sum does."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"sum": ShapeShare}


@dataclass(frozen=True, repr=False)
class Component(Record):
    """Component of a result."""

    id: str
    """Material id."""

    role: str
    """polymer, additive, mineral, residue, …"""

    relation: str
    """`main`, `blend`, `coating-over`, `deposit-on`, `within` or `not-told-apart`."""


@dataclass(frozen=True, repr=False)
class Ranked(Record):
    """Ranked of a result."""

    material: str
    """Material id."""

    score: float
    """Only its order means anything; it is not a probability."""


@dataclass(frozen=True, repr=False)
class ChlorineFinding(Record):
    """ChlorineFinding of a result."""

    bands: str
    """From C–Cl bands alone: `present`, `not-detected` or `cannot-tell`."""

    by_identity: str
    """From the materials named: `yes`, `no` or `open`."""

    why: str
    """The reasons."""


@dataclass(frozen=True, repr=False)
class PlasticiserFinding(Record):
    """PlasticiserFinding of a result."""

    finding: str
    """`none-seen`, `class`, `unresolved-ester`, `unresolved-carbonyl`, `several` or `not-testable`."""

    classes: list[str]
    """Table ids of the classes found."""

    why: str | None
    """Why it could not be tested."""


@dataclass(frozen=True, repr=False)
class Unsettled(Record):
    """Unsettled of a result."""

    feature: str
    """The feature that could not be tested."""

    settled_by: str
    """The measurement that would settle it."""


@dataclass(frozen=True, repr=False)
class Band(Record):
    """Band of a result."""

    band: str
    """The band's id in the table."""

    expected_cm1: float
    """The table's position in cm⁻¹."""

    assignment: str
    """The vibration it belongs to."""

    required: bool
    """Whether the material is not named where this band was measured and is not there."""

    state: str
    """`met`, `missing` or `untestable`."""

    found_cm1: float | None
    """Where the peak stands in cm⁻¹."""

    share: float | None
    """Its height as a share of the strongest band."""

    depth_um: float | None
    """Depth of penetration in micrometres, in ATR."""

    note: str
    """Why it is not testable or missing."""

    status: str
    """Whether the table's row was read in a published text, or recalled from memory."""


@dataclass(frozen=True, repr=False)
class Evidence(Record):
    """Evidence of a result."""

    material: str
    """Material id."""

    bands: list[Band]
    """Its expected bands."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"bands": Band}


@dataclass(frozen=True, repr=False)
class Unexplained(Record):
    """Unexplained of a result."""

    position_cm1: float
    """Position in cm⁻¹."""

    share: float
    """Height as a share of the strongest band."""


@dataclass(frozen=True, repr=False)
class Value(Record):
    """Value of a result."""

    name: str
    """What was read."""

    value: float | None
    """The number; null where it is not finite."""


@dataclass(frozen=True, repr=False)
class Rule(Record):
    """Rule of a result."""

    rule: str
    """The rule's id in the table."""

    question: str
    """The question in words."""

    verdict: str
    """`yes`, `no` or `not-testable`."""

    values: list[Value]
    """Each value read."""

    note: str
    """Why it could not be tested, or what it means."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"values": Value}


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
class Resembling(Record):
    """Resembling of a result."""

    file: str
    """The reference's file in its folder."""

    material: str
    """Its material."""

    maker: str
    """Who made it; empty where that is not known."""

    grade: str
    """Grade or trade name; empty where that is not known."""

    batch: str
    """Batch or delivery; empty where that is not known."""

    vouched_by: str
    """Who vouches for it; empty where nobody does."""

    vouched: bool
    """Whether maker, grade and batch are known and somebody vouches for it."""

    similarity: float
    """Cosine between first derivatives over what both measured: an ordering, not a probability."""


@dataclass(frozen=True, repr=False)
class SecondOpinion(Record):
    """SecondOpinion of a result."""

    words: str
    """The opinion in words."""

    materials: list[str]
    """Materials of the references that resemble the spectrum as well as the best does; empty where none is
    close.
    """

    agrees: bool | None
    """Whether the band finding names one of them; null where that cannot be told."""

    scale_ppm: float | None
    """Scale difference against the best reference in ppm, by cross-correlation."""

    resembling: list[Resembling]
    """The references that resemble the spectrum best, best first."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"resembling": Resembling}


@dataclass(frozen=True, repr=False)
class Setting(Record):
    """Setting of a result."""

    name: str
    """The setting."""

    value: str
    """Its value as text."""


@dataclass(frozen=True, repr=False)
class Step(Record):
    """Step of a result."""

    step: str
    """What was done."""

    settings: list[Setting]
    """With which settings."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"settings": Setting}


@dataclass(frozen=True, repr=False)
class Warning(Record):
    """Warning of a result."""

    id: str
    """A stable id."""

    text: str
    """What was met, and what was done about it."""


@dataclass(frozen=True, repr=False)
class Identification(OfSpectrum):
    """One spectrum."""

    schema: str
    """Always `bandlore/identify/v1`."""

    tool: str
    """Name and version of the tool."""

    table: Table
    """The table that judged."""

    file: str
    """The path as given."""

    block: int
    """The spectrum's place in the file, from 1."""

    title: str | None
    """Its title in the file."""

    sha256: str | None
    """SHA-256 of the file, or null where it could not be read."""

    outcome: str | None
    """The kind of answer: `identified`, `narrowed`, `mixed`, `classed`, `not-in-table` or `not-enough-
    signal`; null where the file could not be read.
    """

    sentence: str | None
    """The answer in plain words."""

    material: str | None
    """The material's id where the outcome is `identified`."""

    candidates: list[str]
    """Two to four ids where the outcome is `narrowed`."""

    class_: Class | None
    """The class where the outcome is `classed`."""

    shape: Shape | None
    """What the whole curve resembles among the measured shapes of the table."""

    components: list[Component]
    """What was found, main component first."""

    ranking: list[Ranked]
    """The best candidates, best first."""

    chlorine: ChlorineFinding | None
    """The chlorine finding; null where the file could not be read."""

    plasticiser: PlasticiserFinding | None
    """The plasticiser finding, for PVC alone."""

    unsettled: Unsettled | None
    """What could not be tested, and what would settle it."""

    evidence: list[Evidence]
    """The bands behind the answer."""

    unexplained: list[Unexplained]
    """Strong peaks that nothing accounts for."""

    rules: list[Rule]
    """Each rule asked, with its values."""

    ordinate: str | None
    """What the file's ordinate was."""

    mode: str | None
    """How it was measured: `atr`, `transmission` or `reflection`."""

    range: list[float] | None
    """Lowest and highest measured wavenumber in cm⁻¹."""

    findings: list[Finding]
    """What the checks of the spectrum found."""

    second_opinion: SecondOpinion | None
    """What the user's own references say, beside the band finding; null without `--references`."""

    steps: list[Step]
    """Every step applied, in order."""

    warnings: list[Warning]
    """Every doubt met on the way."""

    error: str | None
    """Null, or why the file could not be read or judged."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"table": Table, "class_": Class, "shape": Shape, "components": Component, "ranking": Ranked, "chlorine": ChlorineFinding, "plasticiser": PlasticiserFinding, "unsettled": Unsettled, "evidence": Evidence, "unexplained": Unexplained, "rules": Rule, "findings": Finding, "second_opinion": SecondOpinion, "steps": Step, "warnings": Warning}
