"""Arrow boards, and the way in which a row of lamps seems to run."""

from __future__ import annotations

import pytest

from scenelux.errors import UsageError
from scenelux.signals import apparent_motion, arrow_boards, arrow_times, filament_light, motion_band
from scenelux.timing import STEADY, named_pattern, parse_pattern

ROW = [named_pattern(f"sequence {which}") for which in ("first", "second", "third")]


def test_a_sequence_runs_one_way_and_backwards_the_other() -> None:
    assert apparent_motion(ROW, [0.0, 0.5, 1.0]).direction == "rising"
    assert apparent_motion(ROW, [1.0, 0.5, 0.0]).direction == "falling"
    assert apparent_motion(ROW, [0.0, 1.0, 0.5]).direction == "mixed"
    late = [pattern.delayed(900_000) for pattern in ROW]
    assert apparent_motion(late, [0.0, 0.5, 1.0]).order == (0, 1, 2)


def test_steps_and_the_band() -> None:
    assert motion_band().source.status == "unconfirmed"
    quick = [parse_pattern("on 100 ms, off 900 ms").delayed(k * 100_000) for k in range(4)]
    found = apparent_motion(quick, [0.0, 1.0, 2.0, 3.0])
    assert found.steps_s == (0.1, 0.1, 0.1) and found.in_band is True
    assert apparent_motion(ROW, [0.0, 0.5, 1.0]).in_band is False


def test_all_together_do_not_run() -> None:
    found = apparent_motion([ROW[0]] * 3, [0.0, 0.5, 1.0])
    assert (found.direction, found.steps_s, found.in_band) == ("none", (), None)


def test_a_pair_of_rows_from_the_middle_is_mixed() -> None:
    assert apparent_motion([ROW[0], ROW[1], ROW[1]], [0.0, -1.0, 1.0]).direction == "mixed"


def test_what_is_no_row() -> None:
    with pytest.raises(UsageError, match="one position"):
        apparent_motion(ROW, [0.0])
    with pytest.raises(UsageError, match="light up once"):
        apparent_motion([ROW[0], named_pattern("single flash")], [0.0, 1.0])


def test_boards() -> None:
    boards = {board.type: board for board in arrow_boards()}
    assert boards["C"].elements == 15 and boards["C"].width_m == pytest.approx(2.4384)
    assert all(board.source.status == "quoted" for board in boards.values())


def test_times_of_boards() -> None:
    assert arrow_times(ROW, "sequential").shares_hold and arrow_times(ROW, "sequential").rate_per_min == 30.0
    short = arrow_times([parse_pattern("30 per minute: on 40 %, off")], "flashing")
    assert short.rate_holds and not short.shares_hold
    fast = arrow_times([parse_pattern("50 per minute: on 50 %, off")], "flashing")
    assert fast.shares_hold and not fast.rate_holds
    edge = arrow_times([parse_pattern("35 per minute: on 50 %, off")], "flashing")
    assert edge.rate_holds and edge.shares_hold
    assert not arrow_times([STEADY], "flashing").rate_holds
    with pytest.raises(UsageError, match="is not a mode"):
        arrow_times(ROW, "blinking")  # type: ignore[arg-type]


def test_filament() -> None:
    assert filament_light(1.0) == 1.0 and filament_light(-0.1) != filament_light(-0.1)
