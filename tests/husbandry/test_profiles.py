"""Care profiles as stored: published, loaded, found, given back."""

from datetime import UTC, date, datetime
from hashlib import sha256
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import IntegrityError, transaction

from core.errors import NotFoundError
from core.models import AuditEntry, User
from husbandry.actions.profiles import (
    SHIPPED,
    OtherSpeciesError,
    SameProfileError,
    load_shipped_profiles,
    publish_profile,
)
from husbandry.models import CareProfile, ReviewRun, Species
from husbandry.queries.profiles import (
    profile_in_force,
    profile_text,
    profiles_in_force,
    profiles_on_days,
)
from husbandry.rules.profiles.problems import ProfileErrors
from husbandry.rules.profiles.reading import read_profile
from tests.factories import ReviewRunFactory

pytestmark = pytest.mark.django_db
AT = datetime(2027, 3, 12, 9, 30, tzinfo=UTC)
TEXT = (SHIPPED / "veiled_chameleon.yaml").read_text(encoding="utf-8")


@pytest.fixture
def veiled() -> Species:
    return Species.objects.create(
        code="veiled_chameleon", common_name="Veiled", scientific_name="C. calyptratus"
    )


@pytest.fixture
def manager() -> User:
    return User.objects.create(username="manager")


def publish(species: Species, text: str, effective_on: date) -> CareProfile:
    return publish_profile(
        species=species, text=text, effective_on=effective_on, by=None, at=AT
    )


def changed(number: int) -> str:
    return f"{TEXT}# change {number}\n"


def test_publishing_keeps_the_text_and_leaves_an_entry(
    veiled: Species, manager: User
) -> None:
    published = publish_profile(
        species=veiled, text=TEXT, effective_on=date(2027, 4, 1), by=manager, at=AT
    )

    digest = sha256(TEXT.encode()).hexdigest()
    assert (published.version, published.source_text, published.sha256) == (
        1,
        TEXT,
        digest,
    )
    assert (published.published_by, published.published_at) == (manager, AT)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.at) == ("publish_profile", manager, AT)
    assert entry.after == {
        "species": veiled.pk,
        "version": 1,
        "effective_on": "2027-04-01",
        "sha256": digest,
    }


def test_publishing_counts_what_the_profile_rests_on(veiled: Species) -> None:
    summary = publish(veiled, TEXT, AT.date()).summary

    profile = read_profile(TEXT, name="shipped")
    assert summary["targets"] == len(profile.targets)
    assert summary["sources"] == len(profile.sources)
    # Every row names its standing once, at the indent of its own keys; so does the
    # weight policy, which is no list. Those of hard limits and others stand deeper.
    lines = TEXT.splitlines()
    for standing in ("published", "common_practice", "from_memory"):
        named = [f"    standing: {standing}", f"  standing: {standing}"]
        assert summary[standing] == sum(lines.count(line) for line in named)


def test_nights_that_are_judged_by_it_and_past_are_marked_stale(
    veiled: Species,
) -> None:
    for on in (date(2027, 3, 9), date(2027, 3, 10), date(2027, 3, 11)):
        ReviewRunFactory(on=on)

    publish(veiled, TEXT, date(2027, 3, 10))

    stale = ReviewRun.objects.filter(stale_since=AT).values_list("on", flat=True)
    assert set(stale) == {date(2027, 3, 10), date(2027, 3, 11)}


def test_publishing_again_makes_the_next_version(veiled: Species) -> None:
    first = publish(veiled, TEXT, date(2027, 4, 1))
    second = publish(veiled, changed(1), date(2027, 5, 1))
    back = publish(veiled, TEXT, date(2027, 6, 1))

    assert [first.version, second.version, back.version] == [1, 2, 3]


def test_publishing_the_newest_text_again_is_refused(veiled: Species) -> None:
    publish(veiled, TEXT, date(2027, 4, 1))

    with pytest.raises(SameProfileError, match="the same as version 1"):
        publish(veiled, TEXT, date(2027, 5, 1))

    assert CareProfile.objects.count() == 1


