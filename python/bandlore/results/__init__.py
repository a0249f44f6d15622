"""Typed results. One module for each kind of answer, written from the schemas of the library's JSON."""

from ._base import OfSpectrum, Record, Results
from .ageing import Ageing
from .check import Check
from .compare import Comparison
from .identify import Identification
from .object import ObjectFindings

__all__ = [
    "Ageing",
    "Check",
    "Comparison",
    "Identification",
    "ObjectFindings",
    "OfSpectrum",
    "Record",
    "Results",
]
