"""Bandlore: what clear plastics are made of, which hold chlorine and how far each has aged, from ATR-FTIR.

>>> import bandlore
>>> answer = bandlore.identify("sample-spectra/tide-clock/spectra/V02-exposed-a.csv")[0]
>>> answer.material, answer.chlorine.bands
('PVC', 'present')

Wavenumbers are in cm⁻¹ and ascending, absorbances are decadic and have no unit. An answer is of the surface at
the spot that was measured; where a spectrum cannot answer a question, it says so and says which measurement
would. The conservator in charge, local rules and safety data sheets come before anything said here.
"""

from ._api import (
    ObjectExamination,
    Setup,
    ageing,
    check,
    compare,
    examine_object,
    first_manifest,
    identify,
    plot,
    read,
    spectrum_of,
)
from ._native import VERSION as __version__
from ._native import Figure, Spectrum
from .errors import BandloreError, FileError, ManifestError, ReadError, TableError, UsageError
from .results import Ageing, Check, Comparison, Identification, ObjectFindings, Results

__all__ = [
    "Ageing",
    "BandloreError",
    "Check",
    "Comparison",
    "Figure",
    "FileError",
    "Identification",
    "ManifestError",
    "ObjectExamination",
    "ObjectFindings",
    "ReadError",
    "Results",
    "Setup",
    "Spectrum",
    "TableError",
    "UsageError",
    "__version__",
    "ageing",
    "check",
    "compare",
    "examine_object",
    "first_manifest",
    "identify",
    "plot",
    "read",
    "spectrum_of",
]
