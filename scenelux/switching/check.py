"""Exhaustive check of stated properties over all inputs, failures of inputs and reachable states of the sensor."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.switching.combinations import Coding, Kinds, blocks, coding, holding, kinds_in_all
from scenelux.switching.compared import Compared, compare
from scenelux.switching.conditions import Condition
from scenelux.switching.feedback import feedback_faults
from scenelux.switching.findings import RuleFault, RuleFaults
from scenelux.switching.measured import Quantities, Quantity, broken, limit_in_words, quantity_of
from scenelux.switching.outcomes import Outcomes, outcomes
from scenelux.switching.properties import FailsTo, NotLoweredByFailure, Property, with_failed
from scenelux.switching.rules import Switching
from scenelux.switching.story import Story, tell

__all__ = ["CheckResult", "Verdict", "check"]

Word = Literal["holds", "broken", "never applies", "not assessed"]


@dataclass(frozen=True)
class Verdict:
    """What the check says of one property.

    Parameters
    ----------
    stated : the property.
    verdict : "holds", "broken", "never applies" (no combination is one that it speaks of) or "not assessed" (its limit
        is unconfirmed, or a quantity has no value somewhere).
    combinations, broken : how many it speaks of, and how many of them break it.
    story : of those the combination nearest to normal.
    value, unit : of a quantity in that story.
    """

    stated: Property
    verdict: Word
    combinations: int
    broken: int
    story: Story | None = None
    value: float | None = None

    @property
    def says(self) -> str:
        """The verdict in one sentence."""
        head = f"{self.stated.id}: {self.verdict}"
        told = f": {self.story.says}" if self.story else ""
        return f"{head}{told}{'; because: ' + self.stated.because if self.stated.because else ''}."


@dataclass(frozen=True)
class CheckResult:
    """Verdicts, faults of the rules, and what was looked at.

    Parameters
    ----------
    combinations : of states of the inputs that matter, with at most `failures` failed.
    kinds : those that rules or properties can tell apart; each was looked at.
    level_vectors : different levels of all circuits that quantities were asked for.
    left_out : inputs that no rule and no property mentions; nothing depends on them.
    """

    verdicts: tuple[Verdict, ...]
    faults: tuple[RuleFault, ...]
    combinations: int
    kinds: int
    level_vectors: int
    failures: int
    left_out: tuple[str, ...]

    @property
    def clean(self) -> bool:
        """No property is broken and the rules have no fault."""
        return not self.faults and all(verdict.verdict != "broken" for verdict in self.verdicts)

    @property
    def says(self) -> str:
        """What was looked at, in one sentence."""
        aside = f"; {', '.join(self.left_out)} matter to no rule and no property" if self.left_out else ""
        failed = f"with at most {self.failures} failed inputs"
        return f"{self.combinations:,} combinations {failed}, {self.kinds:,} kinds{aside}."


@dataclass(eq=False)
class _Tally:
    combinations: int = 0
    broken: int = 0
    unknown: int = 0
    changes: int = 0
    picks: tuple[int, ...] | None = None
    end: str = ""
    value: float | None = None
    circuits: tuple[str, ...] = ()

    def add(self, kinds: Kinds, applies: NDArray[np.bool_], bad: NDArray[np.bool_], unknown: NDArray[np.bool_]) -> int:
        """Counts a block; the row of a new nearest counter-example, or -1."""
        self.combinations += int(kinds.count[applies].sum())
        self.unknown += int(kinds.count[applies & unknown].sum())
        rows = np.flatnonzero(applies & bad)
        if not rows.size:
            return -1
        self.broken += int(kinds.count[rows].sum())
        row = int(rows[np.argmin(kinds.changes[rows])])
        if self.picks is not None and kinds.changes[row] >= self.changes:
            return -1
        self.changes, self.picks = int(kinds.changes[row]), tuple(kinds.picks[row].tolist())
        return row


def check(
    switching: Switching,
    properties: tuple[Property, ...] = (),
    *,
    failures: int = 1,
    quantities: Mapping[str, Quantity] | None = None,
    own_light_lx: Mapping[str, float] | None = None,
) -> CheckResult:
    """Checks every property and the rules themselves over all combinations.

    Parameters
    ----------
    switching : inputs, circuits, rules and sensor.
    properties : what must hold.
    failures : at most so many inputs have failed at once.
    quantities : name to a function of levels (n, circuits) that gives (n,) values; asked once for each different row.
    own_light_lx : reading that each circuit at level 1 adds at the light sensor, to look for oscillation too [lx].

    Raises LimitError, with the numbers, where more kinds of combinations would have to be looked at than the limit.

    Example
    -------
    >>> from scenelux.switching.conditions import Clause
    >>> from scenelux.switching.inputs import Input
    >>> from scenelux.switching.properties import LevelsAtLeast
    >>> from scenelux.switching.rules import Rule
    >>> brake = Input("park brake", "yes or no", True, fails_to=(False,))
    >>> rules = (Rule("parked", ((Clause("park brake", (True,)),),), (("beacon", 1.0),)),)
    >>> lit = LevelsAtLeast(id="lit", circuits=("beacon",), when=((Clause("park brake", (True,)),),))
    >>> check(Switching((brake,), ("beacon",), rules), (lit,)).verdicts[0].says
    'lit: broken: park brake on; park brake fails (reads off); no rule lights beacon; stated at least 1.'
    """
    asked = tuple(_speaks_of(stated) for stated in properties)
    code = coding(switching, asked)
    ask = Quantities(switching, dict(quantities or {}), properties)
    most = max([failures, *(stated.failures or 0 for stated in properties)])
    masks = code.masks[len(switching.rules) :]
    tallies, rules, looked_at = [_Tally() for _ in properties], RuleFaults(switching, code), 0
    limits = [_limit(stated, failures) for stated in properties]
    for kinds in blocks(code, most):
        looked_at += len(kinds)
        made = outcomes(switching, code, kinds.words)
        rules.add(kinds, made)
        for place, (stated, limit, tally) in enumerate(zip(properties, limits, tallies, strict=True)):
            if not _is_compared(stated):
                applies = holding(kinds.words, masks[[place]])[:, 0] & (kinds.failed <= limit)
                _add(tally, stated, switching.circuits, kinds, applies, made, ask)
    for place, stated in enumerate(properties):
        if _is_compared(stated):
            tallies[place] = _compared(compare(switching, code, stated, masks[place], limits[place]))
    verdicts = tuple(
        _verdict(switching, code, stated, condition, tally)
        for stated, condition, tally in zip(properties, asked, tallies, strict=True)
    )
    size = kinds_in_all(code, most)
    faults = (*rules.found(), *feedback_faults(switching, own_light_lx or {}, failures=max(0, most - 1)))
    return CheckResult(verdicts, faults, size, looked_at, ask.asked, most, code.left_out)


def _add(
    tally: _Tally,
    stated: Property,
    circuits: tuple[str, ...],
    kinds: Kinds,
    applies: NDArray[np.bool_],
    made: Outcomes,
    ask: Quantities,
) -> None:
    """Counts a block for one property."""
    used = np.zeros(len(made.levels), np.bool_)
    used[made.of_kind[applies]] = True
    bad, values = broken(stated, circuits, made, used, ask)
    row = tally.add(kinds, applies, bad[made.of_kind], np.isnan(values)[made.of_kind])
    if row >= 0:
        value = float(values[made.of_kind[row]])
        tally.end, tally.value = limit_in_words(stated, value), value if quantity_of(stated) else None


def _speaks_of(stated: Property) -> Condition:
    return with_failed(stated.when, stated.input) if isinstance(stated, FailsTo) else stated.when


def _is_compared(stated: Property) -> bool:
    return isinstance(stated, NotLoweredByFailure) or (isinstance(stated, FailsTo) and stated.as_if is not None)


def _limit(stated: Property, failures: int) -> int:
    return failures if stated.failures is None else stated.failures


def _compared(found: Compared) -> _Tally:
    return _Tally(found.combinations, found.broken, 0, found.changes, found.picks, found.end, circuits=found.circuits)


def _verdict(switching: Switching, code: Coding, stated: Property, condition: Condition, tally: _Tally) -> Verdict:
    word: Word = "holds" if tally.combinations else "never applies"
    story = None
    if tally.picks is not None:
        word = "broken"
        story = tell(switching, code, tally.picks, condition, tally.circuits or _told(switching, stated), tally.end)
    elif tally.unknown:
        word = "not assessed"
    if stated.source.status == "unconfirmed" and word != "never applies":
        word = "not assessed"
    return Verdict(stated, word, tally.combinations, tally.broken, story, tally.value)


def _told(switching: Switching, stated: Property) -> tuple[str, ...]:
    """Circuits that a property is about; all for a quantity."""
    named = tuple(circuit for circuit, _ in getattr(stated, "levels", ()))
    return named or getattr(stated, "circuits", ()) or switching.circuits
