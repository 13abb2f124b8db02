"""A program that listens, on loopback: it answers as it is told and keeps what came."""

import base64
import ssl
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from ipaddress import ip_address, ip_network
from pathlib import Path
from typing import Any

from core.webhooks.addresses import Address
from core.webhooks.sending import Sender

LOOPBACK = (ip_network("127.0.0.0/8"),)
NAME = "hub.example"
# Of the invented host hub.example, made for these tests, good until 2126; it signs
# itself and opens nothing anywhere.
_KEY = (
    "MIGHAgEAMBMGByqGSM49AgEGCCqGSM49AwEHBG0wawIBAQQgaOvQ6FpteXvSwt93ofoPW067E2ER"
    "ci3znZdFUYhqsP6hRANCAAQP0d8Lw1gL7V+KGjI3+fW5qewN7nuA55VsP6ZX/qThWaEGUPeE4v0I"
    "jN7tHLGNozGQlH7+QYgnAKaZPpsvrKRC"
)
_CERTIFICATE = (
    "MIIBmjCCAUGgAwIBAgIUBn5rhBHqlGl+PMvvueevE0Dppq4wCgYIKoZIzj0EAwIwFjEUMBIGA1UE"
    "AwwLaHViLmV4YW1wbGUwIBcNMjYxMTI1MTQzMDUwWhgPMjEyNjExMDExNDMwNTBaMBYxFDASBgNV"
    "BAMMC2h1Yi5leGFtcGxlMFkwEwYHKoZIzj0CAQYIKoZIzj0DAQcDQgAED9HfC8NYC+1fihoyN/n1"
    "uansDe57gOeVbD+mV/6k4VmhBlD3hOL9CIze7RyxjaMxkJR+/kGIJwCmmT6bL6ykQqNrMGkwHQYD"
    "VR0OBBYEFNtbZIaXCuSzqgvRjPliZm6ukP6zMB8GA1UdIwQYMBaAFNtbZIaXCuSzqgvRjPliZm6u"
    "kP6zMBYGA1UdEQQPMA2CC2h1Yi5leGFtcGxlMA8GA1UdEwEB/wQFMAMBAf8wCgYIKoZIzj0EAwID"
    "RwAwRAIgZJ+q1U7sGbDfZY2bdxwEs9fEm5avhPK9RXx0IP0Yk3ICIC1zZ+GZBj9Wsfq0KnzC3b4o"
    "91DOKpJXQiJOWY+mSh3U"
)


def _pem(what: str, text: str) -> str:
    whole = base64.encodebytes(base64.b64decode(text)).decode()
    return f"-----BEGIN {what}-----\n{whole}-----END {what}-----\n"


def trust_in_hub() -> ssl.SSLContext:
    """Return a context that believes the hub's certificate and no other."""
    return ssl.create_default_context(cadata=_pem("CERTIFICATE", _CERTIFICATE))


def with_tls(server: ThreadingHTTPServer, folder: Path) -> None:
    both = folder / "hub.pem"
    both.write_text(_pem("PRIVATE " + "KEY", _KEY) + _pem("CERTIFICATE", _CERTIFICATE))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(both)
    server.socket = context.wrap_socket(
        server.socket, server_side=True, do_handshake_on_connect=False
    )


@dataclass
class Came:
    """One message as it came in."""

    path: str
    headers: dict[str, str]
    body: bytes


@dataclass
class Hub:
    """What listens; `answers` are given in turn, the last one again and again."""

    port: int
    answers: list[tuple[int, dict[str, str], bytes]]
    came: list[Came] = field(default_factory=list)
    drip_s: float = 0.0
    wait: Callable[[], object] = lambda: None

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}/hook?of=spurbook"

    def answer(self) -> tuple[int, dict[str, str], bytes]:
        return self.answers.pop(0) if len(self.answers) > 1 else self.answers[0]


class _Handler(BaseHTTPRequestHandler):
    hub: Hub

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        headers = {name.lower(): value for name, value in self.headers.items()}
        self.hub.came.append(Came(self.path, headers, body))
        self.hub.wait()
        status, more, text = self.hub.answer()
        # Nobody listens any more: that is what some tests are about.
        with suppress(OSError):
            self._say(status, more, text)

    def _say(self, status: int, more: dict[str, str], text: bytes) -> None:
        self.send_response(status)
        for name, value in more.items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(text)))
        self.end_headers()
        for byte in text if self.hub.drip_s else ():
            self.wfile.write(bytes([byte]))
            time.sleep(self.hub.drip_s)
        if not self.hub.drip_s:
            self.wfile.write(text)

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002 - its name there
        pass


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Say nothing: a handshake that is broken off is what a test is about."""


@contextmanager
def listening(
    *answers: tuple[int, dict[str, str], bytes], tls_in: Path | None = None
) -> Iterator[Hub]:
    """Listen on a free port of loopback for as long as the block runs."""
    handler = type("Handler", (_Handler,), {})
    server = _Server(("127.0.0.1", 0), handler)
    hub = Hub(server.server_address[1], list(answers) or [(204, {}, b"")])
    handler.hub = hub  # type: ignore[attr-defined] # each its own
    if tls_in is not None:
        with_tls(server, tls_in)
    thread = threading.Thread(target=server.serve_forever, args=(0.02,))
    thread.start()
    try:
        yield hub
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def resolver(*texts: str) -> Callable[[str], tuple[Address, ...]]:
    """Return what finds the same addresses for every name."""
    found = tuple(ip_address(text) for text in texts)
    return lambda host: found


def house_sender(**said: Any) -> Sender:
    """Return what posts to loopback only, and quickly gives up."""
    said = {
        "networks": LOOPBACK,
        "resolve": resolver("127.0.0.1"),
        "connect_s": 2.0,
        "answer_s": 2.0,
        **said,
    }
    return Sender(**said)
