"""Deliveries: all animals of one are taken in, or none of them."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from core.models import AuditEntry, Site
from husbandry.actions.animals import mark_left
from husbandry.models import (
    Animal,
    EarlierCare,
    Enclosure,
    Observation,
    Quarantine,
    Stay,
    Weighing,
)
from husbandry.rules.sexes import SexError, Sexing
from husbandry.rules.vocabulary import AnimalStatus, Confidence, Sex, SexBasis
from placements.actions.intakes import (
    ArrivalDetails,
    ExamGiven,
    Giver,
    IntakeError,
    IntakeRow,
    record_arrival,
)
from placements.actions.species import settle_species
from placements.models import Arrival, Exam, Home, Intake, RegisterEntry
from placements.queries.intakes import by_code_or_chip, species_unsure
from placements.rules.exams import ExamPart
from placements.rules.holds import HoldError
from placements.rules.intakes import UnsureSpecies
from placements.rules.newcomers import NOT_YET_KNOWN
from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    ExamOutcome,
    IntakeCondition,
    IntakeSource,
)
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    EnclosureFactory,
    HoldPolicyFactory,
    HomeFactory,
    PlacementFactory,
    QuarantinePolicyFactory,
    RoomFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
CHIP = "620098100000001"
CAME_AT = NOW - timedelta(hours=2)
LIKELY_MALE = Sexing(Sex.MALE, SexBasis.HEEL_SPUR, Confidence.LIKELY)


@pytest.fixture
def site() -> Site:
    return SiteFactory.create(time_zone="UTC")


@pytest.fixture
def quarantine(site: Site) -> list[Enclosure]:
    room = RoomFactory.create(site=site, quarantine=True)
    return [EnclosureFactory.create(room=room) for _ in range(4)]


def take_in(site: Site, *rows: IntakeRow, **said: Any) -> Arrival:
    details = {"source": IntakeSource.SURRENDER, "arrived_at": CAME_AT} | said
    by = details.pop("by", None)
    return record_arrival(
        arrival=ArrivalDetails(site=site, **details), animals=rows, by=by, at=NOW
    )


def veiled(code: str, **said: Any) -> IntakeRow:
    return IntakeRow(code=code, species=SpeciesFactory.create(), **said)


def placed(code: str = "V-7", **said: Any) -> Animal:
    """An animal that was here and went to a home on 20 February."""
    animal = AnimalFactory.create(code=code, name="", **said)
    PlacementFactory.create(
        animal=animal, state="handed_over", handed_over_on=date(2026, 2, 20)
    )
    return mark_left(
        animal=animal,
        status=AnimalStatus.PLACED,
        on=date(2026, 2, 20),
        by=None,
        at=NOW,
    )


def test_one_animal_with_all_that_can_be_said(
    site: Site, quarantine: list[Enclosure]
) -> None:
    CareProfileFactory.create()
    home, person = HomeFactory.create(), UserFactory.create()
    row = veiled(
        " V-1 ",
        name="Pip",
        species_told="chameleon",
        sexing=LIKELY_MALE,
        microchip="620 098 100 000 001",
        chip_scan=ChipScan.READ,
        condition=IntakeCondition.REHABILITATABLE,
        mass_g=Decimal("61.5"),
        enclosure=quarantine[0],
        exam=ExamGiven(
            "Quitéria Lumbrales",
            (ExamPart(BodySystem.EYES, ExamOutcome.UNUSUAL, "left one shut"),),
            "calm",
        ),
        signs=("sign-eyes-closed",),
        came_with="a heat lamp",
        note="thin",
    )

    arrival = take_in(
        site, row, home=home, came_with="papers", note="moving house", by=person
    )

    intake = Intake.objects.select_related("animal").get()
    animal = intake.animal
    assert (animal.code, animal.name, animal.status) == ("V-1", "Pip", "in_care")
    assert (animal.origin, animal.arrived_on) == ("surrendered", TODAY)
    assert (animal.microchip, animal.sex) == (CHIP, "male")
    assert (intake.arrival, intake.condition, intake.chip_scan) == (
        arrival,
        "rehabilitatable",
        "read",
    )
    assert (intake.species_told, intake.species_sure) == ("chameleon", True)
    assert (intake.came_with, intake.note) == ("a heat lamp", "thin")
    assert (arrival.home, arrival.came_with, arrival.hold_until) == (
        home,
        "papers",
        None,
    )
    assert Quarantine.objects.get().animal == animal
    stay = Stay.objects.get()
    assert (stay.enclosure, stay.from_at) == (quarantine[0], CAME_AT)
    assert Weighing.objects.get().mass_g == Decimal("61.50")
    assert Observation.objects.get().sign == "sign-eyes-closed"
    exam = Exam.objects.get()
    assert (exam.intake, exam.examined_by, exam.note) == (
        intake,
        "Quitéria Lumbrales",
        "calm",
    )
    # Every part is on record, also those at which nobody looked.
    lines = {line.system: line.outcome for line in exam.lines.all()}
    assert lines.pop("eyes") == "unusual"
    assert set(lines.values()) == {"not_looked_at"}
    assert len(lines) == len(BodySystem) - 1
    register = RegisterEntry.objects.get()
    assert (register.animal, register.direction, register.how) == (
        animal,
        "came",
        "surrender",
    )


def test_the_audit_trail_tells_nothing_of_people(site: Site) -> None:
    take_in(
        site,
        veiled("V-1", note="its keeper Zeferino cried", came_with="Zeferino's cage"),
        home=Giver("Zeferino Quintal", "3 Quay Street"),
        note="Zeferino moves to Quay Street",
        found_at="",
    )

    home = Home.objects.get()
    assert (home.name, home.contact) == ("Zeferino Quintal", "3 Quay Street")
    assert Arrival.objects.get().home == home
    told = str([(e.before, e.after, e.reason) for e in AuditEntry.objects.all()])
    assert "Zeferino" not in told
    assert "Quay" not in told
    assert set(AuditEntry.objects.values_list("verb", flat=True)) >= {
        "record_arrival",
        "record_intake",
        "register_animal",
        "begin_quarantine",
        "add_home",
    }


def test_several_come_at_once_known_and_new(
    site: Site, quarantine: list[Enclosure]
) -> None:
    known = placed()

    arrival = take_in(
        site,
        veiled("V-1", enclosure=quarantine[0]),
        IntakeRow(again=known, enclosure=quarantine[1]),
        IntakeRow(code="V-2", species_sure=False, species_told="some lizard"),
        source=IntakeSource.SEIZURE,
    )

    intakes = list(arrival.intakes.order_by("pk").select_related("animal__species"))
    assert [i.animal.code for i in intakes] == ["V-1", "V-7", "V-2"]
    assert [i.animal.species.code for i in intakes] == [
        "veiled_chameleon",
        "veiled_chameleon",
        NOT_YET_KNOWN,
    ]
    assert Quarantine.objects.filter(ended_on__isnull=True).count() == 3
    assert Stay.objects.filter(until_at__isnull=True).count() == 2


def test_a_return_ends_the_placement_and_keeps_the_history(
    site: Site, quarantine: list[Enclosure]
) -> None:
    known = placed()

    arrival = take_in(
        site,
        IntakeRow(again=known, enclosure=quarantine[0]),
        source=IntakeSource.RETURN,
    )

    intake = Intake.objects.select_related("returns__home").get()
    placement = intake.returns
    assert placement is not None
    assert (placement.state, placement.ended_on) == ("came_back", TODAY)
    # From whom it came is known by that.
    assert arrival.home == placement.home
    known.refresh_from_db()
    assert (known.status, known.arrived_on, known.left_on) == ("in_care", TODAY, None)
    assert EarlierCare.objects.get().left_on == date(2026, 2, 20)


def test_a_placed_animal_that_is_found_ends_its_placement_too(site: Site) -> None:
    known = placed()

    take_in(
        site,
        IntakeRow(again=known),
        source=IntakeSource.STRAY,
        found_at="at the river",
    )

    assert Intake.objects.get().returns == PlacementFactory._meta.model.objects.get()
    assert Intake.objects.get().arrival.found_at == "at the river"


def test_an_ancestor_comes_under_its_code(site: Site) -> None:
    ancestor = AnimalFactory.create(
        code="KEEPER-3", status="elsewhere", arrived_on=TODAY, left_on=TODAY
    )

    take_in(site, IntakeRow(again=ancestor))

    ancestor.refresh_from_db()
    assert ancestor.status == "in_care"
    assert not EarlierCare.objects.exists()


def test_a_chip_of_an_animal_that_was_here_is_never_taken_for_granted(
    site: Site,
) -> None:
    placed(microchip=CHIP)

    with pytest.raises(IntakeError) as refusal:
        take_in(site, veiled("V-9", microchip=CHIP, chip_scan=ChipScan.READ))

    (problem,) = refusal.value.problems
    assert (problem.line, problem.field) == (0, "microchip")
    assert problem.sentence == (
        f"the chip {CHIP} is that of V-7, placed since 20 Feb 2026. If it is this "
        "animal, give its code V-7 and say that it was here before; otherwise read the "
        "chip again."
    )
    assert not Arrival.objects.exists()
    assert not Animal.objects.filter(code="V-9").exists()
    found = by_code_or_chip("620 098-100000001")
    assert found is not None
    assert (found.code, found.status) == ("V-7", AnimalStatus.PLACED)


def test_a_chip_that_is_new_on_an_animal_that_was_here(site: Site) -> None:
    known = placed()

    take_in(site, IntakeRow(again=known, microchip=CHIP, chip_scan=ChipScan.READ))

    known.refresh_from_db()
    assert known.microchip == CHIP


@pytest.mark.parametrize(
    ("row", "field", "said"),
    [
        ({"code": ""}, "code", "is no code for an animal"),
        ({"code": "V-7"}, "code", "placed since 20 Feb 2026. If it is the same"),
        ({"code": "V-8"}, "code", "in care since 01 Jan 2025"),
        ({"microchip": CHIP}, "chip_scan", "a chip that was read has a number"),
        ({"chip_scan": ChipScan.READ}, "chip_scan", "give both, or neither"),
        ({"microchip": "12"}, "microchip", "2 digits"),
        ({"microchip": "999123456789012"}, "microchip", "test number"),
        ({"species": None}, "species", "nobody can be sure of a species"),
        ({"species_told": "x" * 121}, "species_told", "at most 120"),
        (
            {"sexing": Sexing(Sex.MALE, SexBasis.NOT_SEXED, Confidence.LIKELY)},
            "sex_basis",
            "needs a basis",
        ),
        ({"mass_g": Decimal(0)}, "mass_g", "must be more than 0 g"),
        ({"signs": ("no-such-sign",)}, "signs", "is no warning sign of its profile"),
        (
            {"exam": ExamGiven("", (ExamPart(BodySystem.EYES, ExamOutcome.UNUSUAL),))},
            "exam",
            "Say who looked",
        ),
    ],
)
def test_a_bad_line_keeps_all_out_and_says_why(
    site: Site, row: dict[str, Any], field: str, said: str
) -> None:
    CareProfileFactory.create()
    placed()
    AnimalFactory.create(code="V-8")
    before = AuditEntry.objects.count()
    wrong = {"code": "V-3", "species": SpeciesFactory.create()} | row

    with pytest.raises(IntakeError) as refusal:
        take_in(site, veiled("V-1"), IntakeRow(**wrong))

    found = [(p.line, p.field) for p in refusal.value.problems]
    assert (1, field) in found
    assert all(line == 1 for line, _ in found)
    assert said in refusal.value.sentence
    assert refusal.value.sentence.startswith("Animal 2 (")
    assert f"animals[1].{field}" in refusal.value.fields
    assert not Arrival.objects.exists()
    assert not Animal.objects.filter(code="V-1").exists()
    assert AuditEntry.objects.count() == before


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"name": "Rango"}, "leave out name"),
        ({"microchip": "620098100000002"}, "carries the chip 620098100000001"),
    ],
)
def test_what_is_on_record_of_an_animal_is_not_said_anew(
    site: Site, row: dict[str, Any], said: str
) -> None:
    known = placed(microchip=CHIP)
    scan = ChipScan.READ if "microchip" in row else ChipScan.NONE_FOUND

    with pytest.raises(IntakeError, match=said):
        take_in(site, IntakeRow(again=known, chip_scan=scan, **row))


@pytest.mark.parametrize(
    ("status", "said"),
    [("in_care", "is in care already"), ("dead", "is on record as dead")],
)
def test_an_animal_that_cannot_have_come(site: Site, status: str, said: str) -> None:
    left_on = None if status == "in_care" else TODAY - DAY
    known = AnimalFactory.create(status=status, left_on=left_on)

    with pytest.raises(IntakeError, match=said):
        take_in(site, IntakeRow(again=known))


def test_the_same_code_or_chip_twice_is_refused(site: Site) -> None:
    chip = {"microchip": CHIP, "chip_scan": ChipScan.READ}

    with pytest.raises(IntakeError) as refusal:
        take_in(site, veiled("V-1", **chip), veiled("V-1", **chip))

    assert [(p.line, p.field) for p in refusal.value.problems] == [
        (0, "code"),
        (0, "microchip"),
        (1, "code"),
        (1, "microchip"),
    ]


@pytest.mark.parametrize(
    ("said", "wrong"),
    [
        ({"arrived_at": NOW + timedelta(minutes=1)}, "has not come yet"),
        ({"arrived_at": NOW + 2 * DAY}, "has not come yet"),
        ({"source": IntakeSource.BOUGHT}, "Say from whom they came"),
        ({"source": IntakeSource.STRAY, "found_at": " "}, "Say where the stray"),
        ({"source": IntakeSource.STRAY, "found_at": "x" * 201}, "at most 200"),
        (
            {"source": IntakeSource.BORN_HERE, "home": Giver("Nobody")},
            "came from nobody",
        ),
    ],
)
def test_a_delivery_that_cannot_have_been(
    site: Site, said: dict[str, Any], wrong: str
) -> None:
    with pytest.raises(IntakeError, match=wrong):
        take_in(site, veiled("V-1"), **said)


@pytest.mark.parametrize("many", [0, 61])
def test_none_or_too_many_animals_are_refused(site: Site, many: int) -> None:
    with pytest.raises(IntakeError, match="give 1 to 60"):
        take_in(site, *(veiled(f"V-{n}") for n in range(many)))


def test_a_return_is_of_an_animal_that_was_here(site: Site) -> None:
    with pytest.raises(IntakeError, match="a return is of an animal"):
        take_in(site, veiled("V-1"), source=IntakeSource.RETURN)


def test_born_here_is_not_kept_apart(site: Site) -> None:
    take_in(site, veiled("V-1"), source=IntakeSource.BORN_HERE)

    animal = Animal.objects.get()
    assert (animal.origin, animal.hatched_on) == ("born_here", TODAY)
    assert not Quarantine.objects.exists()


def test_a_species_may_need_no_quarantine(site: Site) -> None:
    species = SpeciesFactory.create()
    QuarantinePolicyFactory.create(species=species, needed=False, days=0)

    take_in(site, veiled("V-1"))

    assert not Quarantine.objects.exists()


def test_an_enclosure_outside_of_quarantine_is_refused_with_its_line(
    site: Site,
) -> None:
    outside = EnclosureFactory.create(room=RoomFactory.create(site=site))

    with pytest.raises(IntakeError) as refusal:
        take_in(site, veiled("V-1", enclosure=outside))

    (problem,) = refusal.value.problems
    assert problem.field == "enclosure"
    assert not Animal.objects.exists()


def test_an_enclosure_that_is_taken_is_refused_with_its_line(
    site: Site, quarantine: list[Enclosure]
) -> None:
    StayFactory.create(animal__code="V-5", enclosure=quarantine[0])
    Quarantine.objects.create(
        animal=Animal.objects.get(code="V-5"),
        began_on=TODAY - DAY,
        group="reptiles",
        reason="came in",
        begun_at=NOW,
    )

    with pytest.raises(IntakeError, match="is occupied by V-5"):
        take_in(site, veiled("V-1", enclosure=quarantine[0]))


def test_an_unlikely_mass_is_confirmed_with_a_reason(site: Site) -> None:
    CareProfileFactory.create()
    with pytest.raises(IntakeError, match="is not plausible"):
        take_in(site, veiled("V-1", mass_g=Decimal(9000)))

    take_in(
        site, veiled("V-1", mass_g=Decimal(9000), mass_reason="weighed twice, it is so")
    )

    assert Weighing.objects.get().note == "weighed twice, it is so"


def test_a_late_return_opens_the_nights_since(site: Site) -> None:
    known = placed()

    take_in(
        site,
        IntakeRow(again=known),
        source=IntakeSource.RETURN,
        arrived_at=datetime(2026, 2, 25, 10, tzinfo=UTC),
    )

    known.refresh_from_db()
    assert known.arrived_on == date(2026, 2, 25)


# Holds.


def test_a_policy_holds_all_of_its_source(site: Site) -> None:
    HoldPolicyFactory.create(days=14, made_at=NOW - 3 * DAY)
    HoldPolicyFactory.create(days=7, made_at=NOW - 2 * DAY)

    arrival = take_in(
        site, veiled("V-1"), source=IntakeSource.STRAY, found_at="not known"
    )

    # The newest policy; the day of arrival does not count: 2 March and seven days.
    assert arrival.hold_until == date(2026, 3, 9)
    assert arrival.hold_reason == "policy: local law on found animals"


def test_a_delivery_may_be_held_otherwise(site: Site) -> None:
    arrival = take_in(
        site,
        veiled("V-1"),
        source=IntakeSource.SEIZURE,
        hold_until=date(2026, 6, 1),
        hold_reason="order 7 of the court",
    )

    assert (arrival.hold_until, arrival.hold_reason) == (
        date(2026, 6, 1),
        "order 7 of the court",
    )


@pytest.mark.parametrize(
    ("until", "reason", "wrong"),
    [
        (date(2026, 6, 1), " ", "Say why"),
        (TODAY - DAY, "order 7", "does not fit"),
        (date(2036, 6, 1), "order 7", "does not fit"),
    ],
)
def test_a_hold_that_cannot_be(
    site: Site, until: date, reason: str, wrong: str
) -> None:
    with pytest.raises(HoldError, match=wrong):
        take_in(site, veiled("V-1"), hold_until=until, hold_reason=reason)

    assert not Animal.objects.exists()


# Species that nobody knew.


def test_a_species_is_settled_later(site: Site) -> None:
    take_in(
        site,
        IntakeRow(code="V-1", species_sure=False, species_told="some lizard"),
        veiled("V-2", species_sure=False),
    )
    first, second = Intake.objects.order_by("pk")
    assert species_unsure(site=site, on=TODAY) == (
        UnsureSpecies(first.animal_id, TODAY, "some lizard"),
        UnsureSpecies(second.animal_id, TODAY, ""),
    )

    settle_species(
        intake=first,
        species=SpeciesFactory.create(),
        by=None,
        at=NOW,
        reason="the casque, by somebody who keeps them",
    )
    settle_species(
        intake=second, species=SpeciesFactory.create(), by=None, at=NOW, reason="spurs"
    )

    assert Animal.objects.get(code="V-1").species.code == "veiled_chameleon"
    assert species_unsure(site=site, on=TODAY) == ()
    entry = AuditEntry.objects.filter(verb="settle_species").first()
    assert entry is not None
    assert entry.after["species_sure"] is True


def test_a_species_is_not_settled_twice_or_by_nothing(site: Site) -> None:
    take_in(site, IntakeRow(code="V-1", species_sure=False), veiled("V-2"))
    unsure, sure = Intake.objects.order_by("pk")
    species = SpeciesFactory.create()

    with pytest.raises(IntakeError, match="Say by what"):
        settle_species(intake=unsure, species=species, by=None, at=NOW, reason=" ")
    with pytest.raises(IntakeError, match="That is no species"):
        settle_species(
            intake=unsure,
            species=unsure.animal.species,
            by=None,
            at=NOW,
            reason="looked",
        )
    with pytest.raises(IntakeError, match="is settled already"):
        settle_species(intake=sure, species=species, by=None, at=NOW, reason="looked")


def test_an_unsure_animal_is_told_where_it_lives_and_while_it_is_here(
    site: Site, quarantine: list[Enclosure]
) -> None:
    elsewhere = SiteFactory.create(time_zone="UTC")
    take_in(site, IntakeRow(code="V-1", species_sure=False, enclosure=quarantine[0]))
    animal = Animal.objects.get()

    assert [f.animal for f in species_unsure(site=site, on=TODAY)] == [animal.pk]
    assert species_unsure(site=elsewhere, on=TODAY) == ()
    assert species_unsure(site=site, on=TODAY - DAY) == ()

    mark_left(animal=animal, status=AnimalStatus.DEAD, on=TODAY, by=None, at=NOW)

    assert species_unsure(site=site, on=TODAY) == ()


# Many.


def queries_for(site: Site, number: int, prefix: str) -> int:
    known = [placed(f"{prefix}-old-{n}") for n in range(number)]
    rows = [IntakeRow(again=animal) for animal in known]
    for animal in known:
        PlacementFactory._meta.model.objects.filter(animal=animal).update(
            state="made_lasting", ended_on=date(2026, 2, 21)
        )
    rows += [
        veiled(
            f"{prefix}-{n}",
            exam=ExamGiven(
                "a keeper", (ExamPart(BodySystem.SKIN, ExamOutcome.NOTHING_UNUSUAL),)
            ),
        )
        for n in range(number)
    ]
    with CaptureQueriesContext(
        connection,
    ) as queries:
        take_in(site, *rows)
    return len(queries)


def test_as_many_queries_for_many_as_for_one(site: Site) -> None:
    assert queries_for(site, 1, "A") == queries_for(site, 4, "B")


def test_a_sexing_error_of_the_rules_is_the_line_s(site: Site) -> None:
    with pytest.raises(IntakeError) as refusal:
        take_in(
            site,
            veiled(
                "V-1",
                sexing=Sexing(Sex.MALE, SexBasis.LAID_EGGS, Confidence.LIKELY),
            ),
        )

    assert not isinstance(refusal.value, SexError)
    assert refusal.value.problems[0].field == "sex"