def test_publishing_another_species_text_is_refused() -> None:
    other = Species.objects.create(code="panther_chameleon", common_name="Panther")

    with pytest.raises(OtherSpeciesError, match="'species: panther_chameleon'"):
        publish(other, TEXT, AT.date())

    assert not CareProfile.objects.exists()


def test_publishing_a_text_with_problems_writes_nothing(veiled: Species) -> None:
    broken = TEXT.replace("low: 25.6", "low: warm", 1)

    with pytest.raises(ProfileErrors, match="'warm' is no number"):
        publish(veiled, broken, AT.date())

    assert not CareProfile.objects.exists()
    assert not AuditEntry.objects.exists()


def test_version_stands_once_whoever_writes_it(veiled: Species) -> None:
    first = publish(veiled, TEXT, AT.date())

    first.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        first.save(force_insert=True)


def test_loading_adds_species_and_profile_once() -> None:
    first = load_shipped_profiles(by=None, at=AT)
    again = load_shipped_profiles(by=None, at=AT)

    veiled = Species.objects.get()
    assert veiled.scientific_name == "Chamaeleo calyptratus"
    assert [p.species for p in first] == [veiled]
    assert first[0].effective_on == AT.date()
    assert again == ()
    assert list(AuditEntry.objects.order_by("pk").values_list("verb", flat=True)) == [
        "add_species",
        "publish_profile",
    ]


def test_loading_leaves_what_staff_published_since(veiled: Species) -> None:
    load_shipped_profiles(by=None, at=AT)
    publish(veiled, changed(1), AT.date())

    assert load_shipped_profiles(by=None, at=AT) == ()
    veiled.refresh_from_db()
    assert veiled.common_name == "Veiled"


@pytest.mark.parametrize(
    ("on", "version"),
    [
        (date(2027, 3, 31), 1),  # before all: the first
        (date(2027, 4, 1), 1),
        (date(2027, 4, 30), 1),
        (date(2027, 5, 1), 2),
        (date(2027, 12, 31), 2),
    ],
)
def test_profile_in_force_by_day(veiled: Species, on: date, version: int) -> None:
    publish(veiled, TEXT, date(2027, 4, 1))
    publish(veiled, changed(1), date(2027, 5, 1))

    found = profile_in_force(species_id=veiled.pk, on=on)

    assert found is not None
    assert found.version == version
    assert found.profile == read_profile(TEXT, name="shipped")


def test_profile_in_force_is_the_greater_of_two_versions(veiled: Species) -> None:
    publish(veiled, TEXT, date(2027, 5, 1))
    # A correction that reaches further back outranks what it corrects.
    publish(veiled, changed(1), date(2027, 4, 1))

    found = profile_in_force(species_id=veiled.pk, on=date(2027, 6, 1))

    assert found is not None
    assert found.version == 2


def test_profiles_in_force_takes_one_query(
    veiled: Species, django_assert_num_queries: Any
) -> None:
    bare = Species.objects.create(code="bare", common_name="Bare")
    lone = Species.objects.create(code="lone", common_name="Lone")
    mine = publish(veiled, TEXT, AT.date())
    its = publish(
        lone, TEXT.replace("species: veiled_chameleon", "species: lone"), AT.date()
    )

    with django_assert_num_queries(1):
        found = profiles_in_force(
            species_ids={veiled.pk, bare.pk, lone.pk, 9_999}, on=AT.date()
        )

    assert {k: (v.id, v.version) for k, v in found.items()} == {
        veiled.pk: (mine.pk, 1),
        lone.pk: (its.pk, 1),
    }
    assert found[lone.pk].profile.species == "lone"


def test_profiles_in_force_of_no_species_asks_nothing(
    django_assert_num_queries: Any,
) -> None:
    with django_assert_num_queries(0):
        assert profiles_in_force(species_ids=(), on=AT.date()) == {}


