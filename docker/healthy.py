#!/usr/bin/env python3
"""Tell Docker whether a service does its work: exit 0 for yes, 1 with a reason.

    python docker/healthy.py web      the program and its database answer
    python docker/healthy.py beat     the clock wrote down its time lately

The worker is asked by Celery's own `inspect ping`.
"""

import http.client
import os
import sys
import time
from pathlib import Path

# Beat wakes at least every 5 minutes and writes at most 3 minutes late.
BEAT_SILENCE_S = 900


def web() -> str:
    """Ask how it is as a proxy would; return what is wrong, if anything."""
    port = int(os.environ.get("PORT", "8000"))
    host = os.environ.get("SPURBOOK_HOSTS", "127.0.0.1").split(",")[0].strip()
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        connection.request(
            "GET", "/healthz", headers={"Host": host, "X-Forwarded-Proto": "https"}
        )
        status = connection.getresponse().status
    except OSError as error:
        return f"no answer: {error}"
    finally:
        connection.close()
    return "" if status < 400 else f"/healthz answers {status}"


def beat() -> str:
    """Look when the clock last wrote its file; return what is wrong, if anything."""
    files = list(Path(os.environ["SPURBOOK_DATA"]).glob("beat-schedule*"))
    if not files:
        return "the clock has written nothing yet"
    silence_s = time.time() - max(file.stat().st_mtime for file in files)
    return "" if silence_s < BEAT_SILENCE_S else f"silent for {silence_s:.0f} s"


if __name__ == "__main__":
    sys.exit({"web": web, "beat": beat}[sys.argv[1]]() or 0)
