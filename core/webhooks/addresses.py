"""Which addresses messages may go to: nothing inside the house, unless it says so.

Whoever may set a webhook could otherwise let this server ask what only it can reach:
its own ports, machines of the house, a cloud's service at 169.254.169.254.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from ipaddress import (
    IPv4Address,
    IPv4Network,
    IPv6Address,
    IPv6Network,
    ip_address,
    ip_network,
)
from urllib.parse import SplitResult, urlsplit

from core.errors import DomainError

Address = IPv4Address | IPv6Address
Network = IPv4Network | IPv6Network

LONGEST_URL = 500
FIRST_FREE_PORT = 1024
PORTS = {"https": 443, "http": 80}
_PLAIN = re.compile(r"[!-~]+")
_NAME = re.compile(r"(?!-)[A-Za-z0-9_-]{1,63}(?<!-)(\.(?!-)[A-Za-z0-9_-]{1,63}(?<!-))*")

# The special-purpose registries of IANA (RFC 6890 and what was added since), from
# memory, and what is no unicast address. Whole blocks, also where a registry opens
# single addresses in them: nobody's receiver stands there.
_SPECIAL: tuple[tuple[str, str], ...] = (
    ("0.0.0.0/8", "this network (RFC 791)"),
    ("10.0.0.0/8", "a private network (RFC 1918)"),
    ("100.64.0.0/10", "a provider's shared network (RFC 6598)"),
    ("127.0.0.0/8", "this computer itself (RFC 1122)"),
    ("169.254.0.0/16", "link-local (RFC 3927)"),
    ("172.16.0.0/12", "a private network (RFC 1918)"),
    ("192.0.0.0/24", "kept for protocols (RFC 6890)"),
    ("192.0.2.0/24", "for documentation (RFC 5737)"),
    ("192.31.196.0/24", "a name service's sink (RFC 7535)"),
    ("192.52.193.0/24", "a multicast relay (RFC 7450)"),
    ("192.88.99.0/24", "a 6to4 relay (RFC 7526)"),
    ("192.168.0.0/16", "a private network (RFC 1918)"),
    ("192.175.48.0/24", "a name service's sink (RFC 7534)"),
    ("198.18.0.0/15", "for benchmarks (RFC 2544)"),
    ("198.51.100.0/24", "for documentation (RFC 5737)"),
    ("203.0.113.0/24", "for documentation (RFC 5737)"),
    ("224.0.0.0/4", "multicast (RFC 5771)"),
    ("240.0.0.0/4", "reserved or broadcast (RFC 1112, RFC 8190)"),
    ("2001::/23", "kept for protocols (RFC 2928)"),
    ("2001:db8::/32", "for documentation (RFC 3849)"),
    ("2002::/16", "6to4, which hides another address (RFC 3056)"),
    ("2620:4f:8000::/48", "a name service's sink (RFC 7534)"),
    ("3fff::/20", "for documentation (RFC 9637)"),
)
SPECIAL = tuple((ip_network(text), what) for text, what in _SPECIAL)
# All other IPv6 addresses are none of the internet (RFC 4291): loopback, link-local,
# unique local, site-local, multicast, IPv4-compatible, discard-only, segment routing.
_INTERNET_6 = ip_network("2000::/3")
_NAT64 = ip_network("64:ff9b::/96")


class WebhookAddressError(DomainError):
    """Messages may not go to this address."""

    code = "webhook_address_refused"


@dataclass(frozen=True, slots=True)
class Target:
    """Where messages are posted to, taken apart.

    Attributes:
        host: a name or an IP address as text, without brackets.
        path: with the query, at least `/`.
    """

    scheme: str
    host: str
    port: int
    path: str

    @property
    def host_header(self) -> str:
        """Return what the Host header says."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        usual = PORTS[self.scheme] == self.port
        return host if usual else f"{host}:{self.port}"


