"""What the event is for."""

import re

from rapidfuzz.distance import OSA

from bot.understanding.lexicon import NUMBER_WORDS, OCCASIONS, SUPPORTS, others
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import Passage, Phrases, Word

_TABLE: Phrases[str] = Phrases(OCCASIONS)
_TABLE_IN = {lang: Phrases({**OCCASIONS, **own}) for lang, own in others.OCCASIONS_IN.items()}

# What people say instead of the occasion's name: the first family that is found counts.
_TOLD = tuple(
    (occasion, re.compile(rf"\b(?:{pattern})\b"))
    for occasion, pattern in (
        (
            "engagement",
            r"propos(?:ing|e to|ed to|e)|pop(?:ping)? the question|(?:ask|asking) (?:her|him|"
            r"my \w+) to "
            r"marry|will you marry me|marry me|got engaged|get engaged|(?:is|are|were|we're|im|"
            r"i'm) engaged|engaged|"
            r"(?:ped\w+|pidi\w*) (?:\w+ )?(?:matrimonio|la mano)|propon\w+ matrimonio|proponerle|"
            r"comprometi\w+|entrega de anillo|cas(?:arte|ate) conmigo",
        ),
        (
            "anniversary",
            r"(?:\w+ )?years (?:married|of marriage|together)|married (?:for )?\d+ years|"
            r"anos de (?:casad[oa]s|matrimonio|fundad[oa]|servicio)|bodas de (?:oro|plata|perla|"
            r"rubi|diamante)|"
            r"(?:golden|silver|diamond) (?:wedding|anniversary|jubilee)|vow renewal",
        ),
        (
            "wedding",
            r"(?:getting|get|gets|got|be|being|we'?re|couple) (?:married|marrying|hitched|wed)|"
            r"tie the knot|"
            r"tying the knot|marr(?:ying|ies) (?:her|his|here|my|the)|bride and groom|bride|"
            r"groom|bridesmaids?|newlyweds?|nuptials|"
            r"(?:nos|se|me|te) (?:vamos a |va a |van a |voy a )?cas(?:amos|an|a|ar|o|aremos)|"
            r"(?:vamos|van|va|voy) a casar(?:nos|se|me)|rehearsal dinner|elop\w+",
        ),
        (
            "graduation",
            r"graduat\w+|gradua(?:r\w*|n|nd\w+|d[oa]s?|mos|cion)?|se (?:gradua|recibe|titula)\w*|"
            r"grads?|cap and gown|class of (?:20)?\d\d|commencement|senior send[- ]?off|"
            r"(?:finish\w+|complet\w+) (?:college|high school|university|nursing school|"
            r"med school)|"
            r"doctorate|valedictorian|phd (?:party|finally|done)|(?:thesis|dissertation|"
            r"phd) defense|defense "
            r"party",
        ),
        (
            "religious",
            r"bapti[sz]\w*|bautiz\w*|baptem\w*|batiz\w*|christen\w*|(?:first |holy |1st |primera )?"
            r"comm?union(?:es)?|confirmations?(?! (?:number|email|code|text|of|message))|"
            r"confirmaciones?|"
            r"confirmandos?|b(?:ar|at|nai|'nai) mitz?vahs?|mitzvah|presentacion (?:de|en)|"
            r"levantamiento|"
            r"ordination|ordained|ordenacion|aqiqah|bris|eid|diwali|ramadan",
        ),
        (
            "retirement",
            r"retir(?:es|ing|ed|ement|e|ment|o|arse|a|an)|jubil(?:a|an|ar\w*|acion|ad[oa])|"
            r"(?:last day|hanging up) (?:at|his|her|of) work",
        ),
        (
            "gender_reveal",
            r"gender[- ]?reveal\w*|(?:boy or girl|girl or boy)(?: reveal)?|reveal party|he or she|"
            r"revela\w* (?:de |del )?(?:genero|sexo|bebe)|nino o nina|reveal (?:the )?gender",
        ),
        (
            "grand_opening",
            r"(?:grand|soft|store|shop|salon|cafe|restaurant|bakery|gym|studio|clinic|"
            r"re) ?-?openings?|"
            r"ribbon[- ]?cutting|reopen\w*|"
            r"opening (?:our|my|a|the|up|day)? ?(?:\w+ ){0,2}(?:store|shop|salon|cafe|restaurant|"
            r"bakery|gym|studio|clinic|business|location|boutique|office|spa|barbershop|branch|"
            r"bar)|"
            r"(?:open|opens) (?:our|its|the) doors|inaugur\w+|gran apertura|(?:re)?apertura|"
            r"abr(?:imos|o|e|en|iendo|ir) (?:mi|su|sus|nuestr[oa]|un|una) (?:\w+ )?(?:negocio|"
            r"tienda|local|salon|"
            r"restaurante|taller|estetica|panaderia|consultorio)",
        ),
    )
)
_AGE = re.compile(
    r"\b(?:turns?|turning|turned|gonna be|going to be|"
    r"will be)\s(?:the\sbig\s)?(?:\d{1,3}\b(?!\s?(?:of|"
    r"people|guests|kids|feet|ft|balloons|pm|am|:))|one|two|three|four|five|six|seven|eight|nine|"
    r"ten|"
    r"thirty|forty|fifty|sixty|seventy|eighty|ninety)\b|"
    r"\b\d{1,3}(?:st|nd|rd|th)\s(?:b-?day|bday|birthday|bash)|\b\d{1,3}\s?(?:yr|year)s?[\s-]old|"
    r"\bcumple\w*\s\d|\bhappy \d{1,3}(?:st|nd|rd|th)\b|\bthe big (?:\d0|three oh|four oh|five oh|"
    r"six oh)\b|"
    r"\bdirty thirty\b|\b(?:born|bday)\b(?=\s(?:day|boy|girl|party))|"
    r"\b(?:a|surprise|big)\s(?:surprise\s)?[1-9]0th\b(?!\s(?:anniv|wedding|annual))|"
    r"\bcumplen?\s(?:\d{1,3}|un|dos|tres|cuatro|cinco)\s?anos|\b(?:my|his|her|their|[a-z]+'s|"
    r"moms|dads|sons|wifes|wife's|husbands|daughters|sisters|brothers|grandmas|grandpas|"
    r"nanas)\s(?:own\s)?"
    r"(?:\d{1,3}(?:st|nd|rd|th)|\w+ieth|first|second|third|fourth|fifth|sixth|seventh|eighth|"
    r"ninth|tenth)\b"
    r"(?!\s(?:wedding|anniv|grade|floor|year|street|ave|century|annual|meeting|time|of\b|child|"
    r"baby|kid|"
    r"location|store|communion|event|party\sthis))"
)
_XV = re.compile(
    r"\b(?:mis|sus|los|tus|de|fiesta de)\s(?:xv|15|quince)\b(?!\s(?:dias|minutos|globos|pies|"
    r"metros|personas|invitados|a\b|mesas|"
    r"de\s(?!mi|su|tu|la\b|nuestra)))|\bxv\s?(?:anos|party)?\b|\b(?:15|quince|xv) (?:anos|"
    r"primaveras)\b|"
    r"\bquince(?:s|anera|aneras)?\b(?=\s(?:party|party\?|for|de mi|en|on)\b)|\bmy quince\b|"
    r"\bsweet 15\b"
)
# Days of the year give way to what is celebrated on them: a wedding on new year's eve is a wedding.
_DAYS = frozenset({"holiday", "new_year", "valentines"})
_OF_THE_DAY = re.compile(
    r"\b(?:4|cuatro) de julio\b|\b4th of july\b|\b16 de septiembre\b|\bsuper ?bowl\b|"
    r"\bgalentines?\b|"
    r"\bfriendsmas\b"
)
# Company that works together: its parties are corporate, whatever the season.
_AT_WORK = re.compile(
    r"\b(?:company|companys|company's|corporate|office|staff|employees?|work|client|sales|business|"
    r"department|firm|hr|startup)\s(?:[\w']+\s){0,3}?(?:gala|party|event|"
    r"dinner|picnic|meeting|retreat|celebration|banquet|kickoff|kick-off|"
    r"lunch|luncheon|breakfast|mixer|awards|bbq|barbecue|brunch|function|holiday|christmas|"
    r"outing|launch|"
    r"conference|summit|appreciation|happy hour|anniversary party|reception|fiesta|posada)\b|"
    r"\bteam (?:building|lunch|retreat|outing|"
    r"meeting|offsite|appreciation)\b|\b(?:de|para) (?:los )?empleados\b|"
    r"\b(?:fiesta|evento|cena|posada|comida|convivio|reunion|junta|"
    r"lanzamiento)\s(?:\w+\s){0,5}?(?:de|en|para) "
    r"(?:la|mi|nuestra|los|el)\s(?:\w+\s)?(?:compania|empresa|oficina|trabajo|empleados|"
    r"corporativo|fabrica|"
    r"personal)\b|\bconvivio de trabajo\b|\bour company'?s?\b"
)
# A house, a club or a firm that "turns 100" has an anniversary.
_OLD_HOUSE = re.compile(
    r"\b(?:library|club|company|school|church|shop|store|restaurant|bakery|business|town|museum|"
    r"society|firm|team|league|studio|gym|cafe|center|brewery|hospital|organi[sz]ation|nonprofit|"
    r"association|chapter|theat(?:er|re)|choir|orchestra|troop|temple|parish|academy)(?:\s(?:is\s)?"
    r"turn(?:s|ing)\b|'?s\s\d{1,3}(?:st|nd|rd|th)\b)"
)
_OF_WEDDING = re.compile(
    r"anniversary\s(?:of|for)\s(?:\w+\s){0,3}wedding|wedding\s(?:\d+\w*\s)?anniversary|"
    r"aniversario de bodas?"
)
_SEVERAL = re.compile(
    r"\b(?:two|2|both|three|3|dos|tres|varios|several|couple of|different|"
    r"separate)\s(?:\w+\s)?(?:events|"
    r"parties|eventos|fiestas|occasions|celebrations)\b"
)
# Rarer than any other where both are said.
_FIRST = ("quinceanera", "gender_reveal", "baby_shower", "bridal_shower")


