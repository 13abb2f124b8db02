"""Post one message: to a checked address, once, within a bounded time.

The name is resolved here and the connection made to the very address that was checked,
so that no second look at the name can lead elsewhere. That, and an end to the whole
attempt however slowly bytes drip in, is less code on `http.client` than around a
library that resolves, redirects and pools by itself.
"""

import http.client
import io
import socket
import ssl
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from ipaddress import ip_address
from time import monotonic
from typing import Any

from django.conf import settings

from core.webhooks.addresses import (
    Address,
    Network,
    Target,
    WebhookAddressError,
    check_address,
    target_of,
)

CONNECT_S = 5.0
ANSWER_S = 10.0
MOST_ANSWER_BYTES = 1024
SHOWN_ANSWER = 200

Resolve = Callable[[str], Sequence[Address]]


class WebhookNameError(WebhookAddressError):
    """The name of a host leads nowhere at this moment."""

    code = "webhook_name_unknown"


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of one attempt.

    Attributes:
        status: of the answer; None where none came.
        problem: why it did not succeed; "" where it did.
        text: how the answer's body begins, without signs that do not print.
    """

    status: int | None
    problem: str = ""
    text: str = ""

    @property
    def is_taken(self) -> bool:
        """Say whether the receiver has it."""
        return self.status is not None and 200 <= self.status < 300


def resolve_host(host: str) -> tuple[Address, ...]:
    """Return all addresses of a host, as this computer's resolver knows them.

    Raises:
        WebhookNameError: it knows none.
    """
    try:
        found = socket.getaddrinfo(host, None, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise WebhookNameError(
            f"The name {host} is not known: {error}. Look whether it is spelt right.",
            fields={"url": "a host that can be found"},
        ) from error
    texts = dict.fromkeys(str(info[4][0]) for info in found)
    return tuple(ip_address(text.partition("%")[0]) for text in texts)


def checked_addresses(
    target: Target, *, resolve: Resolve, networks: Sequence[Network]
) -> tuple[Address, ...]:
    """Return the addresses of a target, if a message may go to every one of them.

    Args:
        target: where to.
        resolve: what finds the addresses of a host.
        networks: those of the house that are allowed.

    Raises:
        WebhookAddressError: the name is not known, or one of its addresses is not
            allowed. Who mixes good ones with others is up to something.
    """
    found = resolve(target.host)
    if not found:
        raise WebhookNameError(f"The name {target.host} has no address.")
    return tuple(
        check_address(address, scheme=target.scheme, networks=networks)
        for address in found
    )


@cache
def _usual_trust() -> ssl.SSLContext:
    return ssl.create_default_context()


@dataclass(frozen=True, slots=True)
class Sender:
    """What posts messages.

    Attributes:
        networks: of the house, allowed beside the internet.
        resolve: what finds the addresses of a host.
        trust: which certificates are believed; by default what this computer trusts.
        connect_s: seconds for connecting and shaking hands, each.
        answer_s: seconds for the question and the whole answer together.
    """

    networks: tuple[Network, ...] = ()
    resolve: Resolve = resolve_host
    trust: ssl.SSLContext = field(default_factory=_usual_trust)
    connect_s: float = CONNECT_S
    answer_s: float = ANSWER_S

    def post(self, url: str, *, body: bytes, headers: Mapping[str, str]) -> Answer:
        """Post a message and tell what came of it; it never raises for that.

        A redirect is not followed: whoever is posted to is who was checked.
        """
        try:
            target = target_of(url, networks=self.networks)
            addresses = checked_addresses(
                target, resolve=self.resolve, networks=self.networks
            )
            return self._ask(target, addresses, body, headers)
        except WebhookAddressError as refusal:
            return Answer(None, refusal.sentence)
        except TimeoutError:
            return Answer(
                None,
                f"No whole answer within {self.answer_s:g} seconds, or no connection "
                f"within {self.connect_s:g}.",
            )
        except ssl.SSLError as error:
            return Answer(None, f"TLS failed: {error}")
        except (OSError, http.client.HTTPException) as error:
            return Answer(None, f"{type(error).__name__}: {error}")

    def _ask(
        self,
        target: Target,
        addresses: Sequence[Address],
        body: bytes,
        headers: Mapping[str, str],
    ) -> Answer:
        with (
            self._connected(target, addresses) as plain,
            self._shaken(plain, target) as sock,
        ):
            ends_at = monotonic() + self.answer_s
            sock.settimeout(self.answer_s)
            sock.sendall(_request(target, body, headers))
            answer = http.client.HTTPResponse(
                _Timed(sock, ends_at),  # type: ignore[arg-type] # it only makes a file of it
                method="POST",
            )
            answer.begin()
            return Answer(answer.status, _problem(answer), _shown(answer))

    def _connected(self, target: Target, addresses: Sequence[Address]) -> socket.socket:
        """Connect to the first of the checked addresses that answers."""
        ends_at = monotonic() + self.connect_s
        failure: OSError = TimeoutError()
        for address in addresses:
            left_s = ends_at - monotonic()
            if left_s <= 0:
                break
            try:
                return socket.create_connection((str(address), target.port), left_s)
            except OSError as error:
                failure = error
        raise failure

    def _shaken(self, plain: socket.socket, target: Target) -> socket.socket:
        """Shake hands by TLS; the certificate has to be the host's, not the address's."""
        plain.settimeout(self.connect_s)
        if target.scheme == "http":
            return plain
        return self.trust.wrap_socket(plain, server_hostname=target.host)


def own_sender() -> Sender:
    """Return what posts this installation's messages."""
    return Sender(networks=tuple(settings.WEBHOOK_NETWORKS))


class _Timed(io.RawIOBase):
    """A connection that is read until an instant and no longer."""

    def __init__(self, sock: socket.socket, ends_at: float) -> None:
        """Take what is read, and when that ends by the monotonic clock."""
        super().__init__()
        self._sock, self._ends_at = sock, ends_at

    def makefile(self, mode: str) -> io.BufferedReader:
        """Return it as the file that an answer is read from."""
        return io.BufferedReader(self)

    def readable(self) -> bool:
        """Say that it can be read."""
        return True

    def readinto(self, buffer: Any) -> int:
        """Read what has come; a byte now and then does not buy more time."""
        left_s = self._ends_at - monotonic()
        if left_s <= 0:
            raise TimeoutError
        self._sock.settimeout(left_s)
        return self._sock.recv_into(buffer)


def _request(target: Target, body: bytes, headers: Mapping[str, str]) -> bytes:
    lines = [
        f"POST {target.path} HTTP/1.1",
        f"Host: {target.host_header}",
        "User-Agent: Spurbook",
        "Content-Type: application/json",
        f"Content-Length: {len(body)}",
        "Accept-Encoding: identity",
        "Connection: close",
        *(f"{name}: {value}" for name, value in headers.items()),
    ]
    return "\r\n".join([*lines, "", ""]).encode("ascii") + body


def _problem(answer: http.client.HTTPResponse) -> str:
    if 200 <= answer.status < 300:
        return ""
    reason = "".join(c for c in answer.reason if c.isprintable())
    told = f"It answered {answer.status} {reason}".rstrip()[:200]
    if 300 <= answer.status < 400:
        told += "; redirects are not followed"
    return f"{told}."


def _shown(answer: http.client.HTTPResponse) -> str:
    """Return how the body begins; the status counts, whatever becomes of the body."""
    try:
        text = answer.read(MOST_ANSWER_BYTES).decode(errors="replace")
    except (OSError, http.client.HTTPException):
        return ""
    return "".join(c if c.isprintable() else " " for c in text)[:SHOWN_ANSWER]
