"""View factors from a small plane element to a rectangle and a disk, in closed form.

Textbook forms, quoted from memory and verified by quadrature and against one published mean value.
"""

from __future__ import annotations

from math import atan, hypot, pi, sqrt


def disk(radius: float, distance: float) -> float:
    """Element on the axis, facing the disk."""
    return radius**2 / (radius**2 + distance**2)


def corner_parallel(a: float, b: float, c: float) -> float:
    """Element parallel to an a x b rectangle at distance c, its normal through a corner."""
    x, y = a / c, b / c
    one, two = sqrt(1 + x * x), sqrt(1 + y * y)
    return (x / one * atan(y / one) + y / two * atan(x / two)) / (2 * pi)


def corner_perpendicular(height: float, width: float, distance: float) -> float:
    """Element square to a rectangle of that height and width, level with its foot, opposite one of its corners."""
    x, y = height / width, distance / width
    slant = hypot(x, y)
    return (atan(1 / y) - y / slant * atan(1 / slant)) / (2 * pi)


def centre_parallel(a: float, b: float, c: float) -> float:
    """Element parallel to an a x b rectangle, opposite its centre."""
    return 4 * corner_parallel(a / 2, b / 2, c)


def parallel(a: float, b: float, x: float, y: float, c: float) -> float:
    """Element parallel to a rectangle over 0..a, 0..b at (x, y, c): corner rectangles added and subtracted."""
    return sum(
        sign_x * sign_y * odd(side_x, side_y, c)
        for sign_x, side_x in ((1, a - x), (-1, -x))
        for sign_y, side_y in ((1, b - y), (-1, -y))
    )


def odd(x: float, y: float, c: float) -> float:
    """The corner factor continued to negative sides, where it changes sign."""
    sign = (1 if x > 0 else -1) * (1 if y > 0 else -1)
    return 0.0 if x == 0 or y == 0 else sign * corner_parallel(abs(x), abs(y), c)
