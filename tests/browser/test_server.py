"""What only a real server shows: bodies in chunks, bodies too long, paths as they come off the wire."""

from __future__ import annotations

import http.client


def test_the_server_answers_chunked_and_compressed_bodies_and_raw_paths(address: str) -> None:
    host = address.removeprefix("http://")

    def ask(method: str, path: str, body: object = None, **headers: str) -> tuple[int, bytes]:
        connection = http.client.HTTPConnection(host, timeout=30)
        connection.request(method, path, body, {k.replace("_", "-"): v for k, v in headers.items()},
                           encode_chunked=not isinstance(body, bytes | None))  # type: ignore[arg-type]  # fmt: skip
        answer = connection.getresponse()
        found = answer.status, answer.read()
        connection.close()
        return found

    json = {"Content_Type": "application/json"}
    small = iter([b'{"text": ', b'"30 x M8"}'])
    assert ask("POST", "/v1/bench/labels", small, Transfer_Encoding="chunked", **json)[0] == 200
    large = (b"x" * 65536 for _ in range(40))
    assert ask("POST", "/v1/bench/labels", large, Transfer_Encoding="chunked", **json)[0] == 413
    assert ask("POST", "/v1/bench/labels", b"x" * (1024 * 1024 + 1), **json)[0] == 413
    assert ask("GET", "/v1/frames/%ED%A0%80")[0] == 422
    assert ask("GET", "/v1/frames/f-%00")[0] == 422
    status, body = ask("GET", "/v1/frames/%66-0000000001")
    assert (status, b"f-0000000001" in body) == (200, True)
