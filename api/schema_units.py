"""Units of fields, from the endings of their names, for those who read the document."""

UNITS = (
    ("_mg_per_ml", "milligrams per millilitre", ("mg/mL", "mg in one mL")),
    ("_mg_per_kg", "milligrams per kilogram", ("mg/kg",)),
    ("_g_per_day", "grams a day", ("g a day", "g/day")),
    ("_per_kg", "", ()),  # of a dose, whose unit stands in a field of its own
    ("_milli_c", "thousandths of °C", ()),
    ("_c", "°C", ()),
    ("_mg", "milligrams", ("mg",)),
    ("_kg", "kilograms", ("kg",)),
    ("_g", "grams", ()),
    ("_ml", "millilitres", ("mL",)),
    ("_cm", "cm", ("centimetre",)),
    ("_mm", "mm", ("millimetre",)),
    ("_pct", "percent", ("%",)),
    ("_ms", "milliseconds", ()),
    ("_s", "seconds", ()),
    ("_minutes", "minutes", ()),
    ("_hours", "hours", ()),
    ("_days", "days", ()),
    ("_deg", "degrees", ()),
)
"""Ending, unit in words, other ways to say it; an earlier ending hides a later one."""


def with_unit(name: str, told: str) -> str:
    """Return a field's description, with the unit that its name ends with.

    Args:
        name: of the field.
        told: its description; "" where it has none.
    """
    for ending, unit, others in UNITS:
        if name.endswith(ending):
            said = told.lower()
            if unit and not any(word.lower() in said for word in (unit, *others)):
                return f"{told} In {unit}.".lstrip()
            break
    return told
