"""What must not stand in a log."""

import logging
import re

# Whoever reads such an address in a log could read the calendar.
_ADDRESS = re.compile(r"(/calendar/)[^\s?#]+")


class HideAddresses(logging.Filter):
    """Leave secret addresses out of what is logged, whatever became of the request."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Shorten addresses of the calendar in a record; none is held back."""
        record.msg = _hidden(record.msg)
        if isinstance(record.args, tuple):
            record.args = tuple(_hidden(arg) for arg in record.args)
        return True


def _hidden(part: object) -> object:
    return _ADDRESS.sub(r"\1…", part) if isinstance(part, str) else part
