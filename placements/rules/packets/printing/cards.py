"""The card for the enclosure's door and the labels, from the same packet."""

from dataclasses import dataclass

from husbandry.rules.vocabulary import Urgency
from placements.rules.packets.documents import PacketDocument
from placements.rules.packets.printing import care, front, sheets
from placements.rules.packets.printing.booklet import PAPERS, Checking, checking
from placements.rules.packets.printing.rows import Row, SignGroup, TargetRow
from placements.rules.packets.printing.speech import Speech


@dataclass(frozen=True, slots=True)
class Cards:
    """What stands on the card and on the labels.

    Attributes:
        signs: those that mean a vet at once; the fridge has the others.
        leaves_on: the day of the journey.
    """

    language: str
    paper: str
    title: str
    called: str
    code: str
    species: str
    scientific_name: str
    sex: str
    sex_known: str
    born: str
    number: str
    version: int
    leaves_on: str
    keeper: str
    keeper_contact: tuple[str, ...]
    day: tuple[Row, ...]
    supplements: tuple[str, ...]
    targets: tuple[TargetRow, ...]
    signs: tuple[SignGroup, ...]
    check: Checking


def lay_out_cards(
    packet: PacketDocument, speech: Speech, *, language: str = "en", address: str = ""
) -> Cards:
    """Lay out the card and the labels of a packet; see `booklet.lay_out`."""
    document = packet.document
    animal, plan = document.animal, document.plan
    identity = {row.label: row for row in front.identity(speech, document)}
    sexed, born = identity[speech.say("Sex")], identity[speech.say("Hatched or born")]
    called = front.call_name(animal)
    return Cards(
        language=language,
        paper=PAPERS[document.print.paper],
        title=speech.say(
            "{called}: card and labels, packet {number}",
            called=called,
            number=packet.number,
        ),
        called=called,
        code=animal.code,
        species=animal.species,
        scientific_name=animal.scientific_name,
        sex=sexed.text,
        sex_known=sexed.more,
        born=born.text,
        number=packet.number,
        version=packet.version,
        leaves_on=speech.day(document.on),
        keeper=document.keeper,
        keeper_contact=tuple(document.keeper_contact.splitlines()),
        day=care.conditions_of_a_day(speech, plan) if plan else (),
        supplements=tuple(sheets.in_sentence(s.topic) for s in plan.supplements)
        if plan
        else (),
        targets=care.target_rows(speech, plan) if plan else (),
        signs=tuple(
            group
            for group in care.sign_groups(speech, document)
            if group.urgency == Urgency.NOW.value
        ),
        check=checking(packet, address=address),
    )
