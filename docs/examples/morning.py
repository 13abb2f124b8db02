#!/usr/bin/env python3
"""Print what is wrong this morning, worst first; Python's standard library only.

    SPURBOOK_URL=http://127.0.0.1:8000 SPURBOOK_TOKEN=sb_… python3 morning.py

Exit code 0: a night was reviewed and nothing is urgent; 1: something is, or no night
was reviewed; 2: the API refused, and the sentence says why.
"""

import json
import os
import sys
import time
from urllib.error import HTTPError
from urllib.request import Request, urlopen

ATTEMPTS = 4


def get(address: str, token: str) -> dict:
    """Return an answer; wait where the API asks to."""
    request = Request(address, headers={"Authorization": f"Bearer {token}"})
    for attempt in range(ATTEMPTS):
        try:
            with urlopen(request, timeout=30) as answer:
                return json.load(answer)
        except HTTPError as error:
            if error.code != 429 or attempt == ATTEMPTS - 1:
                raise
            time.sleep(int(error.headers.get("Retry-After", "5")))
    raise AssertionError("unreachable: the last attempt returns or raises")


def rows(address: str, token: str) -> list:
    """Return all rows of a list, page after page."""
    found = []
    while address:
        page = get(address, token)
        found += page["results"]
        address = page["next"]
    return found


def newest_by_site(runs: list) -> list:
    """Return each site's newest run; the list begins with the newest."""
    found = {}
    for run in runs:
        found.setdefault(run["site"]["code"], run)
    return list(found.values())


def told(run: dict) -> str:
    """Return which night was reviewed, and how complete its data were."""
    covered = "nothing was measured"
    if run["coverage"] is not None:
        covered = f"{run['coverage']:.0%} of the time was measured"
    late = "; data came later, it will run again" if run["stale_since"] else ""
    return (
        f"{run['site']['code']}, night of {run['on']}: {run['state']}, {covered}{late}"
    )


def main() -> int:
    """Print each site's last night, then each open finding."""
    api, token = f"{os.environ['SPURBOOK_URL']}/api/v1", os.environ["SPURBOOK_TOKEN"]
    runs = get(f"{api}/review-runs/?page_size=100", token)["results"]
    if not runs:
        print("No night has been reviewed yet: silence is not health.")
        return 1
    for run in newest_by_site(runs):
        print(told(run))
    findings = rows(f"{api}/findings/?open=true", token)
    for finding in findings:
        print(f"\n{finding['urgency']}: {finding['sentence']}")
        print(f"  first: {finding['first_step']}")
    print(f"\n{len(findings)} open")
    return int(any(finding["urgency"] == "now" for finding in findings))


if __name__ == "__main__":
    try:
        sys.exit(main())
    except HTTPError as error:
        print(json.load(error)["detail"], file=sys.stderr)
        sys.exit(2)
