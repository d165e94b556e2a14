"""What people say instead of an occasion's name, as patterns over folded text, English and Spanish.

The tables of single names are in the lexicons of the languages; here are the families that take a
verb, a number or a neighbour to be told.
"""

_SHOP = (
    r"(?:store|shop|salon|cafe|restaurant|bakery|gym|studio|clinic|business|location|boutique|"
    r"office|spa|barbershop|branch|bar)"
)
_NEGOCIO = (
    r"(?:negocio|tienda|local|salon|restaurante|taller|estetica|panaderia|consultorio|barberia|"
    r"taqueria|cafeteria|sucursal)"
)
_JEWEL = r"(?:golden|silver|ruby|pearl|diamond|emerald|sapphire|crystal|coral)"
_JOYA = r"(?:oro|plata|perla|rubi|diamante|esmeralda|zafiro|coral|cristal)"

# By occasion; of each the first place in the text counts.
TOLD: dict[str, tuple[str, ...]] = {
    "engagement": (
        r"propos(?:ing|e to|ed to|e)|pop(?:ping)? the question|(?:will you )?marry me",
        r"ask(?:ing)? (?:her|him|my \w+) to marry|engaged",
        r"(?:ped\w+|pidi\w*) (?:\w+ )?(?:matrimonio|la mano)|propon\w+ matrimonio|proponerle",
        r"comprometi\w+|entrega de anillo|cas(?:arte|ate) conmigo",
    ),
    "anniversary": (
        r"(?:parents|grandparents|folks|in-?laws)'?s?'? (?:big )?\d0th(?! b)",
        r"years (?:married|of marriage|together)|married (?:for )?\d+ years",
        rf"anos de (?:casad[oa]s|matrimonio|fundad[oa]|servicio)|bodas de {_JOYA}",
        rf"{_JEWEL} (?:wedding|anniversary|jubilee)|vow renewal",
        r"(?:hit|hits|hitting|celebrat\w+|reach\w*) \d0 years",
    ),
    "wedding": (
        r"(?:getting|get|gets|got|be|being|we'?re|couple) (?:married|marrying|hitched|wed)",
        r"(?:tie|tying|ties|tied) the knot|marr(?:ying|ies) (?:her|his|here|my|the)|nuptials",
        r"bride and groom|bride|groom|bridesmaids?|newlyweds?|rehearsal dinner|elop\w+",
        r"(?:nos|se|me|te) (?:vamos a |va a |van a |voy a )?cas(?:amos|an|a|ar|o|aremos)",
        r"(?:vamos|van|va|voy) a casar(?:nos|se|me)|tornaboda",
    ),
    "graduation": (
        r"graduat\w+|grads?|cap and gown|class of (?:20)?\d\d|commencement|valedictorian",
        r"gradua(?:r\w*|n|nd\w+|d[oa]s?|mos|cion)?|se (?:gradua|recibe|titula)\w*",
        r"senior send[- ]?off|moving[- ]up (?:ceremony|day)|(?:pinning|white coat) ceremony",
        r"(?:\d(?:st|nd|rd|th)[- ]grade|\w+ graders?'?s?|middle school|kinder\w*|pre-?k|elementary)"
        r" promotions?|promotion ceremony",
        r"(?:finish\w+|complet\w+) (?:college|high school|university|nursing school|med school)",
        r"doctorate|phd (?:party|finally|done)|(?:thesis|dissertation|phd) defense|defense party",
        r"clausura (?:del? )?(?:la |el )?(?:escuela|curso|kinder|ciclo)\w*",
    ),
    "religious": (
        r"bapti[sz]\w*|bautiz\w*|baptem\w*|batiz\w*|christen\w*",
        r"(?:first |holy |1st |primera )?comm?union(?:es)?",
        r"confirmations?(?! (?:number|email|code|text|of|message))|confirmaciones?|confirmandos?",
        r"(?:being|getting|gets) confirmed|baby naming|b(?:ar|at|nai|'nai) mitz?vahs?|mitzvah|"
        r"presentacion (?:de|en)|levantamiento",
        r"ordination|ordained|ordenacion|aqiqah|bris|eid|diwali|ramadan",
        r"(?:baby|child|church|sanctuary|chapel) dedication",
    ),
    "retirement": (
        r"retir(?:es|ing|ed|ement|e|ment|o|arse|a|an)|jubil(?:a|an|ar\w*|acion|ad[oa])",
        r"(?:last day|hanging up) (?:at|his|her|of) work",
    ),
    "gender_reveal": (
        r"gender[- ]?reveal\w*|(?:boy or girl|girl or boy)(?: reveal)?|(?:the|our|baby) reveal|"
        r"reveal party|he or she",
        r"revela\w* (?:de |del )?(?:genero|sexo|bebe)|nin[oa] o nin[oa]|reveal (?:the )?gender",
    ),
    "baby_shower": (
        r"baby (?:sprinkle|tea|brunch)|te de canastilla|lluvia de (?:bebe|regalos para (?:el|"
        r"la) bebe)",
    ),
    "corporate": (
        r"(?:product|brand|app) launch|lanzamiento de (?:\w+ )?(?:producto|marca|linea)",
    ),
    "bridal_shower": (
        r"bridal (?:tea|luncheon|lunch|brunch)|kitchen tea|despedida de soltera|te de novia",
    ),
    "grand_opening": (
        rf"(?:grand|soft|{_SHOP}|park|library|playground|museum|school|re) ?-?openings?|"
        rf"ribbon[- ]?cutting|reopen\w*",
        rf"opening (?:our|my|a|the|up|day)? ?(?:\w+ ){{0,2}}{_SHOP}|(?:open|opens) (?:our|its|"
        rf"the) doors",
        r"inaugur\w+(?! no\b)|gran apertura|(?:re)?apertura",
        r"abrimos (?:el|este|al publico)",
        rf"abr(?:imos|o|e|en|iendo|ir) (?:mi|su|sus|nuestr[oa]|un|una) (?:\w+ )?{_NEGOCIO}",
    ),
}

