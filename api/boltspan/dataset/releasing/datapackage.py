"""The description of a release for machines: a Data Package, version 2 (datapackage.org)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from boltspan.dataset.releasing.files import FileFacts
from boltspan.dataset.releasing.head import ReleaseHead
from boltspan.dataset.releasing.lines import ANSWERS_FILE, FRAMES_FILE, SHOCK_ANSWERS_FILE, SHOCKS_FILE
from boltspan.dataset.releasing.tables import TABLES, Table

DATAPACKAGE_FILE: Final = "datapackage.json"
_PROFILES: Final = "https://datapackage.org/profiles/2.0"
_LICENCES: Final = {
    "CC0-1.0": {
        "name": "CC0-1.0",
        "title": "Creative Commons Zero v1.0 Universal",
        "path": "https://creativecommons.org/publicdomain/zero/1.0/",
    }
}
_LINES: Final = {
    FRAMES_FILE: "Frames with every claim and decision; each line keeps the schema frame/1.",
    SHOCKS_FILE: "Shocks with every claim and decision; each line keeps the schema shock/1.",
    ANSWERS_FILE: "The answer of the look-up for each frame, byte for byte, sorted by id.",
    SHOCK_ANSWERS_FILE: "The answer of the look-up for each shock, sorted by id.",
}


def datapackage(head: ReleaseHead, facts: Mapping[str, FileFacts]) -> dict[str, Any]:
    """Return the descriptor of a release whose data files are ``facts`` by name."""
    about = "What mounting hardware mountain-bike frames need at each end of their rear shock."
    return {
        "$schema": f"{_PROFILES}/datapackage.json",
        "name": "boltspan",
        "title": head.title,
        "description": "\n\n".join([about, *head.notes]),
        "version": head.version,
        "created": f"{head.built_on}T00:00:00Z",
        "licenses": [_LICENCES[head.licence]],
        "demo": head.demo,
        "resources": [_table_resource(t, facts[t.file]) for t in TABLES]
        + [_lines_resource(name, says, facts[name]) for name, says in _LINES.items()],
    }


def _table_resource(table: Table, facts: FileFacts) -> dict[str, Any]:
    keys = [
        {"fields": list(r.columns), "reference": {"resource": r.table, "fields": list(r.target)}}
        for r in table.references
    ]
    schema = {
        "$schema": f"{_PROFILES}/tableschema.json",
        "fields": [column.described for column in table.columns],
        "missingValues": [""],
        "primaryKey": list(table.key),
    } | ({"foreignKeys": keys} if keys else {})
    return _resource(table.name, table.file, table.title, facts) | {
        "type": "table",
        "format": "csv",
        "dialect": {"delimiter": ",", "quoteChar": '"', "doubleQuote": True, "header": True},
        "schema": schema,
    }


def _lines_resource(name: str, says: str, facts: FileFacts) -> dict[str, Any]:
    # Not "jsonl": readers of Data Packages take that for a table, and these records are no rows.
    return _resource(name.replace(".jsonl", "_lines"), name, says, facts) | {"format": "json-lines"}


def _resource(name: str, path: str, title: str, facts: FileFacts) -> dict[str, Any]:
    return {
        "$schema": f"{_PROFILES}/dataresource.json",
        "name": name,
        "path": path,
        "title": title,
        "mediatype": facts.media_type,
        "encoding": "utf-8",
        "bytes": facts.bytes,
        "hash": f"sha256:{facts.sha256}",
    }
