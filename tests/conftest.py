"""The agreement table: every published or calculated check value beside ours, printed at the end of a run."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import astuple, dataclass
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


PROPERTY = "agreement"


class AgreementTable:
    """Gathers the rows from the reports of the tests, whichever process they ran in, and prints them."""

    def __init__(self) -> None:
        self.rows: list[tuple[str, AgreementRow]] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call":
            rows = (AgreementRow(*values) for name, values in report.user_properties if name == PROPERTY)  # type: ignore[misc]
            self.rows += ((report.nodeid, row) for row in rows)

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        if not self.rows:
            return
        in_order = [row for _, row in sorted(self.rows, key=lambda found: found[0])]
        # Once, where tests run on both paths of the engine.
        rows = list({(row.quantity, row.source): row for row in reversed(in_order)}.values())[::-1]
        terminalreporter.section("agreement with published and calculated values")
        terminalreporter.write_line(f"{'quantity':60} {'published':>14} {'ours':>14} {'within':>9}  status, source")
        for row in rows:
            terminalreporter.write_line(
                f"{row.quantity[:60]:60} {row.published:14.6g} {row.ours:14.6g} {row.rounding:9.2g}"
                f"  {row.status}, {row.source}"
            )
        terminalreporter.write_line(f"{len(rows)} values agree within their printed rounding, or the run has failed")


def pytest_configure(config: pytest.Config) -> None:
    config.pluginmanager.register(AgreementTable())


@pytest.fixture
def agreement(request: pytest.FixtureRequest) -> Callable[..., None]:
    """Records a check value and asserts that ours lies within the rounding in which it is printed."""

    def check(quantity: str, published: float, ours: float, source: str, status: str, rounding: float) -> None:
        row = AgreementRow(quantity, float(published), float(ours), float(rounding), source, status)
        request.node.user_properties.append((PROPERTY, list(astuple(row))))
        assert math.isfinite(row.ours), f"{quantity}: {row.ours}"
        assert abs(row.published - row.ours) <= rounding, f"{quantity}: published {published}, ours {ours} ({source})"

    return check


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
