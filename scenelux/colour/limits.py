"""Limits of colour regions as documents print them: "y <= 0.790 - 0.670 x", "x <= max(0.160, 0.400 - y)"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["Limit", "parse_limit"]

_TERM = re.compile(r"\s*(?P<sign>[+-]?)\s*(?:(?P<number>[0-9]+(?:\.[0-9]+)?)\s*)?(?P<symbol>x|yP|y|z)?(?![\w.])")
_LIMIT = re.compile(
    r"(?P<left>[xyz]) (?P<sense><=|>=) (?:(?P<choice>min|max)\((?P<first>[^,]+),(?P<second>[^,]+)\)|(?P<one>[^,]+))"
)

Linear = tuple[tuple[float, str], ...]
"""Factors of x, y, z, yP or of nothing."""

_ROUNDING = 1e-9  # a point on a limit belongs to the region


@dataclass(frozen=True)
class Limit:
    """One side of a limit must be at most the other; where there are two sides to choose from, one is enough."""

    left: str
    at_most: bool
    right: tuple[Linear, ...]

    def holds(self, values: Mapping[str, float]) -> bool:
        """Whether a chromaticity keeps the limit.

        Parameters
        ----------
        values : x, y, z and yP; with nan nothing is kept.
        """
        left = values[self.left]
        ends = [sum(factor * values.get(symbol, 1.0) for factor, symbol in linear) for linear in self.right]
        return any(left <= end + _ROUNDING if self.at_most else left >= end - _ROUNDING for end in ends)


def parse_limit(text: str) -> Limit:
    """A limit from its text.

    At most the larger of two is kept when either is, and so is at least the smaller of two: both are an OR. The other
    two pairings would be an AND, which is written as two limits.

    Example
    -------
    >>> limit = parse_limit("x <= max(0.160, 0.400 - y)")
    >>> limit.holds({"x": 0.2, "y": 0.1}), limit.holds({"x": 0.2, "y": 0.3})
    (True, False)
    """
    found = _LIMIT.fullmatch(text)
    if not found:
        raise ValueError(f"not a limit: {text}")
    at_most = found["sense"] == "<="
    if found["choice"] and (found["choice"] == "max") != at_most:
        raise ValueError(f"not an OR: {text}")
    parts = [found["one"]] if found["one"] else [found["first"], found["second"]]
    return Limit(found["left"], at_most, tuple(_linear(part) for part in parts))


def _linear(text: str) -> Linear:
    terms: list[tuple[float, str]] = []
    at = 0
    while text[at:].strip():
        found = _TERM.match(text, at)
        if not found or not (found["number"] or found["symbol"]) or (terms and not found["sign"]):
            raise ValueError(f"not a limit: {text}")
        factor = float(found["number"] or 1.0)
        terms.append((-factor if found["sign"] == "-" else factor, found["symbol"] or "one"))
        at = found.end()
    return tuple(terms)
