"""A clutch with eggs, a box and an incubator that the tests of eggs are about."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from clutches.models import Clutch, Egg, EggBox
from core.models import Site
from husbandry.models import Enclosure
from tests.factories import (
    BoxStayFactory,
    CareProfileFactory,
    ClutchFactory,
    EggBoxFactory,
    EggFactory,
    EggPlaceFactory,
    EnclosureFactory,
    RoomFactory,
    SiteFactory,
)

LAID = date(2026, 1, 1)
PUT = datetime(2026, 1, 1, 12, 0, tzinfo=UTC)
DAY, HOUR = timedelta(days=1), timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Nest:
    """Eggs of one clutch, and the box in which they lie or are to lie."""

    site: Site
    incubator: Enclosure
    box: EggBox
    clutch: Clutch
    eggs: list[Egg]

    def fresh(self, number: int = 1) -> Egg:
        """Return an egg as it stands on record."""
        return Egg.objects.select_related("clutch").get(
            clutch=self.clutch, number=number
        )


def make_nest(*, eggs: int = 3, lying: bool = True, **given: Any) -> Nest:
    """Return a nest; eggs lie in order from A1 on since noon of the day of laying.

    Args:
        given: of the box, such as its rows.
    """
    if not CareProfileFactory._meta.model.objects.exists():
        CareProfileFactory.create()
    site = SiteFactory.create(code=given.pop("site", "mill"))
    incubator = EnclosureFactory.create(
        code=f"I-{site.code}", room=RoomFactory.create(site=site), kind="incubator"
    )
    box = EggBoxFactory.create(
        **(
            {"code": f"BX-{site.code}", "rows": 4, "columns": 3, "made_on": LAID}
            | given
        )
    )
    BoxStayFactory.create(box=box, incubator=incubator, from_at=PUT)
    clutch = ClutchFactory.create(
        code=f"C-{site.code}", site=site, laid_on=LAID, eggs_set=eggs
    )
    rows = [EggFactory.create(clutch=clutch, number=n + 1) for n in range(eggs)]
    for place, egg in enumerate(rows if lying else []):
        EggPlaceFactory.create(
            egg=egg,
            box=box,
            row=place // box.columns + 1,
            column=place % box.columns + 1,
            from_at=PUT,
        )
    return Nest(site, incubator, box, clutch, rows)
