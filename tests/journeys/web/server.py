"""The server as people start it: a process of its own that can be killed and started again."""

import os
import re
import signal
import socket
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

STARTED: Final = re.compile(r"https?://\S+")
LONGEST_START_S: Final = 60.0
COMMAND: Final = (sys.executable, "-c", "from evenfire.delivery.start import run; run()")


def free_port() -> int:
    """A port of this machine that nobody listens on."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@dataclass
class Server:
    """``evenfire serve`` over one store, always at the same port."""

    store: Path
    flags: tuple[str, ...] = ()
    port: int = field(default_factory=free_port)
    process: subprocess.Popen[str] | None = None

    @property
    def address(self) -> str:
        """Where its pages are."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> str:
        """Start it; the address that it told to open, which is the start link where nobody is known."""
        self.process = subprocess.Popen(
            [*COMMAND, "serve", "--store", str(self.store), "--port", str(self.port), *self.flags],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, "COLUMNS": "500", "XDG_DATA_HOME": str(self.store.parent / "data")},
        )
        assert self.process.stdout is not None
        told = ""
        for line in self.process.stdout:
            told += line
            if found := STARTED.search(line):
                return found.group().rstrip(".,;")
        raise AssertionError(f"the server did not start: {told}")

    @property
    def trouble(self) -> str:
        """Failures of the program itself, as its log holds them."""
        log = self.store.parent / "data" / "evenfire" / "serve" / "serve.log"
        return log.read_text(encoding="utf-8") if log.exists() else ""

    def kill(self) -> None:
        """End it as a power cut does: nothing is tidied up."""
        self._end(signal.SIGKILL)

    def stop(self) -> None:
        """End it as a person does."""
        self._end(signal.SIGTERM)

    def _end(self, how: signal.Signals) -> None:
        if self.process is None:
            return
        self.process.send_signal(how)
        self.process.wait(timeout=LONGEST_START_S)
        assert self.process.stdout is not None
        self.process.stdout.close()
        self.process = None


def command(store: Path, *arguments: str, passphrase: str = "") -> str:
    """Run a command of the command line on the same store; what it said."""
    done = subprocess.run(
        [*COMMAND, *arguments, "--store", str(store)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "EVENFIRE_PASSPHRASE": passphrase, "COLUMNS": "200"},
    )
    assert done.returncode in {0, 1, 4}, done.stdout + done.stderr
    return done.stdout
