"""Releases: building one, marking a broken one as withdrawn, and handing out their files and answers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import Any, Final

from boltspan.dataset.contents import FrameEntry, ShockEntry, hardware_order
from boltspan.dataset.locate import dataset_folder
from boltspan.dataset.releasing.files import UNLISTED, facts_of
from boltspan.dataset.releasing.folder import ReleaseFolder, empty
from boltspan.dataset.releasing.head import VERSION, ReleaseHead, version_after
from boltspan.dataset.releasing.lines import ANSWERS_FILE, SHOCK_ANSWERS_FILE, find_answer
from boltspan.dataset.releasing.readme import LICENCE_FILE
from boltspan.dataset.releasing.verifying import verify_files
from boltspan.dataset.releasing.writing import ReleasedFrame, ReleasedShocks, write_release
from boltspan.domain.errors import Clash, NotFound, Unavailable
from boltspan.domain.fields import text_from
from boltspan.domain.ids import is_id
from boltspan.services.permissions import ANYBODY, Actor
from boltspan.services.protocols import Clock, Event, Storage, StoredFrame, StoredRelease, UnitOfWork
from boltspan.services.publishing import BATCH, frame_path, is_demo
from boltspan.services.shocks import hardware_sizes, shock

BUILT: Final = "release_built"
WITHDRAWN: Final = "release_withdrawn"


def build_release(actor: Actor, storage: Storage, data: Path) -> StoredRelease:
    """Build a release of all that stands, in the data folder ``data``, and return it as recorded.

    Its records are those of one snapshot and its dates come from the last event of that: the same state gives the
    same bytes on every machine, day and kind of database. It opens its own units of work, because writers would
    otherwise wait until all files are written: a reading one for the content, then a short writing one that records
    the release and lets it appear. Killed at any point, it leaves the older releases as they are and nothing partial.

    Raises NotAuthenticated or NotAllowed, Clash when nothing changed since the last release (withdrawn ones do not
    count), when another one is being built, and when the last one's files are not as they were; StorageFull.
    """
    person = actor.permitted("build_release")
    folder = ReleaseFolder(data)
    with folder.building() as stage:
        with storage.reading() as uow:
            manifest, there = _stage(uow, folder, stage)
        version = str(manifest["version"])
        with storage.writing() as uow:
            if uow.releases.release(version) is not None:
                raise Clash(f"release {version} was built meanwhile; nothing was done")
            event = int(manifest["event"])
            uow.events.record(person, BUILT, payload={"release": version, "event": event})
            release = StoredRelease(version, str(manifest["built_on"]), event, manifest)
            uow.releases.put(release)
            if not there:
                folder.place(stage, version)
    return release


def _stage(uow: UnitOfWork, folder: ReleaseFolder, stage: Path) -> tuple[dict[str, Any], bool]:
    """Write a release into ``stage``; return its manifest and whether the very same is placed already.

    It is when a builder was killed between placing and recording. When what it placed is something else by now, that
    number is passed over, since somebody may have seen it.
    """
    taken = [r.version for r in uow.releases.releases()]
    base = next((r for r in uow.releases.releases() if r.withdrawn_on is None), None)
    last = _head_event(uow)
    if base is not None and not _changed_since(uow, base.event):
        raise Clash(f"nothing changed since release {base.version}")
    previous = _answers_to_compare(folder, base)
    while True:
        version = version_after(taken, last.at)
        manifest = _write(uow, stage, _head(uow, version, last, base), previous)
        if not folder.of(version).exists():
            return manifest, False
        if folder.holds_alike(stage, version):
            return manifest, True
        empty(stage)
        taken.append(version)


def _head_event(uow: UnitOfWork) -> Event:
    found = uow.events.page(uow.events.last() - 1, 1)
    if not found:
        raise Clash("there is nothing to release yet: no event stands")
    return found[0]


def _changed_since(uow: UnitOfWork, sequence: int) -> bool:
    """Return whether anything but building and withdrawing releases happened after event ``sequence``."""
    while events := uow.events.page(sequence, BATCH):
        if any(e.kind not in (BUILT, WITHDRAWN) for e in events):
            return True
        sequence = events[-1].sequence
    return False


def _answers_to_compare(folder: ReleaseFolder, base: StoredRelease | None) -> Path | None:
    if base is None:
        return None
    listed = {f["path"]: f["sha256"] for f in base.manifest["files"]}
    for name in {ANSWERS_FILE, *({SHOCK_ANSWERS_FILE} & set(listed))}:
        path = folder.of(base.version) / name
        if not path.is_file() or facts_of(path).sha256 != listed.get(name):
            raise Clash(
                f"{path} is not as release {base.version} has it, so there is nothing to compare with; "
                "put the release's files back, or withdraw it"
            )
    return folder.of(base.version)


def _head(uow: UnitOfWork, version: str, last: Event, base: StoredRelease | None) -> ReleaseHead:
    return ReleaseHead(
        version,
        last.sequence,
        last.at[:10],
        uow.settings.get("title") or "Boltspan",
        uow.settings.get("licence") or "CC0-1.0",
        is_demo(uow),
        base.version if base is not None else None,
        last.hash or None,
    )


def _write(uow: UnitOfWork, stage: Path, head: ReleaseHead, previous: Path | None) -> dict[str, Any]:
    models = uow.catalogue.models()
    shocks = _shocks(uow)
    # A make of nothing but proposals is not published yet.
    with_models = {m.make for m in models} | {m.make for m in shocks.models}
    makes = [m for m in uow.catalogue.makes() if m.slug in with_models]
    licence_text = (dataset_folder() / LICENCE_FILE).read_text("utf-8")
    return write_release(stage, head, makes, models, _released(uow), licence_text, previous, shocks)


def _released(uow: UnitOfWork) -> Iterator[ReleasedFrame]:
    """Yield every listed frame in order, a batch in memory at a time."""
    listed = (s for s in uow.catalogue.every_frame() if s.listed)
    while batch := list(islice(listed, BATCH)):
        ids = [s.frame.id for s in batch]
        claims, decisions = uow.statements.claims_of_frames(ids), uow.statements.decisions_of_frames(ids)
        for stored in batch:
            frame = stored.frame
            entry = FrameEntry(frame, tuple(claims.get(frame.id, ())), tuple(decisions.get(frame.id, ())))
            yield ReleasedFrame(entry, _answer(uow, stored) if frame.live else None)


def _shocks(uow: UnitOfWork) -> ReleasedShocks:
    """Return all listed shocks with their answers, and the hardware sizes that were not withdrawn."""
    stored = [s for s in uow.shocks.every_shock() if s.listed]
    ids = [s.shock.id for s in stored]
    claims, decisions = uow.statements.claims_of_frames(ids), uow.statements.decisions_of_frames(ids)
    entries = [ShockEntry(s.shock, tuple(claims[s.shock.id]), tuple(decisions[s.shock.id])) for s in stored]
    answers = [shock(uow, ANYBODY, s.shock.id) if s.shock.live else None for s in stored]
    released = tuple(zip(entries, answers, strict=True))
    hardware = tuple(sorted(hardware_sizes(uow), key=hardware_order))
    return ReleasedShocks(tuple(uow.shocks.models()), released, hardware)


def _answer(uow: UnitOfWork, stored: StoredFrame) -> bytes:
    published = uow.published.get(frame_path(stored.frame.id))
    if published is None or published.body is None:
        raise Unavailable(f"the answer for frame {stored.frame.id} is not encoded; start the service once, then build")
    return published.body


def withdraw_release(actor: Actor, uow: UnitOfWork, clock: Clock, version: str, why: str) -> StoredRelease:
    """Mark a broken release as withdrawn, with the reason, and return it. Its files stay.

    Raises NotAuthenticated, NotAllowed, NotFound, InvalidInput for a reason that is no text, Clash for one that is
    withdrawn already.
    """
    person = actor.permitted("withdraw_release")
    release = _release(uow, version)
    if release.withdrawn_on is not None:
        raise Clash(f"release {version} was withdrawn on {release.withdrawn_on}")
    reason = text_from(why, "/why", 500)
    uow.events.record(person, WITHDRAWN, payload={"release": version, "why": reason})
    withdrawn = replace(release, withdrawn_on=clock.today(), withdrawn_why=reason)
    uow.releases.put(withdrawn)
    return withdrawn


def releases(uow: UnitOfWork) -> dict[str, Any]:
    """Return all releases in short, newest first, withdrawn ones marked."""
    return {"releases": [_short(r) for r in uow.releases.releases()]}


def release(uow: UnitOfWork, version: str) -> dict[str, Any]:
    """Return a release's manifest, with ``withdrawn`` when it is. Raises NotFound."""
    found = _release(uow, version)
    return found.manifest | _mark(found)


