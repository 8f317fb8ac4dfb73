"""What a photometric file says beside its intensities: TILT tables, applied on request, and required values."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from one_lamp import one_lamp

from scenelux.errors import InputError
from scenelux.placement import PlacedScene, place
from scenelux.scene.read import read_scene
from scenelux.study.probe import probe

CARD = """
format = "scenelux luminaire 1"
name = "Lamp with a tilt table"
kind = "work"
file = "lamp.ies"
data_class = "measured file"
apply_tilt_table = {apply}
[source]
title = "Invented for this test"
status = "invented"
"""
NUMBERS = "1 -1 1 3 1 1 2 0 0 0\n1 1 20\n0 45 90\n0\n1000 900 500\n"


def placed(
    folder: Path, tilt: str, *, apply: str = "true", aim: float = -28, roll: float = 0, pitch: float = 0
) -> PlacedScene:
    (folder / "lamp.ies").write_text(f"IESNA:LM-63-2002\n[TEST] t\n{tilt}\n{NUMBERS}")
    (folder / "lamp.toml").write_text(CARD.format(apply=apply))
    (folder / "scene.toml").write_text(one_lamp("lamp", tilt=aim, roll=roll, pitch=pitch))
    return place(read_scene(folder / "scene.toml"))


def table(geometry: int, angles: str = "0 45 90", factors: str = "1 .9 .6") -> str:
    return f"TILT=INCLUDE\n{geometry}\n{len(angles.split())}\n{angles}\n{factors}"


def test_geometry_1_is_read_at_the_angle_from_straight_down(tmp_path: Path) -> None:
    """28 deg below the horizon is 62 deg from straight down: 0.9 - 0.3 x 17 / 45."""
    one = placed(tmp_path, table(1))
    lamp = one.placed_lamps[0]
    assert lamp.burning_tilt_deg == pytest.approx(62.0) and lamp.tilt_factor == pytest.approx(0.9 - 0.3 * 17 / 45)
    assert any("lamp: TILT factor 0.7867 applied, at 62 deg" in note for note in one.notes)


def test_the_attitude_of_the_vehicle_counts(tmp_path: Path) -> None:
    """Nose down by 4 deg lifts a beam to the rear by as much."""
    assert placed(tmp_path, table(1), pitch=4).placed_lamps[0].burning_tilt_deg == pytest.approx(66.0)


@pytest.mark.parametrize(("geometry", "roll", "aim", "expected"), [
    (3, 0, -28, 0), (3, 25, -28, 0), (2, 0, -28, 62), (2, 0, 0, 90), (3, 90, 0, 90),
])  # fmt: skip
def test_level_sources_are_read_out_of_the_horizontal(
    tmp_path: Path, geometry: int, roll: float, aim: float, expected: float
) -> None:
    """C 0 is right and C 90 up on the lamp: a source along C 0 stays level under tilt, one along C 90 does not."""
    found = placed(tmp_path, table(geometry), roll=roll, aim=aim).placed_lamps[0].burning_tilt_deg
    if (geometry, roll) == (3, 25):
        assert found == pytest.approx(21.9, abs=0.1)  # asin(sin 25 deg x cos 28 deg)
    else:
        assert found == pytest.approx(expected, abs=1e-6)


def test_lux_falls_by_the_factor_and_only_on_request(tmp_path: Path) -> None:
    lux = {}
    for apply in ("true", "false"):
        placed(tmp_path, table(1), apply=apply)
        result = probe(read_scene(tmp_path / "scene.toml"), ["-3 m,0,0", "-6 m,1,0"], initial=True)
        lux[apply] = [one.illuminance_lx for one in result.points]
    assert lux["true"] == pytest.approx([(0.9 - 0.3 * 17 / 45) * one for one in lux["false"]])


def test_a_tilt_file_beside_the_photometric_file(tmp_path: Path) -> None:
    (tmp_path / "old.tlt").write_text("1\n2\n0 90\n1 .5\n")
    one = placed(tmp_path, "TILT=old.tlt")
    assert one.placed_lamps[0].tilt_factor == pytest.approx(1 - 0.5 * 62 / 90)
    assert [read.file for read in one.scene.inputs if read.file.endswith(".tlt")] == ["old.tlt"]


def test_what_cannot_be_applied_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no TILT table"):
        placed(tmp_path, "TILT=NONE")
    with pytest.raises(InputError, match="hangs at 62 deg, outside the TILT table"):
        placed(tmp_path, table(1, "0 30 60", "1 .9 .8"))


def test_required_values_are_told_wherever_the_data_class_is(tmp_path: Path) -> None:
    from scenelux.study.drawings import luminaire_facts
    from scenelux.study.verdicts import uncertainty_of

    (tmp_path / "lamp.csv").write_text("# basis: required minimum\nH,V,cd\n0,0,300\n-9,0,20\n9,0,20\n0,5,10\n0,-5,9\n")
    card = CARD.replace("lamp.ies", "lamp.csv").format(apply="false")
    (tmp_path / "lamp.toml").write_text(card)
    (tmp_path / "scene.toml").write_text(one_lamp("lamp", tilt=0, roll=0, pitch=0))
    one = place(read_scene(tmp_path / "scene.toml"))
    facts = luminaire_facts([one])[0]
    assert facts.data_class == "measured file, required minimum"
    assert any("glare is understated" in note for note in one.notes)
    assert uncertainty_of(one) == 0.1 and uncertainty_of(one, at_eyes=True) == math.inf
    assert uncertainty_of(one, np.zeros(1), at_eyes=True) == math.inf  # nothing on: all count
    (tmp_path / "lamp.toml").write_text(card.replace("apply_tilt_table = false", 'basis = "measured"'))
    with pytest.raises(InputError, match="is not what the file says"):
        place(read_scene(tmp_path / "scene.toml"))
