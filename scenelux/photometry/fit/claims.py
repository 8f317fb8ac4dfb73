"""What a data sheet claims about a beam: lumens, peak, angles, "1 lx at 62 m", digitised points."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Literal

from scenelux.errors import LimitError, UsageError
from scenelux.photometry.recipes import FORMS

__all__ = ["MOST_POINTS", "Claims", "FluxKind", "Widths", "lux_at", "named", "rounded"]

FluxKind = Literal["delivered", "raw"]
Widths = tuple[float | None, float | None]
Triples = tuple[tuple[float, float, float], ...]

MOST_POINTS = 1000
"""Digitised points of one lamp, at most."""

_ANGLES = ("beam_angle_deg", "across_deg", "up_deg", "field_angle_deg", "field_across_deg", "field_up_deg")
_WIDEST_BEAM_DEG, _WIDEST_FIELD_DEG, _NARROWEST_DEG = 160.0, 180.0, 1.0


@dataclass(frozen=True)
class Claims:
    """The figures of a data sheet, as many of them as it states.

    Parameters
    ----------
    flux_lm : luminous flux [lm].
    flux_kind : "delivered" lumens leave the lamp; "raw" ones are those of the bare chips, an upper limit.
    peak_cd : the highest intensity [cd].
    beam_angle_deg : full width at 50 % of the peak, the same all around [deg].
    across_deg, up_deg : full widths at 50 % left to right and bottom to top, 1 to 160 [deg].
    field_angle_deg, field_across_deg, field_up_deg : full widths at 10 %, up to 180 [deg].
    illuminance : (lux, metres) on the beam's brightest line: "1 lx at 62 m" is (1, 62).
    points : (degrees right, degrees up, candela), H and V of type B.
    point_names : what their table calls them, such as "5D-20R"; by their angles when not given.
    relative_points : (degrees right, degrees up, percent of the peak).
    cutoff_above_deg : nothing is sent at or above this vertical angle of the lamp [deg]. With a cut-off the widths are
        those of the beam before it is cut, as everywhere in scenelux, and flux and peak are those of what is left.
    form : one of the forms of beam; when not given, the simplest that fits about as well as the best.

    Example
    -------
    >>> Claims(peak_cd=12000.0, beam_angle_deg=40.0).intensities
    (('peak 12,000 cd', 12000.0),)
    """

    flux_lm: float | None = None
    flux_kind: FluxKind = "delivered"
    peak_cd: float | None = None
    beam_angle_deg: float | None = None
    across_deg: float | None = None
    up_deg: float | None = None
    field_angle_deg: float | None = None
    field_across_deg: float | None = None
    field_up_deg: float | None = None
    illuminance: tuple[tuple[float, float], ...] = ()
    points: Triples = ()
    point_names: tuple[str, ...] = ()
    relative_points: Triples = ()
    cutoff_above_deg: float | None = None
    form: str | None = None

    def __post_init__(self) -> None:
        self._check_words()
        _check("flux_lm", self.flux_lm, 0.0, 1e9, "give lumens above 0")
        _check("peak_cd", self.peak_cd, 0.0, 1e12, "give candela above 0")
        for key in _ANGLES:
            widest = _WIDEST_FIELD_DEG if key.startswith("field") else _WIDEST_BEAM_DEG
            accepted = f"give {_NARROWEST_DEG:g} to {widest:g} deg"
            _check(key, getattr(self, key), _NARROWEST_DEG, widest, accepted, ends=True)
        _check("cutoff_above_deg", self.cutoff_above_deg, -60.0, 89.999, "give -60 deg to below 90 deg", ends=True)
        for lux, metres in self.illuminance:
            _check("illuminance", lux, 0.0, 1e9, "give lux above 0")
            _check("illuminance", metres, 0.0, 1e5, "give a distance above 0 m, at most 100 km")
        self._check_points()

    def _check_words(self) -> None:
        if self.flux_kind not in ("delivered", "raw"):
            raise UsageError("is no kind of flux", key="flux_kind", value=self.flux_kind, accepted="delivered or raw")
        if self.form is not None and self.form not in FORMS:
            accepted = f"give {', '.join(FORMS)}"
            raise UsageError("is not a form of beam", key="form", value=self.form, accepted=accepted)
        for whole, parts in (
            ("beam_angle_deg", ("across_deg", "up_deg")),
            ("field_angle_deg", ("field_across_deg", "field_up_deg")),
        ):
            if getattr(self, whole) is not None and any(getattr(self, part) is not None for part in parts):
                accepted = "give the one angle, or those across and up"
                raise UsageError("stands beside widths across and up", key=whole, accepted=accepted)

    def _check_points(self) -> None:
        if len(self.points) + len(self.relative_points) > MOST_POINTS:
            raise LimitError(f"are more than {MOST_POINTS} points", key="points")
        if len(self.point_names) not in (0, len(self.points)):
            raise UsageError("are not as many as the points", key="point_names", accepted="give one name a point")
        for key in ("points", "relative_points"):
            for h, v, value in getattr(self, key):
                if not (abs(h) <= 90.0 and abs(v) <= 90.0):
                    accepted = "give angles from -90 to 90 deg"
                    raise UsageError("lies behind the lamp", key=key, value=f"{h:g}, {v:g}", accepted=accepted)
                if not 0.0 <= value <= 1e12:
                    raise UsageError("is not an intensity", key=key, value=f"{value:g}", accepted="give 0 or more")

    @property
    def intensities(self) -> tuple[tuple[str, float], ...]:
        """Every claim of the peak intensity, in words and in candela; an illuminance counts as E d^2."""
        peak = () if self.peak_cd is None else ((f"peak {rounded(self.peak_cd, 6)} cd", self.peak_cd),)
        return (*peak, *((lux_at(*one), one[0] * one[1] ** 2) for one in self.illuminance))

    @property
    def names(self) -> tuple[str, ...]:
        """What the points are called, those in percent after those in candela."""
        given = self.point_names or tuple(_place(h, v) for h, v, _ in self.points)
        return (*given, *(_place(h, v) for h, v, _ in self.relative_points))

    @property
    def beams_deg(self) -> Widths:
        """The claimed widths at 50 % across and up [deg]."""
        whole = self.beam_angle_deg
        return (whole, whole) if whole is not None else (self.across_deg, self.up_deg)

    @property
    def fields_deg(self) -> Widths:
        """The claimed widths at 10 % across and up [deg]."""
        whole = self.field_angle_deg
        return (whole, whole) if whole is not None else (self.field_across_deg, self.field_up_deg)


def rounded(value: float, digits: int = 4) -> str:
    """A figure for a sentence: a few digits, commas for thousands, no exponent for what lamps have.

    Example
    -------
    >>> rounded(12345.6), rounded(0.25)
    ('12,350', '0.25')
    """
    return f"{float(f'{value:.{digits}g}'):,.12g}"


def lux_at(lux: float, metres: float) -> str:
    """An illuminance claim in words."""
    return f"{lux:.6g} lx at {metres:.6g} m"


def named(key: str) -> str:
    """A figure of the claims in words.

    Example
    -------
    >>> named("across_deg"), named("field_up_deg"), named("field_angle_deg")
    ('beam angle across', 'field angle up', 'field angle')
    """
    words = key.rpartition("_")[0].replace("_", " ")
    return {"across": "beam angle across", "up": "beam angle up", "field across": "field angle across",
            "field up": "field angle up"}.get(words, words)  # fmt: skip


def _place(h_deg: float, v_deg: float) -> str:
    return f"{h_deg:g}, {v_deg:g} deg"


def _check(key: str, value: float | None, low: float, high: float, accepted: str, *, ends: bool = False) -> None:
    if value is None:
        return
    if not isfinite(value) or not (low <= value if ends else low < value) or value > high:
        raise UsageError("is out of range", key=key, value=value, accepted=accepted)
