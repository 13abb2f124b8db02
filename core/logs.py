"""What must not stand in a log."""

import logging
import re

# Whoever reads such an address in a log could read the calendar, or open a home's page.
_ADDRESS = re.compile(r"(/(?:calendar|home)/)[^\s?#]+")
# Wherever it was pasted: a key is eight characters, `_`, and 32 bytes as text.
_KEY = re.compile(r"[0-9a-f]{8}_[\w-]{43}")


class HideAddresses(logging.Filter):
    """Leave secret addresses out of what is logged, whatever became of the request."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Shorten secret addresses and keys in a record; none is held back."""
        record.msg = _hidden(record.msg)
        if isinstance(record.args, tuple):
            record.args = tuple(_hidden(arg) for arg in record.args)
        return True


def _hidden(part: object) -> object:
    if not isinstance(part, str):
        return part
    return _KEY.sub("…", _ADDRESS.sub(r"\1…", part))
