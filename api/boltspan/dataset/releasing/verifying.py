"""Checks a release's folder against its own lists: nothing missing, nothing extra, nothing changed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from boltspan.dataset.releasing.datapackage import DATAPACKAGE_FILE
from boltspan.dataset.releasing.files import CHECKSUMS_FILE, MANIFEST_FILE, UNLISTED, facts_of
from boltspan.dataset.releasing.lines import FRAMES_FILE, SHOCKS_FILE
from boltspan.dataset.schemas import schema_problems
from boltspan.domain.errors import BrokenJson, InvalidInput
from boltspan.domain.jsontext import loads

MANIFEST_SCHEMA: Final = "release-1"
_LINES: Final = {FRAMES_FILE: "frame-1", SHOCKS_FILE: "shock-1"}
"""Files with one record a line, and the schema that each line keeps."""
MOST_LINES_TOLD: Final = 20
_LINE: Final = re.compile(r"([0-9a-f]{64})  ([A-Za-z0-9_][A-Za-z0-9._-]*)")


def verify_files(folder: Path) -> list[str]:
    """Return what is wrong in a release's folder, one sentence each, files by name; [] when all is in order.

    The manifest is held against its schema, both lists against each other and against the files, the data package
    against the manifest, and each line of ``frames.jsonl`` against the schema of frames. A folder that is not there is
    one problem.
    """
    if not folder.is_dir():
        return [f"{folder}: there is no such folder"]
    found: list[str] = []
    manifest = _json_of(folder / MANIFEST_FILE, found)
    if manifest is not None and (wrong := schema_problems(MANIFEST_SCHEMA, manifest, MANIFEST_FILE)):
        found += [problem.text() for problem in wrong]
        manifest = None
    sums = _checksums(folder / CHECKSUMS_FILE, found)
    listed = {str(f["path"]): f for f in manifest["files"]} if manifest is not None else {}
    changed = set(_files_told(folder, listed, sums, found))
    if manifest is not None:
        found += _datapackage_told(folder, manifest, listed)
    for name, schema in _LINES.items():
        if name in listed and name not in changed and (folder / name).is_file():
            found += _lines_told(folder / name, schema, listed[name].get("records"))
    return found


def _json_of(path: Path, found: list[str]) -> Any:
    """Return what a JSON file says, or None after telling why it says nothing."""
    try:
        return loads(path.read_bytes())
    except FileNotFoundError:
        return None  # told with the other files
    except (BrokenJson, InvalidInput) as e:
        found.append(f"{path.name}: cannot be read: {e}")
        return None


def _checksums(path: Path, found: list[str]) -> dict[str, str]:
    """Return the hashes of SHA256SUMS by file name; what is no such line is told."""
    if not path.is_file():
        return {}
    sums: dict[str, str] = {}
    for number, line in enumerate(path.read_bytes().decode("utf-8", "replace").splitlines(), 1):
        if (match := _LINE.fullmatch(line)) is None or match[2] in sums:
            found.append(f"{path.name}: line {number} is no hash of a file of its own")
        else:
            sums[match[2]] = match[1]
    return sums


def _files_told(
    folder: Path, listed: Mapping[str, Mapping[str, Any]], sums: Mapping[str, str], found: list[str]
) -> Iterator[str]:
    """Tell of every file that is missing, extra or changed, and yield the changed ones' names."""
    there = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_symlink() or not p.is_dir()}
    wanted = UNLISTED | set(listed) | set(sums)
    for name in sorted(wanted | there):
        path = folder / name
        if name not in there:
            found.append(f"{name}: missing")
        elif name not in wanted:
            found.append(f"{name}: extra, the release does not list it")
        elif path.is_symlink() or not path.is_file():
            found.append(f"{name}: not a plain file")
        elif name != CHECKSUMS_FILE:
            wrong = _told_against_lists(path, listed.get(name), sums.get(name), unlisted=not listed or name in UNLISTED)
            found += wrong
            if wrong:
                yield name


def _told_against_lists(
    path: Path, entry: Mapping[str, Any] | None, sha256: str | None, *, unlisted: bool
) -> list[str]:
    facts, name = facts_of(path), path.name
    wrong = []
    if sha256 is None:
        wrong.append(f"{name}: not in {CHECKSUMS_FILE}")
    elif sha256 != facts.sha256:
        wrong.append(f"{name}: changed, its hash is not the one in {CHECKSUMS_FILE}")
    if entry is not None and (entry["sha256"], entry["bytes"]) != (facts.sha256, facts.bytes):
        wrong.append(f"{name}: changed, its hash or size is not the one in {MANIFEST_FILE}")
    elif entry is None and not unlisted:
        wrong.append(f"{name}: not in {MANIFEST_FILE}")
    return wrong


def _datapackage_told(
    folder: Path, manifest: Mapping[str, Any], listed: Mapping[str, Mapping[str, Any]]
) -> Iterator[str]:
    found: list[str] = []
    package = _json_of(folder / DATAPACKAGE_FILE, found) if (folder / DATAPACKAGE_FILE).is_file() else None
    yield from found
    if not isinstance(package, Mapping):
        return
    if package.get("version") != manifest["version"]:
        yield f"{DATAPACKAGE_FILE}: its version is {package.get('version')!r}, the manifest's {manifest['version']}"
    resources = package.get("resources")
    for resource in resources if isinstance(resources, list) else ():
        entry = listed.get(str(resource.get("path"))) if isinstance(resource, Mapping) else None
        if entry is None:
            yield f"{DATAPACKAGE_FILE}: a resource is no file of the manifest"
        elif (resource.get("hash"), resource.get("bytes")) != (f"sha256:{entry['sha256']}", entry["bytes"]):
            yield f"{DATAPACKAGE_FILE}: hash or size of {entry['path']} is not the manifest's"


def _lines_told(path: Path, schema: str, records: int | None) -> Iterator[str]:
    told = count = 0
    with path.open("rb") as file:
        for count, line in enumerate(file, 1):
            for wrong in _line_told(line, schema):
                if told < MOST_LINES_TOLD:
                    yield f"{path.name}: line {count}: {wrong}"
                told += 1
    if told > MOST_LINES_TOLD:
        yield f"{path.name}: {told - MOST_LINES_TOLD} more problems in its lines"
    if records is not None and records != count:
        yield f"{path.name}: {count} lines, the manifest says {records}"


def _line_told(line: bytes, schema: str) -> list[str]:
    try:
        data = loads(line)
    except (BrokenJson, InvalidInput) as e:
        return [f"cannot be read: {e}"]
    return [problem.text() for problem in schema_problems(schema, data)]
