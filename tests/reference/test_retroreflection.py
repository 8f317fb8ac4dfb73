"""Coefficients of retroreflection against the printed tables, and the angles and luminances that come of them."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from scenelux.vision import (
    retro_angles,
    retro_table,
    retroreflected_luminance,
    retroreflection_at,
    retroreflection_coefficient,
)

Agreement = Callable[..., None]
SHEETING = "ASTM D4956:2001, as quoted by a web copy"

COLOURS = ("white", "yellow", "orange", "green", "red", "blue", "brown")
SHEETING_TABLE = {
    ("i", 0.2, -4): (70, 50, 25, 9, 14, 4, 1),
    ("i", 0.2, 30): (30, 22, 7, 3.5, 6, 1.7, 0.3),
    ("i", 0.5, -4): (30, 25, 13, 4.5, 7.5, 2, 0.3),
    ("i", 0.5, 30): (15, 13, 4, 2.2, 3, 0.8, 0.2),
    ("ii", 0.2, -4): (140, 100, 60, 30, 30, 10, 5),
    ("ii", 0.2, 30): (60, 36, 22, 10, 12, 4, 2),
    ("ii", 0.5, -4): (50, 33, 20, 9, 10, 3, 2),
    ("ii", 0.5, 30): (28, 20, 12, 6, 6, 2, 1),
    ("iii", 0.1, -4): (300, 200, 120, 54, 54, 24, 14),
    ("iii", 0.1, 30): (180, 120, 72, 32, 32, 14, 10),
    ("iii", 0.2, -4): (250, 170, 100, 45, 45, 20, 12),
    ("iii", 0.2, 30): (150, 100, 60, 25, 25, 11, 8.5),
    ("iii", 0.5, -4): (95, 62, 30, 15, 15, 7.5, 5),
    ("iii", 0.5, 30): (65, 45, 25, 10, 10, 5, 3.5),
}
FROM_MEMORY = {  # material, observation and entrance angle [deg]: white, yellow, then orange and red, or red alone
    ("astm-d4956-iv", 0.2, -4): (360, 270, 145, 65),
    ("astm-d4956-iv", 0.5, -4): (150, 110, 60, 27),
    ("astm-d4956-viii", 0.2, -4): (700, 525, 265, 105),
    ("astm-d4956-viii", 0.5, -4): (250, 190, 94, 38),
    ("astm-d4956-ix", 0.2, -4): (380, 285, 145, 76),
    ("astm-d4956-ix", 0.5, -4): (240, 180, 90, 48),
    ("astm-d4956-ix", 1.0, -4): (80, 60, 30, 16),
    ("astm-d4956-xi", 0.2, -4): (580, 435, 200, 87),
    ("astm-d4956-xi", 0.5, -4): (420, 315, 150, 63),
    ("astm-d4956-xi", 1.0, -4): (120, 90, 42, 18),
    ("en-12899-ra1", 12 / 60, 5): (70, 50, 14.5),
    ("en-12899-ra1", 20 / 60, 5): (50, 35, 10),
    ("en-12899-ra1", 2.0, 5): (5, 3, 1),
    ("en-12899-ra2", 12 / 60, 5): (250, 170, 45),
    ("en-12899-ra2", 12 / 60, 30): (150, 100, 25),
    ("en-12899-ra2", 12 / 60, 40): (110, 70, 15),
    ("en-12899-ra2", 20 / 60, 5): (180, 120, 25),
    ("en-12899-ra2", 2.0, 5): (5, 3, 1),
}
MORE_FROM_MEMORY = [
    ("vehicle-tape-c2", "white", 0.2, -4, 250),
    ("vehicle-tape-c2", "red", 0.2, -4, 60),
    ("vehicle-tape-c2", "white", 0.5, -4, 65),
    ("vehicle-tape-c2", "red", 0.5, -4, 15),
    ("isea-107-level-2", "white", 0.2, 5, 330),
    ("isea-107-level-1", "white", 0.2, 5, 65),
    ("iso-20471-combined", "white", 0.2, 5, 65),
]


def test_what_is_quoted_is_told_from_what_is_remembered() -> None:
    for material, colour in (("iso-20471-separate", "white"), ("fluorescent-yellow-green", "yellow-green")):
        found = retroreflection_at(material, [0.2, 0.5], 5.0, colour=colour)
        assert not found.unconfirmed.any() and found.source.status == "quoted"


@pytest.mark.parametrize(("kind", "observation", "entrance"), SHEETING_TABLE)
def test_sheeting(agreement: Agreement, kind: str, observation: float, entrance: float) -> None:
    for colour, printed in zip(COLOURS, SHEETING_TABLE[kind, observation, entrance], strict=True):
        found = retroreflection_at(f"astm-d4956-{kind}", observation, entrance, colour=colour)
        damaged = (kind, observation) == ("iii", 0.5) and (entrance == 30 or colour in ("blue", "brown"))
        assert bool(found.unconfirmed) == damaged
        quantity = f"type {kind.upper()} {colour}, {observation} deg, {entrance} deg [cd/(lx m2)]"
        source, status = ("from memory or damaged copy", "unconfirmed") if damaged else (SHEETING, "quoted")
        agreement(quantity, printed, found.coefficient, source, status, 1e-9)


def test_tables_from_memory_stand_as_remembered_and_say_so() -> None:
    rows = [
        (material, colour, observation, entrance, value)
        for (material, observation, entrance), values in FROM_MEMORY.items()
        for colour, value in zip(
            ("white", "yellow", "orange", "red") if len(values) == 4 else ("white", "yellow", "red"),
            values,
            strict=True,
        )
    ]
    for material, colour, observation, entrance, value in rows + MORE_FROM_MEMORY:
        found = retroreflection_at(material, observation, entrance, colour=colour)
        assert found.coefficient == pytest.approx(value, rel=1e-12), (material, colour, observation, entrance)
        assert found.unconfirmed and not found.beyond and found.source.status == "unconfirmed"


def slow_coefficient(material: str, colour: str, observation: float, entrance: float) -> float:
    """Between four printed numbers, straight in the logarithm: first along the entrance angle, then the other."""
    table = retro_table(material, colour)
    rows, columns = list(table.observation_deg), list(table.entrance_deg)
    observation, entrance = max(observation, rows[0]), max(abs(entrance), columns[0])
    if observation > rows[-1] or entrance > columns[-1]:
        return 0.0
    i = max(k for k in range(len(rows) - 1) if rows[k] <= observation)
    j = max(k for k in range(len(columns) - 1) if columns[k] <= entrance)
    u = (observation - rows[i]) / (rows[i + 1] - rows[i])
    v = (entrance - columns[j]) / (columns[j + 1] - columns[j])
    logs = [[math.log10(table.coefficient[i + a, j + b]) for b in (0, 1)] for a in (0, 1)]
    along = [row[0] + v * (row[1] - row[0]) for row in logs]
    return float(10 ** (along[0] + u * (along[1] - along[0])))


@pytest.mark.parametrize(
    ("material", "colour"), [("iso-20471-separate", "white"), ("astm-d4956-iii", "red"), ("astm-d4956-i", "brown")]
)
def test_between_the_printed_angles_it_is_straight_in_the_logarithm(material: str, colour: str) -> None:
    generator = np.random.default_rng(4956)
    observation, entrance = generator.uniform(0.0, 1.8, 400), generator.uniform(-45.0, 45.0, 400)
    ours = retroreflection_coefficient(material, observation, entrance, colour=colour)
    slow = [slow_coefficient(material, colour, float(a), float(b)) for a, b in zip(observation, entrance, strict=True)]
    assert ours == pytest.approx(slow, rel=1e-12)


def test_luminance_is_intensity_over_the_area_that_is_seen() -> None:
    """I = R E A, and of the area A the eye sees A cos(view)."""
    for view in (0.0, 20.0, 55.0):
        intensity, seen = 180.0 * 2.0 * 0.13, 0.13 * math.cos(math.radians(view))
        assert retroreflected_luminance(180.0, 2.0, view) == pytest.approx(intensity / seen, rel=1e-13)


def test_a_lamp_on_the_parked_truck_does_nothing_for_the_tape_that_a_driver_sees() -> None:
    angles = retro_angles([3.0, 0.0, 2.4], [-80.0, 3.5, 1.08], [0.0, 1.0, 1.2], [-1.0, 0.0, 0.0])
    found = retroreflection_at("iso-20471-separate", angles.observation_deg, angles.entrance_deg)
    assert found.beyond and found.coefficient == 0.0
    own = retro_angles([-78.5, 3.1, 0.6], [-80.0, 3.5, 1.08], [0.0, 1.0, 1.2], [-1.0, 0.0, 0.0])
    assert retroreflection_coefficient("iso-20471-separate", own.observation_deg, own.entrance_deg) > 100.0
