"""Levels are light; what a device is set to for a level follows its own curve."""

from __future__ import annotations

import pytest

from scenelux.scene.switching_dimming import Dimming
from scenelux.study.dusk.settings import settings_of

CURVE = {"basis": "current", "points": [[100, 0.2], [350, 0.5], [700, 1.0]]}


def made(**keys: object) -> Dimming:
    return Dimming.model_validate(keys, context={"units": "metric"})


@pytest.mark.parametrize(
    ("stated", "level", "words"),
    [
        ({"basis": "duty"}, 0.42, "duty 42 %"),
        ({"basis": "duty", "points": [[0, 0], [80, 1]]}, 0.5, "duty 40 %"),
        ({"basis": "voltage", "filament": "12 V"}, 1.0, "voltage 12 V"),
        # Half of the voltage gives 0.5^3.4 = 9.5 % of the light (the exponent is from memory, unconfirmed).
        ({"basis": "voltage", "filament": "12 V"}, 0.5**3.4, "voltage 6 V"),
        (CURVE, 0.35, "current 225 mA"),
        ({**CURVE, "unit": "A"}, 1.0, "current 700 A"),
        (CURVE, 0.1, "no current of its curve gives it"),
    ],
)
def test_what_gives_a_level(stated: dict[str, object], level: float, words: str) -> None:
    assert settings_of({"beacon": made(**stated)}, {"beacon": level, "other": 1.0}) == {"beacon": words}


def test_a_circuit_that_is_off_is_not_set() -> None:
    assert settings_of({"beacon": made(basis="duty")}, {"beacon": 0.0}) == {}
