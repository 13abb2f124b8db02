"""What the generated Python client is asked to do; it prints what it was answered.

Run in a process of its own, with the folder of `spurbook_client` on its path.
"""

import json
import sys
from typing import Any
from urllib.parse import parse_qs, urlsplit

from spurbook_client import AuthenticatedClient
from spurbook_client.api.animals import animals_list
from spurbook_client.api.findings import findings_list
from spurbook_client.api.me import me_retrieve
from spurbook_client.api.readings import readings_create
from spurbook_client.api.weighings import weighings_create
from spurbook_client.models import (
    AnimalsListResponse200,
    FindingsListResponse200,
    MeOut,
    Problem,
    ReadingColumnsIn,
    ReadingsReport,
    WeighingIn,
    WeighingOut,
)


def main(address: str, token: str, asked: dict[str, Any]) -> dict[str, Any]:
    client = AuthenticatedClient(base_url=address, token=token)

    me = me_retrieve.sync(client=client)
    assert isinstance(me, MeOut)

    codes, cursor = [], {}
    while True:
        page = animals_list.sync(client=client, page_size=1, **cursor)
        assert isinstance(page, AnimalsListResponse200)
        codes += [animal.code for animal in page.results]
        if page.next_ is None:
            break
        cursor = {"cursor": parse_qs(urlsplit(page.next_).query)["cursor"][0]}

    columns = ReadingColumnsIn.from_dict(asked["readings"])
    report = readings_create.sync(client=client, body=columns)
    assert isinstance(report, ReadingsReport)
    again = readings_create.sync(client=client, body=columns)
    assert isinstance(again, ReadingsReport)

    weighing = weighings_create.sync(
        client=client, body=WeighingIn.from_dict(asked["weighing"])
    )
    assert isinstance(weighing, WeighingOut)

    refusal = weighings_create.sync(
        client=client, body=WeighingIn.from_dict(asked["slip"])
    )
    assert isinstance(refusal, Problem)

    findings = findings_list.sync(client=client, open_=True)
    assert isinstance(findings, FindingsListResponse200)

    return {
        "me": me.username,
        "animals": codes,
        "stored": [report.stored, again.stored, again.known],
        "weighing": [weighing.animal.code, weighing.mass_g],
        "refusal": [refusal.status, refusal.code, refusal.confirm],
        "findings": [
            [finding.kind, finding.urgency, finding.sentence]
            for finding in findings.results
        ],
    }


if __name__ == "__main__":
    sys.stdout.write(json.dumps(main(*sys.argv[1:3], json.loads(sys.argv[3]))))
