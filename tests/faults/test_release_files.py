"""Fault 28: names that lead out of a release's folder."""

from __future__ import annotations

import socket

import pytest

from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.publish import build_release, releases
from tests.faults.conftest import Running

SECRET = b"this file is nobody's business"
NAMES = (
    "../../../secret.txt",
    "..%2f..%2f..%2fsecret.txt",
    "%2e%2e/%2e%2e/%2e%2e/secret.txt",
    "%2e%2e%2f%2e%2e%2f%2e%2e%2fsecret.txt",
    "..%252f..%252f..%252fsecret.txt",
    "..\\..\\..\\secret.txt",
    "..%5c..%5c..%5csecret.txt",
    "....//....//....//secret.txt",
    "/etc/passwd",
    "%2fetc%2fpasswd",
    "ends.csv/../../../../secret.txt",
    "./ends.csv",
    "%2e/ends.csv",
    "ends.csv/",
    "ends.csv%20",
    "ENDS.CSV",
    ".lock",
    "../.lock",
    "file:%2f%2f%2fetc%2fpasswd",
    "%ef%bc%8e%ef%bc%8e/secret.txt",
    "secret.txt",
    "link.txt",
    ".",
    "..",
    "",
)
BROKEN = ("ends.csv%00", "%00", "..%00/secret.txt", "ends.csv%00.txt", "%c0%ae%c0%ae/secret.txt", "%ff")


def asked(running: Running, target: str) -> tuple[int, bytes]:
    """Return status and bytes of the answer to exactly this target; no client tidies it up before."""
    with socket.create_connection(("127.0.0.1", running.service.port), timeout=20) as connection:
        connection.sendall(f"GET {target} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n".encode())
        answer = b"".join(iter(lambda: connection.recv(65536), b""))
    return int(answer.split(b" ", 2)[1]), answer


@pytest.fixture
def version(shared: Running) -> str:
    """A release of the shared service, with files around it that are none of its own."""
    data = shared.service.data
    with shared.storage.reading() as uow:
        known = [str(r["version"]) for r in releases(uow)["releases"]]
    found = known[0] if known else build_release(COMMAND_LINE, shared.storage, data).version
    (data / "secret.txt").write_bytes(SECRET)
    (data / "releases" / "secret.txt").write_bytes(SECRET)
    folder = data / "releases" / found
    folder.chmod(0o755)
    (folder / "secret.txt").write_bytes(SECRET)  # in the folder, but not in the manifest
    if not (folder / "link.txt").is_symlink():
        (folder / "link.txt").symlink_to(data / "secret.txt")
    return found


def test_names_that_lead_elsewhere_are_not_found(shared: Running, version: str) -> None:
    """Fault 28: ``../``, ``%2e%2e``, backslashes, absolute names, links, names beside the manifest: 404."""
    base = f"/v1/releases/{version}/files/"
    assert asked(shared, f"{base}ends.csv")[0] == 200
    for name in NAMES:
        status, answer = asked(shared, base + name)
        assert status == 404, (name, answer)
        assert SECRET not in answer
        assert b"root:" not in answer


def test_names_with_nul_and_broken_characters_are_refused(shared: Running, version: str) -> None:
    """Fault 28: NUL, overlong and broken UTF-8 in a name: 422, before any file is looked for."""
    for name in BROKEN:
        status, answer = asked(shared, f"/v1/releases/{version}/files/{name}")
        assert status == 422, (name, answer)
        assert SECRET not in answer


@pytest.mark.parametrize("release", ["..", "%2e%2e", "..%2f..", ".", "2026.01.1%2f..", "9999.12.1", "%2e%2e%5c", "*"])
def test_releases_that_lead_elsewhere_are_not_found(shared: Running, version: str, release: str) -> None:
    """Fault 28: the same in the place of the version."""
    for rest in ("/files/secret.txt", "/files/ends.csv", ""):
        status, answer = asked(shared, f"/v1/releases/{release}{rest}")
        assert status == 404, answer
        assert SECRET not in answer
    assert asked(shared, f"/v1/frames/f-0000000001?release={release}")[0] in (404, 422)