def _short(found: StoredRelease) -> dict[str, Any]:
    manifest = found.manifest
    keys = ("version", "built_on", "event", "demo", "title", "licence")
    return {key: manifest[key] for key in keys} | _mark(found)


def _mark(found: StoredRelease) -> dict[str, Any]:
    if found.withdrawn_on is None:
        return {}
    return {"withdrawn": {"on": found.withdrawn_on, "why": found.withdrawn_why or ""}}


def release_file(data: Path, uow: UnitOfWork, version: str, name: str) -> Path:
    """Return the path of a release's file. Only names in its manifest, the manifest and the checksums are known.

    Raises NotFound for a release or a name that is not, and for a file that is not in this data folder.
    """
    found = _release(uow, version)
    path = ReleaseFolder(data).of(found.version) / name
    if name not in UNLISTED | {f["path"] for f in found.manifest["files"]} or not path.is_file():
        raise NotFound("release file", f"{version}/{name}")
    return path


def release_answer(data: Path, uow: UnitOfWork, version: str, frame_id: str) -> bytes:
    """Return the answer for a frame as it stood in a release, the bytes that the look-up sent then.

    Raises NotFound for an unknown release, and for a frame that did not answer in it.
    """
    path = release_file(data, uow, version, ANSWERS_FILE)
    body = find_answer(path, frame_id) if is_id("frame", frame_id) else None
    if body is None:
        raise NotFound("frame", f"{frame_id} in release {version}")
    return body


def verify_release(path: Path) -> list[str]:
    """Return what is wrong in a release's folder, a sentence for each file that is missing, extra or changed."""
    return verify_files(path)


def _release(uow: UnitOfWork, version: str) -> StoredRelease:
    found = uow.releases.release(version) if VERSION.fullmatch(version) else None
    if found is None:
        raise NotFound("release", version)
    return found
