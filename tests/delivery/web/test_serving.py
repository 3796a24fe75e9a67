"""The program that serves, as a process of its own: what it prints, what it answers, and how it stops."""

import contextlib
import http.client
import os
import re
import signal
import socket
import ssl
import stat
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from starlette.types import Receive, Scope, Send

from evenfire.delivery.acts import people
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import May
from evenfire.delivery.web.certificates import self_signed
from tests.delivery.web.door.at_door import CHEAP, SECRET

PATIENCE = 60.0
"""For a machine that does much else [s]."""
BAD_INPUT = 2
STATE = re.compile(r"https?://(\S+?):(\d+)/(\S*)")


@dataclass
class Served:
    """A server that runs."""

    process: "subprocess.Popen[str]"
    lines: list[str] = field(default_factory=list)

    @property
    def port(self) -> int:
        """Where it listens."""
        return int(self._opened[2])

    @property
    def path(self) -> str:
        """Of what it says to open."""
        return f"/{self._opened[3]}"

    @property
    def _opened(self) -> re.Match[str]:
        found = STATE.search(next(each for each in self.lines if each.startswith("Open ")))
        assert found is not None
        return found

    def said(self) -> str:
        """Everything it printed until it asks to be stopped by Ctrl-C, its lines joined."""
        return " ".join(" ".join(self.lines).split())

    def stop(self, how: signal.Signals = signal.SIGTERM) -> int:
        """Stop it; its exit code."""
        self.process.send_signal(how)
        self.process.communicate(timeout=PATIENCE)
        return self.process.returncode

    def get(self, path: str, *, host: str | None = None, cookie: str = "") -> "Answer":
        """Ask over plain HTTP."""
        headers = {"Host": host or f"127.0.0.1:{self.port}", **({"Cookie": cookie} if cookie else {})}
        return asked(http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE), path, headers)


@dataclass(frozen=True)
class Answer:
    """What a server said."""

    status: int
    to: str | None
    cookie: str


def asked(connection: http.client.HTTPConnection, path: str, headers: dict[str, str]) -> Answer:
    """Ask once, and let go of the connection."""
    with contextlib.closing(connection):
        connection.request("GET", path, headers=headers)
        answer = connection.getresponse()
        answer.read()
        return Answer(answer.status, answer.headers["Location"], answer.headers["Set-Cookie"] or "")


Serve = Callable[..., Served]


def command(*options: str) -> list[str]:
    return [sys.executable, "-m", "evenfire", "serve", *options]


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path / "data" / "evenfire"


@pytest.fixture
def serve(data: Path) -> Iterator[Serve]:
    """Starts a server on a port that is free."""
    started: list[Served] = []

    def start(*options: str) -> Served:
        process = subprocess.Popen(
            command("--port", "0", *options),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1", "XDG_DATA_HOME": str(data.parent)},
        )
        served = Served(process)
        started.append(served)
        assert process.stdout is not None
        for line in process.stdout:
            served.lines.append(line)
            if "Ctrl-C." in line:
                break
        assert process.poll() is None, served.said()
        return served

    yield start
    for each in started:
        if each.process.poll() is None:
            each.process.kill()
        each.process.communicate()


def test_a_laptop_alone(serve: Serve, data: Path) -> None:
    served = serve()
    assert "Nobody is known in this store" in served.said()
    answer = served.get(served.path)
    assert (answer.status, answer.to) == (303, "/")
    cookie = answer.cookie.partition(";")[0]
    assert served.get(served.path).status == 403
    assert served.get("/no/such/page", cookie=cookie).status == 404
    assert served.get("/no/such/page", host=f"evil.example:{served.port}", cookie=cookie).status == 421
    assert stat.S_IMODE((data / "serve" / "serve.log").stat().st_mode) == 0o600
    # A person is added at the command line meanwhile.
    with Store.open(data / "store.sqlite") as store:
        people.add(store, "Ada Quill", "", May.SIGN, SECRET, hasher=CHEAP)
    assert served.get("/no/such/page", cookie=cookie).to == "/enter?next=%2Fno%2Fsuch%2Fpage"
    assert served.stop() == 0


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_it_stops_cleanly_with_a_browser_that_stays_connected(serve: Serve, how: signal.Signals) -> None:
    served = serve()
    with socket.create_connection(("127.0.0.1", served.port)) as idle:
        idle.sendall(f"GET /enter HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\n\r\n".encode())
        assert idle.recv(100).startswith(b"HTTP/1.1 200")
        began = time.monotonic()
        assert served.stop(how) == 0
    assert time.monotonic() - began < PATIENCE / 2
    (left,) = [
        each for each in (Path(os.environ["XDG_DATA_HOME"]) / "evenfire").glob("store.sqlite*") if each.is_file()
    ]
    assert left.name == "store.sqlite"