def occasion_in(passage: Passage, lang: str | None) -> str | None:
    """The occasion; None where several events are asked for at once."""
    text = passage.folded
    if _SEVERAL.search(text):
        return None
    found = occasions_in(passage, lang)
    if "anniversary" in found and "wedding" in found and _OF_WEDDING.search(text):
        return "anniversary"
    events = [occasion for occasion in found if occasion not in _DAYS]
    specific = [occasion for occasion in events if occasion != "other"]
    first = next((occasion for occasion in _FIRST if occasion in specific), None)
    if first or _XV.search(text):
        return first or "quinceanera"
    if specific:
        return specific[0]
    if _AT_WORK.search(text):
        return "corporate"
    if _AGE.search(text):
        return "anniversary" if _OLD_HOUSE.search(text) else "birthday"
    days = [occasion for occasion in found if occasion in _DAYS]
    if days or _OF_THE_DAY.search(text):
        return days[0] if days else "holiday"
    return next(iter(events), None) or _misspelt(passage.words())


def several_events(passage: Passage, lang: str | None, *, days: bool) -> bool:
    """More than one event at once: said so, or two occasions on two days."""
    if _SEVERAL.search(passage.folded):
        return True
    apart = set(occasions_in(passage, lang)) - _DAYS - {"other", "corporate"}
    return days and len(apart) > 1


