"""A care profile as frozen values: every one with its source and its standing.

An empty `stages` means every stage, a `sex` or `reproduction` of None means any;
`others` is what other sources say instead.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from husbandry.rules.profiles.scopes import Scope
from husbandry.rules.profiles.vocabulary import (
    CareTopic,
    FeederUse,
    IncubationMatter,
    SexMark,
    SourceKind,
    SupplementWhen,
)
from husbandry.rules.vocabulary import (
    LampKind,
    MistingTime,
    Period,
    Quantity,
    Reproduction,
    Sex,
    Standing,
    Urgency,
    Zone,
)


@dataclass(frozen=True, slots=True)
class Source:
    """Where values come from; the key is listed in docs/sources.md too."""

    key: str
    title: str
    kind: SourceKind
    year: int | None
    where: str


@dataclass(frozen=True, slots=True)
class Provenance:
    """On whose word a value stands, and when somebody last looked."""

    source: str
    standing: Standing
    reviewed_on: date
    note: str = ""


@dataclass(frozen=True, slots=True)
class Disagreement:
    """What another source says; without numbers, its note says it in words."""

    low: Decimal | None
    high: Decimal | None
    provenance: Provenance


class _ByStage:
    """A row that may name stages."""

    __slots__ = ()
    stages: tuple[str, ...]

    @property
    def scope(self) -> Scope:
        """Return for which animals it holds."""
        return Scope(self.stages)


class _BySex:
    """A row that may name stages and a sex."""

    __slots__ = ()
    stages: tuple[str, ...]
    sex: Sex | None

    @property
    def scope(self) -> Scope:
        """Return for which animals it holds."""
        return Scope(self.stages, self.sex)


@dataclass(frozen=True, slots=True)
class Stage:
    """A named age band: from its first day up to, not with, the next one's first."""

    code: str
    name: str
    from_days: int
    to_days: int | None
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Target:
    """What is wanted of the climate at one spot in one part of the day.

    Attributes:
        low, high: the band, in the quantity's unit; None is open.
        hard_low, hard_high: limits past which somebody must act at once.
        tolerated_minutes: how long outside the band, in one period of one day, is put
            up with, in one spell or several.
        hard_provenance: of the hard limits; None: as the row.
        tolerance_provenance: of the tolerated minutes; None: as the row.
    """

    id: str
    quantity: Quantity
    zone: Zone
    period: Period
    stages: tuple[str, ...]
    sex: Sex | None
    reproduction: Reproduction | None
    low: Decimal | None
    high: Decimal | None
    hard_low: Decimal | None
    hard_high: Decimal | None
    tolerated_minutes: int
    provenance: Provenance
    others: tuple[Disagreement, ...] = ()
    hard_provenance: Provenance | None = None
    tolerance_provenance: Provenance | None = None

    @property
    def scope(self) -> Scope:
        """Return for which animals it holds."""
        return Scope(self.stages, self.sex, self.reproduction)


@dataclass(frozen=True, slots=True)
class LightHours(_ByStage):
    """How long the lights burn in a day."""

    id: str
    stages: tuple[str, ...]
    hours_low: Decimal
    hours_high: Decimal
    provenance: Provenance
    others: tuple[Disagreement, ...] = ()


@dataclass(frozen=True, slots=True)
class HousingRule(_BySex):
    """The least inner size of an enclosure."""

    id: str
    stages: tuple[str, ...]
    sex: Sex | None
    min_width_cm: Decimal
    min_depth_cm: Decimal
    min_height_cm: Decimal
    provenance: Provenance
    others: tuple[Disagreement, ...] = ()


@dataclass(frozen=True, slots=True)
class CompanyRule(_ByStage):
    """Whether an animal lives alone, and whether it may see others."""

    id: str
    stages: tuple[str, ...]
    alone: bool
    max_group: int
    no_sight_of_others: bool
    provenance: Provenance
    others: tuple[Disagreement, ...] = ()


@dataclass(frozen=True, slots=True)
class LayingRule(_BySex):
    """A laying bin must be there."""

    id: str
    stages: tuple[str, ...]
    sex: Sex | None
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class FeedingRule(_ByStage):
    """How often, and how much: a portion of `unit` every so many days."""

    id: str
    stages: tuple[str, ...]
    every_days_low: int
    every_days_high: int
    portion_low: int
    portion_high: int
    unit: str
    note: str
    provenance: Provenance
    others: tuple[Disagreement, ...] = ()


@dataclass(frozen=True, slots=True)
class FeederNote:
    """What a feeder animal is good for, and from which age."""

    id: str
    name: str
    use: FeederUse
    from_days: int
    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class SupplementRule(_ByStage):
    """A supplement and its days.

    Attributes:
        when: at every feeding, or on `month_days` only.
        month_days: days of the month, 1 to 28, in order; empty otherwise.
        instead_of: the id of the supplement that it replaces on those days.
        contains_d3: whether it holds vitamin D3, of which too much is toxic.
        most_a_month: on how many days of a calendar month at most; None: no limit.
    """

    id: str
    stages: tuple[str, ...]
    name: str
    when: SupplementWhen
    month_days: tuple[int, ...]
    instead_of: str | None
    text: str
    provenance: Provenance
    contains_d3: bool = False
    most_a_month: int | None = None


