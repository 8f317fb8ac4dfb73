"""Properties that rules must keep: frozen values, each with the user's reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from scenelux.errors import DocumentError
from scenelux.sources import Source
from scenelux.switching.conditions import ALWAYS, Clause, Condition
from scenelux.switching.inputs import FAILED, Value

__all__ = [
    "FailsTo",
    "LevelsAtLeast",
    "LevelsAtMost",
    "NeverDimmed",
    "NotLoweredByFailure",
    "Property",
    "QuantityAtLeast",
    "QuantityAtMost",
    "Stated",
    "with_failed",
]

OWN = Source("the user's own rule", status="own")


@dataclass(frozen=True, kw_only=True)
class Stated:
    """What every property has.

    Parameters
    ----------
    id : name, unique.
    when : condition on what is outside, not on what is read; "failed" and "healthy" speak of an input itself.
    because : the user's reason.
    failures : so many inputs may have failed at once; that of the check unless given.
    source : where a limit comes from; an unconfirmed one gives "not assessed".
    """

    id: str
    when: Condition = ALWAYS
    because: str = ""
    failures: int | None = None
    source: Source = OWN


@dataclass(frozen=True, kw_only=True)
class LevelsAtMost(Stated):
    """Circuits at most at a level: "never white to the front while parked and blocking" is level 0."""

    circuits: tuple[str, ...]
    level: float = 0.0


@dataclass(frozen=True, kw_only=True)
class LevelsAtLeast(Stated):
    """Circuits at least at a level."""

    circuits: tuple[str, ...]
    level: float = 1.0


@dataclass(frozen=True, kw_only=True)
class NeverDimmed(Stated):
    """Circuits that a rule lights burn at least at `full`; factors may not lower them below it."""

    circuits: tuple[str, ...]
    full: float = 1.0


@dataclass(frozen=True, kw_only=True)
class FailsTo(Stated):
    """With an input failed circuits have stated levels, or those of the healthy input at the reading `as_if`."""

    input: str
    levels: tuple[tuple[str, float], ...] = ()
    as_if: Value | None = None
    circuits: tuple[str, ...] = ()  # of as_if; all unless given

    def __post_init__(self) -> None:
        if bool(self.levels) == (self.as_if is not None):
            raise DocumentError("has not one default", key=self.id, accepted="give levels or as_if")


@dataclass(frozen=True, kw_only=True)
class NotLoweredByFailure(Stated):
    """No circuit below its confirmed minimum by a failure where the same combination with that input healthy is not.

    A circuit that is lower than the minimum with the input healthy may not be lower still. Each failed input is put
    right alone, the others stay failed; by steps of one that holds for any number.
    """

    circuits: tuple[str, ...]
    confirmed_minimum: float
    inputs: tuple[str, ...] = ()  # all that can fail unless given


@dataclass(frozen=True, kw_only=True)
class QuantityAtLeast(Stated):
    """A named quantity of the levels is at least a limit: lux minimum of an area."""

    quantity: str
    limit: float
    unit: str = ""


@dataclass(frozen=True, kw_only=True)
class QuantityAtMost(Stated):
    """A named quantity of the levels is at most a limit: candela of white light to the front."""

    quantity: str
    limit: float
    unit: str = ""


Property: TypeAlias = (
    LevelsAtMost | LevelsAtLeast | NeverDimmed | FailsTo | NotLoweredByFailure | QuantityAtLeast | QuantityAtMost
)


def with_failed(condition: Condition, name: str) -> Condition:
    """A condition that also asks that an input has failed."""
    return tuple((*tests, Clause(name, (FAILED,))) for tests in condition)
