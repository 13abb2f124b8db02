"""What to do first about missed care, and why it matters: a table, alone in its file."""

from husbandry.rules.vocabulary import FindingKind

K = FindingKind

STEPS: dict[FindingKind, tuple[str, str]] = {
    K.FEEDING_MISSED: (
        "Offer food now, or record the feeding if it was given. If it does not eat or "
        "looks weak, call a licensed reptile vet.",
        "A young animal has little to live on, and one that stopped eating may be ill; "
        "a gap on record hides both [common-practice].",
    ),
    K.SUPPLEMENT_MISSED: (
        "Dust the next feeding with it, once; never more to make up for what was "
        "left out. Record it if it was given.",
        "Without calcium and vitamins a young chameleon's bones soften [hoby-2010]; "
        "more at a time does not mend it [common-practice].",
    ),
    K.TOO_MUCH_D3: (
        "Give no more this month, check the labels of all your powders for D3, and "
        "call a licensed reptile vet if the animal is dull or off its food.",
        "Too much D3 is toxic [common-practice]; in another chameleon much vitamin D "
        "shortened females' lives [ferguson-1996].",
    ),
    K.MISTING_MISSED: (
        "Run a dripper today and mist at the next hour that is due. Where urates are "
        "mostly orange, call a licensed reptile vet.",
        "Water is taken up from droplets and from damp night air [common-practice]; "
        "orange urates tell that it lacked [necas].",
    ),
    K.GUT_LOAD_MISSED: (
        "Feed the insects now and offer them as late as the animals are still warm, or "
        "record it if it was done.",
        "An insect is worth what it ate in the hours before [common-practice].",
    ),
    K.UV_CHECK_OVERDUE: (
        "Hold a UV-index meter where the animal sits beneath the lamp, and record the "
        "reading with its distance.",
        "A tube still glows when half of its UVB is gone [nevarez-lamps].",
    ),
    K.LAMP_WORN: (
        "Unplug it and let it cool before you touch fittings; fit a new one at the same "
        "distance, record it, and measure where the animal sits.",
        "A tube still glows when half of its UVB is gone [nevarez-lamps]; the hours are "
        "those of the care profile.",
    ),
    K.FOLLOW_UP_OVERDUE: (
        "Look at the animal now and record what you see, gone or not. If it is no "
        "better, call a licensed reptile vet.",
        "Somebody asked for a second look, and nobody knows how it went on.",
    ),
    K.CARE_UNRECORDED: (
        "Begin with today's round and record what is done; what is done elsewhere can "
        "be switched off in the site's review policies.",
        "Silence is not health: what nobody records, nobody can judge.",
    ),
}
