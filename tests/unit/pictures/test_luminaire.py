"""The sheet of a luminaire: what it says, and that no text covers another."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from scenelux.colour import lamp_colour
from scenelux.photometry import (
    CosinePower,
    EllipticalGaussian,
    FileWarning,
    IntensityDistribution,
    Orientation,
    Summary,
    TiltTable,
    default_orientation,
    read_hv_table,
    read_lm63,
    sample,
    summarise,
    write_lm63,
)
from scenelux.pictures.luminaire import luminaire_sheet, points_sheet
from scenelux.pictures.luminaire_curves import draw_curves, draw_polar
from scenelux.pictures.luminaire_diagrams import draw_hv
from scenelux.pictures.luminaire_facts import Identity, fact_rows
from scenelux.pictures.sheet import Box, Sheet, png_bytes
from scenelux.pictures.text import Line
from scenelux.reports.luminaire import luminaire_document, luminaire_table

ME = Identity(
    "lamp-1",
    "A lamp with a long name, for the shoulder of the road",
    "flood",
    lamp_colour("white 5000 K"),
    "fitted from one figure",
    "Demonstration data",
    "invented",
    38.0,
)


def lamp(which: str, tilt_deg: float = -35.0) -> Summary:
    if which in ("amber", "backwards"):
        return amber() if which == "amber" else backwards()
    if which == "bare":
        one = IntensityDistribution("C", [0, 120, 360], [0, 60, 180], [[100, 80, 60], [50, 90, 60], [100, 80, 60]])
    elif which == "dark":
        one = IntensityDistribution("C", [0, 360], [0, 180], np.zeros((2, 2)))
    elif which == "type a":
        one = IntensityDistribution("A", [-90, -10, 0, 10, 90], [-90, -5, 0, 5, 90], np.pad(np.full((3, 3), 900.0), 1))
    else:
        beams = {
            "round": CosinePower(4200, 60),
            "cut": EllipticalGaussian(100, 60, 20, -2),
            "narrow": CosinePower(9000, 2),
        }
        one = sample(beams[which])
    return summarise(one, default_orientation(one.photometric_type), tilt_deg=tilt_deg)


def visible_texts(sheet: Figure) -> list[Text]:
    sheet.canvas.draw()
    return [text for text in sheet.findobj(Text) if text.get_visible() and text.get_text().strip()]


def plain(sheet: Sheet) -> list[Line]:
    return [line for line in sheet.writing.lines if line.text.strip()]


@pytest.mark.parametrize("which", ["round", "cut", "narrow", "bare", "dark", "type a", "amber", "backwards"])
def test_no_text_covers_another_or_leaves_the_sheet(which: str) -> None:
    sheet = luminaire_sheet(ME, lamp(which))
    boxes = [(text.get_text(), text.get_window_extent()) for text in visible_texts(sheet)]
    boxes += [(line.text, Bbox.from_extents(*(sheet.dpi * edge for edge in line.extent_in))) for line in plain(sheet)]
    whole = sheet.bbox
    for words, box in boxes:
        assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= whole.x1 + 1 and box.y1 <= whole.y1 + 1, words
    for (one, a), (other, b) in combinations(boxes, 2):
        across = min(a.x1, b.x1) - max(a.x0, b.x0)
        up = min(a.y1, b.y1) - max(a.y0, b.y0)
        assert across <= 2 or up <= 3.5, f"{one!r} covers {other!r}"


def test_the_sheet_says_what_it_shows() -> None:
    sheet = luminaire_sheet(ME, lamp("round"))
    words = " ".join([text.get_text() for text in visible_texts(sheet)] + [line.text for line in plain(sheet)])
    for part in (
        "INVENTED DEMONSTRATION DATA",
        "fitted from one figure",
        "Intensity over the angle from the beam axis",
        "Polar diagram",
        "H-V diagram",
        "γ 0 of the data",
        "tilted 35° down",
        "CAUTION",
        "C 90",
        "4200 lm",
    ):
        assert part in words


def test_the_data_s_own_directions_turn_with_the_mounting() -> None:
    lamp_b = lamp("type a").distribution
    rolled = summarise(lamp_b, Orientation((1.0, 0.0, 0.0), (0.0, -1.0, 0.0)))  # H +90 goes up
    texts = {text.get_text(): text.get_position() for text in visible_texts(luminaire_sheet(ME, rolled))}
    assert texts["H +90"][1] > 0.9 and abs(texts["H +90"][0]) < 0.1
    assert texts["V +90"][0] < -0.9


def test_the_same_lamp_gives_the_same_bytes() -> None:
    assert png_bytes(luminaire_sheet(ME, lamp("cut"))) == png_bytes(luminaire_sheet(ME, lamp("cut")))


def test_facts_in_words() -> None:
    rows = dict(fact_rows(ME, lamp("round")))
    assert rows["flux"] == "4200 lm, 38 W, 111 lm/W"
    assert rows["beam angle"].startswith("60.0 deg across, 60.0 deg up")
    assert rows["opening"] == "a point"
    assert rows["file"].startswith("stated beam, type C")
    off_axis = dict(fact_rows(ME, lamp("cut")))
    assert off_axis["beam angle"].startswith("none across")
    assert off_axis["beam angle"].endswith("the level plane through the beam axis stays below half of the peak")
    assert off_axis["through peak"].startswith("60") and "through peak" not in rows
    assert dict(fact_rows(ME, lamp("dark")))["upward light"].startswith("0 lm (0.0 %)")


def test_many_warnings_do_not_run_into_the_foot() -> None:
    one = lamp("round")
    file = read_lm63(write_lm63(one.distribution, []))
    warnings = tuple(FileWarning(n, n, "something odd about this file " * 3) for n in range(30))
    noisy = replace(one, file=replace(file, warnings=warnings))
    assert any("more at the terminal" in line.text for line in plain(luminaire_sheet(ME, noisy)))


AMBER = b"""# basis: measured
point,cd
10D-20L,0.2
10D-V,4
10D-20R,1.5
H-20L,21.7
H-5R,493.5
H-20R,160.2
2.5U-20L,26.4
2.5U-5R,600
2.5U-20R,194.8
10U-20L,4.5
10U-V,91.3
10U-20R,33.6
"""


def amber(basis: bytes = b"measured", tilt_deg: float = 0.0) -> Summary:
    return summarise(
        read_hv_table(AMBER.replace(b"measured", basis), "amber.csv"), default_orientation("A"), tilt_deg=tilt_deg
    )


def backwards() -> Summary:
    """Gamma 90 to 180 only, 314 lm/W: everything goes behind."""
    gamma = np.arange(90.0, 181.0, 5.0)
    candela = np.tile(-1000 * np.cos(np.radians(gamma)), (2, 1)).clip(0)
    return summarise(IntensityDistribution("C", [0, 360], gamma, candela), default_orientation("C"), power_w=10.0)


def test_a_width_that_ends_with_the_data_is_at_least_that_wide() -> None:
    rows = dict(fact_rows(ME, amber()))
    assert rows["field angle"].startswith("at least ") and "deg across, at least " in rows["field angle"]
    assert "at least" not in rows["beam angle"]
    document = luminaire_document(ME, amber(), [])
    assert document["field_angle_deg"]["at_least"] == ["across", "up"]
    assert "at_least" not in document["beam_angle_deg"]
    wide = IntensityDistribution("C", [0, 360], [0, 30], [[100, 60]] * 2)
    (row,) = luminaire_table([(ME, summarise(wide, default_orientation("C")))], "lamps").rows
    assert row[4] == ">60 x >60" and row[5] == "?"


def test_light_that_is_not_known_is_not_called_0() -> None:
    rows = dict(fact_rows(ME, amber(tilt_deg=-11.0)))
    reason = "the data end short of it, where the lamp is still bright"
    assert rows["upward light"] == f"not known, beam tilted 11 deg down: {reason}"
    assert rows["ahead"].startswith("not known, ") and rows["ahead"].endswith(f"not known: {reason}")
    document = luminaire_document(ME, amber(tilt_deg=-11.0), [])
    assert document["flux_above_horizontal_lm"] is None and document["flux_above_horizontal_reason"] == reason
    assert document["ahead"][0] == {"elevation_deg": 0.0, "cd": None, "reason": reason}
    assert document["ahead"][1]["cd"] > 0


def test_a_lamp_that_shines_backwards() -> None:
    rows = fact_rows(ME, backwards())
    beam = "none across, none up (50 % of the peak); each plane through the beam axis reaches half of the peak only"
    assert dict(rows)["beam angle"] == f"{beam} behind the lamp"
    assert dict(rows)["through peak"].startswith("120.0 deg across, 120.0 deg up")
    warnings = [text for name, text in rows if name == "warning"]
    assert [text[-5:] for text in warnings] == ["[120]", "[121]"] and "face" in warnings[0]
    document = luminaire_document(ME, backwards(), [])
    assert [one["code"] for one in document["warnings"]] == [120, 121]
    assert document["beam_angle_through_peak_deg"]["across"] == pytest.approx(120, abs=0.1)


def lit_spans(summary: Summary) -> list[tuple[float, float]]:
    """Angles from the horizontal of each span drawn at 50 % on the truck [deg]."""
    sheet = luminaire_sheet(ME, summary)
    wedges = [patch for patch in sheet.findobj(Polygon) if to_hex(patch.get_facecolor()) == "#e0a545"]
    found = []
    for wedge in wedges:
        corners = wedge.get_xy()
        away = corners[1:-1] - corners[0]
        turned = np.unwrap(np.arctan2(away[:, 1], away[:, 0]))
        found.append((float(np.degrees(turned.min())), float(np.degrees(turned.max()))))
    return found


def test_the_truck_shows_each_lit_span_and_nothing_between() -> None:
    assert sum(high - low for low, high in lit_spans(backwards())) == pytest.approx(120, abs=0.5)
    assert all(abs(low) >= 119 or abs(high) >= 119 for low, high in lit_spans(backwards()))
    lobes = IntensityDistribution("B", [-90, 90], [-90, -40, -30, -20, 20, 30, 40, 90], [[0, 0, 9, 0, 0, 9, 0, 0]] * 2)
    spans = sorted(lit_spans(summarise(lobes, default_orientation("B"))))
    assert spans == [pytest.approx((-35, -25), abs=0.3), pytest.approx((25, 35), abs=0.3)]


@pytest.mark.parametrize(
    ("identity", "basis", "words"),
    [
        (replace(ME, data_class="measured file"), b"measured", "measured file"),
        (replace(ME, data_class="measured file"), b"required minimum", "required minimum"),
        (replace(ME, data_class="measured file", has_card=False), b"required minimum", "required minimum"),
        (
            replace(ME, data_class="measured file", has_card=False),
            b"measured",
            "taken as measured, no card says otherwise",
        ),
        (ME, b"measured", "fitted from one figure, listed as measured"),
    ],
)
def test_what_the_data_are_in_words(identity: Identity, basis: bytes, words: str) -> None:
    summary = amber(basis)
    assert dict(fact_rows(identity, summary))["data"].startswith(f"{words}; ")
    for sheet in (luminaire_sheet(identity, summary), points_sheet(identity, summary)):
        assert f"Lamp data: {words}" in [line.text for line in plain(sheet)]
    (row,) = luminaire_table([(identity, summary)], "lamps").rows
    assert row[6] == {"required minimum": "required"}.get(basis.decode(), "one" if identity is ME else "measured")


def test_without_a_card_nobody_owns_the_data() -> None:
    bare = replace(
        ME, has_card=False, source="Photometric file x.csv, no card", status="own", data_class="measured file"
    )
    assert dict(fact_rows(bare, amber()))["data"].endswith("otherwise; Photometric file x.csv")
    assert any(line.text == "Data: Photometric file x.csv" for line in plain(luminaire_sheet(bare, amber())))


TABLE = TiltTable(1, (0.0, 45.0, 90.0, 180.0), (1.0, 0.9, 0.7, 0.5))


def with_tilt(table: TiltTable, tilt_deg: float) -> Summary:
    one = lamp("round", tilt_deg)
    return replace(one, file=replace(read_lm63(write_lm63(one.distribution, [])), tilt=table))


def test_the_tilt_table_says_whether_it_is_applied_and_what_it_gives() -> None:
    asking = replace(ME, applies_tilt=True)
    said = dict(fact_rows(ME, with_tilt(TABLE, -45.0)))["tilt table"]
    assert said == "geometry 1, factors 0.5 to 1; not applied, as no card asks for it"
    said = dict(fact_rows(asking, with_tilt(TABLE, -45.0)))["tilt table"]
    assert "here are without it" in said and said.endswith("with the beam tilted 45 deg down its factor is 0.9")
    assert dict(fact_rows(asking, with_tilt(TABLE, 0.0)))["tilt table"].endswith(
        "with the beam level its factor is 0.7"
    )
    for other in (replace(TABLE, geometry=3), replace(TABLE, lamp_position_deg=(0.0, 0.0))):
        said = dict(fact_rows(asking, with_tilt(other, -45.0)))["tilt table"]
        assert said.endswith("the factor goes by the lamp's own attitude")
    turned = replace(with_tilt(TABLE, -45.0), orientation=Orientation((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
    assert dict(fact_rows(asking, turned))["tilt table"].endswith("own attitude")


def drawn(draw: Callable[[Sheet, Box, Summary], None], summary: Summary) -> tuple[Sheet, list[Line2D]]:
    sheet = Sheet()
    draw(sheet, Box(1.0, 3.0, 3.0, 3.0), summary)
    return sheet, [line for line in sheet.axes[0].lines if line.get_zorder() in (4, 5)]


def right_lobe() -> Summary:
    """Its level plane is lit 20 deg to the right, its upright plane on the axis."""
    one = IntensityDistribution("B", [-90, 0, 20, 40, 90], [-90, -20, 0, 20, 90], np.pad(np.full((3, 3), 0.0), 1))
    candela = np.array(one.candela)
    candela[2, 2], candela[1, 2] = 1000.0, 200.0
    return summarise(replace(one, candela=candela), default_orientation("B"))


def test_curves_and_polar_diagram_have_their_sides_right() -> None:
    _, (level, _) = drawn(draw_curves, right_lobe())
    assert level.get_xdata()[np.argmax(level.get_ydata())] == pytest.approx(20, abs=0.1)
    _, (level, _) = drawn(draw_polar, right_lobe())
    far = np.argmax(np.hypot(level.get_xdata(), level.get_ydata()))
    angle = np.degrees(np.arctan2(level.get_ydata()[far], level.get_xdata()[far]))
    assert angle == pytest.approx(-20, abs=0.2)  # from above, left is up


def test_curves_end_with_the_data_and_mark_a_bright_end() -> None:
    sheet, (level, upright) = drawn(draw_curves, amber())
    for line, end in ((level, 20.0), (upright, 10.0)):
        listed = line.get_xdata()[np.isfinite(line.get_ydata())]
        assert (listed.min(), listed.max()) == pytest.approx((-end, end), abs=0.1)
    marks = np.concatenate([line.get_xdata() for line in sheet.axes[0].lines if line.get_marker() == "o"])
    assert sorted(marks) == pytest.approx([-20, 10, 20], abs=0.1)  # 10 down is dark


def test_a_narrow_beam_is_magnified() -> None:
    sheet, _ = drawn(draw_curves, lamp("narrow"))
    assert sheet.axes[0].get_xlim()[1] <= 10
    assert drawn(draw_curves, lamp("round"))[0].axes[0].get_xlim() == (-90, 90)
    assert drawn(draw_curves, backwards())[0].axes[0].get_xlim() == (-180, 180)


def test_what_the_data_do_not_list_is_hatched_and_has_no_contours() -> None:
    sheet, lamp = Sheet(), amber()
    draw_hv(sheet, Box(1.0, 3.0, 3.0, 3.0), lamp)
    (image,) = sheet.axes[0].images
    shown = np.ma.getmaskarray(image.get_array())
    side = np.linspace(-30, 30, 401)
    assert (shown == ~((np.abs(side)[None, :] <= 20) & (np.abs(side)[:, None] <= 10))).all()
    assert sheet.axes[0].patch.get_hatch() and to_hex(sheet.axes[0].patch.get_facecolor()) == "#ffffff"
    paths = [path.vertices for path in sheet.axes[0].collections[0].get_paths() if len(path.vertices)]
    for x, y in paths and np.concatenate(paths):
        edge = abs(abs(x) - 20) < 0.16 or abs(abs(y) - 10) < 0.16
        on_data = float(lamp.distribution.candela_at(np.clip(x, -20, 20), np.clip(y, -10, 10)))
        assert not edge or min(abs(on_data / (share * 600) - 1) for share in (0.5, 0.1, 0.01)) < 0.2
    assert "no data" in [text.get_text() for text in sheet.findobj(Text)]
