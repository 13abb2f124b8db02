"""What the OpenAPI document says beside its operations: about it, and what is where."""

from typing import Any

ABOUT = """\
Operations backend for people who breed reptiles and for people who rescue them:
what each animal needs and who says so, what was measured and done, what is wrong
this morning, breeding, rescue and placement.

**Signing in.** `Authorization: Bearer sb_…`, a token that acts for a person. What it
may is what its scope and the person's role both let it; each operation names the
permission that it needs.

**Units** stand in the names: `_c` °C, `_g` grams, `_mg` milligrams, `_ml` millilitres,
`_cm` centimetres, `_pct` percent, `_s` seconds, `_h` hours. Instants (`_at`) are
ISO 8601 with an offset and are answered in UTC; days (`_on`) are local days of a site.

**Lists** answer `{"next": …, "results": […]}`; follow `next` until it is null.

**Refusals** are problem details by RFC 9457: `code` is stable, `detail` names the
value, the reason and what would be accepted, `fields` says so by input. A parameter
or a field that nobody knows is refused, not ignored.

Where a value could harm (doses, heat, release) an answer carries a `caution`: show
it wherever you show the value. A licensed reptile vet and local law come first.
"""

GROUPS: dict[str, dict[str, str]] = {
    "The morning": {
        "findings": "What is wrong, with its evidence and the first step.",
        "review-runs": "Which nights were reviewed, and how complete their data were.",
        "review-policies": "What a site judges differently from the care profile.",
        "rounds": "A walk through the rooms with what is due.",
        "care-tasks": "What is due on a day, or overdue.",
    },
    "Animals": {
        "animals": "The animals: who, where, what each needs, how it grows.",
        "stays": "Who lived where, from when until when.",
        "weighings": "What animals weighed.",
        "measurings": "Lengths of animals.",
        "species": "Kinds of animals.",
        "profiles": "Care profiles: targets of a species, each value with its source.",
        "reproductive-states": "Gravid or resting, from a day on.",
        "target-overrides": "What was agreed for one animal instead of its profile.",
        "deaths": "Deaths, and what a necropsy found.",
    },
    "Daily care": {
        "feedings": "What was offered and eaten, with which supplements.",
        "observations": "Signs, sheds, droppings: what people saw.",
        "chores": "Misting, cleaning, gut-loading and the like.",
        "feeding-orders": "Fasts, assisted meals and other rhythms for one animal.",
        "lamps": "Lamps that were fitted.",
        "lamp-checks": "Readings of lamps.",
    },
    "Health": {
        "prescriptions": "What a licensed vet prescribed.",
        "doses": "Doses given, or not given and why.",
        "health-tests": "Tests, their results, and what a vet has seen.",
    },
    "Conditions": {
        "readings": "What probes measured: posted here, once each.",
        "unclaimed-readings": "Readings under codes that no probe has, until claimed.",
        "probes": "The instruments, and what they measured over time.",
        "logger-files": "Files of data loggers: tried, taken in, and what came of it.",
        "logger-mappings": "How the files of each source are read.",
        "conditions": "What the readings of a local day add up to.",
    },
    "Breeding": {
        "pairings": "Who is to breed with whom.",
        "introductions": "Who met whom, and what came of it.",
        "pair-advice": "Which pairs to prefer, with the reasons against.",
        "collection-kinship": "How closely animals are related.",
        "candidate-sires": "Who may be the sire where several may.",
        "pedigree-imports": "Pedigrees handed in as a table.",
        "clutches": "Clutches laid, and young born alive.",
        "egg-boxes": "Boxes that eggs lie in, and the incubators they stand in.",
        "box-checks": "Mass and water of boxes.",
        "breeding-due": "What is due among the eggs, by clutch.",
        "eggs": "Eggs, their places and states.",
        "egg-checks": "Candling and other looks at eggs.",
        "incubation-plans": "Phases of incubation.",
        "forecasts": "Hatch windows, with what they stand on.",
        "hatchlings": "Eggs that became animals.",
        "spur-checks": "Looks at heels, by foot.",
        "sexing-due": "Whose heels wait for a look, and what looks leave open.",
        "sexing-policies": "What a site asks for before a sex is settled.",
        "sex-ratios": "Published sex ratios by incubation temperature.",
        "breeding-figures": "What became of eggs and hatchlings, with intervals.",
    },
    "Rescue and placement": {
        "arrivals": "Deliveries of animals.",
        "intakes": "One animal of a delivery, with holds.",
        "intake-photos": "Photographs taken at intake.",
        "exams": "Looks at animals by body system.",
        "hold-policies": "For how long newcomers are held; local law decides.",
        "quarantines": "Animals kept apart, and what is missing for their clearance.",
        "quarantine-policies": "What clearance asks for.",
        "homes": "Households. Personal data.",
        "applications": "Who would like which animal. Personal data.",
        "private-addresses": "Secret addresses of homes' own pages.",
        "personal-data-policies": "For how long personal data are kept.",
        "home-enclosures": "Enclosures in homes, and what was measured there.",
        "readiness-reviews": "Whether a home's enclosure is ready.",
        "placements": "Adoptions, sales, transfers, loans, fosters, releases.",
        "placement-policies": "Which gates a placement has to pass.",
        "packets": "What goes home with an animal: fixed, numbered, verifiable.",
        "packet-jobs": "Packets that were asked for and are drawn.",
        "follow-ups": "Questions to homes after a placement.",
        "home-reports": "What homes wrote.",
        "papers": "Permits and certificates.",
        "register-entries": "The register of comings and goings; append-only.",
        "placement-figures": "Length of stay, live release, returns, capacity.",
    },
    "The house": {
        "organisation": "Whose installation this is.",
        "sites": "Places with their own clock and sun.",
        "rooms": "Rooms of a site, in walking order.",
        "enclosures": "Where animals live; incubators too.",
        "set-ups": "How enclosures stand, from a day on.",
        "sight-lines": "Which enclosures can be seen from one another.",
        "people": "Who signs in, with which role.",
        "me": "Who is signed in.",
        "tokens": "Keys with which scripts act for a person, each with a scope.",
        "devices": "Loggers and hubs that post readings with tokens of their own.",
        "webhooks": "Which other programs are told of what, by signed messages.",
        "webhook-deliveries": "Messages to other programs, and each try to send them.",
        "calendars": "One's own secret addresses of the calendar, and the feed.",
        "health": "How the installation is; a word for everybody.",
        "audit-entries": "Who did what to what, when.",
        "exports": "What is on record, of any size, in forms that other programs read.",
    },
}


def add_words(result: Any, generator: Any, request: Any, public: bool) -> Any:  # noqa: ARG001, FBT001 - as the library calls it
    """Say what the API is, and in which group each resource stands."""
    result["info"]["description"] = ABOUT
    result["servers"] = [{"url": "/", "description": "This installation."}]
    result["tags"] = [
        {"name": tag, "description": told}
        for tags in GROUPS.values()
        for tag, told in tags.items()
    ]
    # Renderers that know it show the resources in these groups.
    result["x-tagGroups"] = [
        {"name": group, "tags": list(tags)} for group, tags in GROUPS.items()
    ]
    result["components"]["securitySchemes"]["cookieAuth"]["description"] = (
        "The session of somebody who signed in on the pages; unsafe requests need "
        "the CSRF token as well."
    )
    return result
