"""Server CPU per request of a published look-up, beside a bare Flask route and nginx, in one run.

    python tests/benchmarks/bench_published.py [--rounds 5] [--seconds 4] [--connections 16]

Three servers answer with the same bytes on the loopback: Boltspan (`boltspan serve`, two workers), a bare Flask route
with a constant body on the same server program and worker count, and nginx serving the bytes as a file with two
workers (left out when nginx is not installed). Debian's `wrk` makes the load; the CPU is what the kernel accounts to
each server's processes (user and system time of /proc/PID/stat), the caller's own is not counted. The servers take
turns round by round, so that a drifting machine hits all alike; medians and ratios are printed. The targets: at most
0.35 of the bare Flask route, at most 2.5 times nginx.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import re
import shutil
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

WORKERS = 2
THREADS = 200  # as boltspan serve has
TICKS = os.sysconf("SC_CLK_TCK")


@dataclass
class Served:
    """One server: its name, the address asked, and the process that started it."""

    name: str
    url: str
    process: subprocess.Popen[bytes]

    def cpu_seconds(self) -> float:
        """Return user and system time of the process and everything below it."""
        return sum(_ticks(pid) for pid in _family(self.process.pid)) / TICKS


def _family(root: int) -> list[int]:
    children: dict[int, list[int]] = {}
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            with contextlib.suppress(OSError):
                parent = int((entry / "stat").read_text().rpartition(")")[2].split()[1])
                children.setdefault(parent, []).append(int(entry.name))
    found, queue = [], [root]
    while queue:
        found.append(queue.pop())
        queue += children.get(found[-1], [])
    return found


def _ticks(pid: int) -> int:
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return 0
    return int(fields[11]) + int(fields[12])


def _free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


def _wait(url: str, process: subprocess.Popen[bytes]) -> bytes:
    for _ in range(600):
        if process.poll() is not None:
            raise SystemExit(f"{url}: the server ended with {process.returncode}")
        with contextlib.suppress(OSError), urllib.request.urlopen(url, timeout=5) as answer:
            return bytes(answer.read())
        time.sleep(0.05)
    raise SystemExit(f"{url}: no answer within 30 s")


@contextlib.contextmanager
def _started(command: list[str], **settings: str) -> Iterator[subprocess.Popen[bytes]]:
    environment = {k: v for k, v in os.environ.items() if not k.startswith("BOLTSPAN_")} | settings
    with subprocess.Popen(
        command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
    ) as process:
        try:
            yield process
        finally:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGTERM)
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(10)
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)


@contextlib.contextmanager
def _boltspan(folder: Path) -> Iterator[tuple[Served, bytes]]:
    port = _free_port()
    command = [sys.executable, "-m", "boltspan.cli", "serve", "--port", str(port), "--data", str(folder / "data")]
    with _started([*command, "--workers", str(WORKERS)]) as process:
        base = f"http://127.0.0.1:{port}"
        frames = json.loads(_wait(f"{base}/v1/frames?limit=1", process))["frames"]
        url = f"{base}/v1/frames/{frames[0]['id']}"
        yield Served("boltspan", url, process), _wait(url, process)


@contextlib.contextmanager
def _bare_flask(folder: Path, body: bytes) -> Iterator[Served]:
    (folder / "body.json").write_bytes(body)
    (folder / "bare.py").write_text(
        "from pathlib import Path\n"
        "from flask import Flask, Response\n"
        "app = Flask(__name__)\n"
        "BODY = Path(__file__).with_name('body.json').read_bytes()\n"
        "@app.get('/constant')\n"
        "def constant():\n"
        "    return Response(BODY, mimetype='application/json')\n"
    )
    port = _free_port()
    command = [sys.executable, "-m", "granian", "--interface", "wsgi", "--host", "127.0.0.1", "--port", str(port)]
    command += [
        "--workers",
        str(WORKERS),
        "--no-access-log",
        "--blocking-threads",
        str(THREADS),
        "--working-dir",
        str(folder),
        "bare:app",
    ]
    with _started(command, PYTHONPATH=str(folder)) as process:
        url = f"http://127.0.0.1:{port}/constant"
        _wait(url, process)
        yield Served("bare Flask", url, process)


@contextlib.contextmanager
def _nginx(folder: Path, body: bytes) -> Iterator[Served]:
    root = folder / "nginx"
    (root / "html").mkdir(parents=True)
    (root / "html" / "body.json").write_bytes(body)
    for path in (folder, root, root / "html"):
        path.chmod(0o755)
    port = _free_port()
    (root / "nginx.conf").write_text(
        f"worker_processes {WORKERS}; daemon off; pid {root}/pid; error_log {root}/error.log;\n"
        "events { worker_connections 256; }\n"
        f"http {{ access_log off; default_type application/json; sendfile on; server {{ listen 127.0.0.1:{port};"
        f" root {root}/html; }} }}\n"
    )
    with _started(["nginx", "-p", str(root), "-c", str(root / "nginx.conf")]) as process:
        url = f"http://127.0.0.1:{port}/body.json"
        _wait(url, process)
        yield Served("nginx", url, process)


def _load(served: Served, seconds: int, connections: int) -> tuple[float, float]:
    """Return microseconds of server CPU per request, and requests a second."""
    before = served.cpu_seconds()
    command = ["wrk", "-t1", f"-c{connections}", f"-d{seconds}s", served.url]
    told = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    cpu = served.cpu_seconds() - before
    if "Non-2xx" in told or "Socket errors" in told:
        raise SystemExit(f"{served.name}: {told}")
    match = re.search(r"(\d+) requests in ([\d.]+)(m?s)", told)
    if match is None:
        raise SystemExit(told)
    requests = int(match[1])
    return cpu / requests * 1e6, requests / seconds


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--seconds", type=int, default=4)
    parser.add_argument("--connections", type=int, default=16)
    args = parser.parse_args()
    if shutil.which("wrk") is None:
        raise SystemExit("wrk is not installed (Debian's package wrk)")
    with contextlib.ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        ours, body = stack.enter_context(_boltspan(folder))
        servers = [ours, stack.enter_context(_bare_flask(folder, body))]
        if shutil.which("nginx"):
            servers.append(stack.enter_context(_nginx(folder, body)))
        for served in servers:
            _load(served, 1, args.connections)  # warm up
        figures: dict[str, list[tuple[float, float]]] = {s.name: [] for s in servers}
        for _ in range(args.rounds):
            for served in servers:
                figures[served.name].append(_load(served, args.seconds, args.connections))
    print(f"{len(body)} bytes, {WORKERS} workers, {args.connections} connections, {args.rounds} rounds of "
          f"{args.seconds} s, {os.cpu_count()} processors, Python {sys.version.split()[0]}")  # fmt: skip
    ours_us = [us for us, _ in figures["boltspan"]]
    for name, rounds in figures.items():
        us = [u for u, _ in rounds]
        ratio = statistics.median(a / b for a, b in zip(ours_us, us, strict=True))
        print(f"{name:11} {statistics.median(us):7.1f} us CPU/request ({min(us):.1f} to {max(us):.1f})  "
              f"{statistics.median(r for _, r in rounds):8.0f} requests/s  boltspan / {name}: {ratio:.2f}")  # fmt: skip


if __name__ == "__main__":
    main()
