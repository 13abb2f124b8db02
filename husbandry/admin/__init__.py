"""The back office of husbandry: what is on record, and what is recorded here.

`Reading` and `Conditions` have keys of several columns, which Django's admin cannot
register; they are looked at as charts on the pages of a finding and of an animal.
"""

from husbandry.admin import (
    agreements,
    animals,
    chores,
    devices,
    doses,
    enclosures,
    feeding_orders,
    feedings,
    health,
    imports,
    lamps,
    observations,
    policies,
    prescriptions,
    probes,
    profiles,
    reproduction,
    reviews,
    stays,
    unclaimed_readings,
    weighings,
)

__all__ = [
    "agreements",
    "animals",
    "chores",
    "devices",
    "doses",
    "enclosures",
    "feeding_orders",
    "feedings",
    "health",
    "imports",
    "lamps",
    "observations",
    "policies",
    "prescriptions",
    "probes",
    "profiles",
    "reproduction",
    "reviews",
    "stays",
    "unclaimed_readings",
    "weighings",
]
