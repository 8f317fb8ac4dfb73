"""Lists that belong together, one number for each source or station."""

from __future__ import annotations

from itertools import pairwise

from scenelux.errors import UsageError
from scenelux.prove.signature import Numbers

__all__ = ["check_rising", "matched"]


def matched(**lists: Numbers) -> tuple[Numbers, ...]:
    """The lists, all of one length: a single number stands for all; the first list of another length is an error."""
    count = max(map(len, lists.values()))
    longest = next(name for name, values in lists.items() if len(values) == count)
    for name, values in lists.items():
        if len(values) not in (1, count):
            raise UsageError(f"has {len(values)} values", key=name, accepted=f"give {count}, as {longest} has")
    return tuple(values * count if len(values) == 1 else values for values in lists.values())


def check_rising(name: str, values: Numbers) -> None:
    """Refuses a list whose numbers do not rise."""
    if any(after <= before for before, after in pairwise(values)):
        raise UsageError("does not rise", key=name, accepted="give rising numbers")
