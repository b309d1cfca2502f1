"""The one place that knows everybody: brings settings, storage, use cases and the web together."""

from __future__ import annotations

import logging
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING, Final

from boltspan.config import Config
from boltspan.dataset.files import read_dataset
from boltspan.dataset.fingerprint import fingerprint
from boltspan.dataset.locate import dataset_folder
from boltspan.domain.errors import StorageFull, Unavailable
from boltspan.services.answers import ANSWERS_VERSION
from boltspan.services.clock import SystemClock
from boltspan.services.datasets import fill
from boltspan.services.publishing import republish_all
from boltspan.services.signing import COOKIE_KEY_SETTING, KEY_SETTING, signing_key
from boltspan.services.snapshots import CURRENT, model_version
from boltspan.storage import SqlStorage, make_engine, migrate

if TYPE_CHECKING:
    from flask import Flask

RETRY_SECONDS: Final = 2
log = logging.getLogger("boltspan")


def open_storage(config: Config) -> SqlStorage:
    """Return the storage of ``config``; nothing is connected before it is used. Makes the data folder when missing."""
    config.data.mkdir(parents=True, exist_ok=True)
    return SqlStorage(make_engine(config.url), SystemClock())


def dataset_of(config: Config) -> Path:
    """Return the dataset folder that fills an empty database: the configured one, else the one shipped."""
    return Path(config.dataset) if config.dataset else dataset_folder()


def prepare(config: Config, storage: SqlStorage) -> None:
    """Bring the database up to date: migrate, fill an empty one from the dataset, encode answers when they changed.

    A filled database is never changed by the files (``differing_files`` tells). Raises DatasetBroken when the dataset
    has errors (nothing is written), Unavailable when the database is away.
    """
    migrate(storage.engine)
    folder = dataset_of(config)
    with storage.reading() as uow:
        empty = uow.events.last() == 0 and uow.settings.get("title") is None
        version = uow.settings.get("answers_version")
    if empty:
        dataset = read_dataset(folder)
        with storage.writing() as uow:
            if uow.events.last() == 0 and uow.settings.get("title") is None:
                fill(uow, dataset, SystemClock())
                uow.settings.put("answers_version", ANSWERS_VERSION)
                uow.settings.put("files_sha256", fingerprint(folder))
    elif version != ANSWERS_VERSION:
        with storage.writing() as uow:
            republish_all(uow)
    for setting in (KEY_SETTING, COOKIE_KEY_SETTING):
        signing_key(storage, setting)  # made now, so that nothing that only reads ever has to write it


def differing_files(config: Config, storage: SqlStorage) -> str | None:
    """Return how the dataset's files and the filled database differ and what to do about it; None when they agree."""
    folder = dataset_of(config)
    with storage.reading() as uow:
        filled_from, head, last = uow.settings.get("files_sha256"), uow.settings.get("head"), uow.events.last()
    if filled_from != fingerprint(folder):
        return (
            f"the files in {folder} are not those that filled this database; nothing was changed. To see what they "
            f"would change: boltspan dataset import {folder} --preview"
        )
    if head is not None and int(head) < last:
        return (
            f"the database has gone on from event {head} of the files in {folder} to event {last}; nothing was "
            "changed. To write files of what it holds: boltspan dataset export DIR"
        )
    return None


def outdated_evidence(storage: SqlStorage) -> str | None:
    """Return that the answers rest on another version of the evidence model, and what to do; None when they do not."""
    with storage.reading() as uow:
        snapshot = uow.snapshots.snapshot(uow.settings.get(CURRENT) or "")
    if snapshot is None or snapshot.model_version == model_version():
        return None
    return (
        f"the answers rest on the evidence model {snapshot.model_version}, this version has {model_version()}; nothing "
        "was changed. To see what it would change: boltspan resolve --all"
    )


def create_app(config: Config | None = None) -> Flask:
    """Return the service as a WSGI application; the entry point of each worker.

    ``boltspan serve`` has prepared the database by then. When it is away, the service starts all the same, answers
    503, and prepares it as soon as it is there.
    """
    from boltspan.http.app import create_app as build
    from boltspan.http.settings import HttpSettings
    from boltspan.web.pages import pages

    settings = config or Config.from_environment()
    storage = open_storage(settings)
    app = build(storage, SystemClock(), HttpSettings.of(settings), pages)
    if storage.ready():
        threading.Thread(target=_prepare_later, args=(settings, storage), daemon=True).start()
    return app


def _prepare_later(config: Config, storage: SqlStorage) -> None:
    while True:
        try:
            prepare(config, storage)
        except (Unavailable, StorageFull):
            time.sleep(RETRY_SECONDS)
            continue
        log.info("the database is ready")
        return
