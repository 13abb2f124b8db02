"""Where a packet is checked: a short address that names it and what it says."""

# Of 64 digits of the SHA-256: nobody finds another text with the same 16 by chance,
# and the code stays coarse enough for a phone's camera.
SHOWN_DIGITS = 16


def check_path(*, number: str, sha256: str) -> str:
    """Return the path of the page that checks a packet, without the host.

    Args:
        number: of the packet, as printed.
        sha256: its hash, 64 hexadecimal digits.

    Source:
        ADR 0004.
    """
    return f"/check/{number}/{sha256[:SHOWN_DIGITS]}/"


def check_text(*, number: str, sha256: str, address: str) -> str:
    """Return what the code on a packet says.

    Args:
        number: of the packet, as printed.
        sha256: its hash.
        address: where this house is reached, such as `https://keep.example`; "" where
            it is reached from nowhere, and the code then names number and hash.

    Source:
        ADR 0004.
    """
    if not address:
        return f"{number} {sha256}"
    return f"{address.rstrip('/')}{check_path(number=number, sha256=sha256)}"
