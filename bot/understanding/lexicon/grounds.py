"""Where one is under the sky or under a roof, as patterns over folded text."""

# "not outside", "if inside": said, but not of the event.
NOT_BEFORE = (
    r"\b(?:not|no|isn'?t|wont be|instead of|if|en vez de|en lugar de|ya no|ya no va|no va|no es|"
    r"si llueve|not be|rather than|than)\s(?:to be\s|being\s)?$|"
    r"\b(?:opening|opened|open|new|2nd|second|nuev[oa])\s(?:\w+\s){0,2}$|"
    r"\binaugur\w+\s(?:de\s|del\s|mi\s|un\s|nuestro\s){0,2}$"
)
# "outside of town", "inside the budget".
NOT_AFTER = (
    r"\sno\s?(?:[,.;]|$)|"
    r"\s(?:(?:the|our|my)\s(?:\w+\s)?(?:doors?|entrance)\b|of\s(?:town|boston|the\s(?:city|box|"
    r"balloon))|"
    r"the\s(?:budget|box|balloons?)|de\s(?:la ciudad|mi presupuesto)|long\b|wide\b|sale\b)"
)
# "outside the ballroom" may well be a corridor.
NEXT_TO_HOUSE = r"\s(?:the|our|my)\s(?:\w+\s)?(?:room|hall|ballroom|gym|classroom|office)\b"
NAMED_AFTER = (
    r"\s(?:club|house|hotel|inn|balls?|theme\w*|resort|road|rd|street|ave\w*|vibes?|blvd|drive|"
    r"doors?|"
    r"de (?:ninos|infantes|fiestas|eventos)|furniture|lights?|grill|bar|cafe|restaurant)\b"
)
# Towns that bear the name of a park or a beach.
TOWN_BEFORE = (
    r"\b(?:estes|hyde|oak|orland|tinley|menlo|highland|winter|asbury|college|overland|forest|"
    r"takoma|"
    r"baldwin|melrose|rohnert|huntington|monterey|buena|deer|evergreen|long|virginia|miami|daytona|"
    r"palm|redondo|newport|delray|pompano|manhattan|hermosa|myrtle)\s$"
)
_HOUSE_AFTER = (
    r"(?!\s(?:hall|cent(?:er|re)|community|rec|street|st\b|ave|road|rd|school|hotel|inn|place|view|"
    r"plaza|library|elementary|middle|high|church|room|theme|rangers?|the\b|there\b|here\b|bench))"
)
_OWN = r"(?:the|our|my|her|his|their|a|back|front)"
# Grounds, unless the word is part of another thing's name.
OPEN = (
    r"(?<!\bwinter )(?<!\bbeer )(?<!\bolive )(?<!\bthe botanical )(?<!\bkinder)(?<!\bflower )"
    r"\b(?:garden|gardens)\b(?!\s(?:clubs?|cent(?:er|re)|inn|room|hall|hotel|grill|theme[ds]?|"
    r"roses|"
    r"hose|street|st\b|ave|apartments|cafe|restaurant|level|gnome|vibes?|style|state|library|"
    r"spoon))",
    rf"(?<!\bto )(?<!\bcan )(?<!\byou )(?<!\bwe )(?<!\bi )\bpark\b{_HOUSE_AFTER}",
    r"\b(?:(?:en|al|del)\s(?:el\s)?jardin|parque)\b(?!\sde\s(?:ninos|infantes|fiestas|eventos))",
    r"\b(?:en|para|de)\s(?:el|la|mi|nuestr[oa]|su|una)\s(?:terraza|azotea|lago|rio|campo|bosque|"
    r"porche)\b",
    r"\bblacktop\b|\bplayground\b|\bpergola\b|\bdriveway\b|\bcul-de-sac\b|\bexplanada\b|\bmalecon\b",
    r"\b(?:its|it's|party|be|held|dinner|ceremony|guests|everyone) out back\b",
    r"\b(?:deck|porch|tables?|fence|tent)\s(?:is )?(?:in|out) (?:the )?back\b",
    r"\bsidewalk\b|\bcourtyard\b|\bcampground\b|\bfairgrounds?\b|\bparking lots?\b|\bcook-?out\b",
    r"\bunder the (?:open )?(?:sky|stars)\b|\bbajo las estrellas\b|\ba cielo abierto\b",
    r"\b(?:on|by|at|along)\s(?:the|our|a)\s(?:river|lake|sea|water|creek)\s?(?:bank|side|front|"
    r"shore)s?\b"
    r"(?!\s(?:inn|hotel|grill|cafe|restaurant|club|hall|room|tavern|lodge))",
    rf"\b(?:on|for|across|over|along|off)\s{_OWN}\s(?:(?:back|front|pool|wood\w*)\s)?(?:beach|"
    rf"grass|dock|pier|"
    r"deck|porch|green|field|shore|sand|bank|quad|terrace)\b",
    r"\b(?:memorial|football|soccer|base\s?ball|ball|athletic|playing|sports|softball|"
    r"lacrosse) fields?\b"
    r"(?!\s(?:house|trip|hall))",
    r"\bby the (?:lake|river|water|pool|pond|creek)\b",
)
# What is to happen if the weather turns: "in case of rain we move inside", "inside if it rains".
PLAN_B = (
    r"\b(?:in case of|en caso de|si llueve|if (?:it )?rains?|if the weather)\b[^.,;!?\n]{0,50}?"
    r"(?=,|\sbut\b|\spero\b|[.;!?\n]|$)|"
    r"\botherwise (?:inside|indoors|outside|outdoors)\b|\b(?:or |then |we |o )*(?:move |go |"
    r"moving |going |be |it )*(?:inside|indoors|adentro|"
    r"outside|"
    r"outdoors|afuera)\s(?:if|unless|si llueve|si hace|en caso)\b"
)
# Rooms of a home, where they are said to be where it is: "between kitchen and den".
ROOMS_INSIDE = (
    r"\b(?:in|into|to|between|inside|from|for|over|en|entre|de)\s(?:the |my |our |her |his |their |"
    r"mi |la |el |su |nuestra )?"
    r"(?:kitchen|(?<=the )den|(?<=and )den|foyer|sunroom|rec room|playroom|hallway|"
    r"bedroom|cocina|comedor|recamara|pasillo)\b"
    r"(?!\s(?:tea|door|window|staff|island|nook))"
)
