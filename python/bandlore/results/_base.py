"""What all typed results have in common: made from the library's JSON, and given back as such."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, ClassVar, Generic, Literal, TypeVar, overload

from .. import _native

if TYPE_CHECKING:
    from typing_extensions import Self

    from .._native import Figure, Spectrum

__all__ = ["OfSpectrum", "Record", "Results"]

LONGEST_SHOWN = 60


@dataclass(frozen=True, repr=False)
class Record:
    """One object of the JSON, as a frozen dataclass. Names are those of the JSON; ``class`` is ``class_``."""

    _nested: ClassVar[Mapping[str, type["Record"]]] = {}

    @classmethod
    def of(cls, raw: Mapping[str, Any]) -> Self:
        """Makes the record of a parsed JSON object."""
        values: dict[str, Any] = {}
        for field in fields(cls):
            value = raw.get(field.name.rstrip("_"))
            nested = cls._nested.get(field.name)
            if nested is not None and isinstance(value, list):
                value = [nested.of(item) for item in value]
            elif nested is not None and value is not None:
                value = nested.of(value)
            values[field.name] = value
        record = cls(**values)
        object.__setattr__(record, "_raw", raw)
        return record

    def to_dict(self) -> dict[str, Any]:
        """Returns the parsed JSON of this record: the same that the program writes, key by key."""
        return copy.deepcopy(dict(getattr(self, "_raw")))

    def __repr__(self) -> str:
        said = []
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, (str, int, float)) and field.name not in ("schema", "tool", "sha256"):
                text = repr(value)
                said.append(f"{field.name}={text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + '…'}")
            elif isinstance(value, list) and value:
                said.append(f"{field.name}=[{len(value)}]")
        return f"{type(self).__name__}({', '.join(said)})"


@dataclass(frozen=True, repr=False)
class OfSpectrum(Record):
    """An answer to one spectrum, which it can draw."""

    def figure(self, **look: Any) -> Figure:
        """Draws the spectrum that was judged, with the bands behind its answer.

        Takes what :func:`bandlore.plot` takes. A spectrum of a file is read again.
        """
        from .._api import plot

        spectrum: Spectrum | None = getattr(self, "_spectrum", None)
        if spectrum is not None:
            return plot(spectrum, **look)
        return plot(getattr(self, "file"), **{"block": getattr(self, "block"), **look})


R = TypeVar("R", bound=Record)


class Results(Sequence[R], Generic[R]):
    """The answers of one call, in the order of what was given."""

    def __init__(self, kind: type[R], text: str, rows_of: str | None) -> None:
        self._kind = kind
        self._json = text
        self._rows_of = rows_of
        self._records = [kind.of(raw) for raw in json.loads(text)]

    @overload
    def __getitem__(self, index: int) -> R: ...
    @overload
    def __getitem__(self, index: slice) -> list[R]: ...
    def __getitem__(self, index: int | slice) -> R | list[R]:
        return self._records[index]

    def __len__(self) -> int:
        return len(self._records)

    def __iter__(self) -> Iterator[R]:
        return iter(self._records)

    def __repr__(self) -> str:
        return "[" + ",\n ".join(repr(record) for record in self._records) + "]"

    def to_json(self) -> str:
        """Returns the JSON array, the same bytes as ``bandlore … --format json`` writes."""
        return self._json

    def to_dict(self) -> list[dict[str, Any]]:
        """Returns the parsed JSON array."""
        return [record.to_dict() for record in self._records]

    def to_dataframe(
        self, library: Literal["pandas", "polars"] | None = None, *, of: str | None = None
    ) -> Any:
        """Returns a table, with pandas or else polars, whichever is installed or named.

        A row is a spectrum, or with ``of`` one item of that list in the results (``"ranking"``,
        ``"markers"``, ``"findings"``, …). What stands one level down is a column such as
        ``chlorine.bands``; a list of words is joined by ``"; "``. Units are those of the names: ``_cm1``
        is cm⁻¹, ``_um`` is µm.
        """
        return frame(self.to_dict(), of or self._rows_of, library)

    def _repr_html_(self) -> str:
        from html import escape

        rows = rows_of([dict(record.to_dict()) for record in self._records], self._rows_of)
        wanted = ("file", "id", "sentence", "outcome", "material", "chlorine.bands", "value", "low", "high", "error")
        columns = [name for name in wanted if any(row.get(name) is not None for row in rows)]
        head = "".join(f"<th>{escape(name)}</th>" for name in columns)
        body = "".join(
            "<tr>" + "".join(f"<td>{escape(shown(row.get(name)))}</td>" for name in columns) + "</tr>"
            for row in rows
        )
        return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


def shown(value: Any) -> str:
    """Returns a cell of a table for a reader: three digits of a number."""
    if value is None:
        return ""
    return f"{value:.3g}" if isinstance(value, float) else str(value)


def flat(raw: Mapping[str, Any], before: str = "") -> dict[str, Any]:
    """Returns what a row can hold of a JSON object: values, values one level down, and lists of words."""
    row: dict[str, Any] = {}
    for name, value in raw.items():
        if isinstance(value, Mapping):
            row.update(flat(value, f"{before}{name}."))
        elif isinstance(value, list):
            if all(isinstance(item, str) for item in value):
                row[before + name] = "; ".join(value) or None
        else:
            row[before + name] = value
    return row


def rows_of(raws: Sequence[Mapping[str, Any]], of: str | None) -> list[dict[str, Any]]:
    """Returns a row for each object, or for each item of one of its lists beside what tells the object."""
    if of is None:
        return [flat(raw) for raw in raws]
    rows = []
    for raw in raws:
        if of not in raw:
            lists = [name for name, value in raw.items() if isinstance(value, list)]
            raise KeyError(f"no list {of!r} in these results; there are {', '.join(lists)}")
        told = {name: raw[name] for name in ("file", "block", "title") if name in raw}
        rows += [{**told, **flat(item)} for item in raw[of] or []]
    return rows


def frame(
    raws: Sequence[Mapping[str, Any]], of: str | None, library: Literal["pandas", "polars"] | None
) -> Any:
    """Makes the table with the library asked for, or the first that is installed."""
    rows = rows_of(raws, of)
    for name in [library] if library else ["pandas", "polars"]:
        try:
            if name == "pandas":
                import pandas

                return pandas.DataFrame(rows)
            if name == "polars":
                import polars

                return polars.DataFrame(rows, infer_schema_length=None)
        except ImportError:
            if library:
                raise
        else:
            raise ValueError(f"library {name!r} is not known; give 'pandas' or 'polars'")
    raise ImportError("no pandas and no polars here; install one of them, such as with pip install pandas")


def endings() -> tuple[str, ...]:
    """Returns the endings of files that are taken for spectra in a folder, without the dot."""
    return tuple(_native.SPECTRUM_ENDINGS)
