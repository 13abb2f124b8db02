"""What is said wherever hands go to an animal that has just come."""

HANDS = (
    "A newcomer is handled with gloves and as little as can be: it may bite, carry "
    "mites, or be too weak to be held. Reptiles can carry Salmonella: wash hands "
    "afterwards, and keep it away from kitchens and small children."
)
FOUND = (
    "Found, seized and protected animals: local law decides who has to be told, how "
    "long they are held, and whether they may be kept at all."
)
CAUTIONS = (HANDS, FOUND)
