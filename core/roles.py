"""Who may do what: roles and permissions are code, reviewed like code."""

from enum import StrEnum


class Role(StrEnum):
    """What a person is in the organisation."""

    OWNER = "owner"
    MANAGER = "manager"
    KEEPER = "keeper"
    VET = "vet"
    ADOPTION_COORDINATOR = "adoption_coordinator"
    VIEWER = "viewer"


class Permission(StrEnum):
    """One kind of thing that can be done."""

    SEE_ANIMALS = "see_animals"
    SEE_CONDITIONS = "see_conditions"
    SEE_FINDINGS = "see_findings"
    SEE_PLACEMENTS = "see_placements"
    SEE_HOMES = "see_homes"
    SEE_AUDIT = "see_audit"
    RECORD_CARE = "record_care"
    RECORD_READINGS = "record_readings"
    RECORD_BREEDING = "record_breeding"
    PRESCRIBE = "prescribe"
    SET_POLICIES = "set_policies"
    MOVE_ANIMALS = "move_animals"
    EDIT_ANIMALS = "edit_animals"
    EDIT_PLACES = "edit_places"
    EDIT_PROFILES = "edit_profiles"
    OVERRIDE_TARGETS = "override_targets"
    ACKNOWLEDGE_FINDINGS = "acknowledge_findings"
    RUN_REVIEW = "run_review"
    MANAGE_PLACEMENTS = "manage_placements"
    RECORD_INTAKE = "record_intake"
    END_QUARANTINE = "end_quarantine"
    OPEN_GATES = "open_gates"
    RELEASE_TO_WILD = "release_to_wild"
    SEE_REGISTER = "see_register"
    ERASE_PERSONAL_DATA = "erase_personal_data"
    MANAGE_PEOPLE = "manage_people"
    EXPORT_ALL = "export_all"
    SET_WEBHOOKS = "set_webhooks"


class TokenScope(StrEnum):
    """How much of what its person may do a token lets through (ADR 0018)."""

    READ = "read"
    RECORD = "record"
    MANAGE = "manage"
    INGEST = "ingest"


_SEE = {
    Permission.SEE_ANIMALS,
    Permission.SEE_CONDITIONS,
    Permission.SEE_FINDINGS,
}
_KEEP = _SEE | {
    Permission.RECORD_CARE,
    Permission.RECORD_READINGS,
    Permission.MOVE_ANIMALS,
    Permission.ACKNOWLEDGE_FINDINGS,
}
_PLACE = {
    Permission.SEE_PLACEMENTS,
    Permission.SEE_HOMES,
    Permission.MANAGE_PLACEMENTS,
    Permission.SEE_REGISTER,
}

GRANTS: dict[Role, frozenset[Permission]] = {
    Role.OWNER: frozenset(Permission),
    # A manager runs the house; letting an animal go wild stays with its owners.
    Role.MANAGER: frozenset(Permission)
    - {Permission.MANAGE_PEOPLE, Permission.RELEASE_TO_WILD},
    Role.KEEPER: frozenset(
        _KEEP | {Permission.RECORD_BREEDING, Permission.RECORD_INTAKE}
    ),
    Role.VET: frozenset(
        _KEEP
        | {
            Permission.OVERRIDE_TARGETS,
            Permission.PRESCRIBE,
            Permission.SEE_AUDIT,
            Permission.SEE_PLACEMENTS,
            Permission.RECORD_INTAKE,
            Permission.END_QUARANTINE,
        }
    ),
    Role.ADOPTION_COORDINATOR: frozenset(
        _SEE | _PLACE | {Permission.RECORD_CARE, Permission.RECORD_INTAKE}
    ),
    Role.VIEWER: frozenset(_SEE),
}


_READ = _SEE | {
    Permission.SEE_PLACEMENTS,
    Permission.SEE_HOMES,
    Permission.SEE_REGISTER,
    Permission.SEE_AUDIT,
}

LETS_THROUGH: dict[TokenScope, frozenset[Permission]] = {
    TokenScope.READ: frozenset(_READ),
    TokenScope.RECORD: frozenset(
        _READ
        | {
            Permission.RECORD_CARE,
            Permission.RECORD_READINGS,
            Permission.RECORD_BREEDING,
            Permission.RECORD_INTAKE,
            Permission.MOVE_ANIMALS,
            Permission.ACKNOWLEDGE_FINDINGS,
        }
    ),
    # All that the role has; which probes a device posts for is husbandry's to say.
    TokenScope.MANAGE: frozenset(Permission),
    TokenScope.INGEST: frozenset({Permission.RECORD_READINGS}),
}


def holds(role: str, permission: Permission) -> bool:
    """Say whether a role holds a permission; an unknown role holds none."""
    return role in set(Role) and permission in GRANTS[Role(role)]


def lets_through(scope: str, permission: Permission) -> bool:
    """Say whether a token's scope lets a permission through; an unknown one none."""
    known = scope in set(TokenScope)
    return known and permission in LETS_THROUGH[TokenScope(scope)]
