"""Where a target that is not seen at the end of a way was seen before, in words."""

from __future__ import annotations

from scenelux.study.results.approach import SeenFrom
from scenelux.units import UnitSystem, format_distance

__all__ = ["lost_words"]


def lost_words(seen: SeenFrom, units: UnitSystem) -> str:
    """The stretches on which it is seen and from where it is lost again; nothing where it is never seen.

    Parameters
    ----------
    seen : for an eye of some age.
    units : "metric" or "us".
    """
    if not seen.seen_spans_m:
        return ""
    spans = [f"{format_distance(far, units)} to {format_distance(near, units)}" for far, near in seen.seen_spans_m]
    last = format_distance(seen.seen_spans_m[-1][1], units)
    return f"seen from {', '.join(spans)}, lost again nearer than {last}"
