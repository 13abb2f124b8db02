"""From a care profile to YAML, each row in full, so that it can be edited again."""

from dataclasses import fields, is_dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any

import yaml

from husbandry.rules.profiles.values import (
    Disagreement,
    Profile,
    Provenance,
    Target,
)

Plain = dict[str, Any]
_DUMPER: Any = yaml.CSafeDumper if yaml.__with_libyaml__ else yaml.SafeDumper
# Written as mappings of their own below, not as keys of the row.
_NESTED = {
    "provenance",
    "others",
    "hard_low",
    "hard_high",
    "hard_provenance",
    "tolerated_minutes",
    "tolerance_provenance",
}


class _Dumper(_DUMPER):  # type: ignore[misc]  # which of the two classes is known at run time only
    """Writes exact numbers and vocabulary words as plain scalars."""

    def ignore_aliases(self, data: Any) -> bool:
        """Return true: a day that stands in every row is written out in each."""
        return True


def write_profile(profile: Profile) -> str:
    """Write a care profile as YAML.

    Args:
        profile: as `read_profile` returns one.

    Returns:
        Text that `read_profile` reads back as an equal profile. What may be left out
        and stands for nothing is left out, so that an older profile's text stays as
        it was.
    """
    given = {f: getattr(profile, f.name) for f in fields(profile)}
    return str(
        yaml.dump(
            {f.name: _written(v) for f, v in given.items() if v != f.default},
            Dumper=_Dumper,
            sort_keys=False,
            allow_unicode=True,
            width=88,
        )
    )


def _written(value: Any) -> Any:
    if isinstance(value, str):
        return value
    if isinstance(value, tuple):
        return [_row(item) for item in value]
    return _row(value)


def _row(value: Any) -> Plain:
    """Return a row's keys, leaving out what stands for nothing."""
    written: Plain = {}
    for field in fields(value):
        key, found = field.name, getattr(value, field.name)
        if key in _NESTED or found is None or found in ("", (), field.default):
            continue
        written[key] = _items(found) if isinstance(found, tuple) else found
    if isinstance(value, Target):
        written |= _limits(value)
    provenance = getattr(value, "provenance", None)
    others = getattr(value, "others", ())
    written |= _provenance(provenance)
    if others:
        written["others"] = [_other(other) for other in others]
    return written


def _items(found: tuple[Any, ...]) -> list[Any]:
    return [_row(item) if is_dataclass(item) else item for item in found]


def _limits(target: Target) -> Plain:
    ends = {"low": target.hard_low, "high": target.hard_high}
    hard = {key: end for key, end in ends.items() if end is not None}
    tolerated = {"minutes": target.tolerated_minutes}
    written: Plain = {}
    if hard:
        written["hard"] = hard | _provenance(target.hard_provenance)
    written["tolerated"] = tolerated | _provenance(target.tolerance_provenance)
    return written


def _other(other: Disagreement) -> Plain:
    ends = {"low": other.low, "high": other.high}
    given: Plain = {key: end for key, end in ends.items() if end is not None}
    return given | _provenance(other.provenance)


def _provenance(provenance: Provenance | None) -> Plain:
    if provenance is None:
        return {}
    written: Plain = {
        "source": provenance.source,
        "standing": provenance.standing,
        "reviewed_on": provenance.reviewed_on,
    }
    return written | ({"source_note": provenance.note} if provenance.note else {})


def _number(dumper: Any, value: Decimal) -> Any:
    text = format(value, "f")
    kind = "float" if "." in text else "int"
    return dumper.represent_scalar(f"tag:yaml.org,2002:{kind}", text)


def _word(dumper: Any, value: StrEnum) -> Any:
    return dumper.represent_str(value.value)


_Dumper.add_representer(Decimal, _number)
_Dumper.add_multi_representer(StrEnum, _word)
