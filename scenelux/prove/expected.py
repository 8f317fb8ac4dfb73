"""What a publication prints: numbers with as many digits as it gives, words, and lists and tables of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

__all__ = ["MOST_DIGITS", "Leaf", "Path", "Printed", "leaves", "printed", "where"]

MOST_DIGITS = 15
"""A double holds no more."""

Path = tuple[str | int, ...]
"""Names and indices from the top of a result."""


@dataclass(frozen=True)
class Printed:
    """A number as it is printed: half a unit of its last digit is how far the true value may lie off."""

    value: float
    half_unit: float = 0.0
    decimals: int | None = None

    @property
    def text(self) -> str:
        """The number with the decimals that are printed, however few they mean."""
        return f"{self.value:.15g}" if self.decimals is None else f"{self.value:.{self.decimals}f}"

    @classmethod
    def read(cls, value: float, written: str) -> Printed:
        """The number with the digits of its text; one that is not finite has none.

        Example
        -------
        >>> Printed.read(9.75, "9.7500").text, Printed.read(9.75, "9.7500").half_unit, Printed.read(20, "20").half_unit
        ('9.7500', 5e-05, 0.5)
        """
        if not math.isfinite(value):
            return cls(value)
        try:
            exponent = Decimal(written).as_tuple().exponent
        except InvalidOperation:  # 0x1F and the like
            exponent = 0
        assert isinstance(exponent, int)
        # 1.2e4 may stand for a count as well as for two digits: no more than a unit is taken for granted.
        decimals = max(0, -exponent)
        return cls(value, float(Decimal(5).scaleb(-decimals - 1)), decimals)


Leaf = Printed | float | str | bool


def printed(expected: object, written: Callable[[Path], str], path: Path = ()) -> object:
    """The expected value with its numbers as they are printed; null and the word nan stand for nan.

    Parameters
    ----------
    expected : a number, text, true or false, or lists and tables of them.
    written : text of the number at a path below the expected value.
    path : of the part at hand.
    """
    if isinstance(expected, Mapping):
        return {name: printed(part, written, (*path, name)) for name, part in expected.items()}
    if isinstance(expected, list | tuple):
        return tuple(printed(part, written, (*path, index)) for index, part in enumerate(expected))
    if expected is None or (isinstance(expected, str) and expected.strip().lower() == "nan"):
        return Printed(math.nan)
    if isinstance(expected, bool | str):
        return expected
    if isinstance(expected, int | float):
        return Printed.read(float(expected), written(path))
    raise ValueError  # a date or a time


def leaves(value: object, path: Path = ()) -> Iterator[tuple[Path, Leaf]]:
    """Single values of a result or of an expected value, each with its path."""
    if isinstance(value, Mapping):
        for name, part in value.items():
            yield from leaves(part, (*path, name))
    elif isinstance(value, list | tuple):
        for index, part in enumerate(value):
            yield from leaves(part, (*path, index))
    else:
        yield path, value  # type: ignore[misc]


def where(path: Path) -> str:
    """A path in words.

    Example
    -------
    >>> where(("peak_cd", 1)), where(())
    ('peak_cd[1]', '')
    """
    text = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in path)
    return text.removeprefix(".")
