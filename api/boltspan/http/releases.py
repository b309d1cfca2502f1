"""Releases of the dataset: numbered, immutable, marked when broken, never removed."""

from __future__ import annotations

import hashlib
from pathlib import Path

from flask import Response, send_file

from boltspan.http.call import Call
from boltspan.http.headers import IMMUTABLE_CACHE
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.schemas import answers, examples
from boltspan.services import publish

resource = Resource("releases", __name__, description="Numbered publications of the dataset, and their files.")
_PLAIN = {".csv": "text/csv; charset=utf-8", ".json": "application/json", ".jsonl": "application/jsonl"}


@resource.operation(
    "/v1/releases",
    answers=[Answer(200, answers.ReleaseList, "The releases.", examples.RELEASES, KEPT), NOT_MODIFIED],
)
def list_releases(call: Call) -> Response:
    """List all releases, newest first; broken ones are marked as withdrawn."""
    with call.reading() as uow:
        return call.shown(publish.releases(uow))


@resource.operation(
    "/v1/releases/<version>",
    answers=[Answer(200, answers.Release, "The manifest.", examples.RELEASE, KEPT), NOT_MODIFIED],
    problems=[404],
)
def show_release(call: Call, version: str) -> Response:
    """Show a release's manifest: its files with their sizes and checksums."""
    with call.reading() as uow:
        return call.shown(publish.release(uow, version))


@resource.operation(
    "/v1/releases/<version>/files/<path:name>",
    answers=[
        Answer(200, {"type": "string", "format": "binary"}, "The file.", None, KEPT, "application/octet-stream"),
        NOT_MODIFIED,
    ],
    problems=[404],
)
def download_release_file(call: Call, version: str, name: str) -> Response:
    """Download a file of a release. It never changes, so it may be kept for ever."""
    with call.reading() as uow:
        path = publish.release_file(call.parts.settings.data, uow, version, name)
        known = {f["path"]: f for f in publish.release(uow, version)["files"]}.get(name, {})
    tag = str(known.get("sha256") or _sha256(path))[:32]
    response = send_file(path.absolute(), mimetype=known.get("media_type") or _PLAIN.get(path.suffix, "text/plain"),
                         conditional=True, etag=tag, last_modified=None)  # fmt: skip
    response.headers["Cache-Control"] = IMMUTABLE_CACHE
    response.headers.pop("Last-Modified", None)
    return response


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
