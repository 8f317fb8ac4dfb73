"""Our answer beside the published one: digits in which they agree, and whether that is near enough."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from scenelux.errors import InputError
from scenelux.prove.cases import Case
from scenelux.prove.expected import MOST_DIGITS, Leaf, Path, Printed, leaves, where
from scenelux.prove.quantities import QUANTITIES
from scenelux.prove.signature import Quantity, among, called, signature_of

__all__ = ["Comparison", "Pair", "compare", "digits_agreed", "prove"]

_ROUNDING = 1e-12  # of the value: what adding in another order changes
_NEARLY_ZERO = 1e-12
_KINDS: Mapping[type, str] = {float: "a number", bool: "true or false", str: "a text"}


@dataclass(frozen=True)
class Pair:
    """One value of a case: its name in the result, what is expected, ours, what it may differ by, digits, and verdict.

    printed is the expected value as text. digits is None for words, and where both are nan or infinite.
    """

    name: str
    expected: float | str | bool
    ours: float | str | bool
    within: float
    digits: int | None
    agrees: bool
    printed: str


@dataclass(frozen=True, eq=False)
class Comparison:
    """A case and all its values."""

    case: Case
    pairs: tuple[Pair, ...]

    @property
    def verdict(self) -> Literal["agrees", "disagrees"]:
        """Whether every value agrees."""
        return "agrees" if all(pair.agrees for pair in self.pairs) else "disagrees"

    @property
    def digits(self) -> int | None:
        """Digits in which every value agrees, None where no number is compared."""
        return min((pair.digits for pair in self.pairs if pair.digits is not None), default=None)


def prove(cases: Iterable[Case], only: Iterable[str] = ()) -> tuple[Comparison, ...]:
    """Runs cases through the functions that studies use.

    Parameters
    ----------
    cases : as read.
    only : names of quantities; all when empty.
    """
    wanted = set(only)
    return tuple(compare(case) for case in cases if not wanted or case.quantity in wanted)


def compare(case: Case) -> Comparison:
    """Runs one case; a fault in its inputs is an error with their place."""
    if case.quantity not in QUANTITIES:
        accepted = among(case.quantity, QUANTITIES)
        raise case.fault("is not a quantity that is known here", "quantity", accepted=accepted, value=case.quantity)
    ours = _answer(case, QUANTITIES[case.quantity])
    expected = dict(leaves(case.expected))
    scale = max((abs(value.value) for value in expected.values() if isinstance(value, Printed)), default=0.0)
    return Comparison(case, tuple(_pair(case, path, expected[path], mine, scale)
                                  for path, mine in _matched(case, expected, ours)))  # fmt: skip


def _answer(case: Case, function: Quantity) -> object:
    try:
        return called(function, case.inputs, case.folder)
    except InputError as error:
        if error.file is not None:  # a fault inside a file that the case names
            raise
        keys = ("inputs", *((error.key,) if error.key else ()))
        raise case.fault(error.problem, *keys, accepted=error.accepted, value=error.value) from None


def _matched(case: Case, expected: Mapping[Path, Leaf], ours: object) -> list[tuple[Path, Leaf]]:
    """Our value for each expected one; what is no table is held against the first result of several."""
    if isinstance(ours, dict) and not isinstance(case.expected, Mapping):
        ours = next(iter(ours.values()))
    found = dict(leaves(ours))
    is_table = signature_of(QUANTITIES[case.quantity]).is_table
    if () in found and _is_nan(found[()]) and (is_table or not isinstance(case.expected, Mapping)):
        return [(path, math.nan) for path in expected]
    for path in expected:
        if path not in found:
            raise case.fault("is not what comes out", "expected", *_known(case, path), accepted=_wanted(ours))
    if isinstance(case.expected, tuple) and len(expected) != len(found):
        raise case.fault(f"has {len(expected)} values", "expected", accepted=_wanted(ours))
    return [(path, found[path]) for path in expected]


def _known(case: Case, path: Path) -> tuple[str, ...]:
    return tuple(str(part) for part in path[:1]) if isinstance(case.expected, Mapping) else ()


def _wanted(ours: object) -> str:
    if isinstance(ours, dict):
        return f"give some of: {', '.join(ours)}"
    return f"give a list of {len(ours)}" if isinstance(ours, list | tuple) else "give one value"


def _is_nan(value: object) -> bool:
    number = value.value if isinstance(value, Printed) else value
    return isinstance(number, float) and math.isnan(number)


def _pair(case: Case, path: Path, expected: Leaf, mine: Leaf, scale: float) -> Pair:
    name = where(path)
    assert not isinstance(mine, Printed)
    if not isinstance(expected, Printed) or isinstance(mine, str | bool):
        theirs = expected.value if isinstance(expected, Printed) else expected
        if type(theirs) is not type(mine):
            raise case.fault("is not what comes out", "expected", accepted=f"give {_KINDS[type(mine)]}")
        return Pair(name, theirs, mine, 0.0, None, theirs == mine, _words(theirs))
    within = _within(case, expected, scale)
    value = expected.value
    if not math.isfinite(value) or not math.isfinite(mine):
        same = (math.isnan(value) and math.isnan(mine)) or value == mine
        return Pair(name, value, float(mine), within, None, same, expected.text)
    slack = _ROUNDING * abs(value) + _NEARLY_ZERO * (value == 0.0)
    agrees = abs(mine - value) <= within + slack
    return Pair(name, value, float(mine), within, digits_agreed(value, mine), agrees, expected.text)


def _words(value: float | str | bool) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _within(case: Case, expected: Printed, scale: float) -> float:
    """How far ours may lie off: as the case says, else half a unit of the last digit printed.

    A percentage of 0 would allow nothing: there it counts of the largest value of the case.
    """
    if case.tolerance is None and case.tolerance_percent is None:
        return expected.half_unit
    of_value = abs(expected.value) or scale
    return max(case.tolerance or 0.0, (case.tolerance_percent or 0.0) / 100.0 * of_value)


def digits_agreed(expected: float, ours: float) -> int:
    """Significant digits in which two numbers agree: ours lies within half a unit of the last of them, at most 15.

    Example
    -------
    >>> digits_agreed(15.1805, 15.180528), digits_agreed(40.0, 39.912), digits_agreed(2.5, 2.5), digits_agreed(1, -1)
    (6, 2, 15, 0)
    """
    off = abs(ours - expected)
    first = math.floor(math.log10(abs(expected))) if expected else 0
    agreed = 0
    while agreed < MOST_DIGITS and off <= 0.5 * 10.0 ** (first - agreed) * (1.0 + 1e-9):
        agreed += 1
    return agreed
