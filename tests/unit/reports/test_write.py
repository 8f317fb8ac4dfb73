"""What write_study and write_comparison leave behind."""

from __future__ import annotations

import csv
import io
import json
import os
import re
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.reports import write_comparison, write_study
from scenelux.reports.tables import area_csv, npz_bytes
from scenelux.reports.write import place_files
from tests.unit.pictures.example import study_example

RESULT = study_example(only="tilted", spacing_m=0.5)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("study") / "results"
    assert write_study(RESULT, out)
    return out


def test_every_file_is_made_and_listed(written: Path) -> None:
    names = {path.name for path in written.iterdir()}
    assert {"summary.json", "report.html", "report.pdf", "grids.npz", "area-tilted-rear.csv"} <= names
    assert sum(name.endswith(".png") for name in names) == 6
    assert set(json.loads((written / "summary.json").read_text())["files"]) == names
    assert [path.name for path in written.parent.iterdir()] == ["results"]


def test_the_same_study_gives_the_same_bytes(written: Path, tmp_path: Path) -> None:
    for path in write_study(RESULT, tmp_path / "again"):
        assert path.read_bytes() == (written / path.name).read_bytes(), path.name


def test_the_pdf_has_no_date_and_no_address(written: Path) -> None:
    data = (written / "report.pdf").read_bytes()
    assert data.startswith(b"%PDF")
    assert not re.search(rb"CreationDate|ModDate|https?:|[Mm]atplotlib v", data)


def test_the_page_holds_everything(written: Path) -> None:
    page = (written / "report.html").read_text(encoding="utf-8")
    assert not re.search(r"https?:|//[a-z]|<link|<script|@import|url\(", re.sub(r"base64,[A-Za-z0-9+/=]+", "", page))
    assert page.count("data:image/png;base64,") == 6
    assert "tilted: 6 verdicts meet, 4 miss, 2 not assessed (5 rules)" in page
    for caution in RESULT.cautions:
        assert page.count(caution) == 2
    for word in ("meets", "misses", "not assessed", "nfpa_rear_minimum", "13.10.1.1", "quoted", "Bedroom, 60 m behind"):
        assert word in page
    assert page.count("<details>") == 3 and "display: none" not in page  # which open by themselves on paper
    assert "details::details-content" in page
    assert page.count('<div class="wide"><table>') == page.count("<table>")  # which scrolls each in its own box


def test_hostile_text_stays_text(tmp_path: Path) -> None:
    evil = '<script>alert("x")</script>&\'"'
    variant = replace(RESULT.variants[0], say=evil, map=RESULT.variants[0].map, eyes=())
    row = replace(variant.verdicts[0], because=evil, rule=evil)
    hostile = replace(RESULT, title=evil, scene_name=evil, notes=(evil,), variants=(replace(variant, verdicts=(row,)),))
    write_study(hostile, tmp_path / "out")
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert "<script" not in page and "&lt;script&gt;" in page
    assert json.loads((tmp_path / "out" / "summary.json").read_text())["title"] == evil


def test_a_narrow_margin_is_told_on_page_and_pdf_rows(tmp_path: Path) -> None:
    variant = RESULT.variants[0]
    row = replace(variant.verdicts[0], value=30.9, margin=0.9, inside_uncertainty=True)
    narrow = replace(RESULT, variants=(replace(variant, verdicts=(row,), eyes=()),))
    write_study(narrow, tmp_path / "out")
    assert "+0.9 lx; margin inside data uncertainty" in (tmp_path / "out" / "report.html").read_text(encoding="utf-8")


def test_an_area_table_parses_back_to_the_same_numbers(written: Path) -> None:
    area = RESULT.variants[0].areas[0]
    data = (written / "area-tilted-rear.csv").read_bytes()
    assert data.count(b"\r\n") == 50 and b"\n" not in data.replace(b"\r\n", b"")
    header, *rows = csv.reader(io.StringIO(data.decode("utf-8"), newline=""))
    assert header[:4] == ["along_m", "left_m", "up_m", "working day [lx]"]
    table = np.array(rows, dtype=float)
    assert table[:, :3] == pytest.approx(area.points_m, rel=1e-5, abs=1e-9)
    for column, entry in enumerate(area.entries, 3):
        assert table[:, column] == pytest.approx(entry.illuminance_lx, rel=1e-5)


