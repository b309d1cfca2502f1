"""Photos over HTTP: told by content, bounded before decoding, without hidden data, private until accepted."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

import pytest
from PIL import ExifTags, Image
from werkzeug.test import TestResponse

from boltspan.services import pictures
from tests.http.world import F1, Site, settle


def photo(kind: str = "JPEG", size: tuple[int, int] = (60, 40), **saved: Any) -> bytes:
    """Return a picture, red on its left half and blue on its right."""
    image = Image.new("RGB", size, "red")
    image.paste("blue", (size[0] // 2, 0, *size))
    written = io.BytesIO()
    image.save(written, kind, **saved)
    return written.getvalue()


def with_position() -> Image.Exif:
    """Return what a camera writes beside the pixels: the place, the time, a serial number, and "turn me right"."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6  # turned a quarter to the right when shown (Exif 2.32, table 6)
    exif[ExifTags.Base.Make] = "an invented camera"
    exif[ExifTags.Base.DateTime] = "2026:05:01 12:34:56"
    exif.get_ifd(ExifTags.IFD.GPSInfo).update({
        ExifTags.GPS.GPSLatitudeRef: "N", ExifTags.GPS.GPSLatitude: (47.0, 11.0, 7.5),
        ExifTags.GPS.GPSLongitudeRef: "E", ExifTags.GPS.GPSLongitude: (8.0, 33.0, 9.25),
    })  # fmt: skip
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.BodySerialNumber] = "SN-4711"
    return exif


def send(
    site: Site, claim: str, raw: bytes, who: str = "ann", licence: str = "CC-BY-4.0", **options: Any
) -> TestResponse:
    """Send a photo of a claim."""
    headers = {"Content-Type": options.pop("type", "image/jpeg")}
    return site.send(
        "POST", f"/v1/claims/{claim}/photos?licence={licence}", who=who, raw=raw, headers=headers, **options
    )


@pytest.fixture
def claim(site: Site) -> str:
    """Return the id of a claim of ann's."""
    return str(site.claim("ann").json["claim"]["id"])


def test_position_time_and_serial_number_are_gone_and_the_orientation_is_kept(site: Site, claim: str) -> None:
    raw = photo(exif=with_position(), quality=95)
    before = Image.open(io.BytesIO(raw)).getexif()
    assert before.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] == (47.0, 11.0, 7.5)
    sent = send(site, claim, raw)
    assert sent.status_code == 201, sent.text
    shown = site.get(sent.json["path"], who="ann")
    stored = shown.data
    assert sent.json["path"] == sent.headers["Location"]
    assert (shown.headers["Content-Type"], shown.headers["X-Content-Type-Options"]) == ("image/webp", "nosniff")
    [path] = (site.data / "photos").rglob("*.webp")
    assert (path.stem, path.read_bytes()) == (sent.json["hash"], stored)
    for told in (b"EXIF", b"Exif", b"XMP", b"ICCP", b"GPS", b"invented", b"SN-4711", b"2026"):
        assert told not in stored, told
    kept = Image.open(io.BytesIO(stored))
    assert (kept.format, kept.size, kept.mode) == ("WEBP", (40, 60), "RGB")
    assert (dict(kept.getexif()), set(kept.info) & {"exif", "xmp", "icc_profile"}) == ({}, set())
    red, blue = kept.getpixel((20, 5)), kept.getpixel((20, 55))  # what was left is on top after the turn
    assert isinstance(red, tuple)
    assert isinstance(blue, tuple)
    assert red[0] > 200
    assert red[2] < 60
    assert blue[0] < 60
    assert blue[2] > 200
    assert (sent.json["width_px"], sent.json["height_px"], sent.json["bytes"]) == (40, 60, len(stored))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_content_decides_whatever_the_header_says(site: Site, claim: str, kind: str) -> None:
    assert send(site, claim, photo(kind), type="image/png").status_code == 201
    assert send(site, claim, photo(kind, (61, 40)), type="application/octet-stream").status_code == 201


@pytest.mark.parametrize(
    "raw",
    [
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"GIF89a" + b"\0" * 40,
        b"\0\0\0\x1cftypheic\0\0\0\0mif1heic",
        b"%PDF-1.7\xff\xd8\xff",
        b"BM" + b"\0" * 60,
        b"hello",
    ],
)
def test_everything_else_is_refused_by_content(site: Site, claim: str, raw: bytes) -> None:
    sent = send(site, claim, raw)
    assert (sent.status_code, sent.json["code"]) == (415, "unsupported_media_type")
    assert not (site.data / "photos").exists()


