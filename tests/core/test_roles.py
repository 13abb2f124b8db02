"""Who may do what, written out: a change of this table is a change of policy."""

import pytest

from core.models import User
from core.roles import GRANTS, Permission, Role, holds

O, M, K, V, A, W = "owner", "manager", "keeper", "vet", "adoption_coordinator", "viewer"  # noqa: E741
TABLE = {
    "see_animals": {O, M, K, V, A, W},
    "see_conditions": {O, M, K, V, A, W},
    "see_findings": {O, M, K, V, A, W},
    "see_placements": {O, M, A, V},
    "see_homes": {O, M, A},
    "see_audit": {O, M, V},
    "record_care": {O, M, K, V, A},
    "record_readings": {O, M, K, V},
    "move_animals": {O, M, K, V},
    "record_breeding": {O, M, K},
    "prescribe": {O, M, V},
    "set_policies": {O, M},
    "edit_animals": {O, M},
    "edit_places": {O, M},
    "edit_profiles": {O, M},
    "override_targets": {O, M, V},
    "acknowledge_findings": {O, M, K, V},
    "run_review": {O, M},
    "manage_placements": {O, M, A},
    "manage_people": {O},
    "set_webhooks": {O, M},
    "export_all": {O, M},
    "record_intake": {O, M, K, V, A},
    "end_quarantine": {O, M, V},
    "open_gates": {O, M},
    "release_to_wild": {O},
    "see_register": {O, M, A},
    "erase_personal_data": {O, M},
}


def test_the_table_names_every_permission_and_role() -> None:
    assert set(TABLE) == {p.value for p in Permission}
    assert set().union(*TABLE.values()) == {r.value for r in Role} == set(GRANTS)


@pytest.mark.parametrize("permission", Permission)
@pytest.mark.parametrize("role", Role)
def test_a_role_holds_what_the_table_says(role: Role, permission: Permission) -> None:
    assert holds(role, permission) is (role in TABLE[permission])


@pytest.mark.parametrize("role", ["", "admin", "OWNER"])
def test_an_unknown_role_holds_nothing(role: str) -> None:
    assert not any(holds(role, p) for p in Permission)


@pytest.mark.parametrize("active", [True, False])
def test_only_an_active_person_may(active: bool) -> None:
    person = User(username="x", role=Role.OWNER.value, is_active=active)

    assert person.may(Permission.MANAGE_PEOPLE) is active
