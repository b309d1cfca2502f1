"""``boltspan accounts``: blocking and lost tokens at the machine itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from boltspan.bootstrap import open_storage
from boltspan.cli import main
from boltspan.config import Config
from boltspan.domain.errors import NotAuthenticated
from boltspan.services.accounts import authenticate
from boltspan.services.clock import SystemClock
from boltspan.storage import migrate


@pytest.fixture
def token(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> str:
    """A contributor's token in an empty database."""
    monkeypatch.setattr("boltspan.cli.GROUPS", ("tokens", "accounts"))
    monkeypatch.setattr("boltspan.cli.tokens.prepare", lambda config, storage: migrate(storage.engine))
    monkeypatch.setenv("BOLTSPAN_DATA", str(tmp_path))
    assert main(["tokens", "issue", "--role", "contributor", "--handle", "north-bench"]) == 0
    return capsys.readouterr().out.strip()


def may(token: str) -> bool:
    """Return whether a token is good for anything."""
    with open_storage(Config.from_environment()).reading() as uow:
        try:
            return bool(authenticate(uow, SystemClock(), token).may)
        except NotAuthenticated:
            return False


def test_blocked_let_in_and_given_a_new_token(token: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert may(token)
    assert main(["accounts", "block", "North-Bench", "--why", "invented readings"]) == 0
    assert not may(token)
    assert main(["accounts", "replace-token", "north-bench", "--why", "lost"]) == 1  # not while blocked
    assert main(["accounts", "unblock", "north-bench", "--why", "a mix-up"]) == 0
    assert may(token)
    capsys.readouterr()
    assert main(["accounts", "replace-token", "north-bench", "--why", "lost"]) == 0
    new = capsys.readouterr().out.strip()
    assert (may(token), may(new)) == (False, True)
    assert main(["accounts", "show", "north-bench"]) == 0
    shown = capsys.readouterr().out
    assert "revoked" in shown
    assert new[12:55] not in shown
    assert main(["accounts", "show", "nobody-here"]) == 1
