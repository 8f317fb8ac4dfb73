"""A study too large for the machine is refused before anything is computed, and says what to change."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.errors import LimitError
from scenelux.placement import area_points, area_shape, eye_path, place, station_count
from scenelux.scene.read import read_scene
from scenelux.scene.variants import apply_variant
from scenelux.study import simulate as job
from scenelux.study.memory import check_memory
from scenelux.study.site_map import map_shape

CARD = (Path(__file__).resolve().parents[2] / "data" / "check-case" / "bare-flood.toml").read_text()

SCENE = """
format = "scenelux scene 1"
title = "One truck"
data = "invented"
units = "metric"
areas = [
  {{ id = "a", forward = [-4, 0], left = [-2, 2], plane = "horizontal", grid = {{ counts = [{rows}, 10] }} }},
  {{ id = "b", of = "truck", polygon = [[0, 0], [3, 0], [3, 2]], plane = "horizontal" }},
]
eyes = [{{ id = "car", lane = "next", from = 100, to = 20.5, step = {step}, height = 1.2, gaze = ["road", "1 deg down"] }}]
[map]
forward = [-10, 10]
left = [-5, 5]
spacing = {spacing}
[site]
posted_speed = 90
[[site.lanes]]
id = "next"
centre_left = 3.5
width = 3.5
[circuits]
one = "One lamp"
[[vehicles]]
id = "truck"
light_loss_factor = 0.8
lamps = [{{ id = "left", luminaire = "bare-flood", position = [0, 1, 2.3], heading = 180, circuit = "one" }}]
[states.on]
say = "s"
circuits = {{ one = 1 }}
[light.night]
say = "n"
ambient = 0
adaptation_luminance = 0.1
[light.dim]
say = "d"
ambient = 0
adaptation_luminance = 0.1
[variants.low]
say = "Low"
changes = [{{ lamps = ["left"], tilt = -20 }}]
"""  # noqa: E501


def read(folder: Path, rows: int = 10, step: float = 20.0, spacing: str = '"50 cm"'):
    (folder / "bare-flood.toml").write_text(CARD)
    file = folder / "scene.toml"
    file.write_text(SCENE.format(rows=rows, step=step, spacing=spacing))
    return read_scene(str(file))


def placed_all(document):
    return [place(apply_variant(document, name)) for name in (document.base, "low")]


def test_sizes_told_beforehand_are_those_that_are_computed(tmp_path: Path) -> None:
    for step, stations in ((20.0, 5), (79.5, 2), (0.5, 160)):
        document = read(tmp_path, step=step)
        placed = place(document)
        for area in document.areas:
            grid = area_points(placed.vehicles, placed.ground, area)
            assert area_shape(placed.vehicles, area) == grid.shape
        path = eye_path(document, placed.vehicles, placed.ground, document.eyes[0])
        assert station_count(document.eyes[0]) == len(path.distances_m) == stations
        assert path.distances_m[-1] == pytest.approx(20.5) and (np.diff(path.distances_m) < 0.0).all()
    site = job.simulate(document).variants[0].map
    assert map_shape(placed) == site.by_lamp_lx.shape[1:] == (40, 20)


@pytest.mark.parametrize(
    ("scene", "key", "advice"),
    [
        ({"rows": 1000}, "areas[0].grid", "1000 x 10 places to stand of 1 lamp; give a larger spacing or a smaller"),
        ({"step": 0.01}, "eyes[0].step", "31804 values of 1 lamp, over stations, gazes, states and light levels"),
        ({"spacing": '"5 cm"'}, "map.spacing", "a plan of 400 x 200 points of 1 lamp; give a larger spacing"),
    ],
)
def test_the_largest_part_is_named_with_its_place(tmp_path: Path, scene: dict, key: str, advice: str) -> None:
    document = read(tmp_path, **scene)
    with pytest.raises(LimitError) as caught:
        check_memory(placed_all(document), limit_bytes=60_000)
    error, text = caught.value, str(caught.value)
    assert (error.key, error.file) == (key, document.file) and error.line is not None
    assert advice in text and "the results of 2 variants would take 0.00 GB where 0.00 GB" in text
    assert text.endswith("or compute fewer variants.")


def test_everything_counts_together_and_all_variants(tmp_path: Path) -> None:
    both = placed_all(read(tmp_path))
    stood = 5 * max(100, _polygon(both[0]))  # four sides of a torso and the way to the driver, on the largest grid
    whole = 8 * (100 + _polygon(both[0]) + stood + 40 * 20 + 5 * 2 * 2)
    check_memory(both[:1], limit_bytes=whole)
    with pytest.raises(LimitError):
        check_memory(both[:1], limit_bytes=whole - 1)
    check_memory(both, limit_bytes=2 * whole)
    with pytest.raises(LimitError):
        check_memory(both, limit_bytes=2 * whole - 1)


def _polygon(placed) -> int:
    rows, columns = area_shape(placed.vehicles, placed.scene.areas[1])
    return rows * columns


def test_a_study_is_refused_before_anything_is_computed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "b").mkdir()
    document, other = read(tmp_path), read(tmp_path / "b")

    def refuse(placed: list) -> None:
        raise LimitError(f"{len(placed)} placed")

    monkeypatch.setattr(job, "check_memory", refuse)
    monkeypatch.setattr(job, "light_area", None)
    with pytest.raises(LimitError, match="2 placed"):
        job.simulate(document, [document.base, "low"])
    with pytest.raises(LimitError, match="2 placed"):
        job.simulate_pair(document, other)


def test_a_plan_too_fine_names_file_and_key(tmp_path: Path) -> None:
    fine = read(tmp_path)
    placed = place(fine.model_copy(update={"map": fine.map.model_copy(update={"spacing_m": 0.001})}))
    with pytest.raises(LimitError, match=r"scene\.toml:\d+:\d+: map\.spacing .* plan of 20000 x 10000 points; give"):
        map_shape(placed)
