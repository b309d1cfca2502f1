"""The database's own keys: what is signed with one, such as a cursor, holds in every process and is nobody else's."""

from __future__ import annotations

import secrets
from typing import Final

from boltspan.services.protocols import Storage

KEY_SETTING: Final = "cursor_key"
COOKIE_KEY_SETTING: Final = "cookie_key"
"""Signs the cookies of those who signed in by page, and the forms they are shown."""


def signing_key(storage: Storage, setting: str = KEY_SETTING) -> bytes:
    """Return the key kept under ``setting``; make it when there is none.

    Raises Unavailable, and StorageFull when it cannot be made.
    """
    with storage.reading() as uow:
        found = uow.settings.get(setting)
    if found is None:
        with storage.writing() as uow:
            found = uow.settings.get(setting)
            if found is None:
                found = secrets.token_hex(32)
                uow.settings.put(setting, found)
    return found.encode()
