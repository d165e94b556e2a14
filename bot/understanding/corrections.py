"""What people write when they correct what they told before, English beside Spanish."""

import re

from bot.understanding.spellings import any_of

_MADE = r"(?:it|that|them|those|the \w+(?: \w+)?|my \w+|our \w+|this)"
# A verb of changing with something known as its object.
CHANGE_SAID = any_of(
    r"(?:chang(?:e|ing|ed)|cange|chnage|chang|update|updating|switch(?:ing)?|swap(?:ping)?|"
    r"modify|"
    r"edit|adjust|revise|amend) (?:it|the|my|our|that|this|from|to|pink|date|time|colou?rs?|"
    r"size|venue|location|address|event|guest|number|headcount|red|blue|gold|white|[a-z]+ (?:to|"
    r"for|"
    r"out|with))",
    r"(?:can|could|may|need|want|like|have|lets|must|please|going) (?:\w+ ){0,2}(?:change|switch|"
    r"swap|update|modify|reschedule|postpone)(?! of)",
    rf"make (?:{_MADE})\s?(?!look\b|out\b|work\b|sure\b|pop\b|last\b|special\b|happen\b)(?:to |"
    rf"be |a "
    r"(?:bit|little|few inches) |an? )?(?:[^\s\d]{0,3}\d\S{0,6}|(?:full|bigg|small|tall|wid|long|"
    r"short|"
    r"light|dark|"
    r"thick)er\b|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|all |more |less |"
    r"big|small|wide|tall|long|short|half|just|only|\w+ instead|(?:hot |light |dark |"
    r"rose )?(?:pink|"
    r"red|blue|gold|silver|white|green|black|purple|yellow|orange|ivory|navy)|inside|outside|"
    r"indoors?|"
    r"outdoors?|noon|january|february|march|april|may|june|july|august|september|october|"
    r"november|"
    r"december|monday|tuesday|wednesday|thursday|friday|saturday|sunday)",
    r"(?:move|moving|push|pushing|bump|bumping|shift) (?:it|the|my|our|us|that|everything|from|"
    r"to|"
    r"back|up)",
    r"(?:its|it|thats|we|party|event|date|wedding|thing|were|we are|venue|was|got|been|has) "
    r"(?:\w+ )?(?:moved|mooving|bumped|pushed|rescheduled|switched|shifted|moving)(?: to| it|"
    r" back| "
    r"from| up)?|moved (?:it |to |the )|rescheduled?|rescheduling|postpone[ds]?|postponing|"
    r"pushed back|delayed us",
    r"(?:also |please )?add (?:(?:a|an|one|two|three|another|some|more|foil|in|on|"
    r"\d+)\b)(?! (?:you|"
    r"to it))|(?:can|could) (?:you|we|i) (?:also |please )?(?:add|remove|drop|take (?:off|out)|"
    r"include|lose)",
    r"(?:remove|drop|scrap|scratch|skip|ditch|lose|nix|delete|leave out|leave off|cut|"
    r"take (?:off|"
    r"out|away)|get rid of|forget|forget about|nvm|nevermind|never mind) (?:the |that |those |"
    r"my |our"
    r" )(?:\w+ )?(?:columns?|hoops?|foils?|garlands?|arch(?:es)?|time|silver|gold|pink|red|blue|"
    r"white|green|black|purple|yellow|orange|numbers?|letters?|swags?|frame|backdrop|wall|table|"
    r"stairs?|second|other|flowers?|sign|drop|bouquets?|greenery|star|heart)",
    r"take (?:the|those|that) (?:\w+ ){1,2}(?:out|off|away)|final answer|will now|"
    r"instead of [^,.!?\n]{1,24},? (?:we|i|can|could|lets|make|do|use|go)",
    r"(?:can|could) (?:we|you|i) (?:do|have|make|use|get|go)\b[^.!?\n]{0,40} instead",
    r"scratch that|strike that|correction|change of (?:plans|date|venue|mind)|new plan|"
    r"plans (?:have "
    r")?changed|new (?:date|time|venue|location|address|budget|headcount|count|"
    r"size)(?! \w+ open)|"
    r"different (?:date|day|time|venue)|(?:venue|date|time|location|place|plans?|count|"
    r"headcount|budget|number) (?:has |have |just |is |got )*(?:changed|moved|increased|grown|"
    r"went|"
    r"gone|dropped|shrunk)",
    r"(?:i|we) (?:actually )?meant|(?:i|we) (?:said|wrote|put|told you|gave you|sent|typed|"
    r"measured|got)(?: it| you| the)?(?: \w+){0,3} (?:wrong|by mistake)|"
    r"(?:i|we) said [^.!?\n]{1,40}\b(?:but|its|it is)|measured (?:it |the \w+ )?(?:again|wrong|"
    r"it wrong)|"
    r"(?:i|we) said (?:the )?(?:\w+ )?(?:is|was|its|no|not)|typo|my (?:mistake|bad|fault|error)",
    r"(?:i|we) (?:said|put|wrote|typed) [^.!?\n]{1,30}\bbut|(?:dije|dijimos|puse|"
    r"pusimos) [^.!?\n]{1,30}\bpero|"
    r"bring (?:one|another|an? extra|\d+ (?:more|extra))|(?:one|two|three|four|\d) (?:more|extra|"
    r"fewer|less) (?:columns?|hoops?|arch(?:es)?|garlands?|foils?|balloons?|people|guests|kids)",
    r"(?:date|time|venue|wedding|party|event|budget|theme|location|it) is now|now (?:at|on|"
    r"in) (?!the)",
    r"re(?:garding)? (?:my|our) (?:order|booking|quote|request|reservation)(?:[:,]| )",
    r"(?:we|i) now (?:have|need|want|are)|were now|its now|it is now|now (?:its|it is|were|"
    r"we are|"
    r"we have|we need|we want|i want|i need)|we (?:only|just) (?:want|need) (?:one|two|\d|the) "
    r"(?:\w+ )?now|(?:want|need) \w+(?: \w+){0,3} now$",
    r"(?:never ?mind|nvm|forget|scratch|scrap|skip) (?:the )?(?:\d|(?:jan|feb|mar|apr|may|jun|"
    r"jul|aug|sep|oct|nov|dec)[a-z]* \d)\w*|"
    r"al final (?:somos|son|es|va|van|seran?|quier\w+|queremos)|quick (?:fix|correction|change|"
    r"update)|mixed (?:it |them |that |those |things )?up|"
    r"used to be|(?:is|are|at) \d+ now|\d+ (?:people|guests|kids|ppl|of us) now|(?:antes|"
    r"primero) (?:era|eran|eramos)|"
    r"on second thought|come to think|turns out|ended up (?:being|with)|change from|"
    r"instead of (?:the|what|that|doing)|in place of the",
    r"(?:raise|lower|increase|decrease|reduce|bump up|trim|extend|shorten|cut|kill|lose) (?:the|"
    r"my|our|it)",
    r"changed (?:her|his|their|my|our|his or her) minds?|\w+ changed (?:her|his|their) mind",
    # Spanish
    r"ya no (?:va a ser|van a ser|empieza|termina|es|son|somos|sera|seran|esta|en|la|lo|quiere|"
    r"queremos que)|"
    r"siempre no "
    r"(?:somos|es|son|sera)|habiamos (?:quedado|dicho|acordado)|ahora (?:l[oa]s? )?quier\w+|"
    r"ya vamos en",
    r"cambi(?:elos|elas|enlos|enlas|ar|a|o|e|ame|emos|en|amos|alo|ala|alos|alas|arlo|arla|arle|"
    r"arlos|arnos|enlo|enla|elo|"
    r"ela|aron|amos|ando|ele|ale|eme)(?! de aceite)",
    r"(?:mov(?:er|i|io|imos|amos|eme|emos|iendo|erlo|erla)|muev\w+|pas(?:ar(?:lo|la)?|emos|amos|"
    r"aron|"
    r"alo|ala|enla|enlo|o) (?:la fiesta |el evento |todo )?(?:al|para|a) |recorr\w+ (?:la|el|al|"
    r"a)|"
    r"reprogram\w+|pospon\w+|posponer|aplaz\w+|adelant\w+ (?:la|el|al|a)|atras\w+ (?:la|el|al|"
    r"a))",
    r"(?:agreg|anad|aument|sum)(?:ar|a|ame|uen|uenle|uele|ele|enle|ue|ue(?:n)?me|ale|enle|an|"
    r"ueme|arle|ir|e|anle|iendo|"
    r"arme|o)(?: (?:un|una|dos|tres|\d+|otr[oa]|mas|el|la|los|las|al))",
    r"(?:quit(?:a|ar|e|en|ame|enme|ale|enle|eme|emos|arle)|elimin\w+|borr\w+) (?:el|la|los|las|"
    r"al|lo)",
    r"(?:me|nos) equivo\w+|(?:me|nos) confund\w+|corrij\w+|corregir|correccion|quise decir|"
    r"quiero "
    r"decir|digo|perdon,? (?:es|son|era|eran|el|no|quise)|fue (?:mi )?error|error mio|(?:lo |la |"
    r"los |"
    r"las )?(?:puse|escribi|di|dije) mal|se me (?:paso|olvido) (?:decir\w*|poner\w*|"
    r"mencionar\w*)|"
    r"se me paso",
    r"(?:mejor|ahora|ya) (?:hazl\w+|hagal\w+|haganl\w+|ponl\w+|pongal\w+|el \d+|que sea|quiero|"
    r"queremos|quisiera|va a ser|sera|seria|seran|somos|seremos|son|es (?:a|de|en|el|la)|puedo|"
    r"podemos|tengo|"
    r"tenemos|que (?:sean?|mida))|hazl[oa]s?|hagal[oa]s?|en vez de|en lugar de|en realidad|"
    r"siempre no (?:va a ser|sera|es)|siempre si|(?:ya )?no (?:va a ser|sera|va a estar|va|es|"
    r"son|"
    r"eran|era) (?:el|a las|en|afuera|adentro|de) ?\w*,? (?:sino|ahora|mejor|es|va|la|lo|"
    r"cambi\w+|el)",
    r"que (?:la |el |las |los )?(?:\w+ )?sean? (?:de |mas |mejor |a )*(?:\d|dos|tres|cuatro|"
    r"cinco|"
    r"mas|otr|az|roj|blanc|verd|dorad|pequen|grande|rosa)|(?:presupuesto|numero|"
    r"cantidad) (?:subio|"
    r"bajo|cambio|aumento)|subio (?:a|el)|bajo a|ya no (?:la|lo|las|los) "
    r"quer\w+ (?:en|de|con|rosa|azul|roj|blanc|dorad|verde|morad)|(?:pon(?:le|ga|gale|me|ganle)|"
    r"echale) "
    r"(?:\w+ ){1,3}mas|(?:pon(?:le|ga|gale|me|ganle)) otr[oa]s?",
    # Others
    r"verschieben|andern|umbuchen|changer|deplacer|reporter|mudar|alterar|remarcar|adiar|"
    r"spostare|"
    r"cambiare|zmienic|przeniesc|перенес\w+|измен\w+|поменя\w+|doi|chanje",
)
# Signs of a correction that also stand in a first message.
CHANGE_HINTED = any_of(
    r"actually|instead|rather than|instead of|(?:no )?wait,? (?:its|make|no|actually|i)|no,? its|"
    r"no no|one more thing|another thing|sorry,? (?:not|i meant|its|make|wrong|that)|i mean|"
    r"oops|whoops|without the|its me again|me again|talked (?:yesterday|earlier|before|already)|"
    r"we (?:already )?(?:talked|spoke)|as we (?:discussed|said)|"
    r"(?:soy )?(?:otra vez )?yo (?:otra vez|"
    r"de nuevo)|otra vez yo|(?:should|needs to|has to|(?<!do i )(?<!do we )have to|must) be|"
    r"supposed to be|is (?:really|"
    r"actually)|not \w+ but|no \w+ sino|sino|mejor|siempre|ok new|update|prefiero|preferimos|"
    r"everything else (?:is |"
    r"stays )?(?:the )?same|lo demas igual|what about \S+ (?:\w+ )?instead|gained|grew",
)
_AMOUNT = (
    r"(?:[^\s\d]{0,3}\d\S{0,7}|one|two|three|four|five|six|seven|eight|nine|ten|"
    r"eleven|twelve|\w+teen|\w+ty)"
)
_HUE = (
    r"(?:red|orange|yellow|green|blue|purple|pink|brown|black|white|gray|grey|silver|gold|cream|"
    r"ivory|champagne|sage|teal|navy|burgundy|lavender|lilac|coral|peach|rust|mauve|copper|rojo|"
    r"azul|verde|rosa|blanco|negro|dorado|plateado|morado|amarillo|lila|naranja|indoors?|"
    r"outdoors?|"
    r"inside|outside|adentro|afuera|noon|am|pm|[a-z]+day|sabado|domingo|viernes|jueves|lunes)"
)
# One value against another: "12 feet not 10", "blue not green", "4, no 2".
CONTRAST = re.compile(
    rf"\b{_AMOUNT}\b[^.!?\n]{{0,24}}?,? (?:not|y no|and not|no|not the|instead of|rather than)"
    rf" (?:on |at |the |de |el |las? |a las )?"
    rf"(?:(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]* (?:the )?)?{_AMOUNT}\b|"
    rf"\b{_HUE}(?: \w+)?,? (?:not|y no|and not|instead of|rather than) (?:the |"
    rf"el )?(?:\w+ )?{_HUE}\b|"
    rf"\bno (?:es|son|era|eran|somos|seremos) [^.!?\n]{{1,24}},? (?:es|son|somos|seremos|sino)\b|"
    rf"\bnot the \w+(?: \w+)?,? (?:but )?the \w+|\bno (?:es )?(?:el|la) \w+,? sino (?:el|la) \w+|"
    rf"\b(?:in|at|on|by|en|a) (?:the |el |la )?\w+,? (?:not|no|y no|and not) (?:in|on|at|inside|"
    rf"indoors|outside|"
    r"outdoors|adentro|afuera|en)\b|"
    rf"\bnot {_AMOUNT}\b[^.!?\n]{{0,16}}(?:,| but| its|$)"
)
# Said of the work or of a booking in general, though a change is named.
CHANGE_ASKED = re.compile(
    r"^if\b[^.!]*\?|^if\b[^.!?\n]{0,60}\b(?:can|could|may|will|would|do) (?:we|i|you)\b|"
    r"\b(?:how late|until when|by when|how (?:close|long before|soon|far)|what if|"
    r"whats? the (?:fee|"
    r"deadline|last day)|is there a (?:fee|charge)|is it (?:possible|ok|okay|too late)|do you "
    r"(?:charge|allow|let)|hasta cuando|cobran (?:por|extra)|que pasa si|hay (?:cargo|costo))\b"
    r"[^.!?\n]{0,40}\b(?:chang|reschedul|postpon|switch|cambi|modific|mover|repro|pospon)|"
    r"\bchange\b[^.!?\n]{0,30}\b(?:later|after (?:i|we) (?:book|pay)|last minute)\b|"
    r"\b(?:puedo|se puede|podemos) (?:cambiar|modificar|mover)\b[^.!?\n]{0,30}\b(?:despues|luego|"
    r"mas tarde|al final)\b|\bif (?:the|our|my|we|i)\b[^.!?\n]{0,30}\bchanges?\b[^.!\n]*\?"
)

# A message that opens with a correction.
CORRECTS = re.compile(
    r"^[^\w]*(?:(?:no|ok|oh|sorry|wait|hmm|hi|hey|hello|hola|and|so|y|perdon|"
    r"disculpe)\b[^\w]*){0,8}"
    r"(?:actually|correction|make it|make that|in fact|en realidad|mejor|oops|whoops|i meant)\b"
)
# What is known has the article: "el aro mejor de 2 metros".
OF_KNOWN = re.compile(
    r"^(?:[^\w]*(?:and|y|oh|ok|also)\b)?[^\w]*(?:the|el|la|los|las|my|our|mi|"
    r"nuestr[oa]) (?:\w+ )?"
    r"(?:arch|hoop|garland|columns?|wall|swag|backdrop|arco|aro|guirnalda|columnas?|pared)\b"
)
