"""What to do first about newcomers, papers and homes: a table, alone in its file."""

from husbandry.rules.vocabulary import FindingKind

K = FindingKind

STEPS: dict[FindingKind, tuple[str, str]] = {
    K.QUARANTINE_BROKEN: (
        "Bring it back to a quarantine room, with the tools and clothes that stay there, "
        "and ask the vet whether those it met must be kept apart too. Wash your hands "
        "before you go on.",
        "What is not kept apart is not in quarantine; a newcomer restarts the clock of "
        "those it met [quarantine-guidance].",
    ),
    K.QUARANTINE_READY: (
        "Look at its tests and weights yourself, ask the vet where in doubt, and clear "
        "it if you are satisfied; the days alone clear nobody.",
        "Quarantine ends on tests and a person's decision, not on a calendar "
        "[van-zanten-2021].",
    ),
    K.PAPER_EXPIRING: (
        "Apply for the next one now, and do not move or hand over the animal on a paper "
        "that has run out.",
        "Local law decides which papers an animal and its keeper need, and offices take "
        "their time.",
    ),
    K.SPECIES_UNSURE: (
        "Have somebody who knows the species look today, from photographs if need be, "
        "and record what it is.",
        "Until its species is known, nothing here can say what it needs.",
    ),
    K.DUE_BACK: (
        "Call the home today and agree on a day, or record that the stay goes on and "
        "until when.",
        "An animal that is away stays the house's own responsibility.",
    ),
    K.PLACEMENT_STUCK: (
        "Open the placement, see what each shut gate asks for, and do that first; tell "
        "the home if the day has to be another.",
        "An animal leaves when it and its new home are ready, not on the day that was "
        "planned.",
    ),
    K.HOME_UNHEARD: (
        "Ask the home how the animal is doing, by telephone if it does not write.",
        "Most that goes wrong in a new home goes wrong in its first months, unseen "
        "[common-practice].",
    ),
    K.HOME_REPORT: (
        "Read what the home wrote and answer it. If the animal is ill, say that it has "
        "to see a licensed reptile vet.",
        "Somebody who asks for help and hears nothing does not ask again.",
    ),
}
