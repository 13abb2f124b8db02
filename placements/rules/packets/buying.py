"""What to have in the new home before an animal comes, worked out for that animal."""

from collections.abc import Iterator

from husbandry.rules.profiles.care_rows import misting_for
from husbandry.rules.profiles.resolving import housing_for, laying_for
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import FeederUse
from husbandry.rules.vocabulary import LampKind, Quantity
from placements.rules.packets import words
from placements.rules.packets.journeys import practice_basis
from placements.rules.packets.lines import basis
from placements.rules.packets.needs import Needs
from placements.rules.packets.plans import CarePlan, TextLine

LAMPS = {LampKind.UVB_TUBE: "UVB lamp", LampKind.HEAT: "Heat lamp"}
METERS = {
    Quantity.TEMPERATURE_C: ("Thermometer", "One with a probe that remembers extremes"),
    Quantity.HUMIDITY_PCT: ("Hygrometer", "One that remembers extremes"),
    Quantity.UV_INDEX: ("UV-index meter", "Bought or borrowed"),
}


def buy_list(
    profile: Profile, stage: str | None, needs: Needs, plan: CarePlan
) -> tuple[TextLine, ...]:
    """Return what to have before the journey, each with what it rests on.

    Args:
        profile: the care profile in force.
        stage: code of the life stage; None: not known.
        needs: of the animal.
        plan: its care plan, whose lines are turned into things.

    Source:
        common-practice, where the profile says nothing of its own.
    """
    return (
        *_enclosure(profile, needs, plan),
        *_lights(profile, plan),
        *_instruments(plan),
        *_water(profile, stage),
        *_food(profile, plan),
        *_laying(profile, needs, plan),
        _practice("scale", "Scale", "One that shows tenths of a gram."),
        _practice(
            "box", "Transport box", "As under the journey; it stays useful for the vet."
        ),
    )


def _practice(id_: str, topic: str, text: str) -> TextLine:
    return TextLine(f"buy-{id_}", topic, text, practice_basis())


def _enclosure(profile: Profile, needs: Needs, plan: CarePlan) -> Iterator[TextLine]:
    room = plan.room
    if room is None:
        return
    size = words.size_both(room.width_cm, room.depth_cm, room.height_cm)
    text = f"At least {size} inside, wide, deep and tall."
    grown = housing_for(profile, profile.stages[-1].code, needs.sex)
    if grown is not None:
        later = words.size_both(
            grown.min_width_cm, grown.min_depth_cm, grown.min_height_cm
        )
        if later != size:
            text += f" Grown, it needs at least {later}."
    yield TextLine("buy-enclosure", "Enclosure", text, room.basis)


def _lights(profile: Profile, plan: CarePlan) -> Iterator[TextLine]:
    for rule in profile.lamps:
        yield TextLine(
            f"buy-{rule.id}", LAMPS[rule.kind], rule.text, basis(rule.provenance)
        )
    if plan.light is not None:
        hours = words.number_range(plan.light.hours_low, plan.light.hours_high)
        text = f"One that switches every lamp, for {hours} hours of light a day."
        yield TextLine("buy-timer", "Timer", text, plan.light.basis)


def _instruments(plan: CarePlan) -> Iterator[TextLine]:
    for quantity, (topic, text) in METERS.items():
        spots = dict.fromkeys(
            words.spot(t.quantity, t.zone, t.period)
            for t in plan.targets
            if t.quantity is quantity and t.high != 0
        )
        if spots:
            where = "; ".join(f"{spot[0].lower()}{spot[1:]}" for spot in spots)
            yield _practice(quantity.value, topic, f"{text}, to measure: {where}.")


def _water(profile: Profile, stage: str | None) -> Iterator[TextLine]:
    rules = misting_for(profile, stage)
    if rules:
        yield TextLine(
            "buy-misting",
            "Water",
            "A pressure sprayer, or a misting system with a timer.",
            basis(rules[0].provenance),
        )


def _food(profile: Profile, plan: CarePlan) -> Iterator[TextLine]:
    staples = [
        f for f in plan.feeders if f.use is FeederUse.STAPLE and f.from_on is None
    ]
    if staples:
        names = ", ".join(f.name.lower() for f in staples)
        text = f"Live, from a shop that is open all year: {names}."
        yield TextLine("buy-food", "Food", text, staples[0].basis)
    if profile.gut_load is not None:
        rule = profile.gut_load
        yield TextLine(
            "buy-gut-load", "Food for the insects", rule.text, basis(rule.provenance)
        )
    for line in plan.supplements:
        yield TextLine(f"buy-{line.id}", line.topic, line.text, line.basis)


def _laying(profile: Profile, needs: Needs, plan: CarePlan) -> Iterator[TextLine]:
    text = "A bin of diggable substrate, always there; see the notes on eggs."
    grown = laying_for(profile, profile.stages[-1].code, needs.sex)
    if plan.laying is not None:
        yield TextLine("buy-laying-bin", "Laying bin", text, plan.laying)
    elif grown is not None:
        text = f"Once she is grown: {text[0].lower()}{text[1:]}"
        yield TextLine("buy-laying-bin", "Laying bin", text, basis(grown.provenance))
