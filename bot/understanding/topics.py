"""What a side question is about, so that the owner's own answer can be given."""

import re

from bot.understanding.passage import Passage

_TOPICS = {
    "delivery": (
        r"\bdeliver(?:y|ies|ed|ing|s)?\b|\bdrop (?:it |them )?off\b|\bship(?:ping|ped)?\b|"
        r"\bpick(?:ing)? ?up\b(?! (?:the|your) (?:frame|stand|hoop))|\bhow far (?:do|will|would|"
        r"can) "
        r"(?:you|u|y'?all)\b|\b(?:travel|drive|"
        r"come (?:out )?to(?! (?:take|clean|remove|get|set|put))|go (?:out )?to|serve|service area|"
        r"cover (?:the )?area)\b|\b(?:entreg|envi|repart)(?:an|as|a|o|os|ar|en)\b|\bentregas?\b|"
        r"\ba domicilio\b|\b(?:llevan|llegan|van|vienen|viajan)\s(?:\w+\s)?(?:a|hasta|al)\b|"
        r"\brecoger(?:lo|la|los)?\b|\bpasar por\b"
    ),
    "lasting": (
        r"\bhow (?:long|many (?:days|hours)|soon)\b[^.?!\n]{0,50}\b(?:last|stay|hold|keep|good|"
        r"inflated|survive|hang|float|deflat\w+|shrink\w*|up)\b|\blasts?\b(?! (?:minute|year|week|"
        r"month|time|name|day|night|of))|\bstay(?:s|ing)? (?:inflated|up|good|fresh)\b|"
        r"\bhold(?:s|ing)? up\b|\bdeflat\w+|\bshrink\w*|\bwilt\w*|\b(?:do|will|can) they pop\b|"
        r"\bdur(?:a|an|aran|ara|acion)\b|\baguant\w+|\bdesinfl\w+|\bse (?:ponchan|revientan)\b"
    ),
    "deposit": (
        r"\bdeposits?\b|\bdown ?payment\b|\bretainer\b|\bup ?front\b|\bmoney down\b|"
        r"\b(?:hold|secure|save|reserve) (?:my|the|our|a) (?:date|day|spot)\b|\bdeposito\b|"
        r"\banticipo\b|\badelanto\b|\benganche\b|\bsena\b|\bapart(?:ar|o|an)\b|\bpor adelantado\b"
    ),
    "payment": (
        r"\b(?:pay|pays|paying|payments?|paid)\b(?<!down payment)|\b(?:cash|check|checks|cheques?|"
        r"credit|debit|cards?|venmo|zelle|paypal|invoice[ds]?|installments?|purchase orders?)\b|"
        r"\bpag(?:o|os|ar|an|amos|ando|arles)\b|\b(?:efectivo|tarjetas?|transferencias?|cheque|"
        r"factura|plazos|abonos)\b"
    ),
    "cancelling": (
        r"\bcancel\w*|\brefund\w*|\bmoney back\b|\bresched\w+|\bpostpon\w+|\b(?:change|move) (?:my|"
        r"the|our) date\b|\breembols\w+|\b(?:devuelv|regres)(?:en|an)\b[^.?!\n]{0,20}\b(?:dinero|"
        r"deposito|anticipo)\b|\bposponer\b|\bcambiar (?:la|de|mi) fecha\b"
    ),
    "notice": (
        r"\b(?:how (?:far|much|long|early)|when)\b[^.?!\n]{0,40}\b(?:ahead|in advance|advance|"
        r"notice|"
        r"beforehand|(?:to|should|must|i|we) book|order by)\b|\blead time\b|\blast[ -]minute\b|"
        r"\bshort notice\b|\b(?:ahead|advance) (?:of time|notice)\b|\bhow soon can\b|\bbooked "
        r"(?:up|"
        r"out)\b|\banticipacion\b|\bultim[oa] (?:minuto|momento|hora)\b|\bcon cuant[oa]s? "
        r"(?:tiempo|"
        r"dias|semanas)\b|\bcon tiempo\b"
    ),
    "keeping": (
        r"\b(?:keep|keeping|re-?use|take) (?:the |it|them|those|everything|all)[^.?!\n]{0,20}"
        r"(?:after|home|balloons|garland|frame|arch)?\b(?! (?:under|below|to|simple|down|in mind))|"
        r"\b(?:yours|ours|mine) to keep\b|\bwho keeps\b|\bwe (?:get to )?keep\b|\bnos quedamos\b|"
        r"\bquedar(?:me|nos)?\b[^.?!\n]{0,20}\b(?:con|globos|la|el)\b|\breutiliz\w+|"
        r"\bllev(?:ar(?:me|nos)?|amos) (?:los|a casa)\b|\b(?:quedar|llevar)(?:me|nos)l[oa]s?\b|"
        r"\b(?:me|nos) l[oa]s? (?:\w+ )?(?:quedar|quedo|quedamos|llevar|llevo|llevamos)\b"
    ),
    "helium": r"\bhelium\b|\bfloat(?:s|ing|ers)?\b|\bhelio\b|\bflot(?:an|ar|en|antes?)\b",
    "outdoors": (
        r"\boutdoors?\b|\boutside\b|\brain(?:s|y|ing|ed)?\b|\bwind(?:y|s)?\b|\bheat\b|\bhot\b(?! "
        r"pink)|"
        r"\b(?:direct |the |full )sun\b|\bsunlight\b|\bweather\b|\bhumid\w*|\bcold\b|\bbeach\b|"
        r"\blluvia\b(?! de globos)|\bllueve\b|\bllover\b|\bviento\b|\bcalor\b|\bel sol\b|"
        r"\bafuera\b|\bal aire libre\b|"
        r"\bexterior(?:es)?\b|\bclima\b|\bhumedad\b"
    ),
    "set_up": (
        r"\bset(?:ting)?[ -]?up\b|\binstall\w*|\bhow early\b|\b(?:who|do you) (?:puts?|hang|"
        r"build)\b|"
        r"\bput (?:it|them|everything) (?:up|together)\b|\bassembl\w+|\bwhat time\b[^.?!\n]{0,30}"
        r"\b(?:come|arrive|be there|get there)\b|\b(?:montaje|montan|montar|instal\w+|arman|armar|"
        r"colocan|colocar|ponen)\b|\ba que hora (?:llegan|vienen)\b"
    ),
    "take_down": (
        r"\b(?:take|taking|tear|tearing|break)[ -]?(?:it |them |everything |all )?down\b|"
        r"\bclean(?:s|ing)?"
        r"[ -]?up\b|\bclean (?:it|them|everything) up\b|\bremov(?:e|al|ing)\b|\bdispos\w+|"
        r"\b(?:pick(?:ing)? ?up|collect|get|return) (?:the|your|it|them) ?(?:frame|stand|hoop|"
        r"after|"
        r"back)\w*|\bdesmont\w+|\brecogen\b|\blimpi(?:an|eza|ar)\b|\bquitan\b|\bretiran\b"
    ),
    "minimum": (
        r"\bminimums?\b|\bsmallest\b|\bleast (?:i|we|you|amount|order)\b|\bstart(?:s|ing)? (?:at|"
        r"price|"
        r"from)\b|\bminim[oa]s?\b|\b(?:desde|a partir de) cuanto\b|\bpedido minimo\b"
    ),
    "latex": r"\blatex\b|\ballerg\w+|\bbio-?degrad\w+|\beco\b|\brecycl\w+|\balerg\w+|\becologic\w+",
    "insured": (
        r"\binsur(?:ed|ance)\b|\bliabilit\w+|\bcoi\b|\blicen[sc]ed?\b|\bbonded\b|\basegurad\w+|"
        r"\bseguro de\b|\b(?:tienen|cuentan con) (?:\w+ )?seguro\b|\bresponsabilidad civil\b"
    ),
}
_PATTERNS = tuple((topic, re.compile(words)) for topic, words in _TOPICS.items())
TOPICS = tuple(_TOPICS)


