"""What people write when they call off, complain, correct, ask or want something built.

Families of expressions, English beside Spanish, as patterns over plain words: lower case, no
accents, no apostrophes, chat spellings written out ("kiero" is "quiero", "q" is "que").
"""

import re

_CHAT = (
    (re.compile(r"\bk(?=[ie])"), "qu"),
    (re.compile(r"\bq\b|\bk\b(?=\s(?:se|me|no|si|es|lo|la|el|los|las|precio|tan|quier\w+|ped\w+))"), "que"),
    (re.compile(r"\bxq\b|\bpq\b"), "porque"),
    (re.compile(r"\bpa\b|\bp/"), "para"),
    (re.compile(r"\bu\b"), "you"),
    (re.compile(r"\bur\b"), "your"),
    (re.compile(r"\br\b(?=\s(?:you|your|the|they|these)\b)"), "are"),
    (re.compile(r"\b(?:pls|plz|pleez|plis|porfa|xfa|xfavor)\b"), "please"),
    (re.compile(r"\bq(?:ou?|uo|ua)te?s?\b"), "quote"),
    (re.compile(r"\bcance(?=l\w)l{1,2}"), "cancel"),
    (re.compile(r"\bwat\b"), "what"),
    (re.compile(r"\bgonna\b"), "going to"),
    (re.compile(r"\bwanna\b"), "want to"),
)


def plain(folded: str) -> str:
    """A folded text without apostrophes and with common chat spellings written out."""
    text = folded.replace("'", "").replace("¿", "").replace("¡", "")
    for pattern, spelling in _CHAT:
        text = pattern.sub(spelling, text)
    return text


def _any(*families: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(families)})\b")


_ORDER = (
    r"(?:balloons?|garlands?|arch|arches|hoop|columns?|decor\w*|order|booking|reservation|event|"
    r"party|wedding|shower|quote|request|appointment|date|thing|everything|it|all|pedido|orden|"
    r"reserva|evento|fiesta|boda|cita|todo|decoracion|globos|arco|guirnalda|baile|contrato)"
)
_THE = (
    r"(?:the |my |our |this |that |his |her |their |whole |entire |your |mi |el |la |lo |los |las "
    r"|nuestr[oa] |su |tu |del? |to |with )*"
)

