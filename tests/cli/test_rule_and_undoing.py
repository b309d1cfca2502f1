"""``boltspan rule`` and ``boltspan events undo-account``: limits at the machine itself, and who signs an undoing."""

from __future__ import annotations

from pathlib import Path

import pytest

from boltspan.bootstrap import open_storage
from boltspan.cli import main
from boltspan.config import Config
from boltspan.services.protocols import Event
from boltspan.storage import migrate


@pytest.fixture(autouse=True)
def _people(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """A contributor, a maintainer and an operator in an empty database."""
    monkeypatch.setattr("boltspan.cli.GROUPS", ("tokens", "accounts", "rule", "events"))
    monkeypatch.setattr("boltspan.cli.tokens.prepare", lambda config, storage: migrate(storage.engine))
    monkeypatch.setenv("BOLTSPAN_DATA", str(tmp_path))
    for role in ("contributor", "maintainer", "operator"):
        assert main(["tokens", "issue", "--role", role, "--handle", f"the-{role}-1x"]) == 0
    capsys.readouterr()


def ids() -> dict[str, str]:
    with open_storage(Config.from_environment()).reading() as uow:
        return {a.role: a.id for a in uow.accounts.accounts()}


def events(kind: str) -> list[Event]:
    with open_storage(Config.from_environment()).reading() as uow:
        return [e for e in uow.events.page(0, 100) if e.kind == kind]


def test_limits_are_shown_and_set_with_an_event(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rule", "show"]) == 0
    shown = capsys.readouterr().out
    assert "proven_after       10  Claims accepted by a maintainer" in shown
    assert main(["rule", "set", "proven_after", "5", "--why", "a small shop"]) == 0
    assert capsys.readouterr().out == "proven_after is 5\n"
    [event] = events("rule_limit_set")
    assert event.payload == {"limit": "proven_after", "number": 5, "before": 10, "why": "a small shop"}
    assert main(["rule", "show"]) == 0
    assert "(1 to 1000, usually 10)" in capsys.readouterr().out
    for name, number in (("proven_after", "0"), ("colour", "3"), ("batch", "1")):
        assert main(["rule", "set", name, number, "--why", "x"]) == 1
        assert "accepted: " in capsys.readouterr().err
    assert len(events("rule_limit_set")) == 1


def test_an_undoing_is_signed_by_somebody_who_may(capsys: pytest.CaptureFixture[str]) -> None:
    people = ids()
    undo = ["events", "undo-account", people["contributor"], "--why", "invented readings"]
    with pytest.raises(SystemExit):
        main(undo)
    assert "--as" in capsys.readouterr().err
    for nobody in ("p-zzzzzzzzzz", "the-contributor-1x", "rule/1", people["contributor"]):
        assert main([*undo, "--as", nobody]) == 1
    assert main(["accounts", "block", "the-maintainer-1x", "--why", "away"]) == 0
    assert main([*undo, "--as", people["maintainer"]]) == 1
    assert events("account_undone") == []
    assert main([*undo, "--as", "the-operator-1x"]) == 0
    assert [e.actor for e in events("account_undone")] == [people["operator"]]
