"""No secret has a default: each database makes its own keys, at random, and keeps them."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

from boltspan.config import Config
from boltspan.services.clock import SystemClock
from boltspan.services.signing import COOKIE_KEY_SETTING, KEY_SETTING, signing_key
from boltspan.storage import make_engine, migrations
from boltspan.storage.unit_of_work import SqlStorage


def test_two_databases_share_no_key_and_each_keeps_its_own(tmp_path: Path) -> None:
    made = []
    for name in ("one", "other"):
        engine = make_engine(f"sqlite:///{tmp_path / name}.sqlite")
        migrations.migrate(engine)
        storage = SqlStorage(engine, SystemClock())
        keys = [signing_key(storage, setting) for setting in (KEY_SETTING, COOKIE_KEY_SETTING)]
        assert keys == [signing_key(storage, setting) for setting in (KEY_SETTING, COOKIE_KEY_SETTING)]
        assert all(len(bytes.fromhex(key.decode())) == 32 for key in keys)
        made += keys
        engine.dispose()
    assert len(set(made)) == 4


def test_no_setting_holds_a_secret() -> None:
    """What must stay secret comes from the database or from whoever runs the service, never from a default."""
    secret = ("password", "secret", "key", "token")
    assert [f.name for f in fields(Config) if any(word in f.name for word in secret)] == []