CANCEL = _any(
    r"cancel(?:l?ing|l?ed)?(?! (?:charge|on (?:me|us)|policy|fee|terms|gratis))",
    r"cancele(?:n|me|nme|lo|la)?|cancela(?:r(?:l[oae]s?|me|nos)?|me|mos|ron|da|do|d|n|l[oa]s?)?",
    rf"call(?:ing|ed)? (?:it |{_THE}{_ORDER} |things )?off(?: {_THE}{_ORDER})?",
    rf"(?:scrap|drop|forget|kill|ditch|undo|withdraw) {_THE}(?:order|booking|whole thing|thing|"
    r"everything|request|event|reservation)",
    rf"{_ORDER}(?:s| is| are| was| has been)? (?:off|cancel\w+|not happening|called off)"
    r"(?! (?:the|white|to|by|from|center))",
    r"(?:not|isnt|wont be|aint) (?:happening|going ahead|going forward|going through) ?(?:any ?more"
    r"|after all)?",
    rf"(?:no longer|wont|dont|do not|will not|not going to) (?:be )?(?:need\w*|requir\w+|want\w*|"
    rf"us(?:e|ing)|interested)(?: in)?(?: {_THE}(?:services?|you|them|{_ORDER}))?"
    r"(?= (?:any ?more|after all|now)|[.,!?;]|$)",
    rf"no longer (?:need|want|interested|require)(?: {_THE}{_ORDER})?",
    r"(?:back(?:ing)?|pull(?:ing)?) out of (?:the|this|our|it)|need to back out|have to back out",
    r"(?:take|remove) (?:me|us|my order|our order|my name) off",
    r"(?:went|going|go|gone|sticking) with (?:someone|somebody|another|a different|other) ?\w*",
    r"(?:found|hired|booked|got|chose) (?:someone|somebody|another|a different|other) (?:else|"
    r"decorator|vendor|company|person|place)|found a (?:friend|cousin|neighbor) who",
    r"(?:decided|deciding|chose|chosen) (?:not to|against)(?! (?:use|have|do) (?:the )?(?:pink|"
    r"gold|foil|frame))",
    r"(?:have|had) a change of heart|changed (?:my|our) minds?(?= (?:and|we dont|about having|"
    r"about the (?:party|event|whole|balloons))|[.,!]|$)",
    r"(?:a )?different (?:direction|route)|(?:do|doing|make|making) (?:it|them|everything) (?:ourselves|"
    r"myself)|void (?:my|our|the)|forget (?:about )?it",
    r"never ?mind(?:,| we| i| about| the| all| then)? ?(?:we|i)? ?(?:dont|wont|found|are|the "
    r"order|about it|it)",
    r"quier\w+ anular|anul(?:ar|a|e|en|o|amos) (?:mi|el|la|todo|nuestr[oa])|dar de baja",
    r"ya no (?:va|vamos|voy|van|necesit\w+|quier\w+|queremos|quise|se va|se hara|se hizo|se hace|"
    r"habra|hare\w*|haremos|hay|ocup\w+|me interesa|nos interesa|podemos|puedo|sera)"
    r"(?! (?:afuera|adentro|en |de |rosa|azul|a ser (?:el|a|en)|ser (?:el|a|en)|el \d|ser el))",
    r"(?:se )?(?:suspendio|suspendimos|suspender|cancelo|cancelamos)",
    r"siempre no (?:va a haber|habra|vamos|voy|quier\w+|queremos|hay|se (?:va|hace|hara|hizo)|"
    r"necesit\w+)",
    r"no (?:vamos a|voy a|se va a|se) (?:hacer|celebrar|tener|realizar)(?:la|lo|se)?(?: la| el)? "
    r"?(?:fiesta|evento|boda|nada)?",
    r"(?:ya )?(?:contrat|consegu|encontr|escog)\w+ (?:a |con )?(?:otr[oa]|alguien)s?(?: persona| "
    r"decorador\w*| proveedor\w*| compania)?",
    r"quit(?:e|en|ar|a|ame|enme) (?:mi|el|nuestro) (?:pedido|nombre|evento)",
    r"olvid(?:e|en|a|ese|ate)(?:lo|la)?(?: (?:del? )?(?:pedido|todo|la fiesta|el evento))?"
    r"(?=[.,! ]*(?:ya|gracias|$))",
    r"wed(?:ding)?s off|party ?s off|events off",
    r"otmenit\w*|stornieren|absagen|annuler|annulons|annulla\w*|desmarcar|odwolac|anulowac|"
    r"отмен\w+|huy",
)
CANCEL_ASKED = re.compile(
    r"cancell?ation (?:policy|fee|terms|period|charge)|\b(?:what|whats|happens?|how|can|could|if|"
    r"fee|charge|policy|free|until when|when)\b[^.!?\n]{0,28}\bcancel|cancel+ed on (?:me|us)|"
    r"(?:politica|cargo|costo|plazo)s? (?:de|por) cancel|\bsi (?:se |tengo que |hay que |tuviera "
    r"que |quiero |la |lo )?cancel|(?:puedo|se puede|podemos|podria|que pasa si|cuanto cobran "
    r"por|hasta cuando)[^.!?\n]{0,24}\bcancel"
)

