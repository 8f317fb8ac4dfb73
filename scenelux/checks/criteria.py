"""A criterion is one limit of one document: what it limits, how, where, and how far it was confirmed."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, cast, get_args

from scenelux.checks.limits import Sense
from scenelux.errors import DocumentError
from scenelux.sources import Source

__all__ = [
    "BEHIND",
    "KINDS",
    "LIGHTING",
    "NOT_STATED",
    "PLANES",
    "QUANTITIES",
    "Quantity",
    "Rule",
    "Zone",
    "find_rule",
    "known_word",
    "own_rule",
]

NOT_STATED = "not stated"
BEHIND = "directly behind the vehicle"
"""The one zone in words whose place is checked."""

KINDS = ("flood", "work", "side", "warning", "arrow", "headlamp")
"""Kinds of luminaires that a rule may leave out of account."""


@dataclass(frozen=True)
class Quantity:
    """What a limit can be set on: where it is found, its units and its statistics."""

    subject: Literal["area", "eye", "lamp"]
    units: tuple[str, ...]
    statistics: tuple[str, ...]


QUANTITIES: Mapping[str, Quantity] = MappingProxyType(
    {
        "illuminance": Quantity("area", ("lx", "fc"), ("minimum", "average", "maximum", NOT_STATED)),
        "uniformity": Quantity("area", ("1",), ("minimum over average", "average over minimum")),
        "veiling luminance": Quantity("eye", ("cd/m2",), ("maximum",)),
        "veiling ratio": Quantity("eye", ("1",), ("maximum",)),
        "threshold increment": Quantity("eye", ("%",), ("maximum",)),
        "glare rating": Quantity("eye", ("1",), ("maximum",)),
        "luminous intensity": Quantity("lamp", ("cd",), ("beam", "stated direction")),
        "mounting height": Quantity("lamp", ("m", "ft", "in"), ("each lamp",)),
        "downward aim": Quantity("lamp", ("deg",), ("each lamp",)),
    }
)

PLANES = (
    "horizontal",
    "pavement",
    "vertical",
    "cylindrical",
    "semi-cylindrical",
    "hemispherical",
    "ground",  # horizontal or pavement, at the ground
    "task plane",  # the plane of the work: horizontal, vertical or inclined
    "line of sight",  # square to it, at the eye
    "none",  # intensities, heights, aims
    NOT_STATED,
)

LIGHTING = ("maintained", "initial", "reading", NOT_STATED)


@dataclass(frozen=True)
class Zone:
    """Where a rule asks for its light: a rectangle along and across the vehicle, a strip, or words only."""

    shape: Literal["rectangle", "strip", "words"]
    where: str
    along_m: float | None = None
    left_m: float | None = None
    within_m: float | None = None


@dataclass(frozen=True)
class Rule:
    """One limit with its address; limit and unit as printed in the source."""

    id: str
    quantity: str
    statistic: str
    sense: Sense
    limit: float  # nan where the document gives no figure
    unit: str
    beside: tuple[float, str] | None  # the figure printed beside the limit in another unit, which is not the limit
    printed: str  # the figures as they stand in the document, where that helps
    plane: str
    height_m: float | None  # above the ground; None = not stated
    zone: Zone
    lighting: str  # maintained, initial, reading (with a meter), or not stated
    states: str  # duty states and light the document speaks of, in words
    says: str
    note: str
    source: Source
    read: str  # where the document, or a quotation of it, was read
    not_counted: tuple[str, ...] = ()  # kinds of luminaires whose light does not count

    @property
    def subject(self) -> Literal["area", "eye", "lamp"]:
        """What the rule is judged on."""
        return QUANTITIES[self.quantity].subject


def known_word(word: object, known: Iterable[str], problem: str) -> str:
    """The word when it is one of those known; otherwise an error that offers the nearest.

    Example
    -------
    >>> known_word("lux", ["lx", "fc"], "is not a unit of illuminance")
    Traceback (most recent call last):
    scenelux.errors.DocumentError: "lux" is not a unit of illuminance; did you mean "lx" (known: fc, lx).
    """
    words = sorted(known)
    if isinstance(word, str) and word in words:
        return word
    near = " or ".join(f'"{near}"' for near in difflib.get_close_matches(str(word), words, n=2, cutoff=0.5))
    every = f"known: {', '.join(words)}" if len(words) <= 12 else f"{len(words)} are known"
    if near:
        accepted = f"did you mean {near} ({every})"
    else:
        accepted = every if len(words) <= 12 else f"{every}, such as {', '.join(words[:3])}"
    raise DocumentError(problem, value=word, accepted=accepted)


def find_rule(rule_id: str, rules: Mapping[str, Rule]) -> Rule:
    """The rule of that name; an unknown one is an error that offers the nearest.

    Parameters
    ----------
    rule_id : name as written in a scene.
    rules : the rules by name, as from `packs.shipped_rules`.
    """
    return rules[known_word(rule_id, rules, "is not a rule of the criteria read")]


def own_rule(
    *,
    rule_id: str,
    quantity: str,
    statistic: str,
    sense: str,
    limit: float,
    unit: str,
    because: str,
    name: str = "",
) -> Rule:
    """A limit that the user sets, judged on whatever plane, height and size the area has.

    Parameters
    ----------
    rule_id, name : how the rule is called in results.
    quantity, statistic, sense, unit : words of `QUANTITIES`; sense is "at least" or "at most".
    limit : in that unit.
    because : why the user asks for it, one sentence.

    Example
    -------
    >>> own_rule(rule_id="calm", quantity="veiling luminance", statistic="maximum", sense="at most",
    ...          limit=0.3, unit="cd/m2", because="Agreed with the crew.").source.status
    'own'
    """
    kind = QUANTITIES[known_word(quantity, QUANTITIES, "is not a quantity that a rule can limit")]
    if not math.isfinite(limit) or limit < 0.0:
        raise DocumentError("is not a limit", key="limit", value=limit, accepted="give a finite number of zero or more")
    return Rule(
        id=rule_id,
        quantity=quantity,
        statistic=known_word(statistic, kind.statistics, f"is not a statistic of {quantity}"),
        sense=_sense(sense),
        limit=limit,
        unit=known_word(unit, kind.units, f"is not a unit of {quantity}"),
        beside=None,
        printed="",
        plane=NOT_STATED,
        height_m=None,
        zone=Zone("words", "the area or eye named with the rule"),
        lighting="maintained" if kind.subject == "area" else "initial",
        states=NOT_STATED,
        says=because,
        note="",
        source=Source(title=name or "Own rule", clause=rule_id, status="own"),
        read="",
    )


def _sense(word: object) -> Sense:
    known_word(word, get_args(Sense), "is not a sense of a limit")
    return cast(Sense, word)
