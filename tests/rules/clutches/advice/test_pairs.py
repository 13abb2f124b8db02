"""In which order pairs are put forward."""

from datetime import date, timedelta
from decimal import Decimal

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.advice.pairs import Advice, Kin, advise
from clutches.rules.advice.values import Breeder
from clutches.rules.vocabulary import AgainstPairing
from husbandry.rules.parents import Relative
from husbandry.rules.vocabulary import Confidence, DatePrecision, Sex
from tests.rules.clutches.advice.test_judging import profile

ON = date(2026, 3, 2)


def breeder(id_: int, sex: Sex, *, gravid: bool = False) -> Breeder:
    hatched_on = ON - timedelta(days=500)
    animal = Relative(id_, f"V-{id_}", 1, sex, hatched_on, DatePrecision.DAY)
    since = ON if gravid else None
    return Breeder(animal, f"V-{id_}", Confidence.CONFIRMED, Decimal(100), ON, gravid_since=since)  # fmt: skip


def advice(kinship: list[list[float]], females: list[float], males: list[float], *, gravid: int = -1) -> Advice:  # fmt: skip
    return advise(
        [breeder(n, Sex.FEMALE, gravid=n == gravid) for n in range(len(females))],
        [breeder(100 + n, Sex.MALE) for n in range(len(males))],
        kin=Kin(
            np.array(kinship).reshape(len(females), len(males)),
            np.array(females),
            np.array(males),
            np.array([n == 0 for n in range(len(females))]),
            np.array([False] * len(males)),
        ),
        profile=profile(),
        on=ON,
    )


def ids(found: Advice) -> list[tuple[int | None, int | None]]:
    pairs = found.pairs(0, len(found))
    return [(p.female.animal.id, p.male.animal.id) for p in pairs]


def test_lower_mean_kinship_goes_before_lower_inbreeding() -> None:
    # Both pairs are less related than first cousins, so neither has a reason.
    found = advice([[0.03], [0.0]], [0.1, 0.2], [0.1])

    assert ids(found) == [(0, 100), (1, 100)]
    first, second = found.pairs(0, 2)
    assert (first.mean_kinship, second.mean_kinship) == (0.1, 0.15000000000000002)
    assert (first.inbreeding, second.inbreeding) == (0.03, 0.0)
    assert (first.lower_bound, second.lower_bound) == (True, False)


def test_fewer_reasons_go_first_and_nothing_is_hidden() -> None:
    found = advice([[0.0], [0.0]], [0.1, 0.2], [0.1], gravid=0)

    assert ids(found) == [(1, 100), (0, 100)]
    assert [len(pair.reasons) for pair in found.pairs(0, 2)] == [0, 1]


def test_relatives_from_first_cousins_on_are_a_reason() -> None:
    found = advice([[0.0624, 0.0625]], [0.1], [0.1, 0.1])

    kinds = [[r.kind for r in pair.reasons] for pair in found.pairs(0, 2)]
    assert kinds == [[], [AgainstPairing.RELATED]]


def test_rounding_does_not_decide() -> None:
    found = advice([[0.2, 0.1]], [0.1], [0.1 + 1e-16, 0.1])

    assert ids(found) == [(0, 101), (0, 100)]


def test_no_males_no_pairs() -> None:
    found = advice([[]], [0.1], [])

    assert len(found) == 0
    assert found.pairs(0, 10) == ()


@given(
    st.lists(st.floats(0, 0.5), min_size=1, max_size=4),
    st.lists(st.floats(0, 0.5), min_size=1, max_size=4),
    st.randoms(use_true_random=False),
)
def test_every_pair_stands_once_and_in_order(
    females: list[float], males: list[float], random: object
) -> None:
    table = [[random.random() / 2 for _ in males] for _ in females]  # type: ignore[attr-defined]

    pairs = (found := advice(table, females, males, gravid=0)).pairs(0, len(found))

    assert len({(p.female.code, p.male.code) for p in pairs}) == len(found) == len(females) * len(males)  # fmt: skip
    keys = [(len(p.reasons), round(p.mean_kinship, 10)) for p in pairs]
    assert keys == sorted(keys)
    assert found.pairs(1, 3) == pairs[1:3]