def test_a_phone_on_a_hot_spot_sees_the_fingerprint_that_was_printed(serve: Serve, data: Path) -> None:
    served = serve("--self-signed", "--listen", "0.0.0.0", "--name", "192.168.7.1")
    said = served.said()
    shown = re.search(r"((?:[0-9A-F]{2}:){15}[0-9A-F]{2}) ((?:[0-9A-F]{2}:){15}[0-9A-F]{2})", said)
    assert shown is not None
    # Another program looks at what the server shows.
    asked = ["openssl", "s_client", "-connect", f"127.0.0.1:{served.port}", "-showcerts"]
    seen = subprocess.run(asked, input="", capture_output=True, text=True, check=True).stdout
    told = ["openssl", "x509", "-noout", "-fingerprint", "-sha256"]
    fingerprint = subprocess.run(told, input=seen, capture_output=True, text=True, check=True).stdout.strip()
    assert fingerprint.rpartition("=")[2] == f"{shown[1]}:{shown[2]}"
    (key,) = (data / "serve").glob("key-*.pem")
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    # A browser that was told to trust this certificate, and asks by the name on it.
    (certificate,) = (data / "serve").glob("certificate-*.pem")
    trusting = ssl.create_default_context(cafile=str(certificate))
    with (
        socket.create_connection(("127.0.0.1", served.port)) as plain,
        trusting.wrap_socket(plain, server_hostname="192.168.7.1") as secure,
    ):
        assert secure.version() in {"TLSv1.2", "TLSv1.3"}
        secure.sendall(f"GET /enter HTTP/1.1\r\nHost: 192.168.7.1:{served.port}\r\nConnection: close\r\n\r\n".encode())
        answer = b"".join(iter(lambda: secure.recv(4096), b""))
    assert answer.startswith(b"HTTP/1.1 200")
    assert b"__Host-evenfire-entering" in answer
    assert b"; Secure" in answer
    # What speaks no TLS gets nothing, least of all a form for passphrases.
    with socket.create_connection(("127.0.0.1", served.port)) as plain:
        plain.sendall(f"GET /enter HTTP/1.1\r\nHost: 192.168.7.1:{served.port}\r\n\r\n".encode())
        assert b"HTTP" not in plain.recv(4096)
    for old in (ssl.TLSVersion.TLSv1, ssl.TLSVersion.TLSv1_1):
        assert not speaks(served.port, old)
    assert served.stop() == 0


def speaks(port: int, version: ssl.TLSVersion) -> bool:
    """Whether a server can be made to speak an old version; openssl offers it when told to care for nothing."""
    flag = "-tls1" if version is ssl.TLSVersion.TLSv1 else "-tls1_1"
    asked = ["openssl", "s_client", "-connect", f"127.0.0.1:{port}", flag, "-cipher", "ALL:@SECLEVEL=0"]
    return subprocess.run(asked, input="", capture_output=True, text=True).returncode == 0


def free_port() -> int:
    """A port that nobody listens on at this moment."""
    with socket.socket() as tried:
        tried.bind(("127.0.0.1", 0))
        return int(tried.getsockname()[1])


def test_behind_a_proxy_only_what_it_passes_on_over_tls_is_answered(serve: Serve) -> None:
    port = free_port()
    served = serve("--behind", "127.0.0.1", "--name", "boilers.example", "--port", str(port))
    said = served.said()
    assert "Open https://boilers.example/ " in said
    assert "Nobody can log in yet" in said
    assert "start?token" not in said
    passed_on = {"Host": "boilers.example", "X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.7"}
    for headers, expected in (
        (passed_on, 200),
        ({**passed_on, "X-Forwarded-Proto": "http"}, 403),
        ({"Host": "boilers.example"}, 403),
        ({**passed_on, "Host": "127.0.0.1"}, 421),
    ):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
        assert asked(connection, "/enter", headers).status == expected
    assert served.stop() == 0


