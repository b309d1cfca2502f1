"""The database's own key: what is signed with it, such as a cursor, holds in every process and is nobody else's."""

from __future__ import annotations

import secrets
from typing import Final

from boltspan.services.protocols import Storage

KEY_SETTING: Final = "cursor_key"


def signing_key(storage: Storage) -> bytes:
    """Return the key; make it when there is none. Raises Unavailable, and StorageFull when it cannot be made."""
    with storage.reading() as uow:
        found = uow.settings.get(KEY_SETTING)
    if found is None:
        with storage.writing() as uow:
            found = uow.settings.get(KEY_SETTING)
            if found is None:
                found = secrets.token_hex(32)
                uow.settings.put(KEY_SETTING, found)
    return found.encode()