_THING = (
    r"(?:you|your \w+|they|he|she|balloons?|garlands?|arch(?:es)?|columns?|it|half|all|everything|"
    r"decorations?|hoops?|ones?|some|most|delivery|order|driver|crew|team|installer|guy|lady|"
    r"colou?rs?|setup|backdrop|frame|foils?|letters?|numbers?|sign)"
)
COMPLAINT = _any(
    r"(?:want|need|demand|expect|would like|give me|give us|get|getting|owe me|owe us|full|"
    r"requesting|request) (?:my |a |our |full |the |partial |for )*(?:refund|money back)",
    r"refund (?:me|us)|(?:deposit|money) back(?! if)|(?:still )?waiting (?:for|on) (?:you|the|my|our"
    r"|a) (?:\w+ )?(?:refund|call|reply|response|answer|invoice|deposit)",
    r"(?:when|but|and) (?:i|we) (?:clearly |specifically |had )*(?:asked|ordered|paid|requested|wanted"
    r"|agreed) (?:for|on)|paid for [^.!?\n]{1,24} (?:and|but) (?:only |we |i )*(?:got|received)|half "
    r"dead|(?:mala|pesima|terrible) atencion|no (?:los|las|lo|la) recomiendo",
    r"never (?:showed|arrived|came|turned up|delivered|got|answered|called|replied|responded|"
    r"finished|returned|again)|no ?(?:one|body) (?:ever )?(?:showed|came|turned up|answers?|"
    r"answered|returns?|returned|replies|responds?|responded|picks? up|called|calls|has "
    r"(?:answered|called|replied|responded|gotten))|no[- ]shows?|ghosted|ignoring (?:me|my|us)",
    r"(?:didnt|did not) (?:show|come|arrive|turn up|deliver|finish|match|last|hold|even|answer|"
    r"reply|look (?:anything )?like)",
    r"(?:(?:was|were|is|are|so|very|really|extremely|super|pretty|quite|am|im|absolutely|beyond|"
    r"completely|totally|deeply|truly|literally|utterly|rather|we are|left me|left us) )+(?:\w+ )?"
    r"(?:disappoint\w+|unhappy|upset|upsetting|furious|angry|unacceptable|terrible|awful|horrible|"
    r"rude|frustrat\w+|unprofessional|disgusted|livid|mad|embarrass\w+|appalled|dissatisfied|"
    r"displeased|heartbroken|ridiculous|pathetic|a joke|a disaster|a disgrace)",
    r"not (?:at all )?(?:happy|acceptable|satisfied|impressed|pleased|okay with)|disappointed|"
    r"disappointing|unacceptable|"
    r"unprofessional|worst|ruined|a disgrace|a shambles|ashamed|scam\w*|rip ?-?offs?|ripped off|"
    r"lousy|shoddy|sloppy|complain\w*|complaint|overcharged|double charged|charged (?:me |us |my "
    r"card )?(?:twice|double|too much|extra|wrong)|this is ridiculous|bad review|(?:one|1|zero) stars? (?:review|from me|for you)|"
    r"never (?:using|hiring|booking) (?:you|them)",
    rf"{_THING}\b[^.!?\n]{{0,40}} (?:popped|deflated|fell|collapsed|burst(?:ed)?|(?:was|were|came|"
    r"arrived|showed up|got here) (?:\w+ ){0,3}late|hours? late|minutes late|(?:was|were|are|is) "
    r"(?:all |the |completely )?wrong|broke|shriveled|shrank|sagg(?:ed|ing)|droop(?:ed|ing)|wilted|"
    r"came (?:apart|down|undone|loose|off)|overcharged|ruined|scratched|damaged|dented|stained|"
    r"ripped|tore|cracked|smashed|spilled|scuffed|chipped|left (?:\w+ ){0,3}(?:mess|tape|trash|"
    r"marks?|holes?|residue|glue|garbage)|forgot|knocked|faded|leaning|crooked|flat|dirty|"
    r"half (?:empty|done|finished)|missing)(?! (?:in|with|for) love)",
    rf"(?:wrong|not the) (?:colou?rs?|{_THING}|size|date|day|address|shade|pink|blue|gold)"
    r" (?:i|we|you|was|were|again|showed|arrived|came)",
    r"not what (?:i|we|was) (?:ordered|asked|paid|wanted|agreed|promised|booked)|nothing like the "
    r"(?:picture|photo)|wrong colou?rs|colou?rs were wrong|half of what|who is (?:paying|going to "
    r"pay)|more than (?:what )?(?:i|we) (?:was|were) quoted|than (?:what )?you quoted",
    r"where (?:are|were|was|is) (?:you|everyone|your (?:guy|crew|team|driver))(?: guys)?(?=[?! ]*$)|"
    r"supposed to (?:be here|arrive|come|show|deliver)",
    r"queja|quejar\w*|reclam\w+|reembols\w+|(?:quiero|devuelv\w+|regres\w+|devolver|exijo) (?:que )?"
    r"(?:me |nos )?(?:devuelv\w+ |regres\w+ )?(?:mi |el |nuestro )?(?:dinero|lana|deposito)(?!\?)|"
    r"dinero de (?:vuelta|regreso)",
    r"se (?:nos |me |les )?(?:\w+ )?(?:reventaron|desinflaron|reventaba\w*|cayo|cayeron|poncharon|"
    r"desinflo|revento|rompieron|rompio|despego|despegaron|desbarato|desbarataron|vino abajo|"
    r"doblo|ladeo)",
    r"decepcion\w*|nunca (?:llega\w+|llego|vino|vinieron|contest\w+|me |nos )|no llega(?:ron|ste)|"
    r"no llego|no (?:vinieron|aparecieron|contestan|contestaron|responden|me contest\w+)|"
    r"llegaron (?:\S+ ){0,3}tarde|llego (?:\S+ ){0,3}tarde|pesim[oa]|mal(?:isimo)? servicio|"
    r"mala experiencia|horrible|feisim[oa]|estaf\w+|(?:muy |bien |super )?(?:molest[oa]s?|enojad[oa]s?)"
    r"|que verguenza|inaceptable|una grosería|groser\w+|colores equivocados|chuec[oa]s?|"
    r"nadie (?:me |nos )?(?:contest\w+|llego|respond\w+|vino|se presento)|no (?:es|era|eran|fue|"
    r"son) (?:el |la |los |lo )?(?:que|color que|colores que) (?:yo )?(?:ped\w+|quer\w+|contrat\w+|"
    r"pag\w+|acord\w+)|ni eran los|(?:me |nos )?(?:cobraron|cobro) (?:de mas|doble|dos veces|mas "
    r"de lo)|(?:me|nos) (?:dejaron|quedaron) (?:plantad\w+|mal|sin)|(?:mancharon|rayaron|rasparon|"
    r"ensuciaron|quebraron|danaron|arruinaron|maltrataron)|equivocad[oa]s? (?:los|el|la|de color)",
    r"enttauscht|decu[es]?|deluso|decepcionad[oa]|erstattung|remboursement",
)
# Asked about in general, feared, or the fault of others.
COMPLAINT_ASKED = re.compile(
    r"refund(?:able)? (?:policy|if)|(?:is|deposit) (?:\w+ )?refundable|\b(?:what (?:if|happens)|in "
    r"case|if|do (?:we|i) get|que pasa si|y si|si se|si llueve|por si)\b|"
    r"\b(?:do|does|can|could|would|will|do any|have) (?:they|balloons|the|it|any|your|these|you)\b"
    r"[^.!?\n]{0,30}(?:pop|deflate|fall|burst|shrink|fell|late)|ever (?:pop|fall|had)|"
    r"\b(?:last|other|previous|another|my|our|first|original|old|that|a) (?:\w+ )?(?:decorator|"
    r"vendor|company|lady|florist|planner|balloon (?:person|lady|guy|company))\b|"
    r"\b(?:otr[oa]|anterior|primera?) (?:decorador\w*|persona|proveedor\w*|compania|senora|muchacha)"
    r"|(?:decorador\w*|proveedor\w*|muchacha) (?:anterior|que tenia)|no quiero que se"
)

