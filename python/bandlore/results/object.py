"""A condition report, version 1. Written by make_results.py from schema/v1/object.json."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from ._base import Record

__all__ = ["Ageing", "Agreement", "Bending", "Candidate", "Chlorine", "Claim", "Class", "Component", "Face", "File", "Line", "Marker", "Multiple", "Neighbour", "ObjectFindings", "Open", "Part", "Table", "UvVisible", "Warning"]


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
class Component(Record):
    """Component of a result."""

    id: str

    role: str

    relation: str
    """`main`, `blend`, `coating-over`, `deposit-on`, `within` or `not-told-apart`."""


@dataclass(frozen=True, repr=False)
class Chlorine(Record):
    """Chlorine of a result."""

    list: str
    """`shown`, `implied-or-not-excluded` or `none-detected`."""

    bands: str
    """From C–Cl alone: `present`, `not-detected` or `cannot-tell`."""

    by_identity: str
    """From the materials named: `yes`, `no` or `open`."""

    why: str
    """The reasons."""


@dataclass(frozen=True, repr=False)
class Marker(Record):
    """Marker of a result."""

    id: str

    shows: str

    primary: bool

    face: str

    against: str

    value: float | None

    against_value: float | None

    scale: str
    """`ratio` (1 is no change) or `difference` (0 is no change)."""

    change: float | None
    """The change, with the ends of its 95 % interval."""

    low: float | None

    high: float | None

    p: float | None

    changed: bool

    words: str


@dataclass(frozen=True, repr=False)
class Ageing(Record):
    """Ageing of a result."""

    state: str
    """`changed`, `no-change-detected`, `too-blind`, `not-tested` or `not-compared`."""

    compared: str
    """What was compared with what."""

    sentence: str
    """The answer in plain words."""

    markers: list[Marker]
    """Each marker on each pair of faces."""

    notes: list[str]
    """What the reader must know beside it."""

    route: str | None
    """A route that the pattern suggests."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"markers": Marker}


@dataclass(frozen=True, repr=False)
class Claim(Record):
    """Claim of a result."""

    claimed: str
    """Material id claimed."""

    outcome: str
    """`as-claimed`, `this-face-agrees`, `consistent-not-excluded`, `not-as-claimed` or `cannot-tell`."""

    not_excluded: list[str]
    """Look-alikes that are not excluded."""

    words: str
    """In words: "consistent with claim, PET not excluded"."""

    why: str
    """Why."""

    settled_by: list[str]
    """What would settle it, in the order to try."""


@dataclass(frozen=True, repr=False)
class Agreement(Record):
    """Agreement of a result."""

    measured: int

    judged: int

    agreeing: int

    outliers: list[str]

    words: str
    """In words: "PC at 6 of 6 spots; PDMS over it at 3 of 6 (exposed)"."""


@dataclass(frozen=True, repr=False)
class Face(Record):
    """Face of a result."""

    face: str
    """exposed, reverse, covered, cut edge, …"""

    outcome: str

    material: str | None

    candidates: list[str]

    class_: Class | None

    components: list[Component]

    agreement: Agreement

    _nested: ClassVar[Mapping[str, type[Record]]] = {"class_": Class, "components": Component, "agreement": Agreement}


