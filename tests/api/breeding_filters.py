"""What is asked of the lists of breeding, and the two rows of each."""

from datetime import date, timedelta
from typing import Any

from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    BoxCheckFactory,
    BoxStayFactory,
    CandidateSireFactory,
    ClutchFactory,
    EggBoxFactory,
    EggCheckFactory,
    EggFactory,
    EggPlaceFactory,
    ForecastFactory,
    HatchlingFactory,
    IncubationPlanFactory,
    IntroductionFactory,
    PairingFactory,
    SexingPolicyFactory,
    SpurCheckFactory,
)

STRUCK: dict[str, Any] = {"struck_at": NOW, "struck_reason": "A slip."}
CHECKS = ("egg-checks", "box-checks", "introductions", "spur-checks")

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    ("forecasts", "clutch", "C-a", "a"),
    ("forecasts", "box", "a", "a"),
    ("forecasts", "on", "2026-03-01", "a"),
    ("forecasts", "basis", "own_clutches", "b"),
    ("forecasts", "newest", "false", "b"),
    ("incubation-plans", "code", "b", "b"),
    ("incubation-plans", "species", "a", "a"),
    ("incubation-plans", "offered", "true", "a"),
    ("candidate-sires", "clutch", "K-a", "a"),
    ("candidate-sires", "animal", "K-b", "b"),
    ("candidate-sires", "sire", "S-b", "b"),
    ("pairings", "dam", "b", "b"),
    ("pairings", "sire", "Z-a", "a"),
    ("pairings", "species", "b", "b"),
    ("pairings", "open", "true", "a"),
    ("introductions", "pairing", "{pairings}", "a"),
    ("introductions", "dam", "b", "b"),
    ("introductions", "sire", "Z-a", "a"),
    ("introductions", "outcome", "fought", "b"),
    ("clutches", "code", "C-a", "a"),
    ("clutches", "species", "b", "b"),
    ("clutches", "site", "a", "a"),
    ("clutches", "dam", "b", "b"),
    ("clutches", "kind", "live_young", "b"),
    ("clutches", "laid_from", str(TODAY), "a"),
    ("clutches", "laid_until", "2025-12-31", "b"),
    ("egg-boxes", "code", "a", "a"),
    ("egg-boxes", "incubator", "b", "b"),
    ("egg-boxes", "in_use", "true", "a"),
    ("eggs", "clutch", "C-a", "a"),
    ("eggs", "box", "b", "b"),
    ("eggs", "state", "hatched", "b"),
    ("eggs", "ended", "false", "a"),
    ("egg-checks", "clutch", "C-b", "b"),
    ("egg-checks", "seen", "dark", "b"),
    ("box-checks", "box", "a", "a"),
    ("hatchlings", "clutch", "C-a", "a"),
    ("hatchlings", "animal", "Y-b", "b"),
    ("spur-checks", "animal", "Y-a", "a"),
    ("spur-checks", "clutch", "C-b", "b"),
    ("spur-checks", "left", "unclear", "b"),
    ("spur-checks", "right", "present", "a"),
    ("sexing-policies", "from_day", str(TODAY), "a"),
    *((address, "from_at", NOW.isoformat(), "a") for address in CHECKS),
    *((address, "until_at", NOW.isoformat(), "b") for address in CHECKS),
    *((address, "in_force", "true", "a") for address in CHECKS),
]


def make_breeding(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Add two rows of each list of breeding to those that there are."""
    a["incubation-plans"] = IncubationPlanFactory(code="a", species=a["species"])
    b["incubation-plans"] = IncubationPlanFactory(
        code="b", species=b["species"], retired_on=TODAY
    )
    _make_sires(a, b)
    _make_eggs(a, b)
    _make_pairs(a, b)
    _make_young(a, b)


def _make_young(a: dict[str, Any], b: dict[str, Any]) -> None:
    for side, code, then in (
        (a, "a", {"at": NOW}),
        (
            *(b, "b"),
            {"at": NOW - timedelta(days=1), "left": "unclear", "right": "absent"}
            | STRUCK,
        ),
    ):
        # Left long ago, so that no list of who lives here has them.
        young = AnimalFactory(code=f"Y-{code}", male=True, status="lost", left_on=TODAY)
        side["hatchlings"] = HatchlingFactory(animal=young, clutch=side["clutches"])
        side["spur-checks"] = SpurCheckFactory(animal=young, **then)
    a["sexing-policies"] = SexingPolicyFactory(from_on=TODAY)
    b["sexing-policies"] = SexingPolicyFactory(from_on=TODAY - timedelta(days=1))


def _make_sires(a: dict[str, Any], b: dict[str, Any]) -> None:
    clutch = ClutchFactory(code="K-a", dam=None, species=a["species"])
    animal, sire = (AnimalFactory(code=c, sex="male") for c in ("K-b", "S-b"))
    a["candidate-sires"] = CandidateSireFactory(clutch=clutch)
    b["candidate-sires"] = CandidateSireFactory(clutch=None, animal=animal, sire=sire)


def _make_eggs(a: dict[str, Any], b: dict[str, Any]) -> None:
    born = {"kind": "live_young", "eggs_set": 0, "eggs_infertile": 0}
    for side, code, then, laid in (
        (a, "a", {"at": NOW}, {"laid_on": TODAY}),
        (
            *(b, "b", {"at": NOW - timedelta(days=1), **STRUCK}),
            {"laid_on": date(2025, 6, 1), **born},
        ),
    ):
        box = side["egg-boxes"] = EggBoxFactory(code=code)
        BoxStayFactory(box=box, incubator=side["enclosures"])
        clutch = side["clutches"] = ClutchFactory(
            code=f"C-{code}", dam=side["animals"], site=side["sites"], **laid
        )
        egg = side["eggs"] = EggFactory(clutch=clutch)
        EggPlaceFactory(egg=egg, box=box)
        side["box-checks"] = BoxCheckFactory(box=box, **then)
        side["egg-checks"] = EggCheckFactory(
            egg=egg, seen="vessels" if code == "a" else "dark", **then
        )
    _make_forecasts(a, b)
    b["egg-boxes"].retired_on = TODAY
    b["egg-boxes"].save()
    b["eggs"].state, b["eggs"].ended_on = "hatched", TODAY
    b["eggs"].save()


def _make_forecasts(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Add one forecast of a's eggs and two of b's, of which the older one is meant."""
    a["forecasts"], b["forecasts"], _ = (
        ForecastFactory(
            clutch=side["eggs"].clutch, box=side["egg-boxes"], on=on, basis=basis
        )
        for side, on, basis in (
            (a, date(2026, 3, 1), "profile_window"),
            (b, date(2026, 2, 1), "own_clutches"),
            (b, date(2026, 2, 2), "profile_window"),
        )
    )


def _make_pairs(a: dict[str, Any], b: dict[str, Any]) -> None:
    for side, code, then in (
        (a, "a", {"at": NOW}),
        (b, "b", {"at": NOW - timedelta(days=1), "outcome": "fought", **STRUCK}),
    ):
        sire = AnimalFactory(code=f"Z-{code}", male=True)
        pairing = side["pairings"] = PairingFactory(dam=side["animals"], sire=sire)
        side["introductions"] = IntroductionFactory(pairing=pairing, **then)
    b["pairings"].ended_on = TODAY
    b["pairings"].save()
