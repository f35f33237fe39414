"""What all tests share: the example's site, how many processes they are spread over, a skip that is a failure."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from journalgen.house import example_folder
from journalgen.reading.rates import EuropeanCentralBank
from journalgen.site.assemble import Order, assemble
from journalgen.site.themes import DEFAULT
from tests.sharing import made_once
from tests.site.matters import ON

settings.register_profile("steady", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("steady")

_skipped: list[str] = []


@pytest.fixture(scope="session", autouse=True)
def cache_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What the program keeps for its user is not mixed with what the tests have it keep."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)  # else each process compiles the whole program anew
        yield


@pytest.fixture(scope="session")
def themed(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Gives the folder of both editions of the example in a theme of the program's. Nothing may change it."""

    def give(theme: str) -> Path:
        def make(folder: Path) -> None:
            assemble(Order(example_folder(), ON, to=folder, theme=theme), EuropeanCentralBank())

        return made_once(tmp_path_factory, theme, make)

    return give


@pytest.fixture(scope="session")
def site(themed: Callable[[str], Path]) -> Path:
    """The folder that holds both editions of the example as they come. Nothing may change it."""
    return themed(DEFAULT)


@pytest.fixture(scope="session")
def example_dossier(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The owner's dossier of the example. Nothing may change it."""
    from tests.outside.papers import make_owner  # brings what reads a PDF: only where one is read

    return made_once(tmp_path_factory, "dossier", lambda folder: make_owner(folder, example_folder())) / "dossier.pdf"


@pytest.fixture(scope="session")
def public_dossier(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The public dossier of the example, on letter paper. Nothing may change it."""
    from tests.outside.papers import make_owner

    def make(folder: Path) -> None:
        make_owner(folder, example_folder(), "--edition", "public", "--paper", "letter")

    return made_once(tmp_path_factory, "dossier-public", make) / "dossier.pdf"


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """One file is run by the process that was asked to: others would take longer to start."""
    files = {Path(name.partition("::")[0]) for name in config.args}
    return 0 if len(files) == 1 and files.pop().suffix == ".py" else None


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Of one test; called in the process that gathers, wherever the test ran."""
    if report.skipped:
        _skipped.append(report.nodeid)


def pytest_collectreport(report: pytest.CollectReport) -> None:
    """Of a whole module, likewise."""
    if report.skipped:
        _skipped.append(report.nodeid)


def pytest_sessionfinish(session: pytest.Session) -> None:
    if os.environ.get("JOURNALGEN_MUST_RUN") and _skipped:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if os.environ.get("JOURNALGEN_MUST_RUN") and _skipped:
        terminalreporter.write_sep("=", "skipped, though JOURNALGEN_MUST_RUN is set", red=True)
        for name in _skipped:
            terminalreporter.write_line(name)
