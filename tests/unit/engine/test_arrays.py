"""Shapes and ranges of what goes into the engine, and the memory limit."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.engine import Blockers, Lamps
from scenelux.engine.numbers import check_memory
from scenelux.engine.tables import Tables
from scenelux.errors import LimitError, UsageError
from scenelux.geometry import Axes
from tests.analytic_lamps import AnalyticTable, beam_axes, cosine_power, isotropic, one_lamp, point_lamps, rotational

TURNED = [[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]


def test_tables_lie_one_after_the_other() -> None:
    window = AnalyticTable(np.array([10.0, 20.0, 40.0]), np.array([30.0, 60.0]), np.arange(6.0).reshape(3, 2))
    lamps = Lamps.from_tables(
        [isotropic(5.0), window], table=[1, 0, 1], position_m=np.zeros((3, 3)), axes=np.tile(np.eye(3), (3, 1, 1))
    )
    assert len(lamps) == 3
    assert lamps.tables.azimuth_start.tolist() == [0, 2, 5]
    assert lamps.tables.polar_start.tolist() == [0, 2, 4]
    assert lamps.tables.candela_start.tolist() == [0, 4, 10]
    assert lamps.tables.candela.tolist() == [5, 5, 5, 5, 0, 1, 2, 3, 4, 5]
    assert not lamps.opening_m.any()


def test_arrays_cannot_be_written_and_do_not_follow_their_source() -> None:
    position = np.array([[1.0, 2.0, 3.0]])
    lamps = Lamps.from_tables([isotropic(1.0)], table=[0], position_m=position, axes=[TURNED])
    position[0, 0] = 99.0
    assert lamps.position_m[0, 0] == 1.0
    for name in ("position_m", "axes", "table", "opening_round"):
        assert not getattr(lamps, name).flags.writeable, name
    for name in ("azimuth_start", "candela", "grain_rad"):
        assert not getattr(lamps.tables, name).flags.writeable, name


def test_no_lamps_and_no_boxes() -> None:
    empty = Lamps.from_tables([], table=[], position_m=np.empty((0, 3)), axes=np.empty((0, 3, 3)))
    assert len(empty) == 0
    assert len(Blockers.none()) == 0


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"position_m": [[0, 0]]}, "position_m has shape"),
        ({"position_m": [[0, 0, np.nan]]}, "not finite"),
        ({"axes": [np.eye(3) * 2]}, "unit vectors"),
        ({"axes": np.eye(3)}, "axes has shape"),
        ({"table": [1]}, "table index"),
        ({"table": [-1]}, "table index"),
        ({"opening_m": [[0.1, 0.1, 0.0]]}, "opening_axes"),
        ({"opening_m": [[0.1, -0.1, 0.0]], "opening_axes": [np.eye(3)]}, "length below"),
        ({"opening_round": [True, False]}, "opening_round has shape"),
    ],
)
def test_bad_lamps(change: dict[str, object], says: str) -> None:
    good: dict[str, object] = {"table": [0], "position_m": [[0, 0, 0]], "axes": [TURNED]}
    Lamps.from_tables([isotropic(1.0)], **good)  # type: ignore[arg-type]
    with pytest.raises(UsageError, match=says):
        Lamps.from_tables([isotropic(1.0)], **(good | change))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("azimuth", "polar", "candela", "says"),
    [
        ([0, 360], [0, 0], [[1, 1], [1, 1]], "ascending"),
        ([360, 0], [0, 90], [[1, 1], [1, 1]], "ascending"),
        ([0], [0, 90], [[1, 1]], "at least two"),
        ([-90, 90], [0, 90], [[1, 1], [1, 1]], "range 0..360"),
        ([0, 360], [0, 190], [[1, 1], [1, 1]], "range 0..180"),
        ([0, 360], [0, 90], [[1, 1]], "2 x 2 table"),
        ([0, 360], [0, 90], [[1, -1], [1, 1]], "intensities from 0 up"),
        ([0, 360], [0, 90], [[1, np.nan], [1, 1]], "intensities from 0 up"),
        ([0, 360], [0, 90], [[1, np.inf], [1, 1]], "not finite"),
    ],
)
def test_bad_tables(azimuth: list[float], polar: list[float], candela: list[list[float]], says: str) -> None:
    table = AnalyticTable(np.array(azimuth, float), np.array(polar, float), np.array(candela, float))
    with pytest.raises(UsageError, match=says):
        one_lamp(table, [0, 0, 0])


def test_bad_boxes() -> None:
    with pytest.raises(UsageError, match="half_m has shape"):
        Blockers.boxes([[0, 0, 0]], [[1, 1, 1], [1, 1, 1]])
    with pytest.raises(UsageError, match="length below"):
        Blockers.boxes([[0, 0, 0]], [[1, 0, 1]])
    with pytest.raises(UsageError, match="unit vectors"):
        Blockers.boxes([[0, 0, 0]], [[1, 1, 1]], [np.ones((3, 3))])


def test_grain_follows_the_width_of_the_beam_and_not_its_edge() -> None:
    def grain(table: AnalyticTable) -> float:
        return float(one_lamp(table, [0, 0, 0]).tables.grain_rad[0])

    assert grain(isotropic(7.0)) == 1.0
    assert grain(cosine_power(1.0, 1.0)) == pytest.approx(2 / np.pi, rel=1e-3)  # (1/2) / (pi/4)
    for width in (4.0, 20.0):
        for edge in (0.01, 0.5):
            flat = rotational([0, width / 2 - edge / 2, width / 2 + edge / 2, 90], [1, 1, 0, 0])
            assert grain(flat) == pytest.approx(np.radians(width) / 4, rel=0.02)


def test_one_lamp_turned_is_the_lamps_built_anew() -> None:
    aims = [beam_axes(180, -30), beam_axes(90, -10)]

    def built(aim: Axes, position_m: tuple[float, ...]) -> Lamps:
        axes = [aims[0], aim]
        return Lamps.from_tables(
            [cosine_power(800.0, 2.0)], table=[0, 0], position_m=[[0, 0, 2], position_m], axes=axes,
            opening_m=[[0.2, 0.1, 0], [0.3, 0.1, 0]], opening_axes=axes, opening_round=[True, False],
        )  # fmt: skip

    lamps = built(aims[1], (1, 2, 3))
    for aim, position in ((beam_axes(80, -40, 5), None), (beam_axes(-170, 60), (4.0, 5.0, 6.0))):
        ours, expected = lamps.turned(1, aim, position_m=position), built(aim, position or (1, 2, 3))
        for name in ("position_m", "axes", "table", "opening_m", "opening_round"):
            assert getattr(ours, name).tobytes() == getattr(expected, name).tobytes(), name
            assert not getattr(ours, name).flags.writeable
        assert ours.opening_axes == pytest.approx(expected.opening_axes, abs=1e-15)
        assert ours.tables is lamps.tables
        told = lamps.turned(1, aim, position_m=position, opening_axes=aim)
        assert told.contents == expected.contents
    assert lamps.contents == built(aims[1], (1, 2, 3)).contents, "the lamps themselves stay"


def test_a_point_lamp_turned_back_is_the_same_lamp() -> None:
    lamp = one_lamp(isotropic(5.0), [0, 0, 3], beam_axes(10, 20))
    there = lamp.turned(0, beam_axes(33, -7))
    assert there.contents != lamp.contents
    assert there.turned(0, beam_axes(10, 20)).contents == lamp.contents


def test_lamps_joined_are_the_lamps_built_as_one() -> None:
    window = AnalyticTable(np.array([10.0, 20.0, 40.0]), np.array([30.0, 60.0]), np.arange(6.0).reshape(3, 2))
    first = one_lamp(cosine_power(800.0, 2.0), [0, 0, 3], TURNED, opening_m=(0.2, 0.1), is_round=True)
    second = point_lamps([isotropic(5.0), window], [[1, 2, 3], [4, 5, 6]], [TURNED, np.eye(3)])
    both = first.joined(second)
    assert both.contents == first.contents + second.contents
    assert both.only([1, 2]).contents == second.contents and both.only([]).contents == []
    whole = Tables.of([cosine_power(800.0, 2.0), isotropic(5.0), window])
    for name in vars(whole):
        assert getattr(both.tables, name).tobytes() == getattr(whole, name).tobytes(), name
        assert not getattr(both.tables, name).flags.writeable


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"axes": np.eye(3) * 2}, "axes are not unit vectors"),
        ({"axes": np.eye(2)}, "axes has shape"),
        ({"axes": np.eye(3), "position_m": [0, 0]}, "position_m has shape"),
        ({"axes": np.eye(3), "position_m": [0, 0, np.nan]}, "not finite"),
        ({"axes": np.eye(3), "opening_axes": np.ones((3, 3))}, "opening_axes are not unit vectors"),
    ],
)
def test_bad_turns(change: dict[str, object], says: str) -> None:
    with pytest.raises(UsageError, match=says):
        one_lamp(isotropic(5.0), [0, 0, 3]).turned(0, **change)  # type: ignore[arg-type]


def test_memory_limit_says_what_and_how_much() -> None:
    check_memory(10, 10, "anything")
    with pytest.raises(LimitError, match=r"illuminance needs 4\.00 GB and the limit is 2\.00 GB"):
        check_memory(4_000_000_000, 2_000_000_000, "illuminance")
