"""Flashing lamps of a scene against values by hand, against brute force, and under turns of the truck."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.errors import DocumentError, LimitError, UsageError
from scenelux.scene.read import read_scene
from scenelux.signals import elevation_of_eye
from scenelux.study.results.signal import SignalCase, SignalStudy, SignalVariant
from scenelux.study.results.signal_facts import SignalVerdict
from scenelux.study.signal.run import SignalAsked, look_at_signals
from tests.unit.study.signal.flashing import BALL_CD, scene_of

ONE = """
[[signals]]
lamps = ["left"]
pattern = "on 100 ms, off 900 ms"
"""
PAIR = """
[patterns]
flash = "on 100 ms, off 300 ms"
[[signals]]
lamps = ["left"]
pattern = "flash"
[[signals]]
lamps = ["right"]
pattern = "flash"
phase = "50 %"
"""
ROW = """
[[signals]]
lamps = ["row-1"]
pattern = "sequence first"
[[signals]]
lamps = ["row-2"]
pattern = "sequence second"
[[signals]]
lamps = ["row-3"]
pattern = "sequence third"
"""


def one_case(folder: Path, signals: str, state: str = "warn", light: str = "day") -> tuple[SignalVariant, SignalCase]:
    study = look_at_signals(scene_of(folder, signals), asked=SignalAsked(state, light))
    return study.variants[0], study.variants[0].cases[0]


def test_one_ball_has_the_values_of_its_rectangle_in_every_direction(tmp_path: Path) -> None:
    """The steady ball of the warning circuit, right, adds to the light and not to its effective intensity."""
    variant, case = one_case(tmp_path, ONE)
    assert len(variant.rings) == 13 and [ring.kind for ring in variant.rings].count("far") == 9
    for ring in variant.rings:
        flash, every = case.measures_of(ring.ring_id, "flashing"), case.measures_of(ring.ring_id)
        assert flash.peak_cd == pytest.approx(BALL_CD) and every.peak_cd == pytest.approx(2.0 * BALL_CD)
        assert flash.mean_cd == pytest.approx(0.1 * BALL_CD) and every.least_cd == pytest.approx(BALL_CD)
        assert flash.power_cd_s_per_min == pytest.approx(6.0 * BALL_CD)
        for found in (flash, every):
            assert found.effective_cd["blondel-rey-douglas"] == pytest.approx(BALL_CD / 3.0)
            assert found.effective_cd["form-factor"] == pytest.approx(BALL_CD / 3.0)
            assert found.effective_cd["blondel-rey"] == pytest.approx(BALL_CD * 0.1 / 0.31)
            assert found.flash_rate_hz == pytest.approx(1.0) and found.longest_lit_s == pytest.approx(0.1)
        assert flash.longest_dark_s == pytest.approx(0.9) and flash.dark_share == pytest.approx(0.9)
        assert not every.dark_share.any() and not every.longest_dark_s.any()


def test_the_level_of_state_and_light_scales_the_light(tmp_path: Path) -> None:
    _, day = one_case(tmp_path, ONE)
    _, night = one_case(tmp_path, ONE, light="night")
    for model, values in day.measures_of("far0", "flashing").effective_cd.items():
        assert night.measures_of("far0", "flashing").effective_cd[model] == pytest.approx(0.4 * values)
    assert night.lamps[0].levels.tolist() == [0.4, 0.0]


def test_a_lamp_without_a_pattern_burns_steadily_and_is_worth_no_flash(tmp_path: Path) -> None:
    scene = scene_of(tmp_path, "")
    with pytest.raises(UsageError, match="has no lamp that flashes where it is asked"):
        look_at_signals(scene)
    calm = scene_of(
        tmp_path, ONE + '[variants.calm]\nsay = "Calm"\nsignals = [{ lamps = ["left"], pattern = "steady" }]'
    )
    study = look_at_signals(calm, ["as written", "calm"], SignalAsked("warn", "day"))
    assert [len(one.cases) for one in study.variants] == [1, 0]


def test_light_of_all_is_the_sum_of_the_lamps(tmp_path: Path) -> None:
    variant, case = one_case(tmp_path, PAIR, "work")
    for ring in (variant.ring("far+4"), variant.ring("near1.8")):
        for at in (0, 17, 53):
            parts = case.by_lamp_cd(ring, at)
            assert case.waveform_cd(ring, at) == pytest.approx(parts.sum(axis=0))
            assert case.waveform_cd(ring, at, "flashing") == pytest.approx(parts[:2].sum(axis=0))
            mean = (parts @ np.diff(case.times_s)).sum() / case.times_s[-1]
            assert case.measures_of(ring.ring_id).mean_cd[at] == pytest.approx(mean)


@pytest.mark.parametrize("heading", [90.0, -37.0])
def test_turning_and_moving_the_truck_turns_the_polar_with_it(tmp_path: Path, heading: float) -> None:
    box = '{ id = "box", forward = [0.2, 6], left = [-1, 1], up = [0.5, 2.5] }'
    still = scene_of(tmp_path / "still", PAIR, bodies=box)
    turned = scene_of(tmp_path / "turned", PAIR, bodies=box, heading=heading, position="[40, -25]")
    first, second = (look_at_signals(one, asked=SignalAsked("warn", "day")).variants[0] for one in (still, turned))
    assert second.heading_deg == heading and first.heading_deg == 0.0
    assert any(ring.hidden.any() for ring in first.rings)
    for one, other in zip(first.rings, second.rings, strict=True):
        assert other.by_lamp_cd == pytest.approx(one.by_lamp_cd)
        mine, theirs = (part.cases[0].measures_of(one.ring_id) for part in (first, second))
        assert theirs.mean_cd == pytest.approx(mine.mean_cd)
        assert theirs.effective_cd["modified-allard"] == pytest.approx(mine.effective_cd["modified-allard"])


def test_heading_runs_counter_clockwise_and_a_raised_board_hides_from_the_front(tmp_path: Path) -> None:
    """The board is half a metre before the left ball: seen from the front it hides that ball and no other."""
    board = '{ id = "board", forward = [0.5, 0.6], left = [0.5, 1.5], up = [1.5, 2.5] }'
    variant = look_at_signals(scene_of(tmp_path, PAIR, bodies=board), asked=SignalAsked("warn", "day")).variants[0]
    ring = variant.ring("far0")
    hidden = {lamp: ring.heading_deg[ring.hidden[at]].tolist() for at, lamp in enumerate(("left", "right"))}
    assert {0.0, 355.0, 5.0} < set(hidden["left"]) and 180.0 not in hidden["left"]
    assert hidden["right"] == [70.0, 75.0]  # across the truck, far to the left
    assert (ring.by_lamp_cd[:2][ring.hidden[:2]] == 0.0).all()
    left = variant.ring("near1.2").points_m[18]
    assert left[1] > 20.0 and left[2] == pytest.approx(1.2)


def test_eyes_near_by_see_lamps_from_below(tmp_path: Path) -> None:
    scene = scene_of(tmp_path, ONE)
    variant = look_at_signals(scene, asked=SignalAsked("warn", "day", distance_m=50.0)).variants[0]
    ring = variant.ring("near1.2")
    assert ring.distance_m == 50.0
    rise = ring.points_m[:, 2] - 2.0
    level = np.hypot(*(ring.points_m[:, :2] - np.array(variant.lamps[2].position_m[:2])).T)
    assert np.degrees(np.arctan2(rise, level)) == pytest.approx(float(elevation_of_eye(1.2, 2.0, 50.0)))


def test_alternating_pair_is_never_lit_together_and_follows_by_half_a_cycle(tmp_path: Path) -> None:
    _, case = one_case(tmp_path, PAIR)
    (row,) = case.synchrony
    assert row.same_clock and row.lag_s == 0.2 and row.both_lit.mean == 0.0
    assert row.both_dark.mean == pytest.approx(0.5) and row.longest_dark_s.greatest == pytest.approx(0.1)
    assert case.measures_of("far0", "flashing").flash_rate_hz == pytest.approx(5.0)


VAN = """
[[vehicles]]
id = "van"
position = [-20, 0]
light_loss_factor = 1
lamps = [{ id = "top", luminaire = "amber", position = [0, 0, 2], heading = 180, circuit = "warning" }]
"""
BOTH = '[[signals]]\nlamps = ["left", "top"]\npattern = "on 100 ms, off 300 ms"\n'


def test_two_vehicles_run_on_clocks_of_their_own_unless_a_group_joins_them(tmp_path: Path) -> None:
    """Lit for a quarter each: dark together for 9/16 of the time on average, 1/2 at least, 3/4 at most."""
    apart = look_at_signals(scene_of(tmp_path, BOTH, more=VAN), asked=SignalAsked("warn", "day")).variants[0].cases[0]
    (row,) = apart.synchrony
    assert (row.first, row.second, row.same_clock) == ("truck", "van", False)
    assert (row.both_dark.least, row.both_dark.mean, row.both_dark.greatest) == pytest.approx((0.5, 0.5625, 0.75))
    assert any("clocks run apart" in note for note in apart.notes)
    assert apart.safety[0].value == 6.0 and apart.safety[0].above  # 3 flashes a second at most of each
    joined = scene_of(tmp_path, BOTH + 'group = "both"\n', more=VAN)
    case = look_at_signals(joined, asked=SignalAsked("warn", "day")).variants[0].cases[0]
    assert {lamp.clock for lamp in case.lamps if lamp.flashing} == {"both"} and not case.notes


def test_a_row_that_lights_up_in_turn_moves_to_the_left(tmp_path: Path) -> None:
    _, case = one_case(tmp_path, ROW, "board")
    (motion,), (board,) = case.motion, case.arrows
    assert motion.order == ("row-1", "row-2", "row-3") and motion.direction == "to the left"
    assert (board.mode, board.elements, board.rate_per_min) == ("sequential", 3, 30.0)


def test_later_entries_win_in_their_state_and_light(tmp_path: Path) -> None:
    more = '[[signals]]\nlamps = ["left"]\npattern = "on 200 ms, off 800 ms"\nstates = ["work"]\nlight = ["night"]\n'
    study = look_at_signals(scene_of(tmp_path, ONE + more))
    lit = {(case.state, case.light): case.lamps[0].edges_s[1] for case in study.variants[0].cases}
    assert lit == {("warn", "day"): 0.1, ("warn", "night"): 0.1, ("work", "day"): 0.1, ("work", "night"): 0.2}


@pytest.mark.parametrize(("state", "at"), [("working", 36), ("blocking", 3), ("moving", 71)])
def test_the_causeway_truck_against_samples_of_a_tenth_of_a_millisecond(state: str, at: int) -> None:
    """Every lamp asked for its level at every instant, summed and counted plainly."""
    study = look_at_signals(read_scene("causeway-truck"), asked=SignalAsked(state, "night"))
    variant, case = study.variants[0], study.variants[0].cases[0]
    ring, tick = variant.ring("near1.08"), 1e-4
    instants = (np.arange(round(case.times_s[-1] / tick)) + 0.5) * tick
    wave = np.zeros(len(instants))
    for lamp, candela in zip(case.lamps, ring.by_lamp_cd[:, at], strict=True):
        if lamp.flashing:
            length = lamp.edges_s[-1] - lamp.edges_s[0]
            step = np.searchsorted(lamp.edges_s - lamp.edges_s[0], (instants - lamp.edges_s[0]) % length, side="right")
            wave += candela * lamp.levels[step - 1]
    found = case.measures_of(ring.ring_id, "flashing")
    assert found.peak_cd[at] == pytest.approx(wave.max()) and found.least_cd[at] == pytest.approx(wave.min())
    assert found.mean_cd[at] == pytest.approx(wave.mean(), rel=1e-9)
    dark = wave < study.dark_fraction * wave.mean()
    assert found.dark_share[at] == pytest.approx(dark.mean(), abs=1e-9)
    runs = [len(run) for run in "".join("d" if one else " " for one in np.tile(dark, 2)).split()]
    assert found.longest_dark_s[at] == pytest.approx(tick * max(runs, default=0), abs=1e-9)
    lit = wave > wave.min() + 0.1 * (wave.max() - wave.min())
    gaps = [len(run) for run in "".join(" " if one else "d" for one in np.roll(lit, -int(lit.argmax()))).split()]
    flashes = sum(tick * gap >= 0.1 - 1e-9 for gap in gaps)
    assert found.flash_rate_hz[at] == pytest.approx(flashes / case.times_s[-1])


CRITERIA = """
[[signal_criteria]]
id = "bright"
quantity = "effective intensity"
statistic = "minimum"
sense = "at least"
limit = LIMIT
because = "Asked for."
MORE
"""


def verdicts(folder: Path, criteria: str, state: str = "warn", signals: str = ONE) -> tuple[SignalVerdict, ...]:
    study: SignalStudy = look_at_signals(scene_of(folder, signals + criteria), asked=SignalAsked(state, "day"))
    return study.variants[0].verdicts


def asked(limit: float, more: str = "") -> str:
    return CRITERIA.replace("LIMIT", f"{limit}").replace("MORE", more)


def test_own_rows_are_met_and_missed_with_their_margin(tmp_path: Path) -> None:
    (met,) = verdicts(tmp_path, asked(160))
    assert met.verdict == "meets" and met.value == pytest.approx(BALL_CD / 3.0) and met.model == "blondel-rey-douglas"
    assert met.margin == pytest.approx(BALL_CD / 3.0 - 160.0) and met.source_status == "own" and met.inside_uncertainty
    (missed,) = verdicts(tmp_path, asked(170, 'zone = "C"\nelevation = [-8, 8]'))
    assert missed.verdict == "misses" and 135.0 <= missed.worst.heading_deg < 225.0
    (other,) = verdicts(tmp_path, asked(170, 'model = "allard"\nheight = 1.8'))
    assert other.verdict == "meets" and other.value > 170.0 and other.worst.height_m == 1.8


def test_no_verdict_where_a_direction_that_is_asked_has_no_value(tmp_path: Path) -> None:
    """Gaps of 10 ms part no flashes, so there is no rate and no form factor."""
    fast = ONE.replace("on 100 ms, off 900 ms", "on 10 ms, off 10 ms")
    (row,) = verdicts(tmp_path, asked(1, 'model = "form-factor"'), signals=fast)
    assert row.verdict == "not assessed" and "too short to part flashes" in row.because


def test_headings_may_go_over_the_front(tmp_path: Path) -> None:
    (row,) = verdicts(tmp_path, asked(1, "heading = [350, 10]"))
    assert row.headings_deg == (0.0, 5.0, 10.0, 350.0, 355.0)


@pytest.mark.parametrize(
    ("requirement", "quantity", "values", "words"),
    [
        ("kkk", "flash rate", ["misses", "meets"], ""),  # 60 a minute: fewer than 75, fewer than 125
        ("airport-vehicle", "flash rate", ["meets", "meets"], ""),
        ("r65", "flash rate", ["not assessed", "not assessed"], "would miss it with 60 a minute"),
        ("french_rotating_0", "mean intensity", ["meets", "meets"], ""),
        ("r65_t_amber_0_day", "effective intensity", ["not assessed"], "unconfirmed; it would miss it with 166.7 cd"),
        ("liol_c", "effective intensity", ["meets", "meets"], ""),
        ("title13_b_blue_10u_v", "on-state intensity", ["not assessed"], "for blue lamps, and these are amber"),
        ("title13_c_yellow_5u_v", "on-state intensity", ["misses"], ""),
        ("kkk_span", "peak intensity", ["meets"], ""),
        ("walk_round_far", "peak intensity", ["not assessed"], "would meet it with 500 cd"),
        ("french_rotating_on", "on-time share", ["meets"], ""),
        ("j845_class_3", "optical power", ["not assessed"], "would meet it with 3000 cd s/min"),
    ],
)
def test_published_rows(tmp_path: Path, requirement: str, quantity: str, values: list[str], words: str) -> None:
    rows = verdicts(tmp_path, f'[[signal_criteria]]\nrequirement = "{requirement}"\nlamps = ["left"]\n')
    assert [row.verdict for row in rows] == values
    assert all(row.quantity == quantity and row.rule == requirement for row in rows)
    assert words in rows[0].because


def test_a_row_on_lamps_that_are_off_is_not_assessed(tmp_path: Path) -> None:
    (row,) = verdicts(tmp_path, asked(1, 'circuit = "board"'))
    assert row.verdict == "not assessed" and "no lamp" in row.because and np.isnan(row.value)


@pytest.mark.parametrize(
    ("wanted", "says"),
    [
        (SignalAsked(state="x"), '--state "x" is not a duty state of this scene; known: warn, work, board'),
        (SignalAsked(light="x"), "known: day, night"),
        (SignalAsked(vehicle="x"), "known: truck"),
        (SignalAsked(distance_m=1.0), "give 5 to 5000 m"),
        (SignalAsked(distance_m=float("nan")), "give 5 to 5000 m"),
        (SignalAsked(state="board"), "has no lamp that flashes"),
    ],
)
def test_refused(tmp_path: Path, wanted: SignalAsked, says: str) -> None:
    with pytest.raises(UsageError) as error:
        look_at_signals(scene_of(tmp_path, ONE), asked=wanted)
    assert says in str(error.value)


def test_nothing_is_computed_where_nothing_flashes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("scenelux.study.signal.run.rings_of", lambda *_: pytest.fail("rings were computed"))
    with pytest.raises(UsageError, match="has no lamp that flashes"):
        look_at_signals(scene_of(tmp_path, ONE), asked=SignalAsked(state="board"))


def test_cycles_that_never_come_together_are_told_with_their_place(tmp_path: Path) -> None:
    odd = '[[signals]]\nlamps = ["right"]\npattern = "on 100001 us, off 900006 us"\n'
    with pytest.raises((LimitError, DocumentError)) as error:
        look_at_signals(scene_of(tmp_path, ONE + odd))
    assert "balls.toml:" in str(error.value) and "signals" in str(error.value)


def test_a_long_cycle_leaves_the_searched_model_out_and_says_so(tmp_path: Path) -> None:
    long = ONE.replace("on 100 ms, off 900 ms", "on 10 ms, off 10 ms") + (
        '[[signals]]\nlamps = ["right"]\npattern = "on 3 s, off 1 s"\n'
    )
    study = look_at_signals(scene_of(tmp_path, long), asked=SignalAsked("warn", "day"))
    found = study.variants[0].cases[0].measures_of("far0").effective_cd
    assert np.isnan(found["modified-allard"]).all()
    assert all(np.isfinite(found[model]).all() for model in ("blondel-rey", "blondel-rey-douglas", "allard"))
    assert any("modified-allard is left out" in note for note in study.notes)


@pytest.mark.parametrize(("dimmed", "verdict"), [(1.0, "meets"), (0.001, "not assessed")])
def test_a_span_without_intensity_asks_for_a_candela(tmp_path: Path, dimmed: float, verdict: str) -> None:
    """0.5 cd is light, but nobody said that it is enough; the limit of 1 cd is told as a choice."""
    text = '[[signal_criteria]]\nrequirement = "kkk_span"\nlamps = ["left"]\n'
    (row,) = verdicts(tmp_path, text, signals=ONE.replace("on 100 ms", f"on at {100 * dimmed:g} % 100 ms"))
    assert (row.verdict, row.limit, row.unit) == (verdict, 1.0, "cd") and "a choice" in row.says
    assert (row.value < 1.0) == (verdict == "not assessed")
