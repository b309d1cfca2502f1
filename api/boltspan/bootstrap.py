"""The one place that knows everybody: brings settings, storage, use cases and the web together."""

from __future__ import annotations

import logging
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING, Final

from boltspan.config import Config
from boltspan.dataset.files import read_dataset
from boltspan.dataset.locate import dataset_folder
from boltspan.domain.errors import StorageFull, Unavailable
from boltspan.services.answers import ANSWERS_VERSION
from boltspan.services.clock import SystemClock
from boltspan.services.datasets import fill
from boltspan.services.publishing import republish_all
from boltspan.storage.engine import make_engine
from boltspan.storage.unit_of_work import SqlStorage

if TYPE_CHECKING:
    from flask import Flask

RETRY_SECONDS: Final = 2
log = logging.getLogger("boltspan")


def open_storage(config: Config) -> SqlStorage:
    """Return the storage of ``config``; nothing is connected before it is used. Makes the data folder when missing."""
    config.data.mkdir(parents=True, exist_ok=True)
    return SqlStorage(make_engine(config.url), SystemClock())


def shipped_or_configured(config: Config) -> Path:
    """Return the dataset folder that fills an empty database."""
    return Path(config.dataset) if config.dataset else dataset_folder()


def prepare(config: Config, storage: SqlStorage) -> None:
    """Bring the database up to date: migrate, fill an empty one from the dataset, encode answers when they changed.

    Raises DatasetBroken when the dataset has errors (nothing is written), Unavailable when the database is away.
    """
    storage.migrate()
    with storage.reading() as uow:
        empty = uow.events.last() == 0
        version = uow.settings.get("answers_version")
    if empty:
        dataset = read_dataset(shipped_or_configured(config))
        with storage.writing() as uow:
            if uow.events.last() == 0:
                fill(uow, dataset, SystemClock())
                uow.settings.put("answers_version", ANSWERS_VERSION)
    elif version != ANSWERS_VERSION:
        with storage.writing() as uow:
            republish_all(uow)


def create_app(config: Config | None = None) -> Flask:
    """Return the service as a WSGI application; the entry point of each worker."""
    from boltspan.http.app import create_app as build
    from boltspan.http.settings import HttpSettings
    from boltspan.web.pages import pages

    settings = config or Config.from_environment()
    storage = open_storage(settings)
    app = build(storage, SystemClock(), HttpSettings.of(settings), pages)
    try:
        prepare(settings, storage)
    except (Unavailable, StorageFull):
        log.warning("the database is not ready; look-ups answer 503 until it is")
        threading.Thread(target=_prepare_later, args=(settings, storage), daemon=True).start()
    return app


def _prepare_later(config: Config, storage: SqlStorage) -> None:
    while True:
        time.sleep(RETRY_SECONDS)
        try:
            prepare(config, storage)
        except (Unavailable, StorageFull):
            continue
        log.info("the database is ready")
        return