_MADE = r"(?:it|that|them|those|the \w+(?: \w+)?|my \w+|our \w+|this)"
# A verb of changing with something known as its object.
CHANGE_SAID = _any(
    r"(?:chang(?:e|ing|ed)|cange|chnage|chang|update|updating|switch(?:ing)?|swap(?:ping)?|modify|"
    r"edit|adjust|revise|amend) (?:it|the|my|our|that|this|from|to|pink|date|time|colou?rs?|"
    r"size|venue|location|address|event|guest|number|headcount|red|blue|gold|white|[a-z]+ (?:to|for|"
    r"out|with))",
    r"(?:can|could|may|need|want|like|have|lets|must|please|going) (?:\w+ ){0,2}(?:change|switch|"
    r"swap|update|modify|reschedule|postpone)(?! of)",
    rf"make (?:{_MADE})\s?(?!look\b|out\b|work\b|sure\b|pop\b|last\b|special\b|happen\b)(?:to |be |a "
    r"(?:bit|little|few inches) |an? )?(?:[^\s\d]{0,3}\d|(?:full|bigg|small|tall|wid|long|short|light|dark|"
    r"thick)er\b|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|all |more |less |"
    r"big|small|wide|tall|long|short|half|just|only|\w+ instead|(?:hot |light |dark |rose )?(?:pink|"
    r"red|blue|gold|silver|white|green|black|purple|yellow|orange|ivory|navy)|inside|outside|indoors?|"
    r"outdoors?|noon|january|february|march|april|may|june|july|august|september|october|november|"
    r"december|monday|tuesday|wednesday|thursday|friday|saturday|sunday)",
    r"(?:move|moving|push|pushing|bump|bumping|shift) (?:it|the|my|our|us|that|everything|from|to|"
    r"back|up)",
    r"(?:its|it|thats|we|party|event|date|wedding|thing|were|we are|venue|was|got|been|has) "
    r"(?:\w+ )?(?:moved|mooving|bumped|pushed|rescheduled|switched|shifted|moving)(?: to| it| back| "
    r"from| up)?|moved (?:it |to |the )|rescheduled?|rescheduling|postpone[ds]?|postponing|"
    r"pushed back|delayed us",
    r"(?:also |please )?add (?:(?:a|an|one|two|three|another|some|more|foil|in|on|\d+)\b)(?! (?:you|"
    r"to it))|(?:can|could) (?:you|we|i) (?:also |please )?(?:add|remove|drop|take (?:off|out)|"
    r"include|lose)",
    r"(?:remove|drop|scrap|scratch|skip|ditch|lose|nix|delete|leave out|leave off|cut|take (?:off|"
    r"out|away)|get rid of|forget|forget about|nvm|nevermind|never mind) (?:the |that |those |my |our"
    r" )(?:\w+ )?(?:columns?|hoops?|foils?|garlands?|arch(?:es)?|time|silver|gold|pink|red|blue|"
    r"white|green|black|purple|yellow|orange|numbers?|letters?|swags?|frame|backdrop|wall|table|"
    r"stairs?|second|other|flowers?|sign|drop|bouquets?|greenery|star|heart)",
    r"take (?:the|those|that) (?:\w+ ){1,2}(?:out|off|away)|final answer|will now|"
    r"instead of [^,.!?\n]{1,24},? (?:we|i|can|could|lets|make|do|use|go)",
    r"scratch that|strike that|correction|change of (?:plans|date|venue|mind)|new plan|plans (?:have "
    r")?changed|new (?:date|time|venue|location|address|budget|headcount|count|size)(?! \w+ open)|"
    r"different (?:date|day|time|venue)|(?:venue|date|time|location|place|plans?|count|"
    r"headcount|budget|number) (?:has |have |just |is |got )*(?:changed|moved|increased|grown|went|"
    r"gone|dropped|shrunk)",
    r"(?:i|we) (?:actually )?meant|(?:i|we) (?:said|wrote|put|told you|gave you|sent|typed|"
    r"measured|mixed up|got)(?: it| you| the)?(?: \w+){0,3} (?:wrong|by mistake)|"
    r"(?:i|we) said (?:the )?(?:\w+ )?(?:is|was|its|no|not)|typo|my (?:mistake|bad|fault|error)",
    r"bring (?:one|another|an? extra|\d+ (?:more|extra))|(?:one|two|three|four|\d) (?:more|extra|"
    r"fewer|less) (?:columns?|hoops?|arch(?:es)?|garlands?|foils?|balloons?|people|guests|kids)",
    r"re(?:garding)? (?:my|our) (?:order|booking|quote|request|reservation)(?:[:,]| )",
    r"(?:we|i) now (?:have|need|want|are)|were now|its now|it is now|now (?:its|it is|were|we are|"
    r"we have|we need|we want|i want|i need)|we (?:only|just) (?:want|need) (?:one|two|\d|the) "
    r"(?:\w+ )?now|(?:want|need) \w+(?: \w+){0,3} now$",
    r"on second thought|come to think|turns out|ended up (?:being|with)|change from|"
    r"instead of (?:the|what|that|doing)|in place of the",
    # Spanish
    r"cambi(?:ar|a|o|e|ame|emos|en|amos|alo|ala|alos|alas|arlo|arla|arle|arlos|arnos|enlo|enla|elo|"
    r"ela|aron|amos|ando|ele|ale|eme)(?! de aceite)",
    r"(?:mov(?:er|i|io|imos|amos|eme|emos|iendo|erlo|erla)|muev\w+|pas(?:ar(?:lo|la)?|emos|amos|aron|"
    r"alo|ala|enla|enlo|o) (?:la fiesta |el evento |todo )?(?:al|para|a) |recorr\w+ (?:la|el|al|a)|"
    r"reprogram\w+|pospon\w+|posponer|aplaz\w+|adelant\w+ (?:la|el|al|a)|atras\w+ (?:la|el|al|a))",
    r"(?:agreg|anad|aument|sum)(?:ar|a|ame|uen|ue|ue(?:n)?me|ale|enle|an|ueme|arle|ir|e|anle|iendo|"
    r"arme|o)(?: (?:un|una|dos|tres|\d|otr[oa]|mas|el|la|los|las|al))",
    r"(?:quit(?:a|ar|e|en|ame|enme|ale|enle|eme|emos|arle)|elimin\w+|borr\w+) (?:el|la|los|las|al|lo)",
    r"(?:me|nos) equivo\w+|(?:me|nos) confund\w+|corrij\w+|corregir|correccion|quise decir|quiero "
    r"decir|digo|perdon,? (?:es|son|era|eran|el|no|quise)|fue (?:mi )?error|error mio|(?:lo |la |los |"
    r"las )?(?:puse|escribi|di|dije) mal|se me (?:paso|olvido) (?:decir|poner|mencionar)|se me paso",
    r"(?:mejor|ahora|ya) (?:hazl\w+|hagal\w+|haganl\w+|ponl\w+|pongal\w+|el \d+|que sea|quiero|"
    r"queremos|quisiera|va a ser|sera|seria|seran|somos|seremos|son|es a|puedo|podemos|tengo|"
    r"tenemos|que (?:sean?|mida))|hazl[oa]s?|hagal[oa]s?|en vez de|en lugar de|en realidad|"
    r"siempre no (?:va a ser|sera|es)|siempre si|(?:ya )?no (?:va a ser|sera|va a estar|va|es|son|"
    r"eran|era) (?:el|a las|en|afuera|adentro|de) ?\w*,? (?:sino|ahora|mejor|es|va|la|lo|cambi\w+|el)",
    r"que (?:la |el |las |los )?(?:\w+ )?sean? (?:de |mas |mejor |a )*(?:\d|dos|tres|cuatro|cinco|"
    r"mas|otr|az|roj|blanc|verd|dorad|pequen|grande|rosa)|(?:presupuesto|numero|cantidad) (?:subio|"
    r"bajo|cambio|aumento)|subio (?:a|el)|bajo a|ya no (?:la|lo|las|los) "
    r"quer\w+ (?:en|de|con|rosa|azul|roj|blanc|dorad|verde|morad)|(?:pon(?:le|ga|gale|me|ganle)|echale) "
    r"(?:\w+ ){1,3}mas|(?:pon(?:le|ga|gale|me|ganle)) otr[oa]s?",
    # Others
    r"verschieben|andern|umbuchen|changer|deplacer|reporter|mudar|alterar|remarcar|adiar|spostare|"
    r"cambiare|zmienic|przeniesc|перенес\w+|измен\w+|поменя\w+|doi|chanje",
)
# Signs of a correction that also stand in a first message.
CHANGE_HINTED = _any(
    r"actually|instead|rather than|instead of|(?:no )?wait,? (?:its|make|no|actually|i)|no,? its|"
    r"no no|one more thing|another thing|sorry,? (?:not|i meant|its|make|wrong|that)|i mean|"
    r"oops|whoops|without the|its me again|me again|talked (?:yesterday|earlier|before|already)|"
    r"we (?:already )?(?:talked|spoke)|as we (?:discussed|said)|(?:soy )?(?:otra vez )?yo (?:otra vez|"
    r"de nuevo)|otra vez yo|(?:should|needs to|has to|have to|must) be|supposed to be|is (?:really|"
    r"actually)|not \w+ but|no \w+ sino|sino|mejor|siempre|ok new|update|prefiero|preferimos|everything else (?:is |"
    r"stays )?(?:the )?same|lo demas igual|what about \S+ (?:\w+ )?instead|gained|grew|now",
)
_AMOUNT = r"(?:[^\s\d]{0,3}\d\S{0,7}|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|\w+ty)"
_HUE = (
    r"(?:red|orange|yellow|green|blue|purple|pink|brown|black|white|gray|grey|silver|gold|cream|"
    r"ivory|champagne|sage|teal|navy|burgundy|lavender|lilac|coral|peach|rust|mauve|copper|rojo|"
    r"azul|verde|rosa|blanco|negro|dorado|plateado|morado|amarillo|lila|naranja|indoors?|outdoors?|"
    r"inside|outside|adentro|afuera|noon|am|pm|[a-z]+day|sabado|domingo|viernes|jueves|lunes)"
)
# One value against another: "12 feet not 10", "blue not green", "4, no 2".
CONTRAST = re.compile(
    rf"\b{_AMOUNT}\b[^.!?\n]{{0,24}}?,? (?:not|y no|and not|no|not the|instead of|rather than)"
    rf" (?:on |at |the |de |el |las? |a las )?{_AMOUNT}\b|"
    rf"\b{_HUE}(?: \w+)?,? (?:not|y no|and not|instead of|rather than) (?:the |el )?(?:\w+ )?{_HUE}\b|"
    rf"\bno (?:es|son|era|eran|somos|seremos) [^.!?\n]{{1,24}},? (?:es|son|somos|seremos|sino)\b|"
    rf"\bnot {_AMOUNT}\b[^.!?\n]{{0,16}}(?:,| but| its|$)"
)
# Said of the work or of a booking in general, though a change is named.
CHANGE_ASKED = re.compile(
    r"\b(?:how late|until when|by when|how (?:close|long before|soon|far)|what if|whats? the (?:fee|"
    r"deadline|last day)|is there a (?:fee|charge)|is it (?:possible|ok|okay|too late)|do you "
    r"(?:charge|allow|let)|hasta cuando|cobran (?:por|extra)|que pasa si|hay (?:cargo|costo))\b"
    r"[^.!?\n]{0,40}\b(?:chang|reschedul|postpon|switch|cambi|modific|mover|repro|pospon)|"
    r"\bchange\b[^.!?\n]{0,30}\b(?:later|after (?:i|we) (?:book|pay)|last minute)\b|"
    r"\b(?:puedo|se puede|podemos) (?:cambiar|modificar|mover)\b[^.!?\n]{0,30}\b(?:despues|luego|"
    r"mas tarde|al final)\b|\bif (?:the|our|my|we|i)\b[^.!?\n]{0,30}\bchanges?\b[^.!\n]*\?"
)
OF_A_BOOKING = _any(
    r"just checking|checking (?:in|what|if|when|on|whether)|what time (?:will|are|do) (?:you|they)|"
    r"did (?:you|they) (?:get|receive|see)|confirm (?:my|our|the|that)|confirmar (?:mi|la|el)|"
    r"(?:is|are) (?:my|our|we) (?:order|booking|date|event|all set|confirmed|still on)|"
    r"(?:recibieron|les llego|vieron) (?:mi|el)|(?:my|our) (?:booking|reservation)",
)