def png_of(width: int, height: int) -> bytes:
    """Return a small PNG whose pixels are all black: a bomb when it is decoded (PNG, third edition, clause 11)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    packer = zlib.compressobj(9)
    rows = b"".join(packer.compress(b"\0" * (1 + (width + 7) // 8)) for _ in range(height)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def test_a_pixel_bomb_is_refused_before_it_is_decoded(site: Site, claim: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """15,000 x 15,000 pixels in some kilobytes; and a WebP that claims 16,384 x 16,384."""
    decoded: list[object] = []
    monkeypatch.setattr(Image.Image, "load", lambda *a: decoded.append(a))
    monkeypatch.setattr("PIL.WebPImagePlugin.WebPImageFile._open", lambda *a: decoded.append(a))
    bomb = png_of(15_000, 15_000)
    assert len(bomb) < 100_000
    claimed = b"RIFF\x1e\0\0\0WEBPVP8X\x0a\0\0\0\0\0\0\0" + b"\xff\x3f\x00" * 2 + b"VP8 \0\0\0\0"
    for raw in (bomb, claimed):
        sent = send(site, claim, raw)
        assert (sent.status_code, sent.json["errors"][0]["code"]) == (422, "too_many_pixels")
    assert decoded == []


def test_a_jpeg_of_thousands_of_scans_is_refused_before_it_is_decoded(
    site: Site, claim: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A scan of some bytes goes over all pixels (ITU-T T.81, G.1); one in steps as encoders write it is taken."""
    whole = io.BytesIO()
    Image.new("RGB", (640, 480), "grey").save(whole, "JPEG", progressive=True)
    raw = whole.getvalue()
    assert raw.count(b"\xff\xda") > 5
    assert send(site, claim, raw).status_code == 201
    last = raw[raw.rindex(b"\xff\xda") : -2]
    hidden = b"\xff\xe1\x04\x02" + (b"\xff\xda" * 512)  # inside a segment it is no scan
    assert send(site, claim, raw[:2] + hidden + raw[2:]).status_code in (200, 201)
    monkeypatch.setattr(Image.Image, "load", lambda *a: pytest.fail("it was decoded"))
    sent = send(site, claim, raw[:-2] + last * 5000 + raw[-2:])
    assert (sent.status_code, sent.json["errors"][0]["code"]) == (422, "too_many_scans")


