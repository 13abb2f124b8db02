"""What is asked of the lists of tokens and devices, and the two rows of each."""

from typing import Any

from tests.factories import NOW, ApiTokenFactory, DeviceFactory

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    ("tokens", "person", "juno", "a"),
    ("tokens", "scope", "record", "b"),
    ("tokens", "in_force", "true", "a"),
    ("devices", "name", "hub a", "a"),
    ("devices", "person", "milo", "b"),
    ("devices", "in_force", "false", "b"),
]


def make_tokens(a: dict[str, Any], b: dict[str, Any]) -> None:
    # The two devices' tokens are in the list of tokens as well: none of them is in
    # force but the first, and none has the scope `record` but the second.
    a["devices"] = DeviceFactory(token__name="hub a", token__user__username="juno")
    b["devices"] = DeviceFactory(
        token__name="hub b", token__user__username="milo", token__revoked_at=NOW
    )
    a["tokens"] = a["devices"].token
    b["tokens"] = ApiTokenFactory(scope="record", revoked_at=NOW)