def test_profile_in_force_is_read_once_in_a_process(veiled: Species) -> None:
    publish(veiled, TEXT, AT.date())

    first = profile_in_force(species_id=veiled.pk, on=AT.date())
    second = profile_in_force(species_id=veiled.pk, on=AT.date())

    assert first is not None
    assert second is not None
    assert first.profile is second.profile


def test_profile_text_is_given_back_word_for_word(veiled: Species) -> None:
    publish(veiled, TEXT, AT.date())
    publish(veiled, changed(1), AT.date())

    assert profile_text(species_code="veiled_chameleon", version=1) == TEXT
    assert profile_text(species_code="veiled_chameleon", version=None) == changed(1)


def test_profile_text_that_is_not_there_is_named(veiled: Species) -> None:
    with pytest.raises(NotFoundError, match="no care profile of 'veiled_chameleon'"):
        profile_text(species_code="veiled_chameleon", version=None)

    publish(veiled, TEXT, AT.date())

    with pytest.raises(NotFoundError, match=r"version 2\. There are: 1"):
        profile_text(species_code="veiled_chameleon", version=2)


def run(*args: str) -> str:
    out = StringIO()
    call_command(*args, stdout=out)
    return out.getvalue()


def test_commands_load_and_export(veiled: Species) -> None:
    assert run("load_profiles") == "veiled_chameleon: published version 1.\n"
    assert run("load_profiles") == "Every shipped profile was published before.\n"
    assert run("export_profile", "veiled_chameleon") == TEXT
    assert run("export_profile", "veiled_chameleon", "--version", "1") == TEXT


def test_export_of_nothing_is_refused() -> None:
    with pytest.raises(CommandError, match="no care profile of 'gecko'"):
        run("export_profile", "gecko")


def test_check_of_a_sound_file_says_so() -> None:
    out = run("check_profile", str(SHIPPED / "veiled_chameleon.yaml"))

    assert out.startswith("Veiled chameleon: 12 targets, ")
    assert out.endswith("Nothing is wrong.\n")


def test_check_names_every_problem_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(
        TEXT.replace("low: 25.6", "low: warm", 1).replace("sex: male", "sex: stag", 1),
        encoding="utf-8",
    )
    lines = path.read_text(encoding="utf-8").splitlines()
    warm = lines.index("    low: warm") + 1
    stag = lines.index("    sex: stag") + 1

    with pytest.raises(CommandError) as refused:
        run("check_profile", str(path))

    said = str(refused.value)
    assert "mine.yaml has 2 problems:" in said
    assert f"line {warm}, column 10, targets[1].low: 'warm' is no number" in said
    assert f"line {stag}, column 10, targets[3].sex: 'stag' is not known" in said


def test_check_of_no_file_or_no_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be opened"):
        run("check_profile", str(tmp_path / "none.yaml"))

    latin = tmp_path / "latin.yaml"
    latin.write_bytes("species: chamäleon".encode("latin-1"))
    with pytest.raises(CommandError, match=r"not UTF-8 text \(byte 13\)"):
        run("check_profile", str(latin))


def test_many_days_are_chosen_as_one_by_one(
    veiled: Species, django_assert_num_queries: Any
) -> None:
    other = Species.objects.create(
        code="other", common_name="Other", scientific_name="O. other"
    )
    # The third version is effective before the second.
    publish(veiled, TEXT, date(2027, 4, 1))
    publish(veiled, changed(2), date(2027, 6, 1))
    publish(veiled, changed(3), date(2027, 5, 1))
    days = [date(2027, month, day) for month in range(3, 8) for day in (1, 15)]
    wanted = {(pk, on) for pk in (veiled.pk, other.pk) for on in days}

    with django_assert_num_queries(2):
        found = profiles_on_days(wanted=wanted)

    assert set(found) == {(veiled.pk, on) for on in days}
    for on in days:
        one = profile_in_force(species_id=veiled.pk, on=on)
        assert one is not None
        assert found[veiled.pk, on] is one.profile
    assert profiles_on_days(wanted=()) == {}