def test_too_many_bytes_and_broken_pictures_are_refused(
    site: Site, claim: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = photo(size=(400, 300))
    for raw in (
        whole[: len(whole) // 2],
        photo("PNG", (300, 300))[:-300],
        photo("WEBP")[:40],
        b"\xff\xd8\xff" + b"\0" * 99,
    ):
        sent = send(site, claim, raw)
        assert (sent.status_code, sent.json["errors"][0]["code"]) == (422, "broken_photo"), raw[:8]
    assert send(site, claim, b"").status_code == 415
    monkeypatch.setattr("boltspan.http.photos.MOST_BYTES", 2000)
    sent = send(site, claim, photo(size=(800, 800), quality=100) + b"\0" * 2000)
    assert (sent.status_code, sent.json["code"]) == (413, "too_large")
    assert [p.name for p in site.data.rglob("*") if p.is_file()] == []


def test_a_large_photo_is_made_smaller_and_a_transparent_one_is_laid_on_white(site: Site, claim: str) -> None:
    sent = send(site, claim, photo(size=(6000, 3000)))
    assert (sent.json["width_px"], sent.json["height_px"]) == (pictures.LONGEST_SIDE_PX, 1200)
    written = io.BytesIO()
    Image.new("RGBA", (20, 20), (255, 0, 0, 0)).save(written, "PNG")
    sent = send(site, claim, written.getvalue())
    kept = Image.open(io.BytesIO(site.get(sent.json["path"], who="ann").data))
    corner = kept.getpixel((3, 3))
    assert isinstance(corner, tuple)
    assert min(corner[:3]) > 250


def test_a_photo_is_shown_to_all_only_once_its_claim_is_accepted(site: Site, claim: str) -> None:
    path = send(site, claim, photo()).json["path"]
    assert [site.get(path, who=who).status_code for who in (None, "ben", "rob", "ann", "mia")] == [
        404,
        404,
        404,
        200,
        200,
    ]
    assert site.get(path, who="ann").headers["Cache-Control"] == "no-store"
    assert path not in site.get(f"/v1/frames/{F1}/claims").text
    case, tag = site.case()
    assert site.post(f"/v1/reviews/{case}/decisions", settle([claim]), who="mia", match=tag).status_code == 201
    sent = site.get(path)
    assert sent.status_code == 200
    assert path in site.get(f"/v1/frames/{F1}/claims").text
    assert sent.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert site.get(path, headers={"If-None-Match": sent.headers["ETag"]}).status_code == 304
    assert site.get("/v1/photos/" + "0" * 64).status_code == 404
    assert site.get("/v1/photos/..%2f..%2fboltspan.db").status_code == 404


def test_only_the_author_adds_photos_with_consent_and_not_too_many(site: Site, claim: str) -> None:
    assert send(site, claim, photo(), who="ben").status_code == 404
    assert send(site, claim, photo(), who="mia").status_code == 404
    assert send(site, claim, photo(), licence="none").status_code == 422
    sent = [send(site, claim, photo(size=(60, 40 + n))).status_code for n in range(7)]
    assert sent == [201] * 6 + [409]
    shown = site.get(f"/v1/claims/{claim}", who="ann").json
    assert len(shown["claim"]["photos"]) == 6
    assert {p["licence"] for p in shown["claim"]["photos"]} == {"CC-BY-4.0"}
    assert len(site.get("/v1/account/data", who="ann").json["photos"]) == 6


def test_the_same_photo_again_is_one_photo(site: Site, claim: str) -> None:
    first, second = send(site, claim, photo(), key="one"), send(site, claim, photo(), key="one")
    assert (first.json, second.status_code) == (second.json, 201)
    events = site.last()
    third = send(site, claim, photo())
    assert (third.json, site.last()) == (first.json, events)
    assert send(site, claim, photo(size=(90, 90)), key="one").json["code"] == "key_reused"


def test_a_full_disk_is_told_and_leaves_nothing_behind(site: Site, claim: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    assert send(site, claim, photo()).status_code == 507
    monkeypatch.undo()
    assert [p for p in site.data.rglob("*") if p.is_file()] == []
    assert send(site, claim, photo()).status_code == 201


def take_back(site: Site, claim: str, path: str, who: str = "ann", **options: Any) -> TestResponse:
    """Take a photo of a claim back."""
    body = {"why": "my hand is in it"}
    return site.post(f"/v1/claims/{claim}/photos/{path.rpartition('/')[2]}/withdrawal", body, who=who, **options)


def files(site: Site) -> list[str]:
    """Return the hashes of the photos that stand in the data folder."""
    return sorted(p.stem for p in (site.data / "photos").rglob("*.webp"))


def test_an_author_takes_a_photo_back_and_it_is_gone_for_all_who_saw_it(site: Site, claim: str) -> None:
    path = send(site, claim, photo()).json["path"]
    case, tag = site.case()
    assert site.post(f"/v1/reviews/{case}/decisions", settle([claim]), who="mia", match=tag).status_code == 201
    answer, since = site.get(f"/v1/frames/{F1}"), site.last()
    assert [take_back(site, claim, path, who=who).status_code for who in ("ben", "mia")] == [404, 404]
    assert site.get(path).status_code == 200
    first, again = take_back(site, claim, path, key="one"), take_back(site, claim, path, key="one")
    assert (first.status_code, first.json) == (200, again.json)
    assert [site.get(path, who=who).status_code for who in (None, "ben", "ann", "mia")] == [410] * 4
    assert (files(site), path in site.get(f"/v1/frames/{F1}/claims").text) == ([], False)
    assert [e["kind"] for e in site.get(f"/v1/changes?since={since}").json["changes"]] == ["photo_withdrawn"]
    assert site.get(f"/v1/frames/{F1}").headers["ETag"] == answer.headers["ETag"]
    assert take_back(site, claim, path).status_code == 404
    assert site.get("/v1/account/data", who="ann").json["photos"] == []
    assert send(site, claim, photo()).status_code == 201  # and may be given again
    assert (site.get(path).status_code, len(files(site))) == (200, 1)


def test_a_photo_of_two_claims_stays_for_the_other_and_an_unseen_one_is_as_if_it_never_was(
    site: Site, claim: str
) -> None:
    other = site.claim("ben", subject="lower", document="example.org/ben").json["claim"]["id"]
    path = send(site, claim, photo()).json["path"]
    assert send(site, other, photo(), who="ben").json["path"] == path
    assert take_back(site, claim, path).status_code == 200
    assert [site.get(path, who=who).status_code for who in ("ann", "ben", "mia", None)] == [404, 200, 200, 404]
    assert len(files(site)) == 1
    assert take_back(site, other, path, who="ben").status_code == 200
    assert [site.get(path, who=who).status_code for who in ("ann", "ben", "mia", None)] == [410, 410, 410, 404]
    assert files(site) == []


def test_a_photo_added_and_taken_back_leaves_no_mark_on_an_answer_that_is_brought_back(site: Site, claim: str) -> None:
    before = site.get(f"/v1/frames/{F1}").data
    path = send(site, claim, photo()).json["path"]
    case, tag = site.case()
    decision = site.post(f"/v1/reviews/{case}/decisions", settle([claim]), who="mia", match=tag).json["decision"]["id"]
    take_back(site, claim, path)
    tag = site.get(f"/v1/reviews/{case}", who="max").headers["ETag"]
    undone = site.post(f"/v1/decisions/{decision}/reversal", {"why": "the wrong line"}, who="max", match=tag)
    assert (undone.status_code, site.get(f"/v1/frames/{F1}").data) == (201, before)
