"""What a packet is built from, out of real rows; food against the database's own sums."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from random import Random

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.rules.vocabulary import ClutchKind, Heel
from husbandry.models import Animal, Feeding
from husbandry.rules.vocabulary import (
    AnimalStatus,
    DoseOutcome,
    FeedingOrderKind,
    FindingKind,
    HealthTestKind,
    HealthTestResult,
    ObservationKind,
    Observed,
    Origin,
    Urgency,
)
from placements.actions.packets import make_packet
from placements.models import Placement
from placements.queries.facts import packet_facts
from placements.queries.packets import load_packet
from placements.rules.packets.building import build_document
from placements.rules.packets.days import LightTimes
from placements.rules.packets.documents import Document, canonical, plain
from placements.rules.packets.leaving import (
    FollowUpLine,
    GateLine,
    HandoverLine,
    PaperLine,
    PrintChoice,
)
from placements.rules.packets.names import LEFT_OUT
from placements.rules.packets.records import (
    ClutchLine,
    EarlierCareLine,
    ExamEntry,
    ExamPart,
    IntakeLine,
    MateBand,
    QuarantineLine,
    SpurLine,
    TestLine,
    TreatmentLine,
)
from placements.rules.packets.routines import FeedingOrderLine, LightsBasis
from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    CitesSource,
    ExamOutcome,
    FollowUpKind,
    Gate,
    IntakeCondition,
    IntakeSource,
    Paper,
    PaperKind,
    PlacementKind,
    UnitSystem,
)
from tests import factories

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 18, 15, 0, tzinfo=UTC)
LEAVES_ON = date(2026, 3, 20)
LATER = AT + timedelta(minutes=1)
D = Decimal
SIGN_WITH_NOTE = {
    "sign": "sign-urates",
    "text": "Orange urates.",
    "do": "Look again.",
    "since_on": "2026-03-01",
    "last_on": "2026-03-01",
    "times": 1,
}


def animal(**more: object) -> Animal:
    factories.CareProfileFactory()
    return factories.AnimalFactory(**more)


def placement_of(found: Animal, **more: object) -> Placement:
    return factories.PlacementFactory(animal=found, planned_on=LEAVES_ON, **more)


def document(placement: Placement) -> Document:
    return build_document(packet_facts(placement=placement, at=AT))


def test_intake_says_how_it_came_and_not_from_whom() -> None:
    found = animal()
    home = factories.HomeFactory(name="Ilse Borowka", contact="9 Heron Row")
    arrival = factories.ArrivalFactory(
        home=home,
        source=IntakeSource.SEIZURE.value,
        arrived_at=datetime(2026, 1, 5, 23, 30, tzinfo=UTC),
        hold_until=date(2026, 2, 5),
        hold_reason="court",
        found_at="9 Heron Row",
        note="Ilse Borowka was upset",
    )
    factories.IntakeFactory(
        arrival=arrival,
        animal=found,
        condition=IntakeCondition.REHABILITATABLE.value,
        chip_scan=ChipScan.NONE_FOUND.value,
        species_told="panther, says Ilse Borowka",
        came_with="a tub, marked 9 Heron Row",
        note="private",
    )
    later = factories.ArrivalFactory(arrived_at=LATER)
    factories.IntakeFactory(arrival=later, animal=found)

    told = document(placement_of(found))

    assert told.history.intakes == (
        IntakeLine(
            on=date(2026, 1, 5),
            source=IntakeSource.SEIZURE,
            condition=IntakeCondition.REHABILITATABLE,
            chip_scan=ChipScan.NONE_FOUND,
            species_told=f"panther, says {LEFT_OUT}",
            hold_until=date(2026, 2, 5),
            came_with=f"a tub, marked {LEFT_OUT}",
        ),
    )


def test_hold_that_was_lifted_ends_on_the_day_it_was() -> None:
    found = animal()
    arrival = factories.ArrivalFactory(
        arrived_at=datetime(2026, 1, 5, 9, tzinfo=UTC),
        hold_until=date(2026, 2, 5),
        hold_reason="law",
    )
    factories.IntakeFactory(
        arrival=arrival,
        animal=found,
        hold_ended_on=date(2026, 1, 9),
        hold_ended_reason="owner signed",
    )

    (line,) = document(placement_of(found)).history.intakes

    assert line.hold_until == date(2026, 1, 9)


def test_background_of_an_animal_with_a_past() -> None:
    found = animal()
    factories.EarlierCareFactory(
        animal=found, arrived_on=date(2025, 1, 1), left_on=date(2025, 5, 1)
    )
    over = factories.QuarantineFactory(
        animal=found,
        began_on=date(2025, 1, 1),
        ended_on=date(2025, 1, 31),
        ended_at=AT - timedelta(days=400),
    )
    factories.ClearanceFactory(
        quarantine=over, on=date(2025, 1, 31), despite="Nobody could wait."
    )
    factories.QuarantineFactory(animal=found, began_on=date(2026, 3, 1))
    exam = factories.ExamFactory(
        animal=found, at=datetime(2026, 3, 1, 9, tzinfo=UTC), note="kept here"
    )
    factories.ExamLineFactory(exam=exam)
    factories.ExamLineFactory(
        exam=exam,
        system=BodySystem.SKIN.value,
        outcome=ExamOutcome.UNUSUAL.value,
        note="dry, says Quitéria Lumbrales",
    )
    factories.SpurCheckFactory(animal=found, at=AT, right=Heel.UNCLEAR.value)
    factories.SpurCheckFactory(animal=found, at=LATER)
    factories.SpurCheckFactory(
        animal=found, at=AT, struck_at=AT, struck_reason="wrong animal"
    )

    told = document(placement_of(found)).history

    assert told.earlier_care == (
        EarlierCareLine(date(2025, 1, 1), date(2025, 5, 1), AnimalStatus.PLACED),
    )
    assert told.quarantines == (
        QuarantineLine(
            date(2025, 1, 1),
            date(2025, 1, 31),
            cleared=True,
            despite="Nobody could wait.",
        ),
        QuarantineLine(date(2026, 3, 1), None, cleared=False, despite=""),
    )
    assert told.exams == (
        ExamEntry(
            date(2026, 3, 1),
            (
                ExamPart(BodySystem.EYES, ExamOutcome.NOTHING_UNUSUAL, ""),
                ExamPart(BodySystem.SKIN, ExamOutcome.UNUSUAL, f"dry, says {LEFT_OUT}"),
            ),
        ),
    )
    assert told.spur_checks == (
        SpurLine(date(2026, 3, 18), Heel.PRESENT, Heel.UNCLEAR),
    )


def test_clutch_and_the_band_of_its_mates() -> None:
    dam = animal()
    hatched_on = date(2025, 11, 1)
    clutch = factories.ClutchFactory(
        dam=dam, code="C-7", laid_on=date(2025, 4, 1), eggs_set=30
    )
    eggs = [
        factories.EggFactory(
            clutch=clutch, number=n, state="hatched", ended_on=hatched_on
        )
        for n in range(1, 8)
    ]
    factories.EggFactory(clutch=clutch, number=8)
    young = [
        factories.HatchlingFactory(
            clutch=clutch,
            egg=egg,
            animal__hatched_on=hatched_on,
            animal__arrived_on=hatched_on,
        ).animal
        for egg in eggs
    ]
    for n, one in enumerate(young):
        factories.WeighingFactory(
            animal=one,
            at=datetime(2026, 1, 10, 9, tzinfo=UTC),
            mass_g=D(10 + n),
        )
    factories.WeighingFactory(
        animal=young[0], at=datetime(2026, 3, 1, 9, tzinfo=UTC), mass_g=D(30)
    )

    told = document(placement_of(young[0])).history

    assert told.clutch == ClutchLine(
        "C-7", ClutchKind.EGGS, date(2025, 4, 1), 30, hatched=7, egg=1
    )
    # Six mates of 11 to 16 g on 10 January; on 1 March nobody else was weighed.
    assert told.mates == (MateBand(date(2026, 1, 10), 6, D(11), D("13.5"), D(16)),)


def feed_for_weeks(found: Animal, *, rows: int) -> None:
    """Feedings over some forty days, a part of them refused, unwatched, struck out."""
    pick = Random(20260318)
    for n in range(rows):
        offered = pick.randint(1, 6)
        eaten = pick.choice([None, 0, pick.randint(1, offered)])
        feeding = factories.FeedingFactory(
            animal=found,
            feeder=pick.choice(["feeder-crickets", "feeder-roaches", "gone-by"]),
            at=AT + timedelta(hours=12) - timedelta(hours=11 * n, minutes=n),
            offered=offered,
            eaten=eaten,
            assisted=pick.random() < 0.1,
        )
        if pick.random() < 0.15:
            Feeding.objects.filter(pk=feeding.pk).update(
                struck_at=AT, struck_reason="of another animal"
            )


def test_feeding_response_is_what_the_database_adds_up() -> None:
    found = animal()
    factories.StayFactory(animal=found)
    feed_for_weeks(found, rows=90)
    factories.FeedingFactory(at=AT)

    told = document(placement_of(found)).history.feeding

    assert told is not None
    assert (told.from_on, told.until_on) == (date(2026, 2, 19), date(2026, 3, 18))
    with connection.cursor() as cursor:
        # In February and until 29 March the clock of Lisbon is that of UTC.
        cursor.execute(
            """
            SELECT feeder, COUNT(*), SUM(offered), COUNT(eaten),
                   SUM(CASE WHEN eaten IS NULL THEN 0 ELSE offered END),
                   SUM(COALESCE(eaten, 0)),
                   SUM(CASE WHEN eaten = 0 THEN 1 ELSE 0 END),
                   SUM(CASE WHEN assisted THEN 1 ELSE 0 END)
            FROM husbandry_feeding
            WHERE animal_id = %s AND struck_at IS NULL AND at >= %s AND at <= %s
            GROUP BY feeder
            """,
            [found.pk, datetime(2026, 2, 19, tzinfo=UTC), AT],
        )
        summed = {row[0]: row[1:] for row in cursor.fetchall()}
    ids = {"Crickets": "feeder-crickets", "Roaches": "feeder-roaches"}
    assert {
        ids.get(f.feeder, f.feeder): (
            f.times,
            f.offered,
            f.watched,
            f.offered_watched,
            f.eaten,
            f.refused,
            f.assisted,
        )
        for f in told.feeders
    } == summed
    assert len(summed) == 3
    assert min(f.refused for f in told.feeders) > 0


def test_food_that_was_agreed_is_told_and_followed() -> None:
    found = animal()
    factories.FeedingOrderFactory(
        animal=found, from_on=date(2026, 3, 10), until_on=date(2026, 3, 22)
    )
    factories.FeedingOrderFactory(
        animal=found, from_on=date(2026, 3, 1), until_on=date(2026, 3, 19)
    )
    factories.FeedingOrderFactory(
        animal=found,
        from_on=date(2026, 3, 20),
        until_on=date(2026, 4, 20),
        withdrawn_at=AT - timedelta(days=1),
    )

    told = document(placement_of(found))

    assert told.feeding_orders == (
        FeedingOrderLine(
            FeedingOrderKind.FAST,
            date(2026, 3, 10),
            date(2026, 3, 22),
            None,
            None,
            "",
            "Nothing before surgery, on the vet's word.",
        ),
    )
    # Grown, it would eat on the 20th, 22nd and 25th; the fast ends on the 22nd.
    assert told.months[0].feed_on[0] == date(2026, 3, 25)


def test_health_is_told_without_amounts_and_without_the_vets_name() -> None:
    found = animal()
    prescription = factories.PrescriptionFactory(
        animal=found,
        vet="Dr. Odalys Brandt, Ridge Clinic",
        reason="A cough, Dr. Odalys Brandt thinks",
        first_at=datetime(2026, 3, 14, 9, tzinfo=UTC),
        until_on=date(2026, 3, 25),
        recorded_at=AT - timedelta(days=5),
    )
    for day, outcome in ((14, DoseOutcome.GIVEN), (15, DoseOutcome.NOT_GIVEN)):
        given = outcome is DoseOutcome.GIVEN
        factories.DoseFactory(
            prescription=prescription,
            due_at=datetime(2026, 3, day, 9, tzinfo=UTC),
            outcome=outcome.value,
            volume_ml=D("0.1234") if given else None,
            weighing=factories.WeighingFactory(animal=found, at=AT) if given else None,
        )
    factories.HealthTestFactory(
        animal=found,
        taken_on=date(2026, 3, 1),
        laboratory="Brook Laboratory",
        result=HealthTestResult.FOUND.value,
        result_on=date(2026, 3, 5),
        finding="Some flagellates",
    )
    factories.HealthTestFactory(
        animal=found,
        taken_on=date(2026, 3, 16),
        result=HealthTestResult.NOTHING_FOUND.value,
        result_on=date(2026, 3, 19),
    )
    for days_ago, observed in ((9, Observed.PRESENT), (3, Observed.GONE)):
        factories.ObservationFactory(
            animal=found,
            kind=ObservationKind.SIGN.value,
            sign="sign-urates",
            observed=observed.value,
            at=AT - timedelta(days=days_ago),
        )
    placement = placement_of(found)
    factories.TreatmentHandoverFactory(
        placement=placement,
        prescription=prescription,
        plan="Dr. Odalys Brandt sees it on Monday.",
        handed_over_at=AT,
    )

    told = document(placement)

    assert told.history.treatments == (
        TreatmentLine(
            "Invented syrup",
            f"A cough, {LEFT_OUT} thinks",
            date(2026, 3, 14),
            date(2026, 3, 25),
            None,
            "",
            due=5,
            given=1,
            not_given=1,
            unrecorded=3,
            open=True,
        ),
    )
    assert told.history.tests == (
        TestLine(
            HealthTestKind.FAECAL,
            date(2026, 3, 1),
            HealthTestResult.FOUND,
            date(2026, 3, 5),
            "Some flagellates",
        ),
        TestLine(
            HealthTestKind.FAECAL,
            date(2026, 3, 16),
            HealthTestResult.AWAITED,
            None,
            "",
        ),
    )
    (sign,) = told.history.signs
    assert (sign.urgency, sign.times, sign.gone_on) == (
        Urgency.TODAY,
        1,
        date(2026, 3, 15),
    )
    assert told.treatment_handovers == (
        HandoverLine(
            "Invented syrup", f"{LEFT_OUT} sees it on Monday.", date(2026, 3, 18)
        ),
    )
    assert told.before_journey[0].id == "before-vet"
    text = canonical(plain(told)).decode()
    assert "0.1234" not in text
    assert "Brandt" not in text


def test_gates_papers_print_and_hours_of_the_home() -> None:
    found = animal()
    home = factories.HomeFactory(
        name="Ilse Borowka",
        units=UnitSystem.IMPERIAL.value,
        paper=Paper.LETTER.value,
        language="en-US",
    )
    enclosure = factories.HomeEnclosureFactory(
        home=home, lights_on=time(9), lights_off=time(21)
    )
    placement = placement_of(
        found,
        home=home,
        home_enclosure=enclosure,
        kind=PlacementKind.FOSTER.value,
        due_back_on=date(2026, 6, 30),
    )
    factories.GateOpeningFactory(
        placement=placement,
        opened_at=AT,
        opened_by=factories.UserFactory(first_name="Wen", last_name="Ashgrove"),
        reason="Wen Ashgrove knows Ilse Borowka",
    )
    factories.GateOpeningFactory(
        placement=placement, gate=Gate.HOLD_OVER.value, opened_at=LATER
    )
    factories.GateOpeningFactory(
        placement=placement,
        gate=Gate.SEX_CHECKED.value,
        opened_at=AT,
        shut_again_at=AT,
    )
    for kind, number, more in (
        (PaperKind.CITES_PERMIT, "CH-1", {"cites_source": "C"}),
        (PaperKind.OWNERSHIP, "private", {"issued_by": "Ilse Borowka"}),
        (PaperKind.VET_CERTIFICATE, "late", {"recorded_at": LATER}),
        (PaperKind.OTHER, "void", {"withdrawn_at": AT, "withdrawn_reason": "wrong"}),
    ):
        factories.AnimalPaperFactory(
            animal=found, kind=kind.value, number=number, **more
        )
    factories.AnimalPaperFactory()

    told = document(placement)

    assert told.print == PrintChoice(UnitSystem.IMPERIAL, Paper.LETTER, "en-US")
    assert told.due_back_on == date(2026, 6, 30)
    assert told.gates_opened == (
        GateLine(
            Gate.OLD_ENOUGH,
            "It is 80 days old; 90 are wanted.",
            f"{LEFT_OUT} knows {LEFT_OUT}",
            date(2026, 3, 18),
        ),
    )
    assert told.papers == (
        PaperLine(
            PaperKind.CITES_PERMIT,
            "CH-1",
            CitesSource.BRED_IN_CAPTIVITY,
            "an invented office",
            None,
            None,
        ),
        PaperLine(PaperKind.OWNERSHIP, "private", None, "", None, None),
    )
    assert told.day is not None
    assert told.day.lights is LightsBasis.HOME
    assert time(9) in {line.at for line in told.day.lines}
    assert told.follow_ups[0] == FollowUpLine(FollowUpKind.TWO_WEEKS, date(2026, 4, 3))


@pytest.mark.parametrize(
    ("setup", "expected"),
    [
        ({"lights_on": time(6, 30), "lights_off": time(18, 30)}, time(6, 30)),
        ({"lights": "natural", "lights_on": None, "lights_off": None}, None),
    ],
)
def test_hours_of_the_day_are_those_here_where_the_home_is_not_known(
    setup: dict[str, object], expected: time | None
) -> None:
    found = animal()
    enclosure = factories.EnclosureFactory()
    factories.SetupFactory(enclosure=enclosure, **setup)
    factories.SetupFactory(enclosure=enclosure, from_on=date(2026, 3, 19))
    factories.StayFactory(animal=found, enclosure=enclosure)

    lights = packet_facts(placement=placement_of(found), at=AT).leaving.lights

    if expected is None:
        assert lights is None
    else:
        assert lights == LightTimes(expected, time(18, 30), LightsBasis.HERE)


def test_release_takes_its_permit_along_and_no_home() -> None:
    found = animal(origin=Origin.WILD_CAUGHT.value)
    factories.AnimalPaperFactory(
        animal=None,
        species=found.species,
        kind=PaperKind.RELEASE_PERMIT.value,
        number="R-1",
    )
    factories.AnimalPaperFactory(
        animal=None, species=found.species, kind=PaperKind.KEEPING_PERMIT.value
    )
    placement = placement_of(
        found,
        kind=PlacementKind.RELEASE.value,
        home=None,
        release_place="Oak hollow",
    )

    told = document(placement)

    assert [paper.number for paper in told.papers] == ["R-1"]
    assert (told.plan, told.months, told.follow_ups) == (None, (), ())
    assert "Oak hollow" not in canonical(plain(told)).decode()


def test_no_person_and_no_home_stands_in_a_made_packet() -> None:
    """Every name is on record, and written into what people said."""
    people = ("Ilse Borowka", "Wen Ashgrove", "Odalys Brandt")
    said = "agreed with " + ", ".join(people)
    found = animal(origin_note=said, notes=said)
    home = factories.HomeFactory(name=people[0], contact="9 Heron Row", notes=said)
    user = factories.UserFactory(first_name="Wen", last_name="Ashgrove")
    arrival = factories.ArrivalFactory(home=home, note=said, came_with=said)
    factories.IntakeFactory(arrival=arrival, animal=found, note=said, came_with=said)
    factories.TargetOverrideFactory(
        animal=found, reason=said, until_on=date(2026, 4, 1), made_by=user
    )
    factories.FeedingOrderFactory(
        animal=found, reason=said, until_on=date(2026, 4, 1), made_by=user
    )
    factories.PrescriptionFactory(animal=found, vet=people[2], reason=said)
    factories.HealthTestFactory(
        animal=found, result="found", result_on=date(2026, 3, 1), finding=said
    )
    factories.ExamLineFactory(
        exam__animal=found, exam__examined_by=people[2], outcome="unusual", note=said
    )
    factories.FindingFactory(
        animal=found,
        kind=FindingKind.SIGN_SEEN.value,
        opened_on=date(2026, 3, 1),
        evidence=SIGN_WITH_NOTE | {"note": said},
    )
    factories.FindingFactory(
        animal=found,
        kind=FindingKind.PLACEMENT_STUCK.value,
        key="stuck",
        opened_on=date(2026, 3, 1),
    )
    placement = placement_of(found, home=home)
    factories.GateOpeningFactory(placement=placement, reason=said, why_shut=said)

    packet = make_packet(placement=placement, by=user, at=AT)

    text = canonical(packet.snapshot).decode()
    assert [who for who in (*people, "9 Heron Row") if who in text] == []
    # Three names in each of nine texts; the agreement's stands in two places.
    assert text.count(LEFT_OUT) == 3 * 10
    kinds = [f.kind for f in load_packet(packet.pk).document.history.findings]
    assert kinds == [FindingKind.SIGN_SEEN]


def test_packet_made_again_of_the_same_facts_is_the_same() -> None:
    placement = placement_of(animal())

    first = make_packet(placement=placement, by=None, at=AT)
    again = make_packet(placement=placement, by=None, at=AT)

    assert again == first
    assert load_packet(first.pk).document == document(placement)


def test_gate_opened_after_the_packet_makes_a_new_version() -> None:
    placement = placement_of(animal())
    first = make_packet(placement=placement, by=None, at=AT)

    factories.GateOpeningFactory(placement=placement, opened_at=LATER)
    second = make_packet(placement=placement, by=None, at=LATER)

    assert (first.version, second.version) == (1, 2)
    assert load_packet(first.pk).document.gates_opened == ()
    assert len(load_packet(second.pk).document.gates_opened) == 1


def with_history(rows: int) -> Placement:
    """An animal with so many rows of every kind that a packet tells of."""
    dam = animal()
    found = factories.HatchlingFactory(
        clutch__dam=dam,
        animal__hatched_on=date(2025, 9, 1),
        animal__arrived_on=date(2025, 9, 1),
    ).animal
    placement = placement_of(found)
    for n in range(rows):
        at = AT - timedelta(days=30 + n)
        mate = factories.AnimalFactory(dam=dam, hatched_on=found.hatched_on)
        for one in (found, mate):
            factories.WeighingFactory(animal=one, at=at)
        factories.IntakeFactory(animal=found)
        factories.EarlierCareFactory(
            animal=found, arrived_on=date(2025, 1, 1 + n), left_on=date(2025, 2, 1)
        )
        factories.ClearanceFactory(
            quarantine__animal=found, quarantine__began_on=date(2025, 1, 1 + n)
        )
        factories.ExamLineFactory(exam__animal=found)
        factories.SpurCheckFactory(animal=found, at=at)
        factories.FeedingFactory(animal=found, at=AT - timedelta(days=n))
        factories.FeedingOrderFactory(animal=found, until_on=date(2026, 4, 1))
        factories.DoseFactory(prescription__animal=found)
        factories.HealthTestFactory(animal=found)
        factories.ObservationFactory(
            animal=found, kind="sign", sign="sign-urates", observed="present", at=at
        )
        factories.AnimalPaperFactory(animal=found)
        factories.GateOpeningFactory(placement=placement, gate=list(Gate)[n].value)
        factories.TreatmentHandoverFactory(
            placement=placement, prescription__animal=found
        )
    return placement


def test_number_of_queries_does_not_depend_on_how_much_is_on_record() -> None:
    counted = []
    for rows in (1, 3):
        placement = with_history(rows)
        with CaptureQueriesContext(connection) as asked:
            told = packet_facts(placement=placement, at=AT)
        counted.append(len(asked))
        assert len(told.background.intakes) == len(told.leaving.gates_opened) == rows

    assert counted[0] == counted[1] <= 40
