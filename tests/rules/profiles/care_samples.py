"""What the small invented profile may say of daily care, growth and doses."""

from tests.rules.profiles.samples import SMALL

CARE = """\
misting:
  - {id: mist-dawn, time: before_lights_on, minutes_low: 2, minutes_high: 4, text: Quietly., source: common-practice, standing: common_practice}
  - {id: mist-dawn-young, stages: [young], time: before_lights_on, minutes_low: 1, minutes_high: 1, source: common-practice, standing: common_practice}
  - {id: mist-dusk, time: after_lights_off, minutes_low: 3, minutes_high: 5, source: common-practice, standing: common_practice}
gut_load: {id: gut-load, hours_before: 12, feed_hours_after_lights_on: 2, text: Greens., source: common-practice, standing: common_practice}
lamps:
  - {id: tube, kind: uvb_tube, meter_every_days: 28, replace_after_hours: 4000, replace_after_months: 6, source: common-practice, standing: common_practice}
  - {id: warmth, kind: heat, meter_every_days: 7, replace_after_months: 12, source: common-practice, standing: common_practice}
settling: {id: settling, days: 14, text: In peace., source: common-practice, standing: common_practice}
growth_references:
  - id: growth
    source: invented-2020
    standing: published
    points:
      - {age_days: 0, power: 0.3487, median_g: 1.1, variation: 0.14602}
      - {age_days: 30, power: 0, median_g: 3.25, variation: 0.13}
  - id: growth-male
    sex: male
    source: invented-2020
    standing: published
    points:
      - {age_days: 0, power: 1, median_g: 1.2, variation: 0.15}
      - {age_days: 31, power: -0.5, median_g: 4, variation: 0.12}
growth_policy: {mates_within_days: 3, mates_least: 5, behind_mads: 3, behind_z: -2, source: common-practice, standing: from_memory}
dosing: {weight_max_age_days: 7, smallest_step_ml: 0.01, source: common-practice, standing: from_memory}
"""
CARED = (SMALL + CARE).replace(
    "    month_days: [1, 15]\n",
    "    month_days: [1, 15]\n    contains_d3: true\n    most_a_month: 3\n",
).replace("  stall_stages: [young]\n", "  stall_stages: [young]\n  shed_days: 7\n")  # fmt: skip
