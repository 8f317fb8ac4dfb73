"""How far the model of the air goes: single scatter is not good enough where much air lies before a target."""

from __future__ import annotations

from scenelux.scene.weather import Weather
from scenelux.vision import extinction_per_m

__all__ = ["DOUBTFUL_DEPTH", "MOST_DEPTH", "air_note", "beyond_model", "lit_air_note", "model_ends_m"]

DOUBTFUL_DEPTH, MOST_DEPTH = 2.0, 6.0
"""Optical depth of the air before a target, 3 d/V, beyond which its level is in doubt, and is none at all.

Single scatter leaves out light that meets two drops or more. At 2 less than a seventh of a target's own light arrives
straight, and the light left out is no longer small beside what is counted; at 6 it is a four-hundredth, and nothing
that the model says of what is beside the target can be trusted. Both are a choice.
"""


def model_ends_m(weather: Weather) -> tuple[float, float] | None:
    """Distances beyond which a level is in doubt and beyond which there is none; None in clear air.

    Example
    -------
    >>> model_ends_m(Weather(kind="fog", visibility="150 m"))
    (100.0, 300.0)
    """
    if weather.visibility_m is None:
        return None
    extinction = float(extinction_per_m(weather.visibility_m))
    return DOUBTFUL_DEPTH / extinction, MOST_DEPTH / extinction


def beyond_model(optical_depth: float, weather: Weather) -> str:
    """What must be said of a target behind much air; nothing where the model is good enough.

    Parameters
    ----------
    optical_depth : of the air before it.
    weather : of the scene.

    Example
    -------
    >>> beyond_model(2.5, Weather(kind="fog", visibility="150 m"))
    'in doubt: beyond 100 m in this air the model (single scatter) is not good enough'
    >>> beyond_model(6.5, Weather(kind="fog", visibility="150 m"))
    'not valid: beyond 300 m in this air the model (single scatter) is not good enough'
    """
    ends = model_ends_m(weather)
    if ends is None or not optical_depth > DOUBTFUL_DEPTH:
        return ""
    lost = optical_depth > MOST_DEPTH
    word = "not valid" if lost else "in doubt"
    return f"{word}: beyond {ends[lost]:.3g} m in this air the model (single scatter) is not good enough"


def air_note(weather: Weather) -> str:
    """How far the model goes in this air, in one line for notes; nothing in clear air.

    Parameters
    ----------
    weather : of the scene.
    """
    ends = model_ends_m(weather)
    if ends is None:
        return ""
    water = "" if weather.kind == "fog" else "; wipers and water on the windscreen are left out"
    return (
        f"air: single scatter, without shadows; levels of visibility are in doubt beyond {ends[0]:.3g} m (optical "
        f"depth 3 d/V of {DOUBTFUL_DEPTH:g}) and not valid beyond {ends[1]:.3g} m ({MOST_DEPTH:g}), a choice{water}"
    )


def lit_air_note(weather: Weather) -> str:
    """What of the lit air is counted and what is left out, in one line for notes; nothing in clear air.

    Parameters
    ----------
    weather : of the scene.
    """
    if weather.visibility_m is None:
        return ""
    return (
        "lit air as far as a target lies over it and what is beside it: it counts in the adaptation, not in the "
        "difference; lit air beyond a target is its background, before which it may stand out as a silhouette; light "
        "that meets two drops or more is left out, which is not small in thick air"
    )