def test_whoever_says_nothing_holds_no_connection() -> None:
    # The protocol in this process, so that a test needs not wait as long as a telephone may.
    import uvicorn

    from evenfire.delivery.web.door.patience import PatientProtocol

    class Hurried(PatientProtocol):
        patience = 0.5

    async def slow_body(_scope: Scope, receive: Receive, send: Send) -> None:
        while (await receive()).get("more_body"):
            pass
        await send({"type": "http.response.start", "status": 204, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    config = uvicorn.Config(slow_body, http=Hurried, ws="none", lifespan="off", log_config=None, timeout_keep_alive=30)
    server = uvicorn.Server(config)
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen(10)
        running = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        running.start()
        try:
            for sent in (b"", b"GET / HTTP/1.1\r\nHost: x\r\n", b"G"):
                with socket.create_connection(listening.getsockname(), timeout=PATIENCE) as slow:
                    slow.sendall(sent)
                    assert slow.recv(100) == b""
            # A whole head with a body that comes later is no concern of it, nor is a second request that comes whole.
            with socket.create_connection(listening.getsockname(), timeout=PATIENCE) as patient:
                for _ in range(2):
                    patient.sendall(b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\n\r\nx")
                    time.sleep(1.0)
                    patient.sendall(b"x")
                    assert patient.recv(200).startswith(b"HTTP/1.1 204")
                # One that begins and does not end is.
                patient.sendall(b"POST / HTTP/1.1\r\nHo")
                assert patient.recv(200) == b""
        finally:
            server.should_exit = True
            running.join()


REFUSED = [
    (["--listen", "192.0.2.1"], "can be reached by other computers"),
    (["--listen", "0.0.0.0"], "can be reached by other computers"),
    (["--listen", "::"], "can be reached by other computers"),
    (["--listen", "0.0.0.0", "--self-signed"], "Say with --name"),
    (["--listen", "boilers.example"], "is no address"),
    (["--listen", "192.0.2.1", "--self-signed"], "cannot be listened on"),
    (["--behind", "10.0.0.9"], "Say with --name"),
    (["--behind", "proxy", "--name", "boilers.example"], "is no address"),
    (["--behind", "10.0.0.0/8", "--name", "boilers.example"], "is no address"),
    (["--name", "a b"], "is no name"),
    (["--name", "https://boilers.example"], "is no name"),
    (["--tls-cert", "here.pem"], "belong together"),
    (["--tls-key", "here.pem"], "belong together"),
    (["--tls-cert", "a.pem", "--tls-key", "b.pem"], "no certificate with its key"),
    (["--tls-cert", "a.pem", "--tls-key", "b.pem", "--self-signed"], "not both"),
    (["--store", "/dev/null/store"], ""),
]


@pytest.mark.usefixtures("data")
@pytest.mark.parametrize(("options", "why"), REFUSED, ids=[" ".join(options) for options, _ in REFUSED])
def test_what_would_be_in_the_open_or_cannot_be_is_refused_in_one_sentence(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, options: list[str], why: str
) -> None:
    # In this process: the program itself takes seconds to load, and nothing is served here.
    from evenfire.delivery.start import run

    monkeypatch.setattr(sys, "argv", ["evenfire", "serve", "--port", "0", *options])
    with pytest.raises(SystemExit) as ended:
        run()
    said = capfd.readouterr()
    assert ended.value.code == BAD_INPUT
    assert said.out == ""
    assert why in said.err
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err


@pytest.mark.usefixtures("data")
def test_a_port_that_is_taken_is_told(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    from evenfire.delivery.start import run

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        monkeypatch.setattr(sys, "argv", ["evenfire", "serve", "--port", str(port)])
        with pytest.raises(SystemExit) as ended:
            run()
    assert ended.value.code == BAD_INPUT
    assert f"Port {port} of 127.0.0.1 cannot be listened on: address already in use" in capfd.readouterr().err


def test_a_certificate_of_its_own_is_served(serve: Serve, tmp_path: Path) -> None:
    made = self_signed(tmp_path / "own", ("boilers.example", "127.0.0.1"))
    served = serve("--tls-cert", str(made.certificate), "--tls-key", str(made.key), "--name", "boilers.example")
    assert "fingerprint" not in served.said()
    trusting = ssl.create_default_context(cafile=str(made.certificate))
    connection = http.client.HTTPSConnection("127.0.0.1", served.port, context=trusting, timeout=PATIENCE)
    answer = asked(connection, served.path, {"Host": f"127.0.0.1:{served.port}"})
    assert answer.status == 303
    assert answer.cookie.startswith("__Host-")
    assert served.stop() == 0


def test_the_command_line_alone_loads_no_web() -> None:
    program = """
import sys
sys.argv = ["evenfire", "--help"]
from evenfire.delivery.start import run
try:
    run()
except SystemExit:
    pass
print(sorted({"fastapi", "uvicorn", "sqlalchemy", "starlette", "jinja2", "argon2", "cryptography"} & set(sys.modules)))
"""
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert "serve" in told
    assert told.splitlines()[-1] == "[]"
