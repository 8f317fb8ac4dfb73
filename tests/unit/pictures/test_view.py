"""Sheets and files of a driver's view: one exposure, words beside line styles, luminance that comes back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.pictures.sheet import HEIGHT_IN, MARGIN_IN, WIDTH_IN, png_bytes
from scenelux.pictures.view import luminance_files, view_sheets
from scenelux.pictures.view.exposure import FALSE_COLOUR, NIGHT, NIGHT_AND_DAY, exposure_of, false_colour
from scenelux.pictures.view.facts import difference_lines, person_line
from scenelux.pictures.view.hdr import hdr_file
from scenelux.pictures.view.headline import headlines, people_alike
from scenelux.pictures.view.layout import grey as grey_of
from scenelux.pictures.view.panel import LINES, part_with_people, reduced
from scenelux.reports.view import document
from scenelux.study.results import Sighting, ViewArea, ViewCase, ViewResult
from scenelux.study.view.view import view
from tests.driver_scenes import driver_scene

VARIANT = '[variants.flat]\nsay = "Level"\nchanges = [{ circuit = "tail", tilt = "0 deg" }]\n'
APPROACH = '[[approaches]]\nid = "car"\nlane = "next"\nfrom = 200\nto = 20\nstep = 5\n'
AREAS = (
    '[[areas]]\nid = "rear"\nname = "Rear"\nof = "truck"\nforward = [-4, -1]\nleft = [-1, 1]\nplane = "horizontal"\n'
)


@pytest.fixture(scope="module")
def result(tmp_path_factory: pytest.TempPathFactory) -> ViewResult:
    people = '{ id = "worker", name = "Worker", position = [-3, 0.5], heading = 180, vest = "class 2" }'
    scene = driver_scene(tmp_path_factory.mktemp("scene"), people=people, weather=AREAS, more=APPROACH + VARIANT)
    return view(scene, ["as written", "flat"], lights=["night", "day"], distance_m=60, frame_px=(192, 108))


def read_hdr(data: bytes) -> NDArray[np.float64]:
    """A plain reader of the file form: header lines, then rows packed component by component."""
    head, _, body = data.partition(b"\n\n")
    assert head.startswith(b"#?RADIANCE\n") and b"FORMAT=32-bit_rle_rgbe" in head
    size, _, rest = body.partition(b"\n")
    _, rows, _, columns = size.split()
    height, width = int(rows), int(columns)
    pixels, at = np.zeros((height, width, 4), np.uint8), 0
    for row in range(height):
        assert rest[at : at + 4] == bytes((2, 2, width >> 8, width & 255))
        at += 4
        for component in range(4):
            filled = 0
            while filled < width:
                count = rest[at]
                if count > 128:
                    count -= 128
                    pixels[row, filled : filled + count, component] = rest[at + 1]
                    at += 2
                else:
                    pixels[row, filled : filled + count, component] = list(rest[at + 1 : at + 1 + count])
                    at += 1 + count
                filled += count
    assert at == len(rest)
    scale = np.where(pixels[..., 3] > 0, np.exp2(pixels[..., 3].astype(float) - 136.0), 0.0)
    found: NDArray[np.float64] = (pixels[..., 0] + 0.5) * scale
    assert (pixels[..., 0] == pixels[..., 1]).all() and (pixels[..., 1] == pixels[..., 2]).all()
    return found


def test_luminance_comes_back_from_its_file(result: ViewResult) -> None:
    files = dict(luminance_files(result))
    assert len(files) == 4 * 2 * 2
    case = result.cases[0]
    for name, light in (
        ("luminance-as-written-night-zoom.hdr", case.frames[1].luminance_cd_m2),
        ("luminance-as-written-night-zoom-veil.hdr", case.frames[1].seen_cd_m2),
    ):
        assert b"values are cd/m2" in files[name][:200]
        assert read_hdr(files[name]) == pytest.approx(light, rel=1 / 250, abs=1e-30)


def test_rows_of_all_kinds_are_packed_and_come_back() -> None:
    generator = np.random.default_rng(1)
    light = generator.uniform(0.0, 1.0, (6, 700)) * 10.0 ** generator.integers(-8, 9, (6, 700))
    light[1] = 7.0
    light[2, ::3] = light[2, 1::3] = 0.0
    light[3, :130], light[3, 130:134] = 5.0, 6.0
    packed = hdr_file(light, "test")
    assert read_hdr(packed) == pytest.approx(light, rel=1 / 250)
    assert len(hdr_file(np.full((50, 700), 3.0), "even")) < 3000
    for wrong in (np.array([[np.nan] * 9]), np.array([[-1.0] * 9]), np.zeros(4)):
        with pytest.raises(UsageError, match="no picture"):
            hdr_file(wrong, "wrong")


def test_renderer_reads_the_file_as_we_wrote_it(tmp_path: Path) -> None:
    mi = pytest.importorskip("mitsuba")
    mi.set_variant("scalar_rgb")
    light = np.geomspace(1e-3, 1e5, 64 * 16).reshape(16, 64)
    (tmp_path / "picture.hdr").write_bytes(hdr_file(light, "test"))
    read = np.array(mi.Bitmap(str(tmp_path / "picture.hdr")), dtype=float)
    assert read.shape[:2] == light.shape
    assert read[..., 0] == pytest.approx(light, rel=1 / 100)


def test_one_exposure_for_all_pictures_of_a_comparison(result: ViewResult) -> None:
    """Equal luminance is equal grey, whichever picture it is in; what the caption says is the curve that is used."""
    exposure = exposure_of(result)
    assert exposure == NIGHT_AND_DAY
    table: dict[int, set[int]] = {}
    for case in result.cases:
        for frame in case.frames:
            grey = grey_of(frame, exposure)
            assert grey.shape == frame.luminance_cd_m2.shape
            for light, value in zip(frame.seen_cd_m2.ravel()[::97], grey.ravel()[::97], strict=True):
                table.setdefault(round(1e3 * np.log10(max(float(light), 1e-9))), set()).add(int(value))
    assert all(max(values) - min(values) <= 1 for values in table.values())
    assert exposure.grey([0.03, 0.01, 5000.0, 1e6]).tolist() == [0, 0, 255, 255]
    only_night = replace(result, cases=tuple(case for case in result.cases if case.light == "night"))
    assert exposure_of(only_night) == NIGHT
    for _, sheet in view_sheets(result):
        words = " ".join(line.text for line in sheet.writing.lines)
        assert "a visualisation, not evidence" in words
        assert "Source: scenelux view of scene" in words
        assert "Lamp data: fitted from several figures" in words
        assert "Eye of 70 years" in words
        if "luminance" not in str(sheet.get_label()).lower():
            assert "black at 0.03 cd/m², white at 5000 cd/m²" in words


def test_false_colours_rise_in_grey() -> None:
    for colours in ("inferno", "cividis"):
        red, green, blue = false_colour(np.geomspace(0.01, 1e4, 200)[None], colours)[0].T.astype(float)
        assert np.diff(0.2126 * red + 0.7152 * green + 0.0722 * blue).min() > -1.0
    assert FALSE_COLOUR.share([0.01, 10.0, 1e4]).tolist() == pytest.approx([0.0, 0.5, 1.0])
    with pytest.raises(UsageError, match="not a colour map"):
        false_colour(np.ones((1, 1)), "jet")


def test_sheets_and_bytes(result: ViewResult) -> None:
    sheets = dict(view_sheets(result))
    assert list(sheets) == ["people.png", "seen-zoom.png", "luminance-zoom.png", "seen-wide.png", "luminance-wide.png"]
    again = dict(view_sheets(result))
    assert png_bytes(sheets["people.png"]) == png_bytes(again["people.png"])


def test_people_are_told_in_words_and_by_line_style(result: ViewResult) -> None:
    assert len({str(style) for style in LINES.values()}) == 3
    sheet = dict(view_sheets(result))["people.png"]
    labels = [text.get_text() for axes in sheet.axes for text in axes.texts]
    night = [case for case in result.cases if case.light == "night"]
    assert len(labels) == len(night), "the pictures by day are small, with their words below"
    for case, label in zip(night, labels, strict=True):
        assert label.startswith(f"Worker\n{case.targets[0].sighting.upper()}")
    words = " ".join(line.text for line in sheet.writing.lines)
    assert "the part that stands out most" in words and "without bands" in words
    assert "It enters no verdict" in words and "unconfirmed" in words


def test_without_people_the_picture_is_drawn_once_and_nobody_is_told_of(result: ViewResult) -> None:
    case = result.cases[0]
    frames = tuple(replace(frame, outlines=()) for frame in case.frames)
    sheets = dict(view_sheets(replace(result, cases=(replace(case, targets=(), frames=frames),))))
    words = " ".join(line.text for line in sheets["people.png"].writing.lines)
    assert "No person to outline." in words and "dotted" not in words
    assert words.count("as written · Night") == 2, "over the picture and over the facts"
    assert "Night: veil of glare" in words


def with_levels(result: ViewResult, *changes: tuple[float, float, str]) -> tuple[ViewResult, ViewCase, ViewCase]:
    """The first case twice by night: as it is, and with other veil and levels of its people."""
    night = next(case for case in result.cases if case.light == "night")
    (veil, level, sighting), *_ = changes
    targets = tuple(replace(one, level=level * one.level, sighting=sighting) for one in night.targets)
    other = replace(night, variant="other", veil_cd_m2=veil * night.veil_cd_m2, targets=targets)
    return replace(result, cases=(night, other)), night, other


@pytest.mark.parametrize(
    ("veil", "level", "sighting", "words"),
    [
        (0.59, 2.0, "visible", "41 % less glare for the driver; Worker seen better (visible in both)."),
        (2.5, 0.5, "visible", "2.5 times the glare for the driver; Worker seen less well (visible in both)."),
        (1.5, 0.1, "not visible", "50 % more glare for the driver; Worker not visible instead of visible."),
        (1.0, 1.0, "visible", "no difference."),
        (0.5, 1.0, "visible", "no difference in how people are seen; 50 % less glare."),
        (0.0, 1.0, "visible", "no difference in how people are seen; no glare any more."),
        (float("nan"), 1.0, "visible", "no difference in how people are seen; glare not valid."),
    ],
)
def test_the_headline_tells_better_and_worse_alike(
    result: ViewResult, veil: float, level: float, sighting: Sighting, words: str
) -> None:
    changed, night, other = with_levels(result, (veil, level, sighting))
    assert headlines(changed) == [f"Night, other against as written: {words}"]
    assert people_alike(night, other) is (level == 1.0)


def test_the_headline_names_the_largest_gain_and_the_largest_loss(result: ViewResult) -> None:
    changed, night, other = with_levels(result, (1.0, 2.0, "visible"))
    area = night.areas[0]

    def lit(factor: float, name: str) -> ViewArea:
        return replace(area, area_id=name, name=name, maintained=replace(area.maintained, average=100.0 * factor))

    first = replace(night, areas=(lit(1.0, "a"), lit(1.0, "b"), lit(1.0, "c")))
    second = replace(other, areas=(lit(1.2, "a"), lit(3.0, "b"), lit(0.7, "c")))
    (line,) = headlines(replace(changed, cases=(first, second)))
    assert line.endswith("; 3 times the light for the crew (b); 30 % less light for the crew (c).")


def test_the_headline_stands_large_and_above_all_pictures(result: ViewResult) -> None:
    for cases in (result.cases, result.cases[:1], [one for one in result.cases if one.light == "night"]):
        sheet = dict(view_sheets(replace(result, cases=tuple(cases))))["people.png"]
        first = headlines(replace(result, cases=tuple(cases)))[0].split()[0]
        lines = [line for line in sheet.writing.lines if line.bold and line.text.startswith(first)]
        assert lines and lines[0].size >= 9.0
        highest = max(axes.get_position().y1 for axes in sheet.axes if axes.get_position().height > 0.1) * HEIGHT_IN
        assert lines[0].y_in > highest
        right = max(line.extent_in[2] for line in sheet.writing.lines)
        assert right <= WIDTH_IN - MARGIN_IN + 0.02, "nothing runs past the margin"


def test_every_gain_stands_beside_what_it_costs(result: ViewResult) -> None:
    night = [case for case in result.cases if case.light == "night"]
    lines = difference_lines(result, *night)
    assert any(line.startswith("Veil: ") and "more glare" in line for line in lines)
    assert any(line.startswith("Worker: ") for line in lines)
    assert any(line.startswith("Rear, average: ") and "less light" in line for line in lines)
    same = difference_lines(result, night[0], night[0])
    assert same[-1] == "Light for the crew: the same on every area"
    assert "the same" in same[0]


def test_words_of_a_person(result: ViewResult) -> None:
    first = result.cases[0].targets[0]
    parts = (replace(first.whole, level=0.8), *first.parts[1:])
    target = replace(first, sighting="marginal", level=-3.0, seen_by="whole", name="Anna", parts=parts)
    assert person_line(target) == "Anna: marginal, darker than what is behind (level 3)"
    torso = replace(target, sighting="visible", level=12.5, seen_by="torso")
    assert person_line(torso) == "Anna: visible by brighter torso (level 12.5, whole 0.8)"
    legs = replace(target, seen_by="legs")
    assert person_line(legs) == "Anna: marginal, at best by darker legs (level 3, whole 0.8)"
    assert person_line(replace(target, sighting="hidden")) == "Anna: hidden"


def test_part_of_a_picture_holds_the_people(result: ViewResult) -> None:
    frame = result.cases[0].frames[1]
    left, top, width, height = part_with_people([frame], ["worker"])
    mask = dict(frame.outlines)["worker"]
    assert mask[top : top + height, left : left + width].sum() == mask.sum()
    assert width * 9 // 16 == height
    assert part_with_people([frame], []) == (0, 0, 192, 108)
    assert reduced(np.arange(16, dtype=np.float32).reshape(4, 4), 2).tolist() == [[2.5, 4.5], [10.5, 12.5]]


def test_document_has_no_number_without_meaning(result: ViewResult) -> None:
    found = document(result)
    assert found["format"] == "scenelux view 1"
    assert found["visibility"]["enters_verdicts"] is False
    assert [case["variant"] for case in found["cases"]] == ["as written", "as written", "flat", "flat"]
    assert found["exposure"]["white_cd_m2"] == 5000.0
    assert found["eye"]["distance_m"] == 60.0
    hidden = replace(result.cases[0].targets[0], sighting="hidden", level=float("nan"))
    one = replace(result, cases=(replace(result.cases[0], targets=(hidden,)),))
    assert document(one)["cases"][0]["targets"][0]["reason"] == "the eye does not see it"


def test_document_has_every_part_beside_the_whole(result: ViewResult) -> None:
    seen, found = result.cases[0].targets[0], document(result)["cases"][0]["targets"][0]
    parts = {one["part"]: one for one in found["parts"]}
    assert list(parts) == ["whole", "legs", "torso", "head"]
    assert (
        found["visibility_level"] == parts[found["seen_by"]]["visibility_level"] == pytest.approx(seen.level, rel=1e-5)
    )
    assert abs(found["visibility_level"]) == max(abs(one["visibility_level"]) for one in parts.values())
    for one in parts.values():
        difference = one["target_cd_m2"] - one["background_cd_m2"]
        assert one["visibility_level"] == pytest.approx(difference / one["threshold_cd_m2"], rel=1e-3)
