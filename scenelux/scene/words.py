"""Words of error sentences: what is known, and what may have been meant."""

from __future__ import annotations

from collections.abc import Iterable

__all__ = ["near"]

_SHOWN = 12


def near(word: str, known: Iterable[str]) -> str:
    """What would be accepted in place of an unknown word.

    Example
    -------
    >>> near("tail scen", ["tail scene", "warning"])
    'did you mean "tail scene" (known: tail scene, warning)'
    """
    import difflib

    words = list(dict.fromkeys(known))
    every = ", ".join(words[:_SHOWN]) + (f" and {len(words) - _SHOWN} more" if len(words) > _SHOWN else "")
    found = difflib.get_close_matches(word, words, n=1, cutoff=0.6)
    if found:
        return f'did you mean "{found[0]}"' + (f" (known: {every})" if len(words) <= _SHOWN else "")
    return f"known: {every}" if words else "none is known here"
