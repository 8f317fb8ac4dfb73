"""The agreement table: every published or calculated check value beside ours, printed at the end of a run."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import pytest
from hypothesis import HealthCheck, settings

# The same examples on every machine, and no failure because a machine is slow.
settings.register_profile("house", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")


@dataclass(frozen=True)
class AgreementRow:
    quantity: str
    published: float
    ours: float
    rounding: float
    source: str
    status: str


ROWS = pytest.StashKey[list[AgreementRow]]()


def pytest_configure(config: pytest.Config) -> None:
    config.stash[ROWS] = []


@pytest.fixture
def agreement(request: pytest.FixtureRequest) -> Callable[..., None]:
    """Records a check value and asserts that ours lies within the rounding in which it is printed."""

    def check(quantity: str, published: float, ours: float, source: str, status: str, rounding: float) -> None:
        row = AgreementRow(quantity, float(published), float(ours), float(rounding), source, status)
        rows = request.config.stash[ROWS]
        if all((row.quantity, row.source) != (other.quantity, other.source) for other in rows):
            rows.append(row)  # Once, where tests run on both paths of the engine.
        assert math.isfinite(row.ours), f"{quantity}: {row.ours}"
        assert abs(row.published - row.ours) <= rounding, f"{quantity}: published {published}, ours {ours} ({source})"

    return check


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    rows = config.stash[ROWS]
    if not rows:
        return
    terminalreporter.section("agreement with published and calculated values")
    terminalreporter.write_line(f"{'quantity':60} {'published':>14} {'ours':>14} {'within':>9}  status, source")
    for row in rows:
        terminalreporter.write_line(
            f"{row.quantity[:60]:60} {row.published:14.6g} {row.ours:14.6g} {row.rounding:9.2g}"
            f"  {row.status}, {row.source}"
        )
    terminalreporter.write_line(f"{len(rows)} values agree within their printed rounding, or the run has failed")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--sentences", help="write a page of every warning and error of photometric files that was seen")


@pytest.fixture(scope="module", params=["exact", "fast"])
def precision(request: pytest.FixtureRequest) -> Iterator[str]:
    """Runs a module of tests on both paths of the engine: its own name `illuminance` becomes that of one path.

    A module that has the name `NOISE` says with it how much of a value the path may lose: nothing, or what single
    precision rounds away.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(request.module, "illuminance", partial(request.module.illuminance, precision=request.param))
        patch.setattr("scenelux.engine.receiving.FEW_POINTS", 0)
        if request.param == "fast" and hasattr(request.module, "NOISE"):
            patch.setattr(request.module, "NOISE", 2e-6)
        yield request.param
