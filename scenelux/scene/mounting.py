"""Checks of places: no lamp and nobody inside a body, and what is on a body lies or stands on its top face."""

from __future__ import annotations

from collections.abc import Iterator

from scenelux.errors import DocumentError
from scenelux.geometry import Vector
from scenelux.scene.areas import Area
from scenelux.scene.document import Document
from scenelux.scene.model import Person, SceneText
from scenelux.scene.onsite import OnSite
from scenelux.scene.pose import Pose, depth_inside_m, pose_of
from scenelux.scene.positions import KeyPath
from scenelux.scene.variants import changed_lamps, changed_on_site
from scenelux.scene.vehicle import Body, Vehicle
from scenelux.units import format_length

__all__ = [
    "DEEPEST_M",
    "areas_on_bodies",
    "lamps_inside_bodies",
    "lamps_of_variants_inside_bodies",
    "standing_inside_bodies",
    "standing_on_bodies",
]

LOWEST_MIDDLE_M = 0.3
"""So high above its foot an object is looked at."""

STANDS_IN_M = 0.05
"""Deeper than this in a body, the middle of a person or an object counts as inside."""

DEEPEST_M = 0.001
"""A lamp may lie this deep in a body and still counts as standing on its surface."""


def lamps_inside_bodies(scene: SceneText, document: Document) -> list[DocumentError]:
    """Lamps of the scene as written that lie inside a body of any vehicle."""
    bodies = _Bodies(scene)
    found: list[tuple[KeyPath, DocumentError]] = []
    for i, vehicle in enumerate(scene.vehicles):
        for j, lamp in enumerate(vehicle.lamps):
            path = ("vehicles", i, "lamps", j, "position")
            error = bodies.error(document, path, vehicle, lamp.position_m, lamp.id)
            found += [(path, error)] if error else []
    # A copied lamp goes wrong with the lamp that it copies.
    return [error for path, error in found if path in document.places] or [error for _, error in found]


def lamps_of_variants_inside_bodies(scene: SceneText, document: Document) -> list[DocumentError]:
    """Lamps that a variant moves into a body."""
    bodies = _Bodies(scene)
    errors = []
    for path, vehicle, position, lamp in _moved(scene):
        error = bodies.error(document, path, vehicle, position, lamp)
        errors += [error] if error else []
    return errors


def _moved(scene: SceneText) -> Iterator[tuple[KeyPath, Vehicle, Vector, str]]:
    for name, variant in scene.variants.items():
        for j, change in enumerate(variant.changes):
            if change.position_m is not None and change.of == "lamps":
                forward, left, up = change.position_m
                for vehicle in scene.vehicles:
                    for lamp in changed_lamps((vehicle,), change):
                        yield ("variants", name, "changes", j, "position"), vehicle, (forward, left, up), lamp.id


class _Bodies:
    """All bodies with the poses of their vehicles."""

    def __init__(self, scene: SceneText) -> None:
        self.units = scene.units
        self.poses: dict[str, Pose] = {vehicle.id: pose_of(scene.site, vehicle) for vehicle in scene.vehicles}
        self.vehicles = scene.vehicles
        self.site = scene.site

    def ground_m(self, along: float, left: float) -> float:
        return self.site.grade * along + self.site.crossfall * left

    def error(
        self, document: Document, path: KeyPath, vehicle: Vehicle, position: Vector, lamp: str
    ) -> DocumentError | None:
        site = self.poses[vehicle.id].to_site(position)
        for other in self.vehicles:
            local = position if other is vehicle else self.poses[other.id].to_vehicle(site)
            for body in other.bodies:
                depth = depth_inside_m(body, local)
                if depth > DEEPEST_M:
                    deep = format_length(depth, self.units)
                    problem = f'puts the lamp "{lamp}" {deep} deep inside the body "{body.id}" of {other.id}'
                    accepted = "move it to the body's surface or outside"
                    return document.error(path, problem, accepted)
        return None

    def around(self, frame: str, position: tuple[float, ...], up_m: float) -> str | None:
        """The body in which a point lies, in words; up_m above a place on the ground or at a height.

        Parameters
        ----------
        frame : "site" or a vehicle.
        position : forward, left and perhaps up.
        up_m : above that.
        """
        forward, left = position[:2]
        held = position[2] if len(position) > len(("forward", "left")) else 0.0
        if frame == "site":
            site: Vector = (forward, left, self.ground_m(forward, left) + held + up_m)
        elif frame in self.poses:
            site = self.poses[frame].to_site((forward, left, held + up_m))
        else:
            return None  # told elsewhere
        for vehicle in self.vehicles:
            local = self.poses[vehicle.id].to_vehicle(site)
            for body in vehicle.bodies:
                if depth_inside_m(body, local) > STANDS_IN_M:
                    return f'"{body.id}" of {vehicle.id}'
        return None


