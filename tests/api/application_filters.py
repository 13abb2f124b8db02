"""What is asked of the lists about applications, and the two rows of each."""

from datetime import timedelta
from typing import Any

from tests.factories import (
    NOW,
    ApplicationFactory,
    PersonalDataPolicyFactory,
    PrivateAddressFactory,
)

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    ("homes", "erased", "true", "b"),
    ("applications", "state", "declined", "b"),
    ("applications", "kind", "foster", "b"),
    ("applications", "species", "b", "b"),
    ("applications", "animal", "a", "a"),
    ("applications", "home", "{homes}", "a"),
    ("private-addresses", "application", "{applications}", "a"),
    ("private-addresses", "placement", "{placements_of_b}", "b"),
    ("personal-data-policies", "until_at", NOW.isoformat(), "b"),
]


def make_applications(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Add two rows of each list; homes, animals and placements are there."""
    a["applications"] = ApplicationFactory(
        home=a["homes"], species=a["species"], animal=a["animals"]
    )
    b["applications"] = ApplicationFactory(
        home=b["homes"], species=b["species"], state="declined", kind="foster"
    )
    a["private-addresses"] = PrivateAddressFactory(application=a["applications"])
    b["private-addresses"] = PrivateAddressFactory(
        application=None, placement=b["placements"]
    )
    a["placements_of_b"] = b["placements"]
    a["personal-data-policies"] = PersonalDataPolicyFactory()
    b["personal-data-policies"] = PersonalDataPolicyFactory(
        made_at=NOW - timedelta(days=1)
    )
