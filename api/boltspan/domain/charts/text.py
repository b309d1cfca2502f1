"""From bytes to lines: how a chart's text is written, said aloud, and cut at every kind of line break."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

MOST_LINE: Final = 20_000
"""Characters of a line that are read; what a longer one holds beyond is passed over, and its row is refused."""
NOT_DECODED: Final = "\N{REPLACEMENT CHARACTER}"
_LOOKED_AT: Final = 4096
_BREAK: Final = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True)
class Encoding:
    """How the bytes stand for characters: the codec's name, and what is said of it to people."""

    codec: str
    said: str


_UTF8: Final = Encoding("utf-8", "UTF-8")
_MARKED: Final = (
    (codecs.BOM_UTF8, Encoding("utf-8-sig", "UTF-8 with a byte order mark")),
    (codecs.BOM_UTF16_LE, Encoding("utf-16", "UTF-16 with a byte order mark")),
    (codecs.BOM_UTF16_BE, Encoding("utf-16", "UTF-16 with a byte order mark")),
)
# The WHATWG Encoding Standard reads the label latin1 as windows-1252, which adds dashes and curly quotes to it.
_LATIN: Final = Encoding("cp1252", "Latin-1 (windows-1252), since it is no UTF-8")


def encoding_of(chunks: Iterable[bytes]) -> Encoding:
    """Return how the text in ``chunks`` is written.

    A byte order mark says it; without one, zero bytes at every other place are UTF-16; text that is UTF-8 to its end
    is UTF-8 (nothing at all included), and any other is Latin-1.
    """
    decoder = codecs.getincrementaldecoder("utf-8")()
    first = True
    for chunk in chunks:
        if first and chunk:
            first = False
            if (told := _by_first_bytes(chunk)) is not None:
                return told
        try:
            decoder.decode(chunk)
        except UnicodeDecodeError:
            return _LATIN
    try:
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return _LATIN
    return _UTF8


def _by_first_bytes(chunk: bytes) -> Encoding | None:
    for mark, encoding in _MARKED:
        if chunk.startswith(mark):
            return encoding
    even, odd = chunk[:_LOOKED_AT:2].count(0), chunk[1:_LOOKED_AT:2].count(0)
    pairs = min(len(chunk), _LOOKED_AT) // 2
    if pairs and odd > pairs // 2 and not even:
        return Encoding("utf-16-le", "UTF-16, low byte first, without a byte order mark")
    if pairs and even > pairs // 2 and not odd:
        return Encoding("utf-16-be", "UTF-16, high byte first, without a byte order mark")
    return None


def decoded(chunks: Iterable[bytes], encoding: Encoding) -> Iterator[str]:
    """Yield the text of ``chunks``; what the encoding does not hold becomes NOT_DECODED."""
    decoder = codecs.getincrementaldecoder(encoding.codec)("replace")
    for chunk in chunks:
        if text := decoder.decode(chunk):
            yield text
    if text := decoder.decode(b"", final=True):
        yield text


def lines(texts: Iterable[str]) -> Iterator[str]:
    """Yield the lines of the text without their breaks (CR LF, LF, or CR alone); a last line may lack its own.

    A line over MOST_LINE characters is cut one character beyond, so that it shows; the memory used stays bounded.
    """
    rest, skipping = "", False
    for text in texts:
        rest += text
        if skipping:
            rest, skipping = _after_break(rest)
            if skipping:
                continue
        # A CR at the end may be the first half of CR LF.
        held = "\r" if rest.endswith("\r") else ""
        *whole, rest = _BREAK.split(rest.removesuffix("\r"))
        yield from (line[: MOST_LINE + 1] for line in whole)
        if len(rest) > MOST_LINE:
            yield rest[: MOST_LINE + 1]
            rest, skipping = held, True
        else:
            rest += held
    if skipping:
        rest, _ = _after_break(rest)
    *whole, rest = _BREAK.split(rest)
    yield from (line[: MOST_LINE + 1] for line in whole)
    if rest:
        yield rest


def _after_break(text: str) -> tuple[str, bool]:
    """Return what follows the first line break, and False; or what may be half of a break, and True: go on."""
    found = _BREAK.search(text)
    if found is None or (found[0] == "\r" and found.end() == len(text)):
        return text[-1:] if found else "", True
    return text[found.end() :], False
