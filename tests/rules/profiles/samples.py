"""A small invented care profile, whose lines tests change one at a time."""

SMALL = """\
species: glass_lizard
common_name: Glass lizard
scientific_name: Vitrum fictum
reviewed_on: 2027-01-31
sources:
  - key: common-practice
    title: Common practice
    kind: practice
    where: no source
  - key: invented-2020
    title: An invented paper
    kind: paper
    year: 2020
    where: nowhere
stages:
  - {code: young, name: Young, from_days: 0, to_days: 100, source: common-practice, standing: common_practice}
  - {code: adult, name: Adult, from_days: 100, source: common-practice, standing: common_practice}
targets:
  - id: basking
    quantity: temperature_c
    zone: basking
    period: day
    low: 30
    high: 32.5
    hard: {low: 5, high: 40, source: invented-2020, standing: published}
    tolerated: {minutes: 60}
    source: common-practice
    standing: common_practice
    others:
      - {low: 28, source: invented-2020, standing: published, reviewed_on: 2026-12-01}
  - id: basking-adult
    quantity: temperature_c
    zone: basking
    period: day
    stages: [adult]
    low: 31
    tolerated: {minutes: 60, source: common-practice, standing: from_memory}
    source: common-practice
    standing: common_practice
  - id: basking-gravid
    quantity: temperature_c
    zone: basking
    period: day
    reproduction: gravid
    high: 33
    tolerated: {minutes: 30}
    source: common-practice
    standing: common_practice
light_hours:
  - {id: light, hours_low: 11.5, hours_high: 13, source: common-practice, standing: common_practice}
housing:
  - {id: housing, min_width_cm: 60, min_depth_cm: 45, min_height_cm: 45, source: common-practice, standing: common_practice}
company:
  - {id: company, alone: false, max_group: 2, no_sight_of_others: false, source: common-practice, standing: common_practice}
laying:
  - {id: laying, sex: female, source: common-practice, standing: common_practice}
feeding:
  - {id: feeding, every_days_low: 2, every_days_high: 3, portion_low: 4, portion_high: 6, unit: insects, source: common-practice, standing: common_practice}
feeders:
  - {id: crickets, name: Crickets, use: staple, from_days: 0, source: common-practice, standing: common_practice}
supplements:
  - {id: calcium, name: Calcium, when: every_feeding, source: common-practice, standing: common_practice}
  - id: vitamins
    name: Vitamins
    when: month_days
    month_days: [1, 15]
    instead_of: calcium
    source: common-practice
    standing: common_practice
weight_bands:
  - {id: weight, low_g: 0.5, high_g: 80, source: common-practice, standing: common_practice}
weighing:
  - {id: weighing, every_days: 7, overdue_after_days: 14, source: common-practice, standing: common_practice}
weight_policy:
  loss_watch_pct: 5
  loss_watch_days: 14
  loss_now_pct: 10
  loss_now_days: 30
  stall_days: 14
  stall_min_weighings: 3
  stall_stages: [young]
  source: common-practice
  standing: from_memory
warning_signs:
  - {id: sign, text: It sleeps by day., urgency: today, do: See a vet., source: common-practice, standing: common_practice}
incubation:
  - {id: hatch, matter: hatch_days, low: 50, high: 70, source: common-practice, standing: common_practice}
cautions:
  - {id: caution, text: It bites., source: common-practice, standing: common_practice}
checklist:
  - {id: check, text: A lid., source: common-practice, standing: common_practice}
notes:
  - {id: note, topic: water, text: It drinks., source: common-practice, standing: common_practice}
"""


def line_of(part: str, text: str = SMALL) -> int:
    """Return the number of the first line that holds a part of the text."""
    return text[: text.index(part)].count("\n") + 1
