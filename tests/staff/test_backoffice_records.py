"""What is recorded in the back office goes through its action, or says why not."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import pytest
from django.apps import apps
from django.db.models import Model
from django.test import Client

from core.models import AuditEntry
from core.roles import Role
from tests.factories import AnimalFactory, EnclosureFactory
from tests.staff.conftest import Visitor
from tests.staff.record_forms import (
    Form,
    animal_typed,
    application_check_typed,
    application_typed,
    chore_typed,
    dose_typed,
    enclosure_typed,
    errors,
    feeding_order_typed,
    feeding_typed,
    gate_typed,
    health_test_typed,
    hold_policy_typed,
    home_typed,
    lamp_check_typed,
    lamp_typed,
    measuring_typed,
    move_typed,
    observation_typed,
    packet_typed,
    personal_data_policy_typed,
    placement_policy_typed,
    placement_typed,
    prescription_typed,
    probe_typed,
    setup_typed,
    sight_line_typed,
    state_typed,
    text,
    treatment_typed,
    url,
    weighing_typed,
)

pytestmark = pytest.mark.django_db


@dataclass(frozen=True)
class Case:
    """One desk: what is typed, and what of it is refused with which words."""

    label: str
    typed: Callable[[], Form]
    verb: str
    wrong: Form
    """Laid over what was typed."""
    sentence: str
    kept: str
    """What the refused page still shows of what was typed."""
    subject: str = ""
    """Whose audit entry it is, where it is not the row's own."""
    outsider: Role = Role.KEEPER


NOT_YET = {"moved_at_0": "2199-01-01", "moved_at_1": "10:00"}
CASES = (
    Case(
        *("husbandry.enclosure", enclosure_typed, "add_enclosure", {"code": "L-01"}),
        *("There is an enclosure L-01 already", 'value="L-01"'),
    ),
    Case(
        *("husbandry.setup", setup_typed, "set_up_enclosure", {"lights_on": ""}),
        *("A timer needs both times", 'value="122"', "husbandry.enclosure"),
    ),
    Case(
        *("husbandry.probe", probe_typed, "add_probe", {"measures_temperature": ""}),
        *("Probe P-9 must measure something", 'value="P-9"'),
    ),
    Case(
        *(
            "husbandry.sightline",
            sight_line_typed,
            "note_sight_line",
            {"enclosure": 501},
        ),
        *("is always in sight of itself", 'value="2026-01-01"'),
    ),
    Case(
        *(
            "husbandry.animal",
            animal_typed,
            "register_animal",
            {"sex_basis": "not_sexed"},
        ),
        *("The sex female needs a basis", 'value="Juno"'),
    ),
    Case(
        *("husbandry.reproductivespell", state_typed, "record_reproductive_state"),
        *({"state": "resting"}, "is resting already", 'value="Colours."'),
        subject="husbandry.animal",
    ),
    Case(
        *("husbandry.stay", move_typed, "move_animal", NOT_YET, "not come yet"),
        *('value="2199-01-01"', "husbandry.animal", Role.VIEWER),
    ),
    Case(
        *("husbandry.weighing", weighing_typed, "record_weighing", {"mass_g": "1040"}),
        *("A mass of 1040 g is not plausible", 'value="1040"', "", Role.VIEWER),
    ),
    Case(
        *("husbandry.feeding", feeding_typed, "record_feeding", {"eaten": "6"}),
        *("6 eaten of 5 offered cannot be", 'value="One got away."', "", Role.VIEWER),
    ),
    Case(
        *("husbandry.feedingorder", feeding_order_typed, "order_feeding"),
        *({"from_on": "2020-01-01"}, "01 Jan 2020 is over", 'value="2020-01-01"'),
    ),
    Case(
        *("husbandry.observation", observation_typed, "record_observation"),
        *({"eggs": "3"}, "Eggs are counted with laying", 'value="Since the morning."'),
        outsider=Role.VIEWER,
    ),
    Case(
        *("husbandry.measuring", measuring_typed, "record_measuring"),
        *({"total_cm": "18"}, "is more than 18.0 cm with the tail", 'value="18.5"'),
        outsider=Role.VIEWER,
    ),
    Case(
        *("husbandry.chore", chore_typed, "record_chore", {"room": ""}),
        *("for the insects of one room", 'value="Greens and squash."'),
        outsider=Role.VIEWER,
    ),
    Case(
        *("husbandry.lamp", lamp_typed, "fit_lamp", {"fitted_on": "2199-01-01"}),
        *("01 Jan 2199 has not come yet", 'value="T5, 6 %"'),
    ),
    Case(
        *("husbandry.lampcheck", lamp_check_typed, "check_lamp", {"uv_index": "21"}),
        *("A UV index of 21 is not believed", 'value="21"', "", Role.VIEWER),
    ),
    Case(
        *("husbandry.prescription", prescription_typed, "prescribe"),
        *({"until_on": "2020-01-01"}, "it lasts 1 to 366 days"),
        'value="Invented syrup"',
    ),
    Case(
        *("husbandry.dose", dose_typed, "give_dose"),
        *({"given_at_0": "2199-01-01", "given_at_1": "10:00"}, "has not come yet"),
        *('value="Took it well."', "", Role.VIEWER),
    ),
    Case(
        *("husbandry.healthtest", health_test_typed, "record_test"),
        *({"expected_on": "2026-01-04"}, "cannot be expected by 04 Jan 2026"),
        *('value="Laboratory Quay"', "", Role.VIEWER),
    ),
    Case(
        *("placements.home", home_typed, "add_home", {"name": "x" * 121}),
        *("at most 120 characters", 'value="xxx'),
    ),
    Case(
        *("placements.application", application_typed, "receive_application"),
        *({"kept_before": ""}, "kept_before: This needs an answer"),
        "Vet on the quay",
    ),
    Case(
        *("placements.applicationcheck", application_check_typed, "record_check"),
        *({"note": "\u202ex"}, "U+202E", "landlord"),
    ),
    Case(
        *("placements.personaldatapolicy", personal_data_policy_typed),
        *("set_retention", {"months_after_decline": "601"}, "give 0 to 600 months"),
        'value="120"',
    ),
    Case(
        *("placements.holdpolicy", hold_policy_typed, "set_hold_policy"),
        *({"days": "1097"}, "cannot be: give 0 to 1096", 'value="1097"'),
    ),
    Case(
        *("placements.placement", placement_typed, "plan_placement"),
        *({"planned_on": "2020-01-01"}, "lies before", 'value="2020-01-01"'),
    ),
    Case(
        *("placements.gateopening", gate_typed, "open_gate"),
        *({"gate": "sex_checked"}, "is not asked, not shut"),
        "To the vet's own ward.",
    ),
    Case(
        *("placements.treatmenthandover", treatment_typed, "hand_over_treatment"),
        *({"plan": "  "}, "This field is required", 'name="plan"'),
    ),
    Case(
        *("placements.placementpolicy", placement_policy_typed),
        *("set_placement_policy", {"least_age_days": "3651"}, "accepted is 1 to 3650"),
        'value="3651"',
    ),
    Case(
        *("placements.packet", packet_typed, "make_packet", {"placement": ""}),
        *("This field is required", 'name="placement"'),
    ),
)
each_case = pytest.mark.parametrize("case", CASES, ids=lambda c: c.label)