@dataclass(frozen=True, repr=False)
class Part(Record):
    """Part of a result."""

    id: str
    """The part's id."""

    material: str | None
    """The material's id, where every judged spot agrees on it."""

    outcome: str
    """`identified`, `narrowed`, `mixed`, `classed`, `not-in-table`, `not-enough-signal`, `spots-disagree`
    or `not-measured`.
    """

    candidates: list[str]
    """Ids where narrowed."""

    class_: Class | None
    """The class where classed."""

    components: list[Component]
    """What was found, main component first."""

    plasticiser: str | None
    """The plasticiser in words, for PVC."""

    sentence: str
    """The answer in plain words."""

    chlorine: Chlorine
    """The chlorine finding."""

    ageing: Ageing
    """Whether its faces differ in age."""

    claim: Claim | None
    """The finding against a claim; null for a part of the object."""

    agreement: Agreement
    """How far the spots agree."""

    faces: list[Face]
    """The faces."""

    notes: list[str]
    """What else must be said."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"class_": Class, "components": Component, "chlorine": Chlorine, "ageing": Ageing, "claim": Claim, "agreement": Agreement, "faces": Face}


@dataclass(frozen=True, repr=False)
class Neighbour(Record):
    """Neighbour of a result."""

    part: str

    neighbour: str

    material: str

    nearness: str

    rule: str

    words: str

    advice: str

    source: str

    status: str


@dataclass(frozen=True, repr=False)
class Multiple(Record):
    """Multiple of a result."""

    multiple: float

    grade: str

    source: str

    status: str


@dataclass(frozen=True, repr=False)
class Bending(Record):
    """Bending of a result."""

    radius_mm: float | None
    """Radius in mm to the concave face; null where not answered, as are the other figures."""

    thickness_mm: float | None
    """Nominal thickness in mm."""

    strain: float | None
    """Strain of the outer surface, t/(2R + t): 0.001 is 0.1 %."""

    strain_thickest: float | None
    """The same at the thickest that the tolerance allows."""

    multiple: float | None
    """Radius over thickness."""

    published: list[Multiple]
    """Published smallest multiples; empty where none was found."""

    words: str
    """The answer in words, or why there is none."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"published": Multiple}


@dataclass(frozen=True, repr=False)
class UvVisible(Record):
    """Shares between 0 and 1; null where the file does not cover them."""

    file: str

    mean_315_400_nm: float | None

    mean_400_780_nm: float | None

    at_380_nm: float | None

    at_400_nm: float | None


@dataclass(frozen=True, repr=False)
class Candidate(Record):
    """Candidate of a result."""

    id: str

    replaces: list[str]
    """Ids of the parts that it would replace."""

    bending: Bending
    """Held cold on the object's smallest curve."""

    uv_visible: UvVisible | None
    """Null where no file was given."""

    test_first: list[str]
    """What to test first, for each batch."""

    alternatives: list[str]
    """Other ways than holding it cold."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"bending": Bending, "uv_visible": UvVisible}


@dataclass(frozen=True, repr=False)
class Open(Record):
    """Open of a result."""

    part: str

    open: str

    remedies: list[str]


@dataclass(frozen=True, repr=False)
class Line(Record):
    """Line of a result."""

    topic: str
    """`chlorine`, `ageing`, `replacement`, `action` or `limits`."""

    text: str


@dataclass(frozen=True, repr=False)
class File(Record):
    """File of a result."""

    file: str

    sha256: str


@dataclass(frozen=True, repr=False)
class Warning(Record):
    """Warning of a result."""

    id: str
    """A stable id."""

    text: str
    """What was met, and what was done about it."""


@dataclass(frozen=True, repr=False)
class ObjectFindings(Record):
    """The object."""

    schema: str
    """Always `bandlore/object/v1`."""

    tool: str
    """Name and version of the tool."""

    table: Table
    """The table that judged."""

    title: str
    """Title of the object."""

    id: str
    """Its inventory number."""

    parts: list[Part]
    """The parts, then the candidate sheets, in the manifest's order."""

    neighbours: list[Neighbour]
    """Pairs of part and neighbour that a rule speaks of."""

    candidates: list[Candidate]
    """The candidate sheets, whose spectra stand in `parts` under the same id."""

    unsettled: list[Open]
    """Parts left open, with remedies in the order to try them."""

    summary: list[Line]
    """The first page: plain sentences, each under one of five questions."""

    limits: list[str]
    """What this method cannot tell."""

    files: list[File]
    """Every file read, with its SHA-256."""

    warnings: list[Warning]
    """Doubts met on the way."""

    _nested: ClassVar[Mapping[str, type[Record]]] = {"table": Table, "parts": Part, "neighbours": Neighbour, "candidates": Candidate, "unsettled": Open, "summary": Line, "files": File, "warnings": Warning}
