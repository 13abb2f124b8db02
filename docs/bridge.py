"""A bridge: messages of sensors in, batches to Spurbook out. Python 3.11, nothing else.

`messages` is what your broker's client yields: probe, whole seconds since 1970, values.
"""

import json
import random
import time
import urllib.error
import urllib.request

BATCH, RETRY = 500, {408, 409, 425, 429, *range(500, 600)}


def run(messages, url, token, sleep=time.sleep):
    """Send all messages on, in batches, each until it is acknowledged."""
    waiting = []
    for probe, at, values in messages:
        waiting.append({"probe": probe, "at": at, **values})
        if len(waiting) == BATCH:
            deliver(waiting, url, token, sleep)
            waiting = []
    if waiting:
        deliver(waiting, url, token, sleep)


def deliver(batch, url, token, sleep):
    """Send one batch again and again; return once it is stored."""
    body = "\n".join(map(json.dumps, batch)).encode()
    kind = {"Authorization": f"Bearer {token}", "Content-Type": "application/x-ndjson"}
    pause = 1
    while True:
        try:
            request = urllib.request.Request(url, body, kind)
            with urllib.request.urlopen(request, timeout=60) as answer:
                for row in json.load(answer)["refused"]:
                    print("refused:", batch[row["index"]], row["sentence"])
                return
        except urllib.error.HTTPError as error:
            if error.code not in RETRY:
                raise  # It says what is wrong; the same again will not help.
        except OSError:
            pass  # No answer: perhaps stored, perhaps not. Sent again, it is known.
        sleep(random.uniform(0, pause))
        pause = min(2 * pause, 300)
