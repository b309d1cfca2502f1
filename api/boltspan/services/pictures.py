"""Strangers' photos made safe: told by their content, bounded before decoding, drawn anew without hidden data.

The bytes that came in are never kept. What is kept is a WebP of the pixels alone: no position, no time, no camera, no
text, no profile. The orientation that a camera notes beside the pixels is applied to them first.
"""

from __future__ import annotations

import hashlib
import io
import re
import threading
from dataclasses import dataclass
from typing import Final

from PIL import Image, ImageOps

from boltspan.domain.errors import InvalidInput, Unavailable, WrongType

MOST_BYTES: Final = 15 * 1024 * 1024
MOST_PIXELS: Final = 52_000_000
"""What phones make in one shot (50 megapixels); decoded it takes some 200 MB."""
MOST_SCANS: Final = 100
"""A JPEG that shows in steps has some ten scans. Each goes over all pixels, however few bytes it takes: a small file of
thousands of them would keep the decoder for hours (judgement).
"""
LONGEST_SIDE_PX: Final = 2400
QUALITY: Final = 82
AT_ONCE: Final = 1
PATIENCE_S: Final = 20.0
_NEXT_MARKER: Final = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]", re.DOTALL)
_decoding: Final = threading.BoundedSemaphore(AT_ONCE)

Image.MAX_IMAGE_PIXELS = None  # its own guard lets up to 179 million pass; ours stands before every decoding


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo as it is kept: WebP bytes, their SHA-256, and its size in pixels."""

    webp: bytes
    hash: str
    width_px: int
    height_px: int


def cleaned(raw: bytes, pointer: str = "") -> Picture:
    """Return the picture in ``raw`` drawn anew: upright, at most 2,400 pixels on its longer side, without hidden data.

    Raises WrongType for whatever is no JPEG, PNG or WebP by its content; InvalidInput naming ``pointer`` for more than
    15 MiB, more than 52 million pixels or 100 scans of a JPEG (told before anything is decoded) and for a picture that
    is broken; Unavailable when others are being decoded for too long.
    """
    if len(raw) > MOST_BYTES:
        raise InvalidInput.one(pointer, "photo_too_large", "the photo has too many bytes", got=len(raw),
                               accepted=f"at most {MOST_BYTES} bytes")  # fmt: skip
    if (kind := kind_of(raw)) is None:
        raise WrongType("this is no JPEG, PNG or WebP")
    if kind == "WEBP":  # its decoder makes room for all pixels as soon as it is opened
        _check_pixels(*_webp_size(raw), pointer)
    if kind == "JPEG" and (scans := _scans(raw)) > MOST_SCANS:
        raise InvalidInput.one(pointer, "too_many_scans", "the JPEG is made of too many layers", got=scans,
                               accepted=f"at most {MOST_SCANS} scans")  # fmt: skip
    if not _decoding.acquire(timeout=PATIENCE_S):
        raise Unavailable("other photos are being read; try again")
    try:
        return _drawn_anew(raw, kind, pointer)
    except (InvalidInput, MemoryError):
        raise
    except Exception as broken:
        raise InvalidInput.one(pointer, "broken_photo", f"the {kind} is broken or cut off",
                               accepted="a whole JPEG, PNG or WebP") from broken  # fmt: skip
    finally:
        _decoding.release()


def kind_of(raw: bytes) -> str | None:
    """Return JPEG, PNG or WEBP by the first bytes; None for anything else."""
    if raw.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if raw.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    return "WEBP" if raw[:4] == b"RIFF" and raw[8:12] == b"WEBP" else None


def _drawn_anew(raw: bytes, kind: str, pointer: str) -> Picture:
    with Image.open(io.BytesIO(raw), formats=(kind,)) as opened:
        _check_pixels(*opened.size, pointer)
        opened.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))  # a JPEG is read at a half, quarter or eighth
        upright = ImageOps.exif_transpose(opened)
        upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX), Image.Resampling.LANCZOS)
        pixels = upright.convert("RGBA" if upright.has_transparency_data else "RGB")
    drawn = Image.new("RGB", pixels.size, "white")
    drawn.paste(pixels, mask=pixels.getchannel("A") if pixels.mode == "RGBA" else None)
    written = io.BytesIO()
    drawn.save(written, "WEBP", quality=QUALITY, method=4)
    webp = written.getvalue()
    return Picture(webp, hashlib.sha256(webp).hexdigest(), *drawn.size)


def _check_pixels(width: int, height: int, pointer: str) -> None:
    if width < 1 or height < 1 or width * height > MOST_PIXELS:
        raise InvalidInput.one(pointer, "too_many_pixels", "the photo has no pixels or too many",
                               got=f"{width} x {height}", accepted=f"at most {MOST_PIXELS} pixels")  # fmt: skip


def _webp_size(raw: bytes) -> tuple[int, int]:
    """Return width and height from the header of a WebP (RFC 9649, sections 2.5 to 2.7); (0, 0) for another one."""
    chunk = raw[12:16]
    if chunk == b"VP8X":
        return 1 + int.from_bytes(raw[24:27], "little"), 1 + int.from_bytes(raw[27:30], "little")
    if chunk == b"VP8L":
        bits = int.from_bytes(raw[21:25], "little")
        return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
    if chunk == b"VP8 ":
        return int.from_bytes(raw[26:28], "little") & 0x3FFF, int.from_bytes(raw[28:30], "little") & 0x3FFF
    return 0, 0


def _scans(raw: bytes) -> int:
    """Return how many scans a JPEG has, at most one more than may be (ITU-T T.81, B.1.1 and B.2.1).

    Segments are passed over by their length, so that a small picture inside one does not count; what stands between
    scans has no marker but restarts. What comes after the end of the picture is another picture, or none.
    """
    found, at = 0, 2
    while (marker := _NEXT_MARKER.search(raw, at)) is not None and found <= MOST_SCANS:
        kind, at = raw[marker.end() - 1], marker.end()
        if kind == 0xD9:
            break
        found += kind == 0xDA
        if kind not in (0x01, 0xD8):
            at += int.from_bytes(raw[at : at + 2], "big")
    return found
