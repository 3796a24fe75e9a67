"""A PostgreSQL server of the tests' own: started from the programs of this machine, gone afterwards."""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import psycopg
from psycopg import sql

USER: Final = "postgres"
_WHERE: Final = Path("/usr/lib/postgresql")
_READY_WITHIN: Final = 30.0


def programs() -> Path | None:
    """The folder of the newest server programs; nothing where there are none."""
    found = sorted(_WHERE.glob("*/bin/postgres"), key=lambda path: float(path.parts[-3]))
    if found:
        return found[-1].parent
    on_path = shutil.which("postgres")
    return Path(on_path).parent if on_path else None


@dataclass
class Server:
    """A server on a socket in a folder of its own."""

    folder: Path
    syncs: bool
    process: subprocess.Popen[bytes] | None = None
    made: int = 0

    def start(self) -> None:
        """Run it, and wait until it answers."""
        off = "on" if self.syncs else "off"
        settings = {
            "fsync": off,
            "full_page_writes": off,
            "listen_addresses": "",
            "unix_socket_directories": self.folder,
        }
        given = [part for name, value in settings.items() for part in ("-c", f"{name}={value}")]
        self.process = self._run("postgres", "-D", str(self.folder / "data"), *given)
        end = time.monotonic() + _READY_WITHIN
        while time.monotonic() < end:
            try:
                psycopg.connect(self.url("postgres")).close()
            except psycopg.OperationalError:
                time.sleep(0.05)
            else:
                return
        raise TimeoutError("the database server did not answer")

    def make(self) -> None:
        """Write the files of an empty server."""
        done = self._run(
            "initdb", "-D", str(self.folder / "data"), "-U", USER, "-A", "trust", "--no-sync", "-E", "UTF8"
        )
        assert done.wait() == 0

    def break_off(self) -> None:
        """As when the power fails: nothing is finished."""
        assert self.process is not None
        for each in (*_children_of(self.process.pid), self.process.pid):
            with contextlib.suppress(ProcessLookupError):
                os.kill(each, signal.SIGKILL)
        self.process.wait()

    def stop(self) -> None:
        """Let go of everything."""
        if self.process is not None and self.process.poll() is None:
            self.break_off()

    def url(self, name: str) -> str:
        """Where one database of it is."""
        return f"postgresql://{USER}@/{name}?host={self.folder}"

    def new_database(self) -> str:
        """The URL of an empty database."""
        self.made += 1
        name = f"store_{self.made}"
        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            connection.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        return self.url(name)

    def drop(self, url: str) -> None:
        """Remove a database that :meth:`new_database` made."""
        name = url.partition("@/")[2].partition("?")[0]
        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))

    def _run(self, program: str, *given: str) -> subprocess.Popen[bytes]:
        where = programs()
        assert where is not None
        # The server refuses to run as root.
        other = USER if _is_root() else None
        return subprocess.Popen(
            [where / program, *given],
            cwd=self.folder,
            env={"PATH": os.environ.get("PATH", ""), "LC_ALL": "C.UTF-8"},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            user=other,
            group=other,
            extra_groups=None if other is None else [],
        )


def new_server(*, syncs: bool = False) -> Server:
    """A running server; without syncs it is quick, and forgets when the power fails."""
    folder = Path(tempfile.mkdtemp(prefix="evenfire-server-"))
    if _is_root():
        shutil.chown(folder, USER, USER)
    server = Server(folder=folder, syncs=syncs)
    server.make()
    server.start()
    return server


def end(server: Server) -> None:
    """Stop a server and remove its files."""
    server.stop()
    shutil.rmtree(server.folder, ignore_errors=True)


def _children_of(parent: int) -> list[int]:
    """The processes of a server, whose first it started; a child has its parent behind the closing bracket."""
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            if int(path.read_text().rpartition(")")[2].split()[1]) == parent:
                found.append(int(path.parent.name))
    return found


def _is_root() -> bool:
    return sys.platform != "win32" and os.getuid() == 0
