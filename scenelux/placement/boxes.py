"""Boxes on the site with their owners, and patches: the flat faces of people and objects that are seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

from scenelux.engine import Blockers
from scenelux.geometry import IDENTITY, Axes, Vector, attitude_axes, compose, dot, rotate
from scenelux.placement.bodies import PlacedVehicle
from scenelux.placement.ground import Ground
from scenelux.placement.materials import Cover, Share
from scenelux.scene.model import OnSite
from scenelux.sources import Status

__all__ = ["OwnerKind", "Patch", "PlacedBox", "Side", "Stand", "blockers_of", "box_in", "patches_of", "stand"]

OwnerKind = Literal["vehicle", "object", "person"]
Side = Literal["front", "rear", "left", "right", "top"]

UPRIGHT: tuple[Side, ...] = ("front", "rear", "left", "right")
THINNEST_PATCH_M = 0.01
"""Edges of sheets, narrower than this, are no patches."""

_CONFIDENCE: tuple[Status, ...] = ("published", "quoted", "own", "unconfirmed", "invented")


@dataclass(frozen=True)
class PlacedBox:
    """A box in the site frame: whose it is, which part, and how it reflects on the whole."""

    owner: OwnerKind
    owner_id: str
    part: str
    centre_m: Vector
    half_m: Vector
    axes: Axes
    reflectance: Share


@dataclass(frozen=True)
class Patch:
    """A flat rectangle of a person or an object, as it is seen from outside.

    Parameters
    ----------
    owner, owner_id, part : the box that it is a face of.
    side : which face of it; front is where a person faces.
    centre_m : site frame [m].
    normal, across, up : unit vectors in the site frame, outwards and along its two edges.
    size_m : along `across` and `up` [m].
    covers : what it is covered with; shares add up to 1.
    """

    owner: OwnerKind
    owner_id: str
    part: str
    side: Side
    centre_m: Vector
    normal: Vector
    across: Vector
    up: Vector
    size_m: tuple[float, float]
    covers: tuple[Cover, ...]

    @property
    def area_m2(self) -> float:
        """Area [m2]."""
        return self.size_m[0] * self.size_m[1]

    @property
    def reflectance(self) -> float:
        """Diffuse reflectance of all that covers it."""
        return sum(cover.share * cover.reflectance.value for cover in self.covers)

    @property
    def status(self) -> Status:
        """The least confirmed of its reflectances."""
        return max((cover.reflectance.status for cover in self.covers), key=_CONFIDENCE.index)

    @property
    def fluorescent_share(self) -> float:
        """Share of its area that is fluorescent."""
        return sum(cover.share for cover in self.covers if cover.kind == "fluorescent")

    @property
    def retroreflective_share(self) -> float:
        """Share of its area that is retroreflective."""
        return sum(cover.share for cover in self.covers if cover.material)


@dataclass(frozen=True)
class Stand:
    """Where something stands: its foot in the site frame, the frame that it is fixed to, and that frame's heading."""

    foot_m: Vector
    axes: Axes
    heading_deg: float


def stand(one: OnSite, vehicles: Mapping[str, PlacedVehicle], ground: Ground) -> Stand:
    """Where a person or an object stands: on the ground, on the top of a body, or held at a height.

    Parameters
    ----------
    one : as the document has it.
    vehicles : the placed vehicles by id.
    ground : the pavement.
    """
    forward, left = one.position_m[:2]
    if one.of == "site":
        return Stand((forward, left, ground.height_m(forward, left) + (one.up_m or 0.0)), IDENTITY, 0.0)
    vehicle = vehicles[one.of]
    if one.on is None and one.up_m is None:
        turned = rotate(attitude_axes(vehicle.heading_deg), (forward, left, 0.0))
        along, aside = vehicle.origin_m[0] + turned[0], vehicle.origin_m[1] + turned[1]
        return Stand((along, aside, ground.height_m(along, aside)), IDENTITY, vehicle.heading_deg)
    up = one.up_m if one.up_m is not None else _top_m(vehicle, one.on)
    return Stand(vehicle.to_site((forward, left, up)), vehicle.axes, vehicle.heading_deg)


def _top_m(vehicle: PlacedVehicle, body_id: str | None) -> float:
    """Height of a body's top in the frame of its vehicle [m]."""
    body = next(body for body in vehicle.bodies if body.body_id == body_id)
    middle: Vector = tuple(a - b for a, b in zip(body.centre_m, vehicle.origin_m, strict=True))  # type: ignore[assignment]
    return dot(middle, vehicle.axes[2]) + body.half_m[2]


def box_in(
    owner: tuple[OwnerKind, str],
    part: str,
    frame: tuple[Vector, Axes],
    spans: Sequence[tuple[float, float]],
    reflectance: Share,
) -> PlacedBox:
    """A box from its spans forward, left and up in a frame.

    Parameters
    ----------
    owner, part : whose it is.
    frame : origin and axes of the frame in the site frame.
    spans : low and high end of each edge in the frame [m].
    reflectance : of the whole box.
    """
    origin, axes = frame
    middle: Vector = tuple(0.5 * (low + high) for low, high in spans)  # type: ignore[assignment]
    half: Vector = tuple(0.5 * (high - low) for low, high in spans)  # type: ignore[assignment]
    return PlacedBox(*owner, part, _moved(origin, rotate(axes, middle)), half, axes, reflectance)


def patches_of(box: PlacedBox, covers: Mapping[Side, tuple[Cover, ...]]) -> tuple[Patch, ...]:
    """The faces of a box that are covered with something, without the edges of thin sheets.

    Parameters
    ----------
    box : of a person or an object.
    covers : side -> what covers it; sides that are left out are not seen.
    """
    forward, left, up = box.axes
    deep, wide, high = (2.0 * half for half in box.half_m)
    faces: dict[Side, tuple[Vector, float, Vector, float, Vector, float]] = {
        "front": (forward, deep, left, wide, up, high),
        "rear": (_minus(forward), deep, left, wide, up, high),
        "left": (left, wide, forward, deep, up, high),
        "right": (_minus(left), wide, forward, deep, up, high),
        "top": (up, high, left, wide, forward, deep),
    }
    found = []
    for side, on in covers.items():
        normal, thick, across, width, upward, height = faces[side]
        if min(width, height) >= THINNEST_PATCH_M:
            away: Vector = tuple(0.5 * thick * component for component in normal)  # type: ignore[assignment]
            centre = _moved(box.centre_m, away)
            found.append(
                Patch(box.owner, box.owner_id, box.part, side, centre, normal, across, upward, (width, height), on)
            )
    return tuple(found)


def upright(axes: Axes, heading_deg: float) -> Axes:
    """Axes of what is turned by its own heading in a frame."""
    return compose(axes, attitude_axes(heading_deg))


class _Box(Protocol):
    @property
    def centre_m(self) -> Vector: ...
    @property
    def half_m(self) -> Vector: ...
    @property
    def axes(self) -> Axes: ...


def blockers_of(boxes: Sequence[_Box]) -> Blockers:
    """Boxes as the engine takes them, in their order."""
    if not boxes:
        return Blockers.none()
    return Blockers.boxes([box.centre_m for box in boxes], [box.half_m for box in boxes], [box.axes for box in boxes])


def _moved(a: Vector, b: Vector) -> Vector:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def _minus(a: Vector) -> Vector:
    return (-a[0], -a[1], -a[2])
