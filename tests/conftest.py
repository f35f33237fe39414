"""What all tests share: a skip is a failure where every test is meant to run."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile("steady", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("steady")

_skipped: list[str] = []


@pytest.fixture(scope="session", autouse=True)
def cache_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What the program keeps for its user is not mixed with what the tests have it keep."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Iterator[None]:
    report = yield
    if report.skipped:  # type: ignore[attr-defined]
        _skipped.append(item.nodeid)
    return report


def pytest_sessionfinish(session: pytest.Session) -> None:
    if os.environ.get("JOURNALGEN_MUST_RUN") and _skipped:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if os.environ.get("JOURNALGEN_MUST_RUN") and _skipped:
        terminalreporter.write_sep("=", "skipped, though JOURNALGEN_MUST_RUN is set", red=True)
        for name in _skipped:
            terminalreporter.write_line(name)
