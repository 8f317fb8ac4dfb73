"""The crew of the causeway truck through the command line: behind it, beside it, aloft, and in its own mirror."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from command import Ran, run

from scenelux.shipped import shipped

EYES = """eyes = [
  { id = "hers", person = "worker", gaze = ["ahead", "vehicle"] },
  { id = "aloft", name = "Aloft, looking down", of = "truck", at = [-3, 0, "9 m"], gaze = ["2 deg down", { point = [-6, 0, 0] }] },
  { id = "mirror", name = "Left mirror", of = "truck", at = [19, 5, 6], gaze = ["180 deg"] },
"""  # noqa: E501
RULE = """criteria = [
  { id = "calm", quantity = "glare rating", statistic = "maximum", sense = "at most", limit = LIMIT, unit = "1", because = "Agreed with the crew.", eye = "hers", states = ["working"], light = ["night"] },
  { rule = "en12464_construction_glare", eye = "hers", states = ["working"], light = ["night"] },
"""  # noqa: E501


@cache
def study(limit: int) -> tuple[Ran, dict[str, Any], str, tuple[str, ...]]:
    """What the run says, its base variant, its page, and the files."""
    text = (shipped("scenes") / "causeway-truck.toml").read_text(encoding="utf-8")
    with TemporaryDirectory() as folder:
        scene, out = Path(folder) / "scene.toml", Path(folder) / "out"
        text = text.replace("eyes = [\n", EYES, 1).replace("criteria = [\n", RULE.replace("LIMIT", str(limit)), 1)
        scene.write_text(text, encoding="utf-8")
        ran = run("study", scene, "--out", out)
        summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
        page = (out / "report.html").read_text(encoding="utf-8")
        return ran, summary["variants"][0], page, tuple(summary["files"])


def at(rows: list[dict[str, Any]], name: str, value: str) -> dict[str, Any]:
    """The entry of one subject with the crew at work by night."""
    (found,) = (row for row in rows if row[name] == value and (row["state"], row["light"]) == ("working", "night"))
    return found


def verdict(variant: dict[str, Any], rule: str) -> dict[str, Any]:
    (found,) = (row for row in variant["verdicts"] if row["rule"] == rule)
    return found


def test_a_rule_of_ones_own_on_the_rating_ends_with_3_or_0() -> None:
    ran, variant, _, _ = study(50)
    assert ran.status == 3, ran.err
    row = verdict(variant, "calm")
    assert (row["verdict"], row["unit"], row["plane"]) == ("misses", "1", "line of sight")
    worst = at(variant["crew"], "eye", "hers")["worst"]
    assert row["value"] == worst["glare_rating"] and 50 < row["value"] < 90
    assert "of wet asphalt (unconfirmed)" in row["because"]
    assert verdict(variant, "en12464_construction_glare")["verdict"] == "not assessed"
    ran, variant, _, _ = study(85)
    assert ran.status == 0, ran.err
    assert verdict(variant, "calm")["verdict"] == "meets"


def test_every_eye_of_the_crew_is_told_with_what_is_around_it() -> None:
    _, variant, page, _ = study(50)
    crew = {eye: at(variant["crew"], "eye", eye) for eye in ("hers", "aloft", "mirror", "operator-person")}
    assert {one["eye"] for one in variant["crew"]} == set(crew)  # the worker's eye stands for the worker
    assert crew["hers"]["person"] == "worker" and crew["hers"]["surroundings"]["area"] == "strip"
    assert [gaze["gaze"] for gaze in crew["hers"]["gazes"]] == ["ahead", "vehicle", "towards truck"]
    ahead, vehicle, _ = crew["hers"]["gazes"]
    assert ahead["eye_illuminance_lx"] == 0 and vehicle["eye_illuminance_lx"] > 100
    assert vehicle["brightest_opening"]["lamp"].startswith("tail-") and vehicle["glare_rating"] > 50
    assert crew["aloft"]["surroundings"]["area"] == "rear"
    assert crew["aloft"]["gazes"][-1]["direction"][2] < -0.5
    assert crew["mirror"]["gazes"][0]["eye_illuminance_lx"] == 0  # nothing shines forward from behind
    assert all("reason" in gaze for gaze in crew["mirror"]["gazes"] if gaze["glare_rating"] is None)
    assert "Glare for the crew, initial light" in page and "Aloft, looking down" in page


def test_the_eye_of_a_person_gets_the_same_veil_as_among_the_eyes() -> None:
    """One road: the same eye in both lists."""
    _, variant, _, _ = study(50)
    for gaze in at(variant["crew"], "eye", "hers")["gazes"][:2]:
        (entry,) = (
            row
            for row in variant["eyes"]
            if (row["eye"], row["gaze"], row["state"], row["light"]) == ("hers", gaze["gaze"], "working", "night")
        )
        assert entry["worst"]["eye_illuminance_lx"] == pytest.approx(gaze["eye_illuminance_lx"], rel=1e-5)
        assert entry["worst"]["veiling_luminance_cd_m2"] == pytest.approx(gaze["veiling_luminance_cd_m2"], rel=1e-5)


def test_light_on_people_and_the_darkest_places_stand_in_every_result() -> None:
    ran, variant, page, files = study(50)
    worker = at(variant["people"], "person", "worker")["vertical_maintained_lx"]
    assert worker["torso"]["rear"] > 150 and worker["torso"]["front"] == 0  # with the back to the truck
    strip = at(variant["standing"], "area", "strip")
    assert strip["torso_mean_maintained_lx"] < 1 < 100 < strip["best_torso_mean_maintained_lx"]
    assert strip["worst_place_m"][0] < -3.9  # in the shadow of the worker
    assert strip["valid_places"] < strip["all_places"] == 300
    assert {row["area"] for row in variant["standing"]}.isdisjoint({"strip-person"})
    for words in ("Light on people, vertical, maintained", "Worst place to stand, maintained"):
        assert words in page and words in ran.out
    assert any(name.startswith("plan-") for name in files)
