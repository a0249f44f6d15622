"""What can go wrong: every exception carries file, line and remedy where they are known."""

from __future__ import annotations

__all__ = [
    "BandloreError",
    "FileError",
    "ManifestError",
    "ReadError",
    "TableError",
    "UsageError",
]


class BandloreError(Exception):
    """Base of all exceptions of this package.

    ``str(error)`` is the whole message on one line (a manifest with several faults: one line a fault).
    """

    file: str | None
    """The file at fault, as it was given; ``None`` where it is no one file."""
    line: int | None
    """The line at fault, from 1; ``None`` where it is no one line."""
    remedy: str | None
    """What to do; ``None`` where nothing is to be advised."""

    def __init__(
        self,
        message: str,
        file: str | None = None,
        line: int | None = None,
        remedy: str | None = None,
    ) -> None:
        super().__init__(message)
        self.file = file
        self.line = line
        self.remedy = remedy

    def __reduce__(self) -> tuple[type, tuple[str, str | None, int | None, str | None]]:
        # Exceptions travel between worker processes with everything they carry.
        return (type(self), (str(self), self.file, self.line, self.remedy))


class ReadError(BandloreError, ValueError):
    """What a file holds cannot be read as a spectrum."""


class FileError(BandloreError, OSError):
    """A file cannot be opened or written."""


class ManifestError(BandloreError, ValueError):
    """The manifest of an object is faulty, or a file that it names cannot be used."""


class TableError(BandloreError, ValueError):
    """A table of bands and rules of one's own is faulty."""


class UsageError(BandloreError, ValueError):
    """A call cannot be carried out as it was made."""
