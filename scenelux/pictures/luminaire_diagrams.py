"""The H-V diagram: the intensity in false colour, as a wall in front of the lamp shows it."""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.colors import LogNorm
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from numpy.typing import NDArray

from scenelux.photometry import Summary, angles, default_orientation, direction
from scenelux.photometry.measures import covers
from scenelux.pictures.luminaire_curves import angle_ticks, candela_ticks, round_up
from scenelux.pictures.sheet import HEIGHT_IN, WIDTH_IN, Box, Sheet, add_axes, put
from scenelux.pictures.site import halo
from scenelux.pictures.text import FAMILY

__all__ = ["draw_hv"]

Array = NDArray[np.float64]

_SHARES = ((0.5, "solid", "50 %"), (0.1, (0, (5, 2)), "10 %"), (0.01, (0, (1.2, 1.6)), "1 %"))
_POLE_DEG = 89.999  # at a pole itself every V is the same direction
_NO_DATA: dict[str, Any] = {"facecolor": "white", "edgecolor": "#6a6a6a", "linewidth": 0.0, "hatch": "////"}


def draw_hv(sheet: Sheet, box: Box, summary: Summary) -> None:
    """Draws the intensity over degrees right (H) and up (V), as a wall in front of the lamp shows it.

    Black is dark; directions that the data do not list are hatched.

    Parameters
    ----------
    sheet : to draw on.
    box : room for the square diagram, its title above it.
    summary : the luminaire.
    """
    put(
        sheet,
        box.left - 0.45,
        box.top + 0.34,
        f"H-V diagram (type {_hv_type(summary)} angles), seen along the beam",
        9,
        bold=True,
    )
    reach, peak = _hv_reach(summary), summary.peak.candela
    side = np.clip(np.linspace(-reach, reach, 401), -_POLE_DEG, _POLE_DEG)
    candela, listed = _hv(summary, side[None, :], side[:, None])
    axes = add_axes(sheet, box)
    axes.patch.set(**_NO_DATA)
    high = round_up(max(peak, 1e-3))
    norm = LogNorm(high / 1000.0, high, clip=True)
    extent = (-reach, reach, -reach, reach)
    candela = np.ma.masked_array(candela, ~listed)
    axes.imshow(candela, origin="lower", extent=extent, cmap=colormaps["inferno"], norm=norm, interpolation="nearest")
    if peak > 0.0 and listed.any():
        levels = sorted((share * peak, dashes) for share, dashes, _ in _SHARES)
        lines = axes.contour(
            side, side, candela, levels=[level for level, _ in levels], colors="white", linewidths=1.1,
            linestyles=[dashes for _, dashes in levels],
        )  # fmt: skip
        lines.set_path_effects(halo(2.4))
    axes.set(xlim=(-reach, reach), ylim=(-reach, reach))
    _hv_ticks(axes, reach)
    axes.plot(0, 0, marker="+", ms=9, mew=1.6, color="white", path_effects=halo(3.0), zorder=8)
    _hv_bar(sheet, Box(box.right + 0.2, box.bottom, 0.17, box.height), norm)
    _hv_key(sheet, box, all_listed=bool(listed.all()))


def _hv_type(summary: Summary) -> Literal["A", "B"]:
    return "A" if summary.distribution.photometric_type == "A" else "B"


def _hv(summary: Summary, h_deg: Array, v_deg: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Intensity towards H degrees right and V degrees up of the mounted lamp, and whether the data list it."""
    kind = _hv_type(summary)
    axes = np.array(default_orientation(kind).axes_in_lamp())
    lamp = direction(kind, h_deg, v_deg) @ axes
    distribution = summary.distribution
    own = angles(distribution.photometric_type, summary.orientation.to_photometric(lamp))
    return distribution.candela_at(*own), covers(distribution, *own)


def _hv_reach(summary: Summary) -> float:
    """The smallest round reach that holds everything from 1 % of the peak upwards, at most the front half."""
    side = np.linspace(-90.0, 90.0, 361)
    lit = _hv(summary, side[None, :], side[:, None])[0] >= 0.01 * max(summary.peak.candela, 1e-12)
    if not lit.any():
        return 90.0
    rows, columns = np.nonzero(lit)
    widest = float(max(np.abs(side[rows]).max(), np.abs(side[columns]).max()))
    return next((reach for reach in (5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0) if widest < reach), 90.0)


def _hv_ticks(axes: Axes, reach: float) -> None:
    for axis, name in ((axes.xaxis, "H: left − / right + [deg]"), (axes.yaxis, "V: down − / up + [deg]")):
        angle_ticks(axis, reach)
        axis.set_label_text(name, fontsize=7, family=FAMILY)


def _hv_bar(sheet: Sheet, box: Box, norm: LogNorm) -> None:
    axes = add_axes(sheet, box)
    low, high = float(norm.vmin or 1.0), float(norm.vmax or 10.0)
    steps = np.geomspace(low, high, 257)
    axes.pcolormesh([0, 1], steps, norm(steps[:-1])[:, None], cmap=colormaps["inferno"], vmin=0, vmax=1)
    candela_ticks(axes, low, high)
    axes.xaxis.set_visible(False)
    axes.yaxis.tick_right()
    put(sheet, box.left, box.top + 0.17, "cd", 7)


def _hv_key(sheet: Sheet, box: Box, *, all_listed: bool) -> None:
    handles: list[Line2D | Patch] = [
        Line2D([], [], color="black", ls=dashes, lw=1.2, label=name) for _, dashes, name in _SHARES
    ]
    handles.append(Line2D([], [], color="black", marker="+", ls="none", ms=7, mew=1.4, label="beam axis"))
    handles += [] if all_listed else [Patch(label="no data", **_NO_DATA | {"linewidth": 0.5})]
    sheet.legend(
        handles=handles, loc="upper left", bbox_to_anchor=((box.right + 0.92) / WIDTH_IN, (box.top + 0.1) / HEIGHT_IN),
        frameon=False, handlelength=2.2, prop={"family": FAMILY, "size": 6.5}, alignment="left",
        title="share of\nthe peak", title_fontproperties={"family": FAMILY, "size": 6.5},
    )  # fmt: skip