def target_of(url: str, *, networks: Sequence[Network]) -> Target:
    """Take an address apart, and refuse what no message is posted to.

    Args:
        url: an address by https; by http only where networks are allowed.
        networks: those of the house that are allowed.

    Raises:
        WebhookAddressError: another scheme, a person or a fragment in it, signs that
            no address has, no host, a host that is no name, or a port that belongs to
            another service.
    """
    if len(url) > LONGEST_URL or not _PLAIN.fullmatch(url):
        raise _refused(
            "is no address, or too long",
            f"up to {LONGEST_URL} plain signs without a space",
        )
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError as error:
        raise _refused("cannot be read", "such as https://hub.example/hook") from error
    _check_scheme(parts, networks)
    if "@" in parts.netloc or "#" in url:
        raise _refused(
            "names a person, a password or a part of a page",
            "an address without @ and # in it",
        )
    host = _checked_host(parts.hostname or "")
    port = PORTS[parts.scheme] if port is None else port
    if port not in PORTS.values() and port < FIRST_FREE_PORT:
        raise _refused(
            f"names the port {port}, which belongs to another service",
            f"443, 80, or one from {FIRST_FREE_PORT} on",
        )
    path = f"{parts.path or '/'}?{parts.query}" if parts.query else parts.path or "/"
    return Target(parts.scheme, host, port, path)


def _check_scheme(parts: SplitResult, networks: Sequence[Network]) -> None:
    if parts.scheme == "https" or (parts.scheme == "http" and networks):
        return
    raise _refused(
        f"begins with {parts.scheme or 'nothing'}:",
        "https://…; http:// only to a network that SPURBOOK_WEBHOOK_NETWORKS allows",
    )


def _checked_host(host: str) -> str:
    if _is_ip(host) or (len(host) <= 253 and _NAME.fullmatch(host)):
        return host
    raise _refused(
        f"names no host that can be asked for: {host!r}",
        "a name in plain letters (of another script in its xn-- form) or an IP address",
    )


def _is_ip(host: str) -> bool:
    try:
        ip_address(host)
    except ValueError:
        return False
    # An interface of this computer may stand behind one: fe80::1%eth0.
    return "%" not in host


def check_address(
    address: Address, *, scheme: str, networks: Sequence[Network]
) -> Address:
    """Refuse an IP address that no message goes to.

    Args:
        address: one that a host's name was resolved to.
        scheme: https or http.
        networks: those of the house that are allowed.

    Returns:
        The address to connect to; of one that IPv6 writes for IPv4, that.

    Raises:
        WebhookAddressError: it is special, or http would leave the house.

    Source:
        rfc-6890
    """
    meant = _meant(address)
    if any(meant in network for network in networks):
        return meant
    if scheme != "https":
        raise _refused(
            f"leads by http to {address}, outside of the networks allowed for it",
            "https",
        )
    if (what := _special(meant)) is not None:
        raise _refused(
            f"leads to {address}: {what}",
            "an address of the internet, or one in a network that "
            "SPURBOOK_WEBHOOK_NETWORKS allows",
        )
    # A translator forwards to the address within, so the one without is asked for.
    return address if address in _NAT64 else meant


def _meant(address: Address) -> Address:
    """Return the IPv4 address inside a mapped or translated one (RFC 4291, RFC 6052)."""
    if isinstance(address, IPv4Address):
        return address
    if address.ipv4_mapped is not None:
        return address.ipv4_mapped
    if address in _NAT64:
        return IPv4Address(int(address) & 0xFFFF_FFFF)
    return address


def _special(address: Address) -> str | None:
    for network, what in SPECIAL:
        if address in network:
            return what
    if isinstance(address, IPv6Address) and address not in _INTERNET_6:
        return "no address of the internet (RFC 4291)"
    return None


def _refused(what: str, accepted: str) -> WebhookAddressError:
    return WebhookAddressError(
        f"The address {what}. Accepted: {accepted}.", fields={"url": accepted}
    )