def occasions_in(passage: Passage, lang: str | None) -> list[str]:
    """Every occasion named or told of, in the order said."""
    words = passage.words()
    hits = _TABLE_IN.get(lang or "", _TABLE).find(words)
    named = [(words[hit.first].start, hit.value) for hit in hits if hit.value]
    masked = passage.without(
        (words[hit.first].start, words[hit.last].end) for hit in hits if not hit.value
    )
    told = [
        (found.start(), occasion)
        for occasion, pattern in _TOLD
        if (found := pattern.search(masked.folded))
    ]
    return [occasion for _, occasion in sorted(named + told)]


_TYPED = {
    name: occasion
    for name, occasion in OCCASIONS.items()
    if occasion and occasion != "other" and " " not in name and len(name) > 6
}
_KNOWN = frozenset(
    word for phrase in (*OCCASIONS, *SUPPORTS, *NUMBER_WORDS) for word in phrase.split()
) | listed(
    """
        community communities communication commute commuting
        bedding welding reading heading wording sending landing holding folding leading
        feeding wedges holidays reception reunions invitation invitations decorations
        decoration confirmed confirming corporation cooperate inspiration conversation
        conversion information education location vacation question questions communicate
        commission compression anniversaries entertainment engagements appointment
        requirement requirements attachment statement graduated gradually retiree
        celebrate celebration celebrating showers opening openings holiday
        """
)


def _misspelt(words: list[Word]) -> str | None:
    """An occasion one or two slips away ("aniversery"), where no occasion is spelt right."""
    for word in words:
        text = word.text
        if len(text) < 6 or text in _KNOWN or text.startswith("confirm"):
            continue
        for name, occasion in _TYPED.items():
            slips = 1 if len(name) < 9 else 2
            if name[0] == text[0] and OSA.distance(text, name, score_cutoff=slips) <= slips:
                return occasion
    return None
