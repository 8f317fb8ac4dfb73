"""Sentences about switching: what leads the page and the terminal, clock times, levels."""

from __future__ import annotations

import math
from collections.abc import Mapping

from scenelux.study.results.dusk import DuskResult, PropertyVerdict, Timeline
from scenelux.units import figure

__all__ = ["clock", "counts_line", "evening_line", "hours", "leading_lines", "levels_words", "plural", "span_words"]

_DAY_S = 86_400


def plural(count: int, one: str, several: str = "") -> str:
    """A count and its word.

    Example
    -------
    >>> plural(1, "flutter"), plural(2, "property", "properties")
    ('1 flutter', '2 properties')
    """
    return f"{count:,} {one if count == 1 else several or one + 's'}"


def counts_line(result: DuskResult) -> str:
    """The line that leads: properties held or broken, faults of the rules, flutters.

    Parameters
    ----------
    result : of the switching.
    """
    verdicts = result.check.verdicts
    held, broken = (sum(one.verdict == word for one in verdicts) for word in ("holds", "broken"))
    parts = [f"{held} of {plural(len(verdicts), 'property', 'properties')} held"]
    parts += [f"{broken} broken"] if broken else []
    other = len(verdicts) - held - broken
    parts += [f"{other} not decided"] if other else []
    parts.append(plural(len(result.check.findings), "fault") + " of the rules")
    if result.timelines:
        parts.append(f"{plural(result.flutters, 'flutter')} in {plural(len(result.timelines), 'evening')}")
        endless = sum(one.endless_from_s is not None for one in result.timelines)
        parts += [f"levels switch without end in {endless} of them"] if endless else []
    return ", ".join(parts)


def leading_lines(result: DuskResult) -> list[str]:
    """The counts, then a sentence for each property that is broken and each fault.

    Parameters
    ----------
    result : of the switching.
    """
    lines = [f"{counts_line(result)}."]
    lines += [f"Broken: {_broken(one)}" for one in result.broken]
    lines += [f"{one.kind.capitalize()}: {one.says}." for one in result.check.findings]
    return lines


def _broken(one: PropertyVerdict) -> str:
    return f"{one.property_id}: {one.story}. {one.because}"


def evening_line(one: Timeline) -> str:
    """What an evening did to the levels, in a sentence.

    Parameters
    ----------
    one : a timeline.
    """
    turns = plural(one.turns, "turn")
    flutters = "no flutter" if one.flutters == 0 else plural(one.flutters, "flutter")
    energy = "" if math.isnan(one.energy_wh) else f", {figure(one.energy_wh)} Wh"
    endless = "" if one.endless_from_s is None else f", without end from {clock(one, one.endless_from_s)} on"
    return f"{turns}, {flutters}{endless}{energy}"


def clock(one: Timeline, time_s: float) -> str:
    """Time of day in UTC, to the second.

    Parameters
    ----------
    one : a timeline, for its start.
    time_s : after its start.
    """
    hour, minute, second = (int(part) for part in one.start_utc.split(" ")[1].split(":"))
    whole = round(hour * 3600 + minute * 60 + second + time_s) % _DAY_S
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def hours(value: float) -> str:
    """Hours and minutes; without end where nothing is taken.

    Example
    -------
    >>> hours(1.5), hours(float("inf")), hours(float("nan"))
    ('1 h 30 min', 'without end', 'not valid')
    """
    if math.isnan(value):
        return "not valid"
    if math.isinf(value):
        return "without end"
    minutes = round(60.0 * value)
    return f"{minutes // 60} h {minutes % 60:02d} min"


def span_words(seconds: float) -> str:
    """A time in minutes and seconds, tenths below a minute.

    Example
    -------
    >>> span_words(0.4), span_words(3052.8)
    ('0.4 s', '50 min 53 s')
    """
    if seconds < 60.0:
        return f"{seconds:.1f} s"
    return f"{round(seconds) // 60} min {round(seconds) % 60:02d} s"


def levels_words(levels: Mapping[str, float]) -> str:
    """Circuits that burn, with their levels.

    Example
    -------
    >>> levels_words({"warning": 0.42, "headlamps": 0.0})
    'warning 42 %'
    """
    return ", ".join(f"{name} {100.0 * level:.3g} %" for name, level in levels.items() if level > 0.0) or "all off"
