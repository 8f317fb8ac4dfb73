"""The shipped luminaires are made again from their stated beams, byte for byte."""

from __future__ import annotations

import hashlib
import tomllib

import pytest

from scenelux.errors import DocumentError
from scenelux.photometry import (
    IntensityDistribution,
    default_orientation,
    flux_lm,
    opening_in_lamp,
    read_lm63,
    read_recipes,
    stated_opening,
)
from scenelux.shipped import shipped

FOLDER = shipped("luminaires")
RECIPES = read_recipes((FOLDER / "beams" / "beams.toml").read_bytes(), "beams.toml")
CARDS = sorted(path.stem for path in FOLDER.glob("*.toml"))


def card(name: str) -> dict:
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


def test_every_file_has_its_recipe_and_every_recipe_its_card() -> None:
    assert sorted(RECIPES) == sorted(path.stem for path in FOLDER.glob("*.ies"))
    assert set(RECIPES) <= set(CARDS) and len(CARDS) >= 10


@pytest.mark.parametrize("name", sorted(RECIPES))
def test_the_file_is_made_again_byte_for_byte(name: str) -> None:
    made = RECIPES[name].file()
    assert made == (FOLDER / f"{name}.ies").read_bytes()
    assert hashlib.sha256(made).hexdigest() == card(name)["sha256"]


@pytest.mark.parametrize("name", sorted(RECIPES))
def test_the_file_holds_what_the_recipe_states(name: str) -> None:
    recipe, file = RECIPES[name], read_lm63((FOLDER / f"{name}.ies").read_bytes(), name)
    assert file.warnings == ()
    assert flux_lm(file.distribution) == pytest.approx(sum(beam.flux_lm for beam, _, _ in recipe.parts), rel=5e-6)
    lamp = opening_in_lamp(file.opening, default_orientation(file.distribution.photometric_type))
    assert lamp.across_up_depth_m == pytest.approx((recipe.across_m, recipe.up_m, 0))
    assert "nvented" in file.text("TEST") and file.text("MANUFAC") == "Invented for demonstration"
    assert file.input_watts == float(card(name)["power"].split()[0])


@pytest.mark.parametrize("name", CARDS)
def test_every_card_is_marked_as_invented(name: str) -> None:
    assert card(name)["source"]["status"] == "invented"
    assert (FOLDER / "README.md").read_text(encoding="utf-8").count(f"| `{name}` |") == 1


def test_the_round_tail_flood_is_the_beam_of_the_check_case() -> None:
    file = read_lm63((FOLDER / "tail-flood-round.ies").read_bytes())
    assert flux_lm(file.distribution) == pytest.approx(4200, rel=1e-5)
    assert float(file.distribution.candela_at(0, 30)) == pytest.approx(file.distribution.candela.max() / 2, rel=1e-5)


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_a_stated_opening_lies_as_seen_on_the_lamp(kind: str) -> None:
    h = [0, 360] if kind == "C" else [-90, 90]
    lamp = IntensityDistribution(kind, h, [0, 90], [[1, 1]] * 2)
    opening = stated_opening(lamp, "rectangle", across_m=0.3, up_m=0.1)
    assert opening_in_lamp(opening, default_orientation(kind)).across_up_depth_m == (0.3, 0.1, 0)
    assert stated_opening(lamp, "point", 0.3, 0.1).size_m == (0, 0, 0)


GOOD = """format = "scenelux beams 1"
[one]
title = "t"
lamp = "l"
shape = "point"
across_m = 0
up_m = 0
input_watts = 1
parts = [{ form = "cosine-power", flux_lm = 100, beam_angle_deg = 60 }]
"""


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("beams 1", "beams 2"),
        ('title = "t"', ""),
        ("60", '"60 deg"'),
        ("60", "600"),
        ("cosine-power", "cosine"),
        ("[one]", "["),
        ("beam_angle_deg", "angle"),
        ('"point"', '"star"'),
        ("[{", "["),
        ("input_watts = 1", "input_watts = []"),
    ],
)
def test_lists_that_cannot_be_made(old: str, new: str) -> None:
    read_recipes(GOOD.encode())
    with pytest.raises(DocumentError) as caught:
        read_recipes(GOOD.replace(old, new).encode(), "list.toml")
    assert caught.value.file == "list.toml"