@dataclass(frozen=True, slots=True)
class MistingRule(_ByStage):
    """For how many minutes an enclosure is misted, before or after its lights."""

    id: str
    stages: tuple[str, ...]
    time: MistingTime
    minutes_low: int
    minutes_high: int
    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class GutLoadRule:
    """When food is offered, and how long before that the insects are fed.

    Attributes:
        feed_hours_after_lights_on: when the animals are warm enough to be fed.
        hours_before: from feeding the insects to offering them.
    """

    id: str
    hours_before: int
    feed_hours_after_lights_on: int
    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class LampRule:
    """How often a lamp is measured, and when it is spent, whichever comes first.

    Attributes:
        replace_after_hours: burnt; None: hours are not counted.
        replace_after_months: since it was fitted; None: months are not counted.
    """

    id: str
    kind: LampKind
    meter_every_days: int
    replace_after_hours: int | None
    replace_after_months: int | None
    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class SettlingRule:
    """For how many days a newcomer is left alone."""

    id: str
    days: int
    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class LmsPoint:
    """Cole's three parameters of a reference at one age; the median in grams."""

    age_days: int
    power: Decimal
    median_g: Decimal
    variation: Decimal


@dataclass(frozen=True, slots=True)
class GrowthReference:
    """A published reference of mass by age; ages in order, straight between them."""

    id: str
    sex: Sex | None
    points: tuple[LmsPoint, ...]
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class GrowthPolicy:
    """From when on an animal counts as behind: a convention.

    Attributes:
        mates_within_days: a clutch-mate's weighing counts at this age, more or less.
        mates_least: fewer mates are not compared with.
        behind_mads: so many scaled median deviations below the median of the mates.
        behind_z: so low a z-score by a reference; below zero.
    """

    mates_within_days: int
    mates_least: int
    behind_mads: Decimal
    behind_z: Decimal
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class DosingPolicy:
    """When no dose is computed: a convention; a vet's word goes before it.

    Attributes:
        weight_max_age_days: an older weighing is not computed from.
        smallest_step_ml: what the usual syringe can measure.
    """

    weight_max_age_days: int
    smallest_step_ml: Decimal
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class WeightBand(_BySex):
    """Masses that are plausible; outside, somebody should look again."""

    id: str
    stages: tuple[str, ...]
    sex: Sex | None
    low_g: Decimal
    high_g: Decimal
    provenance: Provenance
    others: tuple[Disagreement, ...] = ()


@dataclass(frozen=True, slots=True)
class WeighingRule(_ByStage):
    """How often an animal is weighed, and when that is overdue."""

    id: str
    stages: tuple[str, ...]
    every_days: int
    overdue_after_days: int
    provenance: Provenance
    others: tuple[Disagreement, ...] = ()


@dataclass(frozen=True, slots=True)
class WeightPolicy:
    """From which loss on somebody is told: a convention, not a published rule."""

    loss_watch_pct: Decimal
    loss_watch_days: int
    loss_now_pct: Decimal
    loss_now_days: int
    stall_days: int
    stall_min_weighings: int
    stall_stages: tuple[str, ...]
    provenance: Provenance
    shed_days: int = 0
    """So many days about a shed a loss is less urgent; 0: sheds do not count."""


@dataclass(frozen=True, slots=True)
class WarningSign:
    """Something to be seen on the animal, how urgent it is, and what to do."""

    id: str
    text: str
    urgency: Urgency
    do: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class IncubationRule:
    """One figure about eggs and clutches; the matter names the unit."""

    id: str
    matter: IncubationMatter
    low: Decimal | None
    high: Decimal | None
    text: str
    provenance: Provenance
    others: tuple[Disagreement, ...] = ()


@dataclass(frozen=True, slots=True)
class SexingRule:
    """By what a hatchling of the species can be sexed, if by anything."""

    id: str
    mark: SexMark
    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class SexRatio:
    """Published share of females among eggs kept at one temperature.

    Only where temperature makes the sex; no animal is ever sexed by it.
    """

    id: str
    temperature_c: Decimal
    female_pct: Decimal
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class BreedingSeason:
    """Months, 1 to 12 and both included, in which pairs are put together.

    It may run over the turn of the year.
    """

    id: str
    from_month: int
    to_month: int
    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger to people, animals or the country, and how to keep clear of it."""

    id: str
    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class ChecklistItem:
    """One thing to have in place."""

    id: str
    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class CareNote:
    """What to know about one topic."""

    id: str
    topic: CareTopic
    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Profile:
    """Everything one version of a species' care profile says."""

    species: str
    common_name: str
    scientific_name: str
    sources: tuple[Source, ...]
    stages: tuple[Stage, ...]
    targets: tuple[Target, ...]
    light_hours: tuple[LightHours, ...]
    housing: tuple[HousingRule, ...]
    company: tuple[CompanyRule, ...]
    laying: tuple[LayingRule, ...]
    feeding: tuple[FeedingRule, ...]
    feeders: tuple[FeederNote, ...]
    supplements: tuple[SupplementRule, ...]
    weight_bands: tuple[WeightBand, ...]
    weighing: tuple[WeighingRule, ...]
    weight_policy: WeightPolicy
    warning_signs: tuple[WarningSign, ...]
    incubation: tuple[IncubationRule, ...]
    cautions: tuple[Caution, ...]
    checklist: tuple[ChecklistItem, ...]
    notes: tuple[CareNote, ...]
    misting: tuple[MistingRule, ...] = ()
    gut_load: GutLoadRule | None = None
    lamps: tuple[LampRule, ...] = ()
    settling: SettlingRule | None = None
    growth_references: tuple[GrowthReference, ...] = ()
    growth_policy: GrowthPolicy | None = None
    dosing: DosingPolicy | None = None
    sexing: SexingRule | None = None
    sex_ratios: tuple[SexRatio, ...] = ()
    season: BreedingSeason | None = None

    def source(self, key: str) -> Source:
        """Return a source by its key.

        Raises:
            KeyError: no source of this profile has the key.
        """
        for source in self.sources:
            if source.key == key:
                return source
        raise KeyError(key)