def topics_in(text: str) -> tuple[str, ...]:
    """The topics of `TOPICS` that a text speaks of, in the order said."""
    folded = Passage.of(text).folded
    hits = {topic: hit for topic, pattern in _PATTERNS if (hit := pattern.search(folded))}
    said = sorted(hits, key=lambda topic: (hits[topic].start(), topic))
    beside = {other for topic in said for other in _COVERS.get(topic, ())}
    if {"payment", "deposit"} <= hits.keys():
        beside.add("deposit" if _WAY_TO_PAY.search(folded) else "payment")
    if {"take_down", "keeping"} <= hits.keys() and not _KEEPS.search(folded):
        beside.add("keeping")
    return tuple(topic for topic in said if topic not in beside)


# Whose answer tells what the other's would: a refund is of the deposit, too.
_COVERS = {"cancelling": ("deposit", "payment")}
_WAY_TO_PAY = re.compile(
    r"\b(?:how|way|ways|method|cash|check|checks|cheques?|credit|debit|cards?|venmo|zelle|paypal|"
    r"como|forma|efectivo|tarjetas?|transferencias?)\b(?! (?:much|many|far|long))"
)
# "Take them down" takes nothing home.
_KEEPS = re.compile(
    r"\bkeep|\bre-?us|\btake \w+ home\b|\bqued(?:ar|amos|o\b)|"
    r"\bllev(?:ar|amos|o\b)|\breutiliz|\ba casa\b"
)
