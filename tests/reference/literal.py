"""The formulas written out for one lamp and one point at a time, slowly and from their definitions.

No arrays, nothing compiled and nothing shared with the engine: what stands here is what the engine must agree with.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

Vector = Sequence[float]


@dataclass(frozen=True)
class LiteralLamp:
    position: Vector
    axes: Sequence[Vector]  # x, y and z axes of the table
    azimuths: Sequence[float]  # degrees
    polars: Sequence[float]
    candela: Sequence[Sequence[float]]


@dataclass(frozen=True)
class LiteralBox:
    centre: Vector
    half: Vector
    axes: Sequence[Vector]


def dot(a: Vector, b: Vector) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))


def minus(a: Vector, b: Vector) -> list[float]:
    return [x - y for x, y in zip(a, b, strict=True)]


def length(a: Vector) -> float:
    return math.sqrt(dot(a, a))


def angle(a: Vector, b: Vector) -> float:
    """Angle between two vectors in radians, by half the ratio of difference and sum of the unit vectors."""
    one, two = [x / length(a) for x in a], [x / length(b) for x in b]
    difference, total = minus(one, two), [x + y for x, y in zip(one, two, strict=True)]
    return 2.0 * math.atan2(length(difference), length(total))


def literal_candela(lamp: LiteralLamp, azimuth: float, polar: float) -> float:
    """The sum over the table's corners of value times the two hat functions: bilinear by definition, dark outside."""
    if not lamp.polars[0] - 1e-6 <= polar <= lamp.polars[-1] + 1e-6:
        return 0.0
    if not lamp.azimuths[0] - 1e-6 <= azimuth <= lamp.azimuths[-1] + 1e-6:
        return 0.0
    azimuth = min(max(azimuth, lamp.azimuths[0]), lamp.azimuths[-1])
    polar = min(max(polar, lamp.polars[0]), lamp.polars[-1])
    total = 0.0
    for i in range(len(lamp.azimuths)):
        for j in range(len(lamp.polars)):
            total += lamp.candela[i][j] * hat(lamp.azimuths, i, azimuth) * hat(lamp.polars, j, polar)
    return total


def hat(knots: Sequence[float], index: int, x: float) -> float:
    """One at the knot, zero at its neighbours, straight between."""
    if x == knots[index]:
        return 1.0
    if x < knots[index]:
        before = knots[index - 1] if index > 0 else math.inf
        return (x - before) / (knots[index] - before) if x > before else 0.0
    after = knots[index + 1] if index + 1 < len(knots) else -math.inf
    return (after - x) / (after - knots[index]) if x < after else 0.0


def literal_intensity(lamp: LiteralLamp, direction: Vector) -> float:
    polar = math.degrees(angle(direction, lamp.axes[2]))
    azimuth = math.degrees(math.atan2(dot(direction, lamp.axes[1]), dot(direction, lamp.axes[0])))
    return literal_candela(lamp, azimuth % 360.0, polar)


def chord_inside(box: LiteralBox, start: Vector, end: Vector) -> float:
    """Length of a segment's part inside a box: cut by the six face planes, pieces with their middle inside."""
    cuts = {0.0, 1.0}
    for axis, half in zip(box.axes, box.half, strict=True):
        from_centre, step = dot(minus(start, box.centre), axis), dot(minus(end, start), axis)
        for face in (-half, half):
            if step != 0.0 and 0.0 < (face - from_centre) / step < 1.0:
                cuts.add((face - from_centre) / step)
    marks = sorted(cuts)
    inside = 0.0
    for left, right in pairwise(marks):
        middle = [s + 0.5 * (left + right) * (e - s) for s, e in zip(start, end, strict=True)]
        offset = minus(middle, box.centre)
        if all(abs(dot(offset, axis)) < half for axis, half in zip(box.axes, box.half, strict=True)):
            inside += right - left
    return inside * length(minus(end, start))


def literal_factor(plane: str, normal: Vector, up: Vector, to_source: Vector) -> float:
    """Receiver factors by their angles: eps from the normal or the vertical, alpha the azimuth off the facing."""
    if plane == "plane":
        return max(0.0, math.cos(angle(normal, to_source)))
    if plane == "hemispherical":
        return (1.0 + math.cos(angle(normal, to_source))) / 4.0
    sine = math.sin(angle(up, to_source))
    if plane == "cylindrical":
        return sine / math.pi
    level = [t - dot(to_source, up) * u for t, u in zip(to_source, up, strict=True)]
    facing = [n - dot(normal, up) * u for n, u in zip(normal, up, strict=True)]
    return sine * (1.0 + math.cos(angle(level, facing))) / math.pi


def literal_lux(
    lamp: LiteralLamp, boxes: Sequence[LiteralBox], point: Vector, plane: str, normal: Vector, up: Vector
) -> float:
    """E = I f / d^2, or nothing where more than a micrometre of the way lies inside a box."""
    if any(chord_inside(box, lamp.position, point) > 1e-6 for box in boxes):
        return 0.0
    to_source = minus(lamp.position, point)
    factor = literal_factor(plane, normal, up, to_source)
    return literal_intensity(lamp, minus(point, lamp.position)) * factor / dot(to_source, to_source)
