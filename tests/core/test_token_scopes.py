"""What a token lets through, written out: a change of this table is one of policy."""

from datetime import timedelta

import pytest

from core.models import ApiToken, AuditEntry, User
from core.roles import LETS_THROUGH, Permission, Role, TokenScope, lets_through
from core.tokens import TokenError, issue_token, verify_token
from tests.factories import NOW, UserFactory

R, W, M, I = "read", "record", "manage", "ingest"  # noqa: E741
# Permission: the scopes that let it through, where the role holds it.
TABLE = {
    "see_animals": {R, W, M},
    "see_conditions": {R, W, M},
    "see_findings": {R, W, M},
    "see_placements": {R, W, M},
    "see_homes": {R, W, M},
    "see_audit": {R, W, M},
    "see_register": {R, W, M},
    "record_care": {W, M},
    "record_readings": {W, M, I},
    "record_breeding": {W, M},
    "record_intake": {W, M},
    "move_animals": {W, M},
    "acknowledge_findings": {W, M},
    "prescribe": {M},
    "set_policies": {M},
    "edit_animals": {M},
    "edit_places": {M},
    "edit_profiles": {M},
    "override_targets": {M},
    "run_review": {M},
    "manage_placements": {M},
    "end_quarantine": {M},
    "open_gates": {M},
    "release_to_wild": {M},
    "erase_personal_data": {M},
    "manage_people": {M},
    "set_webhooks": {M},
    "export_all": {M},
}
# What the holder of each role may through a token of each scope, of some that differ.
READ, CARE, READINGS, POLICIES, PEOPLE = (
    "see_findings",
    "record_care",
    "record_readings",
    "set_policies",
    "manage_people",
)
SOME = {READ, CARE, READINGS, POLICIES, PEOPLE}
MATRIX = {
    ("owner", R): {READ},
    ("owner", W): {READ, CARE, READINGS},
    ("owner", M): {READ, CARE, READINGS, POLICIES, PEOPLE},
    ("owner", I): {READINGS},
    ("manager", R): {READ},
    ("manager", W): {READ, CARE, READINGS},
    ("manager", M): {READ, CARE, READINGS, POLICIES},
    ("manager", I): {READINGS},
    ("keeper", R): {READ},
    ("keeper", W): {READ, CARE, READINGS},
    ("keeper", M): {READ, CARE, READINGS},
    ("keeper", I): {READINGS},
    ("vet", R): {READ},
    ("vet", W): {READ, CARE, READINGS},
    ("vet", M): {READ, CARE, READINGS},
    ("vet", I): {READINGS},
    ("adoption_coordinator", R): {READ},
    ("adoption_coordinator", W): {READ, CARE},
    ("adoption_coordinator", M): {READ, CARE},
    ("adoption_coordinator", I): set(),
    ("viewer", R): {READ},
    ("viewer", W): {READ},
    ("viewer", M): {READ},
    ("viewer", I): set(),
}


def _reached(user: User, scope: TokenScope) -> User:
    """Return somebody as a door knows them that was given a token."""
    text = issue_token(user=user, name="x", scope=scope, by=None, at=NOW).text
    found = verify_token(text, at=NOW)
    assert found is not None
    return found


def test_the_table_names_every_permission_and_scope() -> None:
    assert set(TABLE) == {p.value for p in Permission}
    assert set().union(*TABLE.values()) == {s.value for s in TokenScope}
    assert set(LETS_THROUGH) == set(TokenScope)


@pytest.mark.parametrize("permission", Permission)
@pytest.mark.parametrize("scope", TokenScope)
def test_a_scope_lets_through_what_the_table_says(
    scope: TokenScope, permission: Permission
) -> None:
    assert lets_through(scope, permission) is (scope in TABLE[permission])


@pytest.mark.parametrize("scope", ["", "all", "READ"])
def test_an_unknown_scope_lets_nothing_through(scope: str) -> None:
    assert not any(lets_through(scope, p) for p in Permission)


def test_the_matrix_names_every_role_and_scope() -> None:
    assert set(MATRIX) == {(r.value, s.value) for r in Role for s in TokenScope}