def _model(label: str) -> type[Model]:
    return apps.get_model(label)


@each_case
def test_what_is_typed_is_recorded_by_its_action(case: Case, owner: Client) -> None:
    typed = case.typed()
    before = _model(case.label)._default_manager.count()

    answer = owner.post(url(case.label), typed)

    assert (answer.status_code, errors(answer)) == (302, [])
    assert _model(case.label)._default_manager.count() == before + 1
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.subject) == (case.verb, case.subject or case.label)
    assert str(entry.by_id) == owner.session["_auth_user_id"]


@each_case
def test_what_cannot_be_says_why_and_keeps_what_was_typed(
    case: Case, owner: Client
) -> None:
    typed = {**case.typed(), **case.wrong}
    before = _model(case.label)._default_manager.count()

    answer = owner.post(url(case.label), typed)

    assert answer.status_code == 200
    assert case.sentence in str(errors(answer))
    assert case.kept in text(answer)
    assert "Constraint" not in text(answer)
    assert _model(case.label)._default_manager.count() == before
    assert not AuditEntry.objects.exists()


@each_case
def test_who_may_not_records_nothing(case: Case, visitor: Visitor) -> None:
    typed = case.typed()
    before = _model(case.label)._default_manager.count()

    answer = visitor(case.outsider).post(url(case.label), typed)

    assert answer.status_code == 403
    assert _model(case.label)._default_manager.count() == before
    assert not AuditEntry.objects.exists()


# What the lists of the forms offer


@pytest.mark.parametrize(
    "label",
    [
        "husbandry.reproductivespell",
        "husbandry.stay",
        "husbandry.weighing",
        "husbandry.feeding",
        "husbandry.feedingorder",
        "husbandry.observation",
        "husbandry.measuring",
        "husbandry.prescription",
        "placements.placement",
    ],
)
def test_only_animals_in_care_are_offered(label: str, owner: Client) -> None:
    AnimalFactory.create(name="Juno")
    AnimalFactory.create(name="Gone", left=True)

    shown = text(owner.get(url(label)))

    assert " Juno</option>" in shown
    assert " Gone</option>" not in shown


@pytest.mark.parametrize(
    "label",
    [
        "husbandry.setup",
        "husbandry.probe",
        "husbandry.sightline",
        "husbandry.stay",
        "husbandry.chore",
        "husbandry.lamp",
    ],
)
def test_only_enclosures_in_use_are_offered(label: str, owner: Client) -> None:
    EnclosureFactory.create(code="Used")
    EnclosureFactory.create(code="Retired", retired_on=date(2026, 1, 1))

    shown = text(owner.get(url(label)))

    assert ">Used</option>" in shown
    assert ">Retired</option>" not in shown
