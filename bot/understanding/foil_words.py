"""What foils are called: patterns for the readers of figures, letters and shapes."""

import re

COLOUR = (
    r"(?:rose gold|gold|silver|white|black|pink|red|blue|green|purple|chrome|orange|yellow|teal|"
    r"dorad[oa]s?|platead[oa]s?|negr[oa]s?|blanc[oa]s?|roj[oa]s?|rosas?|azul(?:es)?|oro|plata)"
)
SIZED = (
    r"(?:big|large|jumbo|giant|huge|small|tall|mini|shiny|helium|extra|grandes?|gigantes?|"
    r"\d\d?\s?(?:in|inch|\"))"
)
LOOK = rf"(?:{SIZED}[\s-]){{0,2}}(?:{COLOUR}[\s-])?(?:{SIZED}[\s-])?"
FOIL = r"(?:foil|foils|mylar|mylars|metalic[oa]s?|metalizad[oa]s?|aluminio)"
ARTICLE = r"(?:\b(?:an?|the|un|el|los|las|two|2|some|couple|of|dos|unos)\s){0,2}"
# "Letters LOVE? no just hearts"
NOT_THAT = re.compile(
    r"\s?\?+,?\s?(?:no|nah|nope|nvm)\b|\s(?:no|nope),?\s(?:wait|just|actually|"
    r"mejor)\b"
)
# "A 9 and a 0 in foil, silver, with a hoop"
METAL_AFTER = re.compile(
    r",\s(?:in\s|en\s)?(?:rose gold|silver|gold|dorado|plateado)(?=,?\s(?:with|and|plus|con|"
    r"y)\s(?:an?|una?|the|\d)\b)"
)