def areas_on_bodies(scene: SceneText, document: Document) -> SceneText:
    """The scene with the outlines of areas on bodies filled in: without an outline, the whole top face."""
    bodies = {(vehicle.id, body.id): body for vehicle in scene.vehicles for body in vehicle.bodies}
    areas = []
    for i, area in enumerate(scene.areas):
        body = bodies.get((area.of, area.on)) if area.on is not None else None
        areas.append(_on_body(area, body, document, ("areas", i)) if body else area)
    return scene.model_copy(update={"areas": tuple(areas)})


def standing_on_bodies(scene: SceneText, document: Document) -> list[DocumentError]:
    """People and objects that stand on a body and whose place is not on its top."""
    bodies = {(vehicle.id, body.id): body for vehicle in scene.vehicles for body in vehicle.bodies}
    errors = []
    for path, one, position in _places(scene):
        body = bodies.get((one.of, one.on)) if one.on is not None else None
        if body is not None and not _over(body, position):
            problem = f'is not above the top of the body "{body.id}"'
            errors.append(document.error(path, problem, "move it onto the body, or leave on out"))
    return errors


def standing_inside_bodies(scene: SceneText, document: Document) -> list[DocumentError]:
    """People and objects that stand on no body and whose middle lies inside one of any vehicle."""
    bodies = _Bodies(scene)
    errors = []
    for path, one, position in _places(scene):
        body = None if one.on is not None else bodies.around(one.of, position, _middle_up_m(one))
        if body is not None:
            accepted = "move it outside, or say on which body it stands with on"
            errors.append(document.error(path, f'puts "{one.id}" inside the body {body}', accepted))
    return errors


def _middle_up_m(one: OnSite) -> float:
    """Of a person the middle; of an object a place above its foot, whatever its kind."""
    return 0.5 * one.height_m if isinstance(one, Person) else LOWEST_MIDDLE_M


def _places(scene: SceneText) -> Iterator[tuple[KeyPath, OnSite, tuple[float, ...]]]:
    """Every place that the document gives to a person or an object, as written and in its variants."""
    for key, standing in (("people", scene.people), ("objects", scene.objects)):
        for i, one in enumerate(standing):
            yield (key, i, "position"), one, one.position_m
    for path, change, one in changed_on_site(scene):
        if change.position_m is not None:
            yield (*path, "position"), one, change.position_m


def _over(body: Body, position: tuple[float, ...]) -> bool:
    middle = 0.5 * (body.up_m[0] + body.up_m[1])
    flat = body.model_copy(update={"up_m": (middle - 1e6, middle + 1e6)})  # depth then counts to its upright faces
    return depth_inside_m(flat, (position[0], position[1], middle)) >= -DEEPEST_M


def _on_body(area: Area, body: Body, document: Document, path: KeyPath) -> Area:
    if body.turn_deg:
        if area.forward_m is None and area.polygon_m is None:
            problem = f'has no outline, and the body "{body.id}" is turned'
            raise document.error(path, problem, "give forward and left, or polygon", show=False)
        return area
    if area.polygon_m is not None:
        corners = area.polygon_m
    elif area.forward_m is not None and area.left_m is not None:
        corners = tuple(zip(area.forward_m, area.left_m, strict=True))
    else:
        return area.model_copy(update={"forward_m": body.forward_m, "left_m": body.left_m})
    for corner in corners:
        for value, (low, high) in zip(corner, (body.forward_m, body.left_m), strict=True):
            if not low - DEEPEST_M <= value <= high + DEEPEST_M:
                problem = f'reaches beyond the top of the body "{body.id}"'
                accepted = "keep forward and left within the body, or leave them out for its whole top"
                raise document.error(path, problem, accepted, show=False)
    return area
