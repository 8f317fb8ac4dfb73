"""Rows that hold for several duty states and light levels stand once, and say where in as few words as they can."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeAlias

from scenelux.reports.tabling import STATE_AND_LIGHT, Table
from scenelux.study.results.signal import SignalStudy, SignalVariant

__all__ = ["EVERYWHERE", "Key", "Rows", "case_table", "where_words"]

Key: TypeAlias = tuple[str, str]
Rows: TypeAlias = Iterable[tuple[str | Key, ...]]
"""Cells of text, and in the column of state and light level their ids."""

EVERYWHERE = "all in which a lamp flashes"
NOWHERE = "none"


def where_words(study: SignalStudy, variant: SignalVariant, keys: Sequence[Key]) -> str:
    """States and light levels in words, states with the same light levels together, and all light levels as none.

    Parameters
    ----------
    study : for words.
    variant : whose cases there are.
    keys : some of them.
    """
    every = [(case.state, case.light) for case in variant.cases]
    if set(keys) >= set(every):
        return EVERYWHERE
    if keys and not any(state for state, _ in keys):
        return NOWHERE
    lights: dict[tuple[str, ...], list[str]] = {}
    for state in dict.fromkeys(state for state, _ in keys):
        own = tuple(light for other, light in keys if other == state)
        whole = len(own) == sum(other == state for other, _ in every)
        lights.setdefault(() if whole else own, []).append(study.about.states.get(state) or state)
    words = []
    for own, states in lights.items():
        at = "; ".join(study.about.lights.get(light) or light for light in own)
        words.append(f"{' / '.join(states)}{f' · {at}' if own else ''}")
    return " | ".join(words)


def case_table(
    study: SignalStudy, variant: SignalVariant, title: str, header: tuple[str, ...], rows: Rows, note: str = ""
) -> Table:
    """A table whose rows differ in more than state and light level.

    Parameters
    ----------
    study, variant : as in `where_words`.
    title, header, note : of the table; one column is that of state and light level.
    rows : with ids in that column.
    """
    column = header.index(STATE_AND_LIGHT)
    together: dict[tuple[str | Key, ...], list[Key]] = {}
    for row in rows:
        key = row[column]
        assert isinstance(key, tuple)
        together.setdefault((*row[:column], *row[column + 1 :]), []).append(key)
    cells = tuple(
        tuple(str(cell) for cell in (*rest[:column], where_words(study, variant, keys), *rest[column:]))
        for rest, keys in together.items()
    )
    return Table(title, header, cells, note)