def test_a_point_without_a_value_is_an_empty_cell() -> None:
    area = RESULT.variants[0].areas[0]
    lux = area.entries[0].illuminance_lx.copy()
    lux[3] = np.nan
    rows = area_csv(replace(area, entries=(replace(area.entries[0], illuminance_lx=lux),))).decode().split("\r\n")
    assert rows[4].endswith(",") and "nan" not in "".join(rows)


def test_approach_table_names_its_units(written: Path) -> None:
    rows = list(csv.DictReader(io.StringIO((written / "approach-tilted.csv").read_text())))
    eyes = RESULT.variants[0].eyes
    assert len(rows) == sum(len(eye.entries) * eye.distances_m.size for eye in eyes)
    first = eyes[0].entries[0]
    assert float(rows[0]["veiling_luminance_cd_m2"]) == pytest.approx(first.veil_cd_m2["CIE general"][0], rel=1e-5)


def test_grids_read_back_exactly(written: Path) -> None:
    with np.load(written / "grids.npz") as grids:
        site_map = RESULT.variants[0].map
        assert np.array_equal(grids["tilted/map/by_lamp_maintained_lx"], site_map.by_lamp_lx, equal_nan=True)
        assert np.array_equal(grids["tilted/area/rear/points_m"], RESULT.variants[0].areas[0].points_m)
        assert np.array_equal(grids["tilted/map/level/working/night"], [1.0, 1.0, 0.42, 0.42])
    assert npz_bytes([("a", np.arange(3.0))]) == npz_bytes([("a", np.arange(3.0))])


def test_an_interrupted_run_leaves_the_old_files(tmp_path: Path) -> None:
    out = tmp_path / "out"
    place_files([("a.csv", b"old"), ("b.csv", b"old")], out, "summary.json", {})

    def half() -> object:
        yield "a.csv", b"new"
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        place_files(half(), out, "summary.json", {})  # type: ignore[arg-type]
    assert {path.name: path.read_bytes() for path in out.glob("*.csv")} == {"a.csv": b"old", "b.csv": b"old"}
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_files_of_an_older_study_go_and_files_of_others_stay(tmp_path: Path) -> None:
    out = tmp_path / "out"
    place_files([("plan-flat.png", b"1"), ("a.csv", b"1")], out, "summary.json", {})
    (out / "notes.txt").write_text("mine")
    (tmp_path / "outside.png").write_text("mine")
    index = json.loads((out / "summary.json").read_text())
    (out / "summary.json").write_text(json.dumps({"files": [*index["files"], "../outside.png", "notes.txt", 7]}))
    place_files([("a.csv", b"2")], out, "summary.json", {})
    assert sorted(path.name for path in out.iterdir()) == ["a.csv", "notes.txt", "summary.json"]
    assert (tmp_path / "outside.png").exists()


def test_a_file_in_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    place = tmp_path / "out"
    place.write_text("mine")
    with pytest.raises(UsageError, match=r"--out .*is a file; give a folder\."):
        write_study(RESULT, place)
    assert place.read_text() == "mine"


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(UsageError, match="cannot be written"):
        place_files([], tmp_path / "file" / "out", "summary.json", {})


def test_a_name_too_long_for_a_folder_is_one_sentence(tmp_path: Path) -> None:
    for name in ("a" * 300, "b/" + "a" * 300, "c" * 300 + "/d"):
        with pytest.raises(UsageError, match=r"--out .*cannot be written \(File name too long\)\."):
            place_files([], tmp_path / name, "summary.json", {})
    long_but_possible = tmp_path / ("a" * 250)
    assert place_files([("a.csv", b"1")], long_but_possible, "summary.json", {})


