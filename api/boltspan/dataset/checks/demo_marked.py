"""Invented records cite invented addresses, and real records none.

Addresses reserved for examples (RFC 2606, sections 2 and 3) can belong to nobody. An invented record that cites a
real page would put words into somebody's mouth; an invented one in a real dataset would sell wrong parts.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final
from urllib.parse import urlsplit

from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem, shown
from boltspan.domain.sources import Source

CODE: Final = "demo"
NAME: Final = "invented records are marked"
_RESERVED_ENDS: Final = (".test", ".example", ".invalid", ".localhost")
_RESERVED_HOSTS: Final = ("example.com", "example.net", "example.org")


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem for each source whose address does not go with the dataset's ``demo``."""
    if records.dataset is None:
        return
    sources = [(c.path, f"{c.pointer}/source", c.record.source) for c in records.claims]
    sources += [
        (f.path, f"{f.pointer}/same_ends/source", f.record.same_ends.source)
        for f in records.frames
        if f.record.same_ends
    ]
    sources += [
        (s.path, f"{s.pointer}/sold_with/{i}/source", sold.source)
        for s in records.shocks
        for i, sold in enumerate(s.record.sold_with)
    ]
    sources += [(row.path, f"{row.pointer}/source", row.record.source) for row in records.hardware]
    for path, pointer, source in sources:
        if records.dataset.demo and source.url is not None and not _reserved(urlsplit(source.url).hostname or ""):
            detail = "the dataset is marked as invented, and this address may be real"
            accepted = f"an address at one of {', '.join(_RESERVED_HOSTS)} or *{', *'.join(_RESERVED_ENDS)}"
            yield Problem(path, f"{pointer}/url", CODE, detail, shown(source.url), accepted)
        elif not records.dataset.demo and any(map(_reserved, _hosts(source))):
            detail = "an invented source in a dataset that is not marked as invented"
            yield Problem(path, pointer, CODE, detail, shown(source.url or source.document), "a real source")


def _hosts(source: Source) -> list[str]:
    """Return the host of the source's address, and of its document's name when that is one."""
    host = urlsplit(source.url).hostname if source.url else None
    document = (source.document or "").partition("/")[0].partition(":")[0]
    return [h for h in (host, document) if h]


def _reserved(host: str) -> bool:
    """Return whether ``host`` is reserved for examples, a name below a reserved one included."""
    name = f".{host.casefold().rstrip('.')}"
    return name.endswith((*_RESERVED_ENDS, *(f".{h}" for h in _RESERVED_HOSTS)))
