"""What to do first about eggs and females that lay: a table, alone in its file."""

from husbandry.rules.vocabulary import FindingKind

K = FindingKind

STEPS: dict[FindingKind, tuple[str, str]] = {
    K.EGGS_TOO_WARM: (
        "Measure among the eggs now. If it is still too warm, turn the thermostat down "
        "and open the lid a little; lift the boxes out level if it does not fall, and "
        "never turn an egg over. Unplug before you touch heater, fan or water.",
        "Heat on top of warmth harms embryos, while the same swing where it is cool "
        "does not [fluctuating-incubation-2022]; not turning eggs is common practice "
        "without a source [common-practice].",
    ),
    K.EGGS_TOO_COOL: (
        "See whether the incubator has power and its thermostat answers, and let it "
        "come back to its band without going over. Unplug before you touch heater, fan "
        "or water; leave the eggs as they lie.",
        "A cool hour does eggs no harm; it slows them, and they hatch later "
        "[andrews-2008, ballen-2015, fluctuating-incubation-2022].",
    ),
    K.EGGS_UNMEASURED: (
        "Read a thermometer among the eggs now and note it. Then look at the power of "
        "incubator and probe, unplugged before you open either, and have a probe "
        "report from where the eggs lie.",
        "Nobody knows how warm the eggs were meanwhile: silence is not health.",
    ),
    K.EGGS_UNPLACED: (
        "Find the eggs and record the box and the place of each, without turning them "
        "over.",
        "Eggs that are nowhere on record are compared with nothing.",
    ),
    K.BOX_UNCHECKED: (
        "Look into the box: take out what moulds, weigh it, make up lost water beside "
        "the eggs, not on them, and record the look. Do not turn an egg over.",
        "Mould spreads and water is lost unseen; how often to look is a convention "
        "[convention].",
    ),
    K.HATCH_DUE: (
        "Have tubs, first food and water ready, and look in every day. Help no "
        "hatchling out and pull at nothing; what comes out rests in the box until its "
        "yolk is taken in.",
        "A forecast is a window, not a day: field eggs hatched earlier than models "
        "from steady warmth said [booth-2022]; leaving hatchlings alone is common "
        "practice without a source [common-practice].",
    ),
    K.HATCH_OVERDUE: (
        "Keep them as warm and moist as before and candle them. Eggs that are firm and "
        "clean stay; do not cut one open. See whether they were cooler than planned.",
        "Late is not dead: cooler eggs take longer, and some embryos rest longer "
        "[andrews-2008, andrews-donoghue-2004].",
    ),
    K.LAYING_OVERDUE: (
        "See whether she is bright, digs, or has laid unseen, and give her peace and a "
        "bin with moist, diggable substrate. Today call a licensed reptile vet; at "
        "once if she is weak, strains, or stopped part of the way.",
        "Not every pairing makes eggs, but a female that keeps hers can become "
        "egg-bound and die; a healthy one stays bright [vca-dystocia, wikivet].",
    ),
    K.SPUR_LOOK_DUE: (
        "Have somebody who has not looked yet look at both heels with a lens, handling "
        "it as briefly as can be, and record what is seen.",
        "A sex that two people read alike is rarely wrong, and pairs, homes and tubs "
        "rest on it [common-practice].",
    ),
}
