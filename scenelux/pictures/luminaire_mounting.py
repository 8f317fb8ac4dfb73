"""How a luminaire sits on a truck: its beam from the side, and its own directions on its face."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Ellipse, Polygon, Rectangle
from numpy.typing import NDArray

from scenelux.photometry import Summary, angles, direction
from scenelux.pictures.luminaire_curves import plane_curve
from scenelux.pictures.sheet import GREY, Box, Sheet, add_axes, put
from scenelux.pictures.text import FAMILY

__all__ = ["draw_face", "draw_truck"]

Array = NDArray[np.float64]

# An outline in metres: behind is positive, the rear face at 0.
_BODY = ((-7.3, 0.45), (-7.3, 1.25), (-6.9, 2.35), (-5.2, 2.45), (-5.2, 2.75), (0.0, 2.75), (0.0, 0.45))
_WHEELS_M, _WHEEL_M = (-5.9, -1.6), 0.48
_REAR, _FRONT = (0.0, 2.36), (7.3, 0.85)
_REACH_M = 9.0


def draw_truck(sheet: Sheet, box: Box, summary: Summary, *, at_front: bool) -> None:
    """Draws the upright plane of the beam from a lamp on a truck, seen from the side, to scale.

    Parameters
    ----------
    sheet : to draw on.
    box : room for the drawing, its title above it.
    summary : the luminaire, with the tilt drawn.
    at_front : as a headlamp; otherwise at the top of the rear face.
    """
    put(sheet, box.left, box.top + 0.24, "Beam from the side, on a truck", 9, bold=True)
    axes = add_axes(sheet, box)
    length = 16.9
    height = length * box.height / box.width
    axes.set(xlim=(-7.6, length - 7.6), ylim=(-0.55, height - 0.55))
    axes.axis("off")
    lamp = _draw_outline(axes, at_front)
    for share, colour in ((0.1, "#f0d9a8"), (0.5, "#e0a545")):
        _draw_wedge(axes, lamp, summary, share, colour)
    tilt = np.radians(summary.tilt_deg)
    far = (lamp[0] + _REACH_M * np.cos(tilt), lamp[1] + _REACH_M * np.sin(tilt))
    axes.plot((lamp[0], lamp[0] + _REACH_M), (lamp[1], lamp[1]), color="black", lw=0.7, ls=(0, (4, 3)), zorder=4)
    axes.plot((lamp[0], far[0]), (lamp[1], far[1]), color="black", lw=1.4, zorder=2.5)
    axes.add_patch(Rectangle((-50, -50), 100, 50, facecolor="#c9c9c9", edgecolor="none", zorder=3))
    axes.plot((-50, 50), (0, 0), color="black", lw=1.0, zorder=6)
    axes.add_patch(Circle(lamp, 0.13, facecolor="black", zorder=7))
    down = "down" if summary.tilt_deg < 0 else "up"
    tilt_text = f"beam axis tilted {abs(summary.tilt_deg):g}° {down}" if summary.tilt_deg else "beam axis level"
    put(sheet, box.left, box.bottom - 0.05, f"solid: {tilt_text} · dashed: horizontal", 6.5)
    put(sheet, box.left, box.bottom - 0.18, "shaded: 50 % of the peak (dark) and 10 % (light), upright plane", 6.5)


def _draw_outline(axes: Axes, at_front: bool) -> tuple[float, float]:
    """The truck, with the lamp's face turned to the right; where the lamp is."""
    sign = -1.0 if at_front else 1.0
    shift = -7.3 if at_front else 0.0
    outline = [(sign * x + shift, up) for x, up in _BODY]
    axes.add_patch(Polygon(outline, closed=True, facecolor="#dcdcdc", edgecolor="black", lw=0.9, zorder=4))
    for wheel in _WHEELS_M:
        centre = (sign * wheel + shift, _WHEEL_M)
        axes.add_patch(Circle(centre, _WHEEL_M, facecolor="#666666", edgecolor="black", zorder=5))
    x, up = _FRONT if at_front else _REAR
    text = "front" if at_front else "rear"
    axes.text(-0.25, 1.5, text, fontsize=6.5, family=FAMILY, ha="right", va="center", zorder=6)
    return x + shift, up