# Turns of a life that have no kind of their own; they count before a mere day of the year.
MILESTONES = (
    r"(?:beat|beating|survived?|free of|done with|finish\w* (?:with )?) ?(?:\w+ )?(?:cancer|"
    r"leukemia|chemo\w*)",
    r"cancer[- ]free|in remission|end of chemo|(?:vencio|le gano al?|"
    r"libre de) (?:\w+ )?(?:cancer|leucemia)",
    r"pass(?:ed|es|ing) (?:the |her |his |my |their )?(?:state )?(?:bar|boards|nclex|cpa)\b",
    r"(?:got|gets|getting|accepted) in ?to (?:\w+ )?(?:college|university|harvard|\w+ school)",
    r"black belt|cinta negra|eagle scout|court of honor|signing day|draft (?:day|party)",
    r"ciudadan[oa]s?|ciudadania|citizenship|naturali[sz]ation|(?:got|gets|getting) (?:her|his|"
    r"my|their) "
    r"(?:citizenship|green card|license|promotion)|adoption|adopted|adopci?on|gotcha day",
    r"(?:got|been|getting|gets|was) promoted|promotion (?:party|dinner|lunch)|ascenso|ascendieron",
    r"(?:casa|depa) (?:propia|nueva)|estren\w+ (?:la |mi |su |nuestra )?casa|new (?:house|"
    r"home) party|"
    r"housewarming|moving away|going away|bon voyage|se va (?:a|de) (?:vivir|estudiar)",
    r"(?:com(?:es?|ing)|back|return\w*|arriv\w+) (?:home )?from (?:deployment|the (?:army|navy|war|"
    r"military|marines|hospital)|overseas|boot ?camp)|deployed|homecoming from|welcome (?:back|"
    r"home)",
    r"(?:dieron|obtuvo|saco|recibio|gano) (?:su|la|sus|los) (?:residencia|papeles|ciudadania)",
    r"(?:llega|regresa|vuelve|regreso|llegada|vuelta) (?:mi |de mi |su )?(?:\w+ )?(?:del?|"
    r"de la) (?:ejercito|"
    r"guerra|marina|servicio militar|hospital)",
)

