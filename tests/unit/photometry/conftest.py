"""A plain LM-63 file to vary."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from sentences import Sentences


@pytest.fixture
def lm63() -> Callable[..., bytes]:
    """Writes a small file: 3 vertical angles, 1 plane, 100 cd falling to 0, unless told otherwise."""

    def write(
        *,
        first: str = "IESNA:LM-63-2002",
        keywords: str = "[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m",
        tilt: str = "TILT=NONE",
        lamps: str = "1",
        lumens: str = "-1",
        multiplier: str = "1",
        counts: str | None = None,
        kind: str = "1",
        units: str = "2",
        sizes: str = "0 0 0",
        second: str = "1 1 10",
        v: str = "0 45 90",
        h: str = "0",
        candela: str = "100 50 0",
        rest: str = "",
    ) -> bytes:
        counts = counts or f"{len(v.split())} {len(h.split())}"
        record = f"{lamps} {lumens} {multiplier} {counts} {kind} {units} {sizes}"
        lines = [first, keywords, tilt, record, second, v, h, candela, rest]
        return "\n".join(line for line in lines if line).encode("utf-8") + b"\n"

    return write


LISTENING = pytest.StashKey[Sentences]()


def pytest_configure(config: pytest.Config) -> None:
    if config.getoption("--sentences", None):
        config.stash[LISTENING] = Sentences()
        config.stash[LISTENING].start()


def pytest_sessionfinish(session: pytest.Session) -> None:
    if LISTENING not in session.config.stash:
        return
    said = session.config.stash[LISTENING]
    Path(session.config.getoption("--sentences")).write_text(said.page())
    chosen = session.config.option.keyword or session.config.option.markexpr
    whole = not chosen and [Path(one).resolve() for one in session.config.args] == [Path(__file__).parent]
    if whole and said.missing() and not session.testsfailed:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if LISTENING in config.stash and (missing := config.stash[LISTENING].missing()):
        terminalreporter.write_line(f"sentences that no test has seen: {', '.join(missing)}")