@pytest.mark.parametrize(("role", "scope"), MATRIX)
@pytest.mark.django_db
def test_what_one_may_through_a_token(role: str, scope: str) -> None:
    person = _reached(UserFactory(role=role), TokenScope(scope))

    assert {p for p in SOME if person.may(Permission(p))} == MATRIX[role, scope]
    assert person.permissions & SOME == MATRIX[role, scope]


@pytest.mark.django_db
def test_the_scope_is_of_the_instance_and_not_of_the_person() -> None:
    owner = UserFactory(role="owner")

    assert not _reached(owner, TokenScope.READ).may(Permission.RECORD_CARE)
    assert User.objects.get(pk=owner.pk).may(Permission.RECORD_CARE)


@pytest.mark.django_db
def test_a_new_token_reads_unless_it_is_said_otherwise() -> None:
    issued = issue_token(user=UserFactory(), name="x", by=None, at=NOW)

    assert ApiToken.objects.get().scope == issued.token.scope == "read"


# What a token may issue


@pytest.mark.parametrize("role", ["owner", "keeper"])
@pytest.mark.parametrize("own", TokenScope)
@pytest.mark.parametrize("wanted", TokenScope)
@pytest.mark.django_db
def test_which_scope_issues_which(
    own: TokenScope, wanted: TokenScope, role: str
) -> None:
    narrower = {
        "read": {"read"},
        "record": {"read", "record", "ingest"},
        "manage": {"read", "record", "manage", "ingest"},
        "ingest": {"ingest"},
    }
    # Of a keeper, record and manage let through the same; still none grows.
    owner = UserFactory(role=role)
    through = _reached(owner, own)

    def issue() -> None:
        issue_token(user=owner, name="y", scope=wanted, by=through, at=NOW)

    if wanted in narrower[own]:
        issue()
        entry = AuditEntry.objects.latest("pk")
        assert through.token is not None
        assert entry.after["issued_through"] == through.token.prefix
    else:
        with pytest.raises(TokenError, match="would do more than who issues it may"):
            issue()


@pytest.mark.parametrize("seconds", [-1, 0, 1, None])
@pytest.mark.django_db
def test_a_token_issues_none_that_lasts_longer(seconds: int | None) -> None:
    owner, ends = UserFactory(role="owner"), NOW + timedelta(days=1)
    text = issue_token(
        user=owner,
        name="x",
        scope=TokenScope.MANAGE,
        by=None,
        at=NOW,
        expires_at=ends,
    ).text
    through = verify_token(text, at=NOW)
    wanted = None if seconds is None else ends + timedelta(seconds=seconds)

    def issue() -> None:
        issue_token(user=owner, name="y", by=through, at=NOW, expires_at=wanted)

    if seconds in (-1, 0):
        issue()
        assert ApiToken.objects.count() == 2
    else:
        with pytest.raises(TokenError, match="lasts no longer"):
            issue()
        assert ApiToken.objects.count() == 1


@pytest.mark.django_db
def test_for_others_only_who_manages_people() -> None:
    keeper, owner = UserFactory(role="keeper"), UserFactory(role="owner")

    with pytest.raises(TokenError, match="manage_people"):
        issue_token(user=owner, name="x", by=keeper, at=NOW)
    reader = _reached(owner, TokenScope.READ)
    with pytest.raises(TokenError, match="manage_people"):
        issue_token(user=keeper, name="x", by=reader, at=NOW)

    issued = issue_token(user=keeper, name="x", by=owner, at=NOW)
    assert issued.token.user == keeper


@pytest.mark.django_db
def test_a_name_may_have_80_characters() -> None:
    person = UserFactory()

    issue_token(user=person, name="x" * 80, by=person, at=NOW)
    with pytest.raises(TokenError, match="1 to 80 characters"):
        issue_token(user=person, name="x" * 81, by=person, at=NOW)


@pytest.mark.django_db
def test_a_use_already_noted_costs_no_second_query(
    django_assert_num_queries: object,
) -> None:
    text = issue_token(user=UserFactory(), name="x", by=None, at=NOW).text
    verify_token(text, at=NOW)

    with django_assert_num_queries(1):  # type: ignore[operator]
        verify_token(text, at=NOW + timedelta(seconds=59))
    with django_assert_num_queries(2):  # type: ignore[operator]
        verify_token(text, at=NOW + timedelta(seconds=60))