PRICE = _any(
    r"(?:how|hw) (?:much|mch|cheap)|price[sd]?|pricing|costs?|quotes?|quotation|estimate|ballpark|"
    r"rates?|run me|run us|set me back|damage|charges?|fee for|what would|going rate|cheapest|"
    r"(?:a|your|rough) figure|what (?:do|would|will) (?:you|it|that|this) (?:\w+ )?(?:be|charge|cost)|"
    r"how (?:does|about|is|s) \$?\d+ (?:sound|for)|hows \$?\d+",
    r"cuanto|cuantos? (?:me )?(?:cuesta|sale)|precios?|cotiz\w+|presupuesto|cuesta\w*|cobran?|"
    r"cobrarian|sale(?: en)?|costo|que (?:costo|precio)",
    r"combien|prix|devis|coute|quanto (?:custa|costa|fica|sai|e|viene)|orcamento|preventivo|was "
    r"kostet|kostet|kosten|wieviel|wie viel|hoeveel|kost|ile kosztuje|ile|magkano|konbyen|"
    r"preis|цена|стоит|сколько|bao nhieu|gia",
)
SIDE_PRICE = re.compile(
    r"how much (?:notice|time|space|room|advance|in advance|earlier|is (?:the |your )?(?:deposit|"
    r"delivery|shipping)|deposit|do you (?:charge|need) (?:for|to) deliver\w*|extra|of a|before|"
    r"later|help|weight|wind|setup|helium|power)|"
    r"price (?:include|good|negotiable|list|drop|match)|does the price|(?:que )?incluye|"
    r"whats? (?:is )?included|what is included|(?:cuesta|es|cobran por) (?:el |la |un )?(?:anticipo|"
    r"deposito|envio|entrega|traslado)|is the price|the (?:quote|price|estimate) (?:look|is|was|"
    r"include|valid|expire|seems|you)|quote (?:good|valid|expire|look)|deposit|delivery (?:fee|charge|"
    r"cost)|cuanto (?:tiempo|dura\w*|aguant\w*|antes|espacio|es el (?:deposito|envio|anticipo)|"
    r"se tarda\w*|tarda\w*|anticipo)|cobran (?:extra|por (?:el |la )?(?:env|"
    r"entreg|instal|desmont|mont|traslad|llev|ir|quit)\w*)|"
    r"extra (?:charge|cost|fee)|do (?:you|they) (?:charge|cost) (?:extra|tax|sales|more)|"
    r"cost more|costs? extra|(?:less|lower|cheaper)$|hourly rate|minimum|minimo|descuento|discount|"
    r"is there an? (?:\w+ ){0,2}(?:fee|charge|cost)|"
    r"(?:price|cost|fee|charge)s? (?:for|of|to) (?:the |your |do )?(?:delivery|deliver|shipping|"
    r"set ?-?up|take ?-?down|travel|install\w*|rent)|charge extra|rates? (?:for|of) (?:travel|"
    r"delivery)|price range|starting price|precios? (?:inclu|base|minimo)"
)
WANT = _any(
    r"need|needs|needed|want|wants|wanted|looking (?:for|to|into|at)|look(?:in)? for|would (?:love|"
    r"like)|id (?:love|like)|wed (?:love|like)|interested|im thinking|thinking|hoping|something for|"
    r"book|order|reserve|having|planning|hire|require|pick(?:ing)? up|requests?|we should require|fancy|"
    r"can (?:you|we|i) (?:do|make|build|create|quote|get)|could (?:you|we|i) (?:do|make|build|create|"
    r"have|get)|are you (?:able|free)|please quote|get",
    r"necesit\w+|quier\w+|quisier\w+|busc\w+|me (?:interesa|gustaria)|nos (?:interesa|gustaria)|"
    r"pueden? (?:hacer|cotizar)|puedes (?:hacer|cotizar)|queremos|ocup(?:o|amos)|cotiza\w*|deseo|"
    r"deseamos|ando buscando|se me antoja",
    r"quero|preciso|gostaria|voudrai(?:s|t)|mochte\w*|brauche\w*|vorrei|potrzebuj\w+|хочу|нужн\w+|"
    r"mwen (?:bezwen|vle)|muon|can toi",
)
QUESTION_WORD = re.compile(
    r"^[^\w]*(?:(?:hi|hiya|hello|hey|yo|hola|ok|also|so|and|buenas?|bna|bnas|buenos|tardes|dias|"
    r"noches?|there|quick (?:q|question)|question|just (?:curious|wondering)|curious|wondering|btw|"
    r"oh|pregunta|una pregunta|disculp[ae]n?|oye|oiga|sorry|thanks|gracias|y|pero|but|um|well|"
    r"good (?:morning|afternoon|evening|day))\b[^\w]*){0,8}"
    r"(?:do|does|did|is|are|i?m? ?wondering (?:if|whether|how)|anyone know|can(?!t)|could|will|would|how|hows|what|whats|when|where|wheres|who|whos|"
    r"which|why|any|may(?! \d)|should|have you|has|am i|"
    r"hacen|hace|tienen|tiene|pueden|puede|puedo|podrian?|como|cual|cuales|cuando|donde|quien|que|"
    r"cuanto|cuantos|cuantas|(?:con|de|a|en|por|hasta|para) (?:que|cual|cuant[oa]s?|cuando|donde)|entregan|es|son|se puede|incluye\w*|aceptan|trabajan|hay|dan|ofrecen|"
    r"me puede\w*|necesito (?:pagar|dejar)|rentan|venden|llevan|cobran|usan|manejan|atienden)\b"
)
# About the work, its rules and its people, whatever piece is named.
SIDE_QUESTION = re.compile(
    r"\b(?:how (?:long|big|many|far|wide|tall|does|do|soon|often|heavy|early|late|hot|windy)\b|"
    r"what (?:size|kind|type|colou?rs?|is your|are your|does|time|happens|if|areas|payment|is the|"
    r"forms?|do (?:you|we) (?:need|use|do))|whats (?:your|included|"
    r"the (?:difference|biggest|deposit|usual|longest|smallest))|(?:is|are|isnt|arent) (?:it|there|"
    r"that|this|a|the|an|they|your|these|you|balloons)\b|do (?:you|they|we|i|the|balloons|your)\b|"
    r"does (?:the|it|a|your|someone|anyone)|did you|can (?:i|we|the|it|they|kids|someone|you (?:come|"
    r"deliver|travel|ship|match|reuse|recycle|work|send|show|help|tell|fit|hang|attach|guarantee))|"
    r"will (?:the|it|they|you)|would (?:the|it|they|you)|who |where |when |why |which |whether|"
    r"wondering (?:if|whether|how|what)|(?:let (?:me|us) know|tell me|asks?|ask) (?:if|whether|how)|"
    r"cuanto (?:tiempo|dura\w*|aguant\w*)|cuant[oa]s (?:horas|dias)|"
    r"que (?:tamano|colores (?:tienen|manejan)|incluye|pasa|tan|tipo|zonas?|dias|horario|formas|"
    r"metodos|necesit\w+ para)|como (?:se|funciona|puedo|pago|le hago|aparto|reservo|son|es)|cual "
    r"(?:es|son)|biodegradables?|es seguro|aguantan?|duran?|se puede|puedo|podemos|(?:me|nos) "
    r"(?:pueden?|podrian?) (?:mandar|ensenar|mostrar|decir|enviar|pasar)|tienen|"
    r"hacen|aceptan|entregan|trabajan|cobran (?:por|extra)|reciben|dan|ofrecen|usan|llevan|van "
    r"hasta|llegan (?:a|hasta)|si (?:llueve|hay|hace)|regresan|donde|cuando|quien(?:es)?|hay)\b"
)
AVAILABLE = _any(
    r"availability|available|free on|openings?|still open|do you have (?:\w+ )?(?:january|february|"
    r"march|april|may|june|july|august|september|october|november|december)|disponib\w+|libres?|"
    r"booked|(?:tienen|hay) (?:chance|espacio|lugar|fecha|cupo)",
)
COURTESY = re.compile(
    r"^(?:ok|okay|k|yes|yep|sure|thanks|thank you|thx|great|perfect|sounds good|gracias|si|perfecto|"
    r"vale|listo|cool|awesome|sale)\b"
)
GREETING = re.compile(
    r"^(?:hi|hello|hey|hola|yo)?[\s,!]*(?:is )?any(?:one|body) (?:there|here|home)\b|"
    r"^(?:hay alguien|alguien ahi)\b|\b(?:wrong (?:person|number|chat|text|place)|numero equivocado|"
    r"me equivoque de (?:numero|chat|persona|grupo)|just (?:trying|testing)|testing|test message|"
    r"probando)\b"
)
INFORMATION = _any(
    r"info|information|more details|price list|catalog(?:ue)?|informes|informacion|catalogo|"
    r"lista de precios|portfolio|portafolio|brochure|menu",
)
PRODUCT = _any(r"balloons?|ballons?|baloons?|globos?|decor\w*|quote|garlands?")
# Talk that is about nothing of ours, and praise of work done.
IDLE = re.compile(
    r"\bwho (?:won|is winning)|tell me a (?:joke|story)|what time is it|how are you|whats up|hows it "
    r"going[?! ]*$|whats the weather|que tal[?! ]*$|como (?:estas?|te va|andas?)|meaning of life|"
    r"\b(?:was|were|is|are|turned out|looked|look|came out|quedo|quedaron|estuvo|estaba|estuvieron)"
    r" (?:\w+ ){0,3}(?:beautiful|gorgeous|amazing|perfect|lovely|stunning|wonderful|fantastic|"
    r"incredible|awesome|the best|hermos[oa]s?|bonit[oa]s?|precios[oa]s?|padrisim[oa]s?|divin[oa]s?|"
    r"increibles?|bellisim[oa]s?|lindisim[oa]s?)\b"
)
CLAUSES = re.compile(r"[.!?;:\n]+\s*|,\s|\s-\s|\b(?:and|but|so|y|pero)\s")
# A message that opens with a correction.
CORRECTS = re.compile(
    r"^[^\w]*(?:(?:no|ok|oh|sorry|wait|hmm|hi|hey|hello|hola|and|so|y|perdon|disculpe)\b[^\w]*){0,8}"
    r"(?:actually|correction|make it|make that|in fact|en realidad|mejor|oops|whoops|i meant)\b"
)