_KEPT_BY = (
    r"(?:farewell|memorial|appreciation|volunteer|volunteers|teachers?|nurses?|donor|award|"
    r"awards|scout|"
    r"dedication|induction|swearing[- ]in|unveiling|groundbreaking|naming|tree|remembrance|"
    r"veterans|"
    r"champions?|season|team|club|league|booster|alumni|pta|pto|parent|family|senior|casino|trivia|"
    r"bingo|game|talent|movie|paint|karaoke|quiz|cultural|international|harvest|spring|summer|fall|"
    r"winter|autumn|neighborhood|street|community|charity|benefit|annual)"
)
# Events that are named but have no kind of their own.
OTHER = (
    rf"{_KEPT_BY}(?:'?s)? (?:day|week|night|ceremony|banquet|breakfast|brunch|luncheon|lunch|"
    rf"dinner|"
    r"ball|gala|reception|social|kick-?off|fest|festival|fair|fling|jamboree|tea|supper|"
    r"celebration|market)",
    r"(?!(?:the|our|a|my|this|and|of|after|outdoor|indoor|small|short|main|big|whole|at|with|"
    r"for|in|"
    r"after|before)\b)\w+ (?:ceremony|jamboree|fest|festival|rally)|banquet|regatta",
    r"(?:a|his|her|their|my \w+'?s?) memorial\b|memorial (?:for|service|gathering|lunch|"
    r"luncheon|event)",
    r"(?:turkey|jingle|bunny|reindeer) (?:trot|run|hop)|(?:fun|color|charity) (?:run|walk)|"
    r"walk-?a-?thon|marathon",
    r"5k (?:run|race|walk|finish|start)|(?:charity|our|annual|the|first) 5k",
    r"(?:charity|military|marine corps|navy|army|masquerade|winter|snow|spring|debutante|"
    r"fire\w*'?s?|"
    r"police\w*'?s?|inaugural) ball",
    r"(?:health|job|adoption|county|state|street|art|school|church|toy|career|book) fairs?|"
    r"(?:at|for|of) (?:the|our) (?:fair|ball|dance)",
    r"oktoberfest|clausura|sip (?:and|&|n|'?n'?) see|wrap party|cast party|(?:ship|boat|book|"
    r"album) launch|"
    r"launch party|send-?off",
    r"unveiling|groundbreaking|swearing[- ]in|charter night|welcome (?:party|reception|dinner|"
    r"lunch)",
    r"(?:first|last|\d+(?:st|nd|rd|th)) day of school|end of (?:the )?(?:season|summer|year|school)"
    r"(?: \w+)? (?:party|bash|celebration|picnic|cookout)",
    r"(?:reading|season|fundraiser|fundraising|drive|project|series|program|year) kick-?off",
    r"back[- ]to[- ]school|regreso a clases|vuelta al cole\w*",
    r"first day of (?:kinder\w*|preschool|pre-?k|\w+ grade)",
    r"fin de (?:cursos?|ano escolar|temporada)|dia del (?:maestro|estudiante|libro)|(?:cena|"
    r"noche) de gala|"
    r"ceremonia de|festival|velada|homenaje|rifa|recaudacion|colecta",
)
# A day of the year that only says when: "after christmas", "antes de navidad".
_A_DAY = (
    r"(?:the |el |la |las |los )?(?:(?:st|saint|dia de|dia del|4th of|fourth of)\s)?"
    r"(?:\w+'?s?\s(?:day|julio|july|eve|year)|christmas|xmas|thanksgiving|easter|halloween|"
    r"hanukkah|valentine'?s?(?: day)?|new year'?s?|the holidays?|holidays?|navidad|pascua|reyes|"
    r"semana santa|ano nuevo|accion de gracias|san valentin|las madres)"
)
ONLY_WHEN = (
    r"(?:after|until|till|by|since|past|following|despues del?|hasta|pasando|pasad[oa]|"
    r"(?<!day )(?<!weekend )(?<!night )(?<!week )before|(?<!dia )antes del?|despues|antes)\s"
    rf"{_A_DAY}"
)
# "A proposal" that is asked of us is a quote.
QUOTE_PROPOSAL = (
    r"(?:request\w*|send|submit|need|want|get|provide|prepare|write|looking for|appreciate|"
    r"receive)\s"
    r"(?:me |us )?(?:a |an |your |the )?(?:\w+ )?proposals?|proposals? (?:for (?:our|the|a|"
    r"balloons?)|with (?:a )?pric\w+)"
)
# Figures of speech with an occasion's word in them.
NO_OCCASION = (
    r"(?:league|base ?ball|softball|season|soccer|t-?ball)'?s? opening day|"
    r"class of (?='?\d+[^.!?]{0,20}reunion)|(?<=reunion )class of|"
    r"(?:fair|formal) (?:price|quote|enough|deal|estimate|offer|rate|proposal)|(?:be|is|sounds?|"
    r"seems?|"
    r"thats|that's|more|less|too|very) (?:fair|formal)|confirm\w*(?: (?:my|the|our|"
    r"your))? (?:order|booking|date)|"
    r"(?:wait\w*|send|need|get|got|await\w*) (?:for )?(?:a |the |your |my )?confirmation|"
    r"(?:disco|soccer|foot|basket|base|tennis|golf|yarn|crystal) ?balls?|tea (?:length|lights?|"
    r"green|"
    r"candles?|bags?)|iced tea|dance (?:floor|team|studio|school|company|class)|school pride"
)
