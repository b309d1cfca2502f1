"""The safeguards of the suite itself: no network, no silent skip."""

from __future__ import annotations

import os
import pathlib
import socket
import subprocess
import sys

import pytest

from tests.conftest import BeyondLoopback

_ROOT = pathlib.Path(__file__).parent.parent


@pytest.mark.parametrize("address", ["192.0.2.1", "2001:db8::1", "example.org"])  # RFC 5737, RFC 3849, RFC 2606
def test_tests_reach_no_other_machine(address: str) -> None:
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    with socket.socket(family) as stranger:
        with pytest.raises(BeyondLoopback):
            stranger.connect((address, 80))
        with pytest.raises(BeyondLoopback):
            stranger.connect_ex((address, 80))
    with socket.socket(family, socket.SOCK_DGRAM) as stranger, pytest.raises(BeyondLoopback):
        stranger.sendto(b"x", (address, 53))
    with pytest.raises(BeyondLoopback):
        socket.getaddrinfo(address, 80)


def test_tests_reach_this_machine() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server, socket.create_connection(server.getsockname()) as near:
        assert near.getpeername() == server.getsockname()


def _run(folder: pathlib.Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the tests in ``folder`` under this suite's conftest."""
    path = os.pathsep.join([str(_ROOT), str(_ROOT / "api")])
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-rs", "-p", "tests.conftest", "--rootdir", str(folder), str(folder)],
        check=False,
        capture_output=True,
        text=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": path, **environment},
    )


def test_a_skip_fails_only_when_asked_to_be_strict(tmp_path: pathlib.Path) -> None:
    (tmp_path / "test_one.py").write_text(
        "import pytest\n"
        "def test_absent() -> None: pytest.skip('nothing here')\n"
        "@pytest.mark.xfail\n"
        "def test_known() -> None: assert False\n"
    )
    (tmp_path / "test_two.py").write_text("import pytest; pytest.skip('not here', allow_module_level=True)")
    (tmp_path / "test_three.py").write_text("def test_present() -> None: pass")
    lenient = _run(tmp_path, BOLTSPAN_STRICT_TESTS="0")
    assert lenient.returncode == 0, lenient.stdout
    strict = _run(tmp_path, BOLTSPAN_STRICT_TESTS="1", PYTEST_ADDOPTS="--continue-on-collection-errors")
    assert strict.returncode != 0, strict.stdout
    for skipped in ("test_one.py::test_absent was skipped", "test_two.py was skipped"):
        assert skipped in strict.stdout
    assert "1 passed, 1 xfailed" in strict.stdout.replace("1 failed, ", ""), strict.stdout


def test_postgres_is_skipped_with_the_reason_where_none_is_installed(tmp_path: pathlib.Path) -> None:
    (tmp_path / "test_one.py").write_text("def test_database(postgres) -> None: pass")
    ran = _run(tmp_path, BOLTSPAN_STRICT_TESTS="0", BOLTSPAN_PG_BIN=str(tmp_path))
    assert ran.returncode == 0, ran.stdout
    assert "BOLTSPAN_PG_BIN names" in ran.stdout, ran.stdout