def _draw_wedge(axes: Axes, lamp: tuple[float, float], summary: Summary, share: float, colour: str) -> None:
    """Every span of the upright plane in which the intensity reaches a share of the peak."""
    theta = np.linspace(-180.0, 180.0, 3601)
    lit = plane_curve(summary, 90.0, theta) >= share * max(summary.peak.candela, 1e-12)
    turns = np.diff(lit.astype(np.int8), prepend=0, append=0)
    for start, after in zip(np.nonzero(turns > 0)[0], np.nonzero(turns < 0)[0], strict=True):
        span = np.radians(np.linspace(theta[start], theta[after - 1], 91) + summary.tilt_deg)
        corners = [lamp, *zip(lamp[0] + _REACH_M * np.cos(span), lamp[1] + _REACH_M * np.sin(span), strict=True)]
        axes.add_patch(Polygon(corners, closed=True, facecolor=colour, edgecolor=colour, lw=0.4, zorder=2))


def draw_face(sheet: Sheet, box: Box, summary: Summary) -> None:
    """Draws the opening as seen along the beam, from behind the lamp, with the data's own directions on it.

    Parameters
    ----------
    sheet : to draw on.
    box : room for the drawing, its title above it.
    summary : the luminaire.
    """
    put(sheet, box.left, box.top + 0.24, "Lamp seen along its beam", 9, bold=True)
    axes = add_axes(sheet, box)
    wide = 1.45 * box.width / box.height
    axes.set(xlim=(-wide, wide), ylim=(-1.45, 1.45))
    axes.axis("off")
    _draw_opening(axes, summary)
    for name, right, up in _own_directions(summary):
        axes.annotate(
            "", (0.98 * right, 0.98 * up), (0.0, 0.0),
            arrowprops={"arrowstyle": "-|>", "lw": 1.1, "color": "black", "shrinkA": 0, "shrinkB": 0},
        )  # fmt: skip
        side = "left" if right > 0.5 else "right" if right < -0.5 else "center"
        place = (1.03 * right, 1.2 * up)
        axes.text(*place, name, fontsize=7, family=FAMILY, ha=side, va="center")
    kind, face = summary.distribution.photometric_type, np.array(summary.orientation.face)
    axes.plot(0, 0, marker="o", ms=4, color="black")
    put(sheet, box.left, box.bottom - 0.05, f"● beam axis = {_name(kind, face)} of the data", 6.5)


def _draw_opening(axes: Axes, summary: Summary) -> None:
    across, up, _ = summary.opening.across_up_depth_m
    largest = max(across, up)
    if largest <= 0.0:
        return
    width, height = max(1.2 * across / largest, 0.03), max(1.2 * up / largest, 0.03)
    style: dict[str, Any] = {"facecolor": "#e9e9e9", "edgecolor": GREY, "linewidth": 1.0}
    if summary.opening.is_round:
        axes.add_patch(Ellipse((0, 0), width, height, **style))
    else:
        axes.add_patch(Rectangle((-width / 2, -height / 2), width, height, **style))


def _own_directions(summary: Summary) -> list[tuple[str, float, float]]:
    """Named directions of the data square to the beam: name, right and up on the lamp, unit length."""
    kind, axes = summary.distribution.photometric_type, np.array(summary.orientation.axes_in_lamp())
    found = []
    for photometric in (*np.eye(3), *-np.eye(3)):
        forward, left, up = photometric @ axes
        length = float(np.hypot(left, up))
        if length > 0.3 and abs(forward) < 0.95:
            found.append((_name(kind, photometric), float(-left / length), float(up / length)))
    return found


def _name(kind: str, photometric: Array) -> str:
    """A direction in the angles of its own type, the free angle left out at a pole."""
    h, v = (round(float(angle), 1) + 0.0 for angle in angles(kind, photometric))  # type: ignore[arg-type]
    if kind == "C":
        return f"γ {v:g}" if v in (0.0, 180.0) else f"C {h:g}" if v == 90.0 else f"C {h:g}, γ {v:g}"
    for name, alone in ((f"H {_signed(h)}", direction(kind, h, 0.0)), (f"V {_signed(v)}", direction(kind, 0.0, v))):  # type: ignore[arg-type]
        if np.allclose(alone, photometric / np.linalg.norm(photometric), atol=1e-6) and name[2:] != "0":
            return name
    return f"H {_signed(h)}, V {_signed(v)}"


def _signed(angle: float) -> str:
    return f"{angle:+g}".replace("-", "−") if angle else "0"
