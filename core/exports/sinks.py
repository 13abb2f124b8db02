"""What is written into, and emptied while the writing goes on."""


class Sink:
    """Keeps what was written until it is taken; there is no way back in it."""

    closed = False

    def __init__(self) -> None:
        """Begin empty."""
        self._kept: list[bytes] = []
        self._size = 0

    def write(self, data: bytes) -> int:
        """Keep a copy of what is written."""
        self._kept.append(bytes(data))
        self._size += len(data)
        return len(data)

    def flush(self) -> None:
        """Do nothing: what is kept is there already."""

    def taken(self, *, least: int = 1) -> bytes:
        """Return what was kept and keep it no longer.

        Args:
            least: bytes; with fewer, nothing is returned and all is kept.
        """
        if self._size < least:
            return b""
        data = b"".join(self._kept)
        self._kept.clear()
        self._size = 0
        return data
