"""Proof of the formulas: published reference cases through the very functions that studies use."""

from scenelux.prove.agreement import Comparison, Pair, compare, digits_agreed, prove
from scenelux.prove.cases import Case, read_cases, shipped_cases
from scenelux.prove.quantities import QUANTITIES
from scenelux.prove.signature import Input, Signature, signature_of

__all__ = [
    "QUANTITIES",
    "Case",
    "Comparison",
    "Input",
    "Pair",
    "Signature",
    "compare",
    "digits_agreed",
    "prove",
    "read_cases",
    "shipped_cases",
    "signature_of",
]
