"""The cautions that stand with everything about health, on every page and paper."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StandingCaution:
    """What to mind, and the key of the source behind it (docs/sources.md)."""

    text: str
    source: str


DOSES = StandingCaution(
    "Arithmetic on what a licensed reptile vet prescribed; not advice. Check drug, "
    "concentration, weight and volume before you draw up; if anything looks wrong, "
    "give nothing and ask the vet. Never double up after a missed dose. Keep to local "
    "law on medicines.",
    "vet-nursing-arithmetic",
)
SIGNS = StandingCaution(
    "What was seen, not what it means: this program makes no diagnosis. Whoever is in "
    "doubt calls a licensed reptile vet. Wash your hands after every handling: "
    "reptiles can carry Salmonella.",
    "aap-salmonella",
)
TESTS = StandingCaution(
    "A result in the laboratory's words; what it means and what is done about it, a "
    "licensed reptile vet says. Treat samples as infectious: gloves, no kitchen, "
    "washed hands. Some results must be reported by local law.",
    "aap-salmonella",
)
DEATHS = StandingCaution(
    "Only a licensed vet may put an animal to sleep, as local law says. Local law "
    "also says whether a death must be reported and where a body goes. For a necropsy "
    "keep the body cool, not frozen, and call a licensed reptile vet the same day; "
    "wear gloves: reptiles can carry Salmonella.",
    "aap-salmonella",
)
LOSSES = StandingCaution(
    "Local law says whether an escape has to be reported; the number of the animal's "
    "chip and a photograph help whoever finds it. Whoever handles it washes their "
    "hands: reptiles can carry Salmonella.",
    "aap-salmonella",
)
FLUIDS = StandingCaution(
    "Arithmetic, not a plan: fluids given wrongly or too fast kill. Whether, what, "
    "how and how fast, a licensed reptile vet decides.",
    "lafeber-fluids",
)