def test_a_move_that_fails_half_way_puts_everything_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    place_files([("a.csv", b"old"), ("b.csv", b"old")], out, "summary.json", {"run": 1})
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    replace_file = os.replace
    for failing in ("a.csv", "b.csv", "c.csv", "summary.json"):
        for error in (OSError(28, "No space left on device"), KeyboardInterrupt()):

            def once(source: Path, target: Path, failing: str = failing, error: BaseException = error) -> None:
                if Path(target) == out / failing and Path(source).parent.name.startswith(".scenelux-"):
                    raise error
                replace_file(source, target)

            monkeypatch.setattr("scenelux.reports.write.os.replace", once)
            with pytest.raises((UsageError, KeyboardInterrupt)):
                place_files([(f"{one}.csv", b"new") for one in "abc"], out, "summary.json", {"run": 2})
            monkeypatch.undo()
            assert {path.name: path.read_bytes() for path in out.iterdir()} == before
            assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_folder_of_the_user_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "out" / "a.csv").mkdir(parents=True)
    (tmp_path / "out" / "a.csv" / "mine").write_text("mine")
    with pytest.raises(UsageError, match=r"a\.csv\" is a folder"):
        place_files([("a.csv", b"1")], tmp_path / "out", "summary.json", {})
    assert (tmp_path / "out" / "a.csv" / "mine").read_text() == "mine"


def test_two_files_of_one_name_are_refused(tmp_path: Path) -> None:
    variant = RESULT.variants[0]
    twin = replace(variant.areas[0], area_id="Rear")
    clash = replace(RESULT, variants=(replace(variant, areas=(*variant.areas, twin), eyes=()),))
    with pytest.raises(UsageError, match=r"area-tilted-rear\.csv\" would be written twice"):
        write_study(clash, tmp_path / "out")
    with pytest.raises(UsageError, match="written twice"):
        place_files([("summary.json", b"1")], tmp_path / "out", "summary.json", {})
    assert list(tmp_path.iterdir()) == []


def test_a_second_process_that_ended_is_not_needed(written: Path, tmp_path: Path) -> None:
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as executor:
        with pytest.raises(BrokenExecutor):
            executor.submit(os._exit, 1).result()
        write_study(RESULT, tmp_path / "out", executor=executor)
    assert (tmp_path / "out" / "report.pdf").read_bytes() == (written / "report.pdf").read_bytes()


def test_a_comparison_is_written_whole(tmp_path: Path) -> None:
    told: list[str] = []
    result = study_example(spacing_m=0.5)
    paths = write_comparison(result, tmp_path / "cmp", told.append, first="flat", second="tilted")
    names = {path.name for path in paths}
    assert {"comparison.json", "comparison.html", "comparison.pdf", "pair-flat-tilted-working-night.png"} <= names
    document = json.loads((tmp_path / "cmp" / "comparison.json").read_text())
    assert document["flips"][0]["rule"] == "nfpa_rear_minimum"
    night = [
        one
        for one in document["eye_differences"]
        if (one["eye"], one["state"], one["light"]) == ("car-next", "working", "night")
    ]
    assert night[0]["second_over_first"] == pytest.approx(0.4346, abs=1e-4)
    page = (tmp_path / "cmp" / "comparison.html").read_text(encoding="utf-8")
    assert "tilted puts 249 lx" in page and all(caution in page for caution in result.cautions)
    assert len(told) > 1 and told[-1] == "results" and all(name.endswith(".png") for name in told[:-1])


def test_an_unknown_colour_map_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="cividis"):
        write_study(RESULT, tmp_path / "out", colours="jet")
    assert list(tmp_path.iterdir()) == []


def test_another_process_draws_the_same_pdf(written: Path, tmp_path: Path) -> None:
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as executor:
        write_study(RESULT, tmp_path / "out", executor=executor)
    for name in ("report.pdf", "report.html", "summary.json"):
        assert (tmp_path / "out" / name).read_bytes() == (written / name).read_bytes(), name


def test_every_light_level_and_area_on_request(tmp_path: Path) -> None:
    few = replace(RESULT, variants=(replace(RESULT.variants[0], eyes=()),))
    names = {path.name for path in write_study(few, tmp_path / "out", every_light=True)}
    assert {f"plan-tilted-{state}-{light}.png" for state in RESULT.states for light in RESULT.lights} <= names
