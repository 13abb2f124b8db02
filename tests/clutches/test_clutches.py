"""What a female laid or bore is recorded, with all that it says of her."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from clutches.actions.clutches import LayingResult, record_birth, record_laying
from clutches.models import CandidateSire, Clutch, Egg, EggPlace
from clutches.rules.eggs.placing import PlacingError
from clutches.rules.layings.counts import ClutchError
from core.models import AuditEntry
from husbandry.models import Animal, Observation
from tests.clutches.nest import make_nest
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    ClutchFactory,
    IncubationPlanFactory,
    IntroductionFactory,
    ObservationFactory,
    PairingFactory,
    ReproductiveSpellFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
)
from tests.husbandry.care_lists import judged, queries_of, stale_days, verbs
from tests.rules.clutches.layings.made import BEARS
from tests.rules.profiles.samples import SMALL

pytestmark = pytest.mark.django_db
DAY, HOUR = timedelta(days=1), timedelta(hours=1)


@pytest.fixture
def juno() -> Animal:
    CareProfileFactory.create()
    made: Animal = AnimalFactory.create(code="V-1", name="Juno")
    return made


def lay(dam: Animal | None, **given: Any) -> LayingResult:
    said: dict[str, Any] = {
        "code": "C-01",
        "dam": dam,
        "laid_on": TODAY,
        "eggs_set": 35,
        "eggs_infertile": 0,
        "eggs_broken": 0,
        "mass_g": None,
        "plan": None,
        "pairing": None,
        "note": "",
        "by": None,
        "at": NOW,
    }
    if "species" not in given:
        said["species"] = dam.species if dam else SpeciesFactory.create()
    if "site" not in given:
        said["site"] = SiteFactory.create()
    return record_laying(**(said | given))


def test_a_clutch_is_kept_with_a_row_for_each_egg(juno: Animal) -> None:
    person, site = UserFactory.create(), SiteFactory.create()

    found = lay(
        juno,
        code=" C-01 ",
        site=site,
        eggs_infertile=2,
        eggs_broken=1,
        mass_g=Decimal("45.6"),
        note=" Dug for 9 h. ",
        by=person,
    )

    # 30 to 40 eggs or more are usual (Andrews 2008): nothing to remark on.
    clutch = Clutch.objects.get()
    assert found == LayingResult(clutch, ())
    assert (clutch.code, clutch.kind, clutch.laid_on) == ("C-01", "eggs", TODAY)
    assert (clutch.eggs_set, clutch.eggs_infertile, clutch.eggs_broken) == (35, 2, 1)
    assert (clutch.mass_g, clutch.note) == (Decimal("45.60"), "Dug for 9 h.")
    assert (clutch.recorded_by, clutch.recorded_at) == (person, NOW)
    eggs = Egg.objects.order_by("number")
    assert [egg.number for egg in eggs] == list(range(1, 36))
    assert {egg.state for egg in eggs} == {"incubating"}
    assert verbs() == ["record_laying", "record_observation"]
    entry = AuditEntry.objects.earliest("pk")
    assert (entry.by, entry.after["eggs_set"], entry.after["dam"]) == (
        person,
        35,
        juno.pk,
    )


def test_what_is_unusual_is_kept_and_remarked(juno: Animal) -> None:
    ClutchFactory.create(dam=juno, code="C-00", laid_on=TODAY - 4 * DAY)

    # 90 eggs are accepted (Diaz 2015); 120 are worth a second count.
    assert lay(juno, eggs_set=120, mass_g=Decimal(30)).remarks == (
        "120 eggs are far more than usual (up to 90): count again.",
        "30 g of 120 eggs is 0.25 g each; an egg usually weighs 1–1.5 g. Weigh and "
        "count again.",
        "V-1 Juno laid C-00 on 26 Feb 2026 already; is this a second clutch, or the "
        "rest of that one?",
    )


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"laid_on": TODAY + DAY}, "laid_on"),
        ({"laid_on": date(2024, 9, 1)}, "laid_on"),
        ({"eggs_set": 0}, "eggs_set"),
        ({"eggs_set": 501}, "eggs_set"),
        ({"eggs_set": -1}, "eggs_set"),
        ({"mass_g": Decimal(0)}, "mass_g"),
        ({"code": " "}, "code"),
        ({"code": "C" * 21}, "code"),
        ({"note": "n" * 301}, "note"),
    ],
)
def test_what_cannot_be_is_refused_whole(
    juno: Animal, given: dict[str, Any], field: str
) -> None:
    with pytest.raises(ClutchError) as refusal:
        lay(juno, **given)

    assert list(refusal.value.fields) == [field]
    assert not Clutch.objects.exists()
    assert not Egg.objects.exists()
    assert not Observation.objects.exists()


def test_a_code_is_given_once(juno: Animal) -> None:
    lay(juno)

    with pytest.raises(ClutchError, match="a clutch 'C-01' already"):
        lay(juno, code="C-01")


def test_no_male_no_stranger_and_nobody_who_had_left_lays(juno: Animal) -> None:
    male = AnimalFactory.create(male=True)
    left = AnimalFactory.create(status="placed", left_on=TODAY - DAY)
    other = SpeciesFactory.create(code="other")

    with pytest.raises(ClutchError, match="on record as male"):
        lay(male)
    with pytest.raises(ClutchError, match="another species"):
        lay(juno, species=other)
    with pytest.raises(ClutchError, match="left on 01 Mar 2026"):
        lay(left)
    lay(left, laid_on=TODAY - DAY)


def test_a_plan_is_the_species_own_and_is_still_offered(juno: Animal) -> None:
    other = IncubationPlanFactory.create(species=SpeciesFactory.create(code="other"))
    retired = IncubationPlanFactory.create(retired_on=TODAY)
    plan = IncubationPlanFactory.create()

    with pytest.raises(ClutchError, match="another species' eggs"):
        lay(juno, plan=other)
    with pytest.raises(ClutchError, match="was retired on 02 Mar 2026"):
        lay(juno, plan=retired)
    assert lay(juno, plan=plan).clutch.plan == plan


def test_eggs_of_an_unknown_female_have_no_dam(juno: Animal) -> None:
    lay(None)

    assert Clutch.objects.get().dam is None
    assert Egg.objects.count() == 35
    assert verbs() == ["record_laying"]


# What it says of the female.


def test_her_gravid_spell_ends_with_the_day_of_laying(juno: Animal) -> None:
    spell = ReproductiveSpellFactory.create(animal=juno, from_on=TODAY - 20 * DAY)

    assert lay(juno).remarks == ()

    spell.refresh_from_db()
    assert (spell.until_on, spell.basis.endswith("Laid C-01.")) == (TODAY, True)
    seen = Observation.objects.get()
    assert (seen.kind, seen.observed, seen.eggs, seen.at) == (
        "laying",
        "finished",
        35,
        NOW,
    )
    assert seen.note == "Laid C-01."


def test_recorded_days_later_it_ends_with_its_own_day(juno: Animal) -> None:
    # Lisbon keeps UTC in winter.
    spell = ReproductiveSpellFactory.create(animal=juno, from_on=TODAY - 20 * DAY)

    lay(juno, laid_on=TODAY - 3 * DAY)

    spell.refresh_from_db()
    assert spell.until_on == TODAY - 3 * DAY
    seen = Observation.objects.get()
    assert seen.at == datetime(2026, 2, 27, 23, 59, 59, tzinfo=UTC)


def test_a_spell_that_began_after_the_laying_is_left_and_remarked(juno: Animal) -> None:
    spell = ReproductiveSpellFactory.create(animal=juno, from_on=TODAY - DAY)

    (remark,) = lay(juno, laid_on=TODAY - 3 * DAY).remarks

    spell.refresh_from_db()
    assert spell.until_on is None
    assert remark.startswith("V-1 Juno is on record as gravid since 01 Mar 2026")


def test_what_was_observed_of_the_day_already_is_not_noted_twice(juno: Animal) -> None:
    ObservationFactory.create(
        animal=juno, kind="laying", observed="finished", at=NOW - HOUR
    )

    lay(juno)

    assert Observation.objects.count() == 1


def test_an_observation_of_the_same_instant_is_not_contradicted(juno: Animal) -> None:
    ObservationFactory.create(animal=juno, kind="laying", observed="stopped", at=NOW)

    with pytest.raises(ClutchError, match="another observation on record"):
        lay(juno)

    assert not Clutch.objects.exists()


def test_who_lays_is_female() -> None:
    CareProfileFactory.create()
    unsure = AnimalFactory.create(
        sex="unknown", sex_basis="not_sexed", sex_confidence="uncertain"
    )

    lay(unsure)

    unsure.refresh_from_db()
    assert (unsure.sex, unsure.sex_basis, unsure.sex_confidence) == (
        "female",
        "laid_eggs",
        "confirmed",
    )
    assert "correct_animal" in verbs()


def test_of_a_female_that_was_never_here_nothing_is_noted() -> None:
    CareProfileFactory.create()
    ancestor = AnimalFactory.create(
        status="elsewhere", left_on=date(2025, 1, 1), arrived_on=date(2025, 1, 1)
    )

    lay(ancestor)

    assert not Observation.objects.exists()
    assert Clutch.objects.get().dam == ancestor


# Pair and sires.


def test_the_pair_must_have_met_by_then(juno: Animal) -> None:
    pairing = PairingFactory.create(dam=juno)
    other = PairingFactory.create()

    with pytest.raises(ClutchError, match="another female"):
        lay(juno, pairing=other)
    with pytest.raises(ClutchError, match="no introduction until 02 Mar 2026"):
        lay(juno, pairing=pairing)
    IntroductionFactory.create(pairing=pairing, at=NOW - 25 * DAY)
    with pytest.raises(ClutchError, match="no introduction until 04 Feb 2026"):
        lay(juno, pairing=pairing, laid_on=TODAY - 26 * DAY)

    assert lay(juno, pairing=pairing).clutch.pairing == pairing


def test_every_male_she_met_in_time_may_be_the_sire(juno: Animal) -> None:
    fresh, stored, late, female = (PairingFactory.create(dam=juno) for _ in range(4))
    IntroductionFactory.create(pairing=fresh, at=NOW - 25 * DAY)
    IntroductionFactory.create(pairing=stored, at=NOW - 90 * DAY, outcome="not_watched")
    IntroductionFactory.create(pairing=late, at=NOW - 366 * DAY)
    IntroductionFactory.create(pairing=female, at=NOW - 25 * DAY)
    Animal.objects.filter(pk=female.sire_id).update(sex="female")

    lay(juno, pairing=fresh)

    assert list(
        CandidateSire.objects.order_by("sire").values_list(
            "sire", "probability", "basis"
        )
    ) == [
        (fresh.sire_id, Decimal("0.50000"), "mated_before"),
        (stored.sire_id, Decimal("0.50000"), "stored_sperm"),
    ]


def test_a_clutch_without_a_male_is_recorded_the_same_way(juno: Animal) -> None:
    # Females lay without a male too (common practice, no source).
    pairing = PairingFactory.create(dam=juno)
    IntroductionFactory.create(pairing=pairing, at=NOW - 25 * DAY, outcome="refused")

    assert lay(juno, eggs_set=0, eggs_infertile=30).remarks == ()

    assert not CandidateSire.objects.exists()
    assert not Egg.objects.exists()


# Boxes, nights, queries.


def test_eggs_are_put_into_a_box_in_order(juno: Animal) -> None:
    nest = make_nest(eggs=1, site="mill")

    lay(juno, site=nest.site, eggs_set=3, box=nest.box)

    rows = EggPlace.objects.filter(egg__clutch__code="C-01").order_by("egg__number")
    assert [(r.row, r.column) for r in rows] == [(1, 2), (1, 3), (2, 1)]
    assert {r.from_at for r in rows} == {NOW}


def test_a_box_that_is_too_small_keeps_the_whole_clutch_out(juno: Animal) -> None:
    nest = make_nest(eggs=1, site="mill")

    with pytest.raises(PlacingError):
        lay(juno, site=nest.site, eggs_set=12, box=nest.box)

    assert not Clutch.objects.filter(code="C-01").exists()


def test_recorded_late_it_marks_the_nights_of_its_site_and_hers(juno: Animal) -> None:
    stay = StayFactory.create(animal=juno)
    hers, its = stay.enclosure.room.site, SiteFactory.create()
    judged(hers, 1, 2, 3)
    judged(its, 1, 2, 3)

    lay(juno, site=its, laid_on=TODAY - 2 * DAY)

    assert (stale_days(hers), stale_days(its)) == ({1, 2}, {1, 2})


def test_many_eggs_take_as_many_queries_as_one(juno: Animal) -> None:
    StayFactory.create(animal=juno)
    sites = SiteFactory.create_batch(2)
    far = {"laid_on": TODAY - 60 * DAY}

    one = queries_of(lambda: lay(juno, code="A", eggs_set=1, site=sites[0], **far))
    many = queries_of(lambda: lay(juno, code="B", eggs_set=90, site=sites[1]))

    assert many == one


# Live young.


@pytest.fixture
def bearer() -> Animal:
    species = SpeciesFactory.create(code="horned", common_name="Horned chameleon")
    before, _, rest = SMALL.partition("incubation:\n")
    text = f"{before}{BEARS}cautions:{rest.partition('cautions:')[2]}"
    CareProfileFactory.create(species=species, source_text=text)
    made: Animal = AnimalFactory.create(species=species, code="H-1")
    return made


def bear(dam: Animal, **given: Any) -> LayingResult:
    said: dict[str, Any] = {
        "code": "L-01",
        "dam": dam,
        "species": dam.species,
        "site": SiteFactory.create(),
        "born_on": TODAY,
        "born_alive": 14,
        "born_dead": 1,
        "mass_g": None,
        "pairing": None,
        "note": "",
        "by": None,
        "at": NOW,
    }
    return record_birth(**(said | given))


def test_live_young_are_kept_without_eggs(bearer: Animal) -> None:
    spell = ReproductiveSpellFactory.create(animal=bearer, from_on=TODAY - 150 * DAY)

    assert bear(bearer).remarks == ()

    clutch = Clutch.objects.get()
    assert (clutch.kind, clutch.born_alive, clutch.born_dead) == ("live_young", 14, 1)
    assert not Egg.objects.exists()
    spell.refresh_from_db()
    assert spell.until_on == TODAY
    seen = Observation.objects.get()
    assert (seen.observed, seen.eggs, seen.note) == ("finished", None, "Bore L-01.")


def test_a_litter_has_its_usual_size(bearer: Animal) -> None:
    # 8 to 30 young (care advice and encyclopaedias, weak): 1.3 times 30 is 39.
    assert bear(bearer, born_alive=39, born_dead=0).remarks == ()
    assert bear(bearer, code="L-02", born_on=TODAY - 90 * DAY, born_alive=40).remarks


def test_who_lays_eggs_bears_no_young(juno: Animal) -> None:
    with pytest.raises(ClutchError, match="lays eggs; record a laying"):
        bear(juno)
    with pytest.raises(ClutchError, match="0 young in all"):
        bear(juno, born_alive=0, born_dead=0)
