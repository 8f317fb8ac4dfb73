"""Sums of polynomials times exponentials of time: what a sensor reads between two events, with every crossing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

__all__ = ["Curve", "Term", "crossings"]

_NEGLIGIBLE = 1e-300


@dataclass(frozen=True)
class Term:
    """Polynomial in time, lowest power first, times exp(rate * time)."""

    rate: float
    powers: tuple[float, ...]

    def at(self, time_s: float, rate: float = 0.0) -> float:
        """Value, divided by exp(rate * time)."""
        total = 0.0
        for power in reversed(self.powers):
            total = total * time_s + power
        return total * math.exp((self.rate - rate) * time_s) if total else 0.0


@dataclass(frozen=True)
class Curve:
    """Sum of terms, in time from the start of a piece [s]."""

    terms: tuple[Term, ...]

    def at(self, time_s: float) -> float:
        """Value at a time."""
        return math.fsum(term.at(time_s) for term in self.terms)

    def plus(self, other: Curve, share: float = 1.0) -> Curve:
        """Sum with another curve times a factor; terms of one rate become one."""
        sums: dict[float, tuple[float, ...]] = {term.rate: term.powers for term in self.terms}
        for term in other.terms:
            mine = sums.get(term.rate, ())
            size = max(len(mine), len(term.powers))
            padded = (*mine, *[0.0] * (size - len(mine)))
            added = (*term.powers, *[0.0] * (size - len(term.powers)))
            sums[term.rate] = tuple(a + share * b for a, b in zip(padded, added, strict=True))
        return Curve(tuple(Term(rate, powers) for rate, powers in sums.items()))

    def later(self, by_s: float) -> Curve:
        """The same curve with time counted from `by_s` on."""
        return Curve(tuple(_later(term, by_s) for term in self.terms))


def _later(term: Term, by_s: float) -> Term:
    size = len(term.powers)
    moved = [sum(term.powers[n] * math.comb(n, k) * by_s ** (n - k) for n in range(k, size)) for k in range(size)]
    scale = math.exp(term.rate * by_s)
    return Term(term.rate, tuple(power * scale for power in moved))


def crossings(curve: Curve, level: float, until_s: float) -> list[float]:
    """Times after 0 and before `until_s` at which a curve crosses a level, all of them, in order.

    Parameters
    ----------
    curve : from time 0.
    level : value to cross; a curve that touches it may be told as crossing or not.
    until_s : end [s].

    Between two neighbouring zeros of its derivative a function has one zero at most. Divided by one of its exponentials
    and differentiated often enough, a sum of terms loses that term; so the zeros of a sum with fewer terms enclose
    those that are sought, and each is found by halving. No step of time is involved.

    Example
    -------
    >>> crossings(Curve((Term(0.0, (1.0, -2.0)), Term(-1.0, (4.0,)))), 0.5, 10.0)
    [0.9918097077814189]
    """
    return _zeros([term for term in curve.plus(Curve((Term(0.0, (-level,)),))).terms if any(term.powers)], until_s)


def _zeros(terms: list[Term], until_s: float) -> list[float]:
    """Zeros inside (0, until); the term of the highest rate leads, so that the others fade beside it."""
    terms = sorted((_trimmed(term) for term in terms if any(term.powers)), key=lambda term: -term.rate)
    if not terms:
        return []
    lead = terms[0]
    if len(terms) == 1:
        return _polynomial_zeros(lead.powers, until_s)
    scaled = [Term(term.rate - lead.rate, term.powers) for term in terms]
    return _between(Curve(tuple(scaled)), _zeros([_derivative(term) for term in scaled], until_s), until_s)


def _between(curve: Curve, turning_s: list[float], until_s: float) -> list[float]:
    """Zeros of a curve that is monotone between its turning points."""
    knots = [0.0, *turning_s, until_s]
    values = [curve.at(knot) for knot in knots]
    found = []
    for (first, second), (low, high) in zip(pairwise(knots), pairwise(values), strict=True):
        if low * high < 0.0 or (low != 0.0 and high == 0.0 and second < until_s):
            found.append(_halved(curve, first, second))
    return found


def _trimmed(term: Term) -> Term:
    powers = list(term.powers)
    while len(powers) > 1 and abs(powers[-1]) < _NEGLIGIBLE:
        powers.pop()
    return Term(term.rate, tuple(powers))


def _derivative(term: Term) -> Term:
    shifted = [(n + 1) * power for n, power in enumerate(term.powers[1:])]
    if term.rate == 0.0:
        return Term(0.0, tuple(shifted))
    padded = [*shifted, *[0.0] * (len(term.powers) - len(shifted))]
    return Term(term.rate, tuple(term.rate * a + b for a, b in zip(term.powers, padded, strict=True)))


def _polynomial_zeros(powers: tuple[float, ...], until_s: float) -> list[float]:
    if len(powers) == 1:
        return []
    if len(powers) == 2:
        at = -powers[0] / powers[1]
        return [at] if 0.0 < at < until_s else []
    term = Term(0.0, powers)
    return _between(Curve((term,)), _zeros([_derivative(term)], until_s), until_s)


def _halved(curve: Curve, low: float, high: float) -> float:
    below = curve.at(low) < 0.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        if not low < middle < high:
            break
        if (curve.at(middle) < 0.0) == below:
            low = middle
        else:
            high = middle
    return high
