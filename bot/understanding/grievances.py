"""What people write when they call off or complain, English beside Spanish, in plain words."""

import re

from bot.understanding.spellings import any_of

_ORDER = (
    r"(?:balloons?|garlands?|arch|arches|hoop|columns?|decor\w*|order|booking|reservation|event|"
    r"party|wedding|shower|quote|request|appointment|date|thing|everything|it|all|pedido|orden|"
    r"reserva|evento|fiesta|boda|cita|todo|decoracion|globos|arco|guirnalda|baile|contrato)"
)
_THE = (
    r"(?:the |my |our |this |that |his |her |their |whole |entire |your |mi |el |la |lo |los |"
    r"las "
    r"|nuestr[oa] |su |tu |del? |to |with )*"
)

CANCEL = any_of(
    r"cancel(?:l?ing|l?ed)?(?! (?:charge|on (?:me|us)|policy|fee|terms|gratis))",
    r"cancele(?:n|me|nme|lo|la)?|cancela(?:r(?:l[oae]s?|me|nos)?|me|mos|ron|da|do|d|n|l[oa]s?)?",
    rf"call(?:ing|ed)? (?:it |{_THE}{_ORDER} |things )?off(?: {_THE}{_ORDER})?",
    rf"(?:scrap|drop|forget|kill|ditch|undo|withdraw) {_THE}(?:order|booking|whole thing|thing|"
    r"everything|request|event|reservation)",
    rf"{_ORDER}(?:s| is| are| was| has been)? (?:off|cancel\w+|not happening|called off)"
    r"(?! (?:the|white|to|by|from|center))",
    r"(?:not|isnt|wont be|aint) (?:happening|going ahead|going forward|"
    r"going through) ?(?:any ?more"
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
    r"(?:a )?different (?:direction|route)|(?:do|doing|make|making) (?:it|them|"
    r"everything) (?:ourselves|"
    r"myself)|void (?:my|our|the)|forget (?:about )?it",
    r"never ?mind(?:,| we| i| about| the| all| then)? ?(?:we|i)? ?(?:dont|wont|found|are|the "
    r"order|about it|it)",
    r"quier\w+ anular|anul(?:ar|a|e|en|o|amos) (?:mi|el|la|todo|nuestr[oa])|dar de baja",
    r"ya no (?:l[oa]s? |me |nos )?(?:va|vamos|voy|van|necesit\w+|quier\w+|queremos|quise|se va|"
    r"se hara|se hizo|se hace|"
    r"habra|hare\w*|haremos|hay|ocup\w+|me interesa|nos interesa|podemos|puedo|sera)"
    r"(?! (?:afuera|adentro|en |de |rosa|azul|a ser|ser |el \d|ser el))",
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
    r"(?:ill|well|we will|i will|going to|have to|had to|decided to|gotta) pass(?! (?:by|the|it|"
    r"them|along|on the|"
    r"that|your|out|through))|too (?:steep|expensive|pricey|much(?: money)?) for (?:us|me)|"
    r"(?:not|wont be) (?:moving|going) forward|(?:muy|demasiado) caro(?: para)? (?:nosotros|mi|"
    r"nos),? (?:gracias|mejor)|"
    r"(?:ya |pues )?(?:mejor|siempre) no(?=[,.!]|$| gracias)|"
    r"(?:lo|la) dejamos para (?:otra|despues|luego)|"
    r"mejor (?:lo dejamos|la dejamos|asi lo dejamos|ya no)|"
    r"wed(?:ding)?s off|party ?s off|events off",
    r"anile|otmenit\w*|stornieren|absagen|annuler|annulons|annulla\w*|desmarcar|odwolac|anulowac|"
    r"отмен\w+|huy",
)
CANCEL_ASKED = re.compile(
    r"cancell?ation (?:policy|fee|terms|period|charge)|\b(?:what|whats|happens?|how|can|could|if|"
    r"fee|charge|policy|free|until when|when)\b[^.!?\n]{0,28}\bcancel(?!\s(?:my|our|the|it)\b)|"
    r"\b(?:what|happens?|if|"
    r"fee|until when)\b[^.!?\n]{0,28}\bcancel|cancel+ed on (?:me|us)|"
    r"(?:politica|cargo|costo|plazo)s? (?:de|por) cancel|\bsi (?:se |tengo que |hay que |tuviera "
    r"que |quiero |la |lo )?cancel|(?:puedo|se puede|podemos|podria|que pasa si|cuanto cobran "
    r"por|hasta cuando)[^.!?\n]{0,24}\bcancel"
)

# An end of everything, whatever piece is named beside it.
ALL_OF_IT = re.compile(
    r"\b(?:whole|entire|everything(?! else)|all of it|it all|todo(?! lo demas))\b"
)
# An end of a part only: "we won't need the columns anymore, just the hoop".
KEEPS = re.compile(
    r"\b(?:just|only|keep|keeping|still (?:want|need|do|have|doing)|leave|"
    r"but (?:\w+ ){0,2}(?:want|need|like|keep)|"
    r"solo|solamente|nomas|nada mas|unicamente|pero si|sigue|dej\w+|conserv\w+|mant\w+|"
    r"nos quedamos con)"
    r"(?: \w+){0,2}? (?:the|my|our|one|two|a|an|el|la|los|las|un|una)(?: \w+){0,2}? "
    r"(?:arch(?:es)?|hoops?|garlands?|columns?|foils?|numbers?|letters?|wall|backdrop|swags?|"
    r"frame|rest|others?|"
    r"balloons|drop|doorway|stairs?|mantel|table|ceiling|arcos?|aros?|guirnaldas?|columnas?|"
    r"numeros?|letras|"
    r"pared|globos|resto|demas|puerta|mesa)\b|"
    r"\b(?:everything else|the rest|all the rest|lo demas|todo lo demas|el resto)\b"
)

_THING = (
    r"(?:you|your \w+|they|he|she|balloons?|garlands?|arch(?:es)?|columns?|it|half|all|"
    r"everything|"
    r"decorations?|hoops?|ones?|some|most|delivery|order|driver|crew|team|installer|guy|lady|"
    r"colou?rs?|setup|backdrop|frame|foils?|letters?|numbers?|sign)"
)
COMPLAINT = any_of(
    r"(?:keep|kept) (?:on )?(?:popping|falling|deflating|leaking)(?!\?)",
    r"(?:want|need|demand|expect|would like|give me|give us|get|getting|owe me|owe us|full|"
    r"requesting|request) (?:my |a |our |full |the |partial |for )*(?:refund|money back)",
    r"refund (?:me|us)|(?:deposit|money) back(?! if)|(?:still )?waiting (?:for|on) (?:you|the|my|"
    r"our"
    r"|a) (?:\w+ )?(?:refund|call|reply|response|answer|invoice|deposit)",
    r"(?:when|but|and) (?:i|we) (?:clearly |specifically |had )*(?:asked|ordered|paid|requested|"
    r"wanted"
    r"|agreed) (?:for|on)|paid for [^.!?\n]{1,24} (?:and|but) (?:only |we |i )*(?:got|received)|"
    r"why (?:was|were|am|are|did) (?:i|we|you|my card) (?:get |being |getting )?(?:charged?|"
    r"billed?|charging)|"
    r"(?:was|were) supposed to (?:be|get|have|look|last)\b[^.!?\n]{0,40}\b(?:and|but) (?:you|"
    r"they|it|your|we got|"
    r"there (?:was|were)|half)|(?:me|nos) (?:dejaron|hicieron|tuvieron) esper\w+|(?:traian|"
    r"trajeron|eran de|llegaron de|pusieron) otros? "
    r"color(?:es)?|(?:left|sent) (?:you |u )?(?:\w+ ){0,2}(?:voicemails|messages|emails|texts|"
    r"vms)\b"
    r"[^.!?\n]{0,30}\b(?:nothing|no (?:reply|response|answer|one|call)|crickets)|(?:and|"
    r"but) still nothing|"
    r"(?:deje|mande) (?:\w+ ){0,2}(?:mensajes|recados|correos)\b[^.!?\n]{0,30}\b(?:nada|nadie)|"
    r"(?:tenia|tenian|debia|debian) que (?:ser|medir|llegar|estar|durar)\b[^.!?\n]{0,40}\b(?:y|"
    r"pero)|"
    r"(?:me|nos) cobraron \d+[^.!?\n]{0,20}\b(?:quedado|dicho|quedamos|dijeron|cotiz\w+|"
    r"acordado)|"
    r"charged (?:me |us )?\d+[^.!?\n]{0,20}\b(?:said|quoted|agreed|told)|"
    r"por que me (?:cobraron|estan cobrando)|"
    r"\bmess (?:you|they|your|ur|the)(?: \w+){0,2} (?:left|made)|(?:left|made) (?:us |"
    r"me )?(?:with )?"
    r"(?:a|such a|this|quite a) (?:\w+ )?mess|half[- ]"
    r"(?:dead|done|finished|empty|inflated)|(?:i was|we were) (?:told|"
    r"promised) [^.!?\n]{1,50} (?:and|but) "
    r"(?:you|they|it|nobody)|looked (?:like )?(?:fools|idiots|ridiculous|a mess|terrible|cheap)|"
    r"(?:mala|pesima|terrible) atencion|no (?:los|las|lo|la) recomiendo",
    r"never (?:showed|arrived|came|turned up|delivered|got|answered|called|replied|responded|"
    r"finished|returned|again)|no ?(?:one|body) (?:ever )?(?:showed|came|turned up|answers?|"
    r"answered|returns?|returned|replies|responds?|responded|picks? up|called|calls|has "
    r"(?:answered|called|replied|responded|gotten))|no[- ]shows?|ghosted|ignoring (?:me|my|us)",
    r"why (?:hasnt|havent|didnt|has no|have you not)|its been (?:\w+ ){1,2}(?:weeks|days|"
    r"hours|months)|"
    r"(?:didnt|did not) (?:show|come|arrive|turn up|deliver|finish|match|last|hold|even|answer|"
    r"reply|look (?:anything )?like)",
    r"(?:(?:was|were|is|are|so|very|really|extremely|super|pretty|quite|am|im|absolutely|beyond|"
    r"completely|totally|deeply|truly|literally|utterly|rather|we are|left me|"
    r"left us) ){1,4}(?:\w+ )?"
    r"(?:disappoint\w+|unhappy|upset|upsetting|furious|angry|unacceptable|terrible|awful|"
    r"horrible|"
    r"rude|frustrat\w+|unprofessional|disgusted|livid|mad|embarrass\w+|appalled|dissatisfied|"
    r"displeased|heartbroken|ridiculous|pathetic|a joke|a disaster|a disgrace)",
    r"not (?:at all )?(?:happy|acceptable|satisfied|impressed|pleased|okay with)|dis+ap+oint\w*|"
    r"disappointing|unacceptable|"
    r"unprofessional|worst|ruined|a disgrace|a shambles|ashamed|scam\w*|rip ?-?offs?|ripped off|"
    r"lousy|shoddy|sloppy|complain\w*|complaint|overcharged|double charged|charged (?:me |us |my "
    r"card )?(?:twice|double|too much|extra|wrong)|this is ridiculous|bad review|(?:one|1|"
    r"zero) stars? (?:review|from me|for you)|"
    r"never (?:using|hiring|booking) (?:you|them)",
    rf"{_THING}\b[^.!?\n]{{0,40}} (?:popped|deflated|fell|collapsed|burst(?:ed)?|(?:was|were|"
    rf"came|"
    r"arrived|showed up|got here) (?:\w+ ){0,3}late|hours? late|minutes late|(?:was|were|are|is) "
    r"(?:all |the |completely )?wrong|broke(?! (?:so|and|but|rn|college|lol|student)\b)|"
    r"shriveled|shrank|sagg(?:ed|ing)|droop(?:ed|ing)|"
    r"wilted|"
    r"came (?:apart|down|undone|loose|off)|overcharged|ruined|scratched|damaged|dented|stained|"
    r"ripped|tore|cracked|smashed|spilled|scuffed|chipped|left (?:\w+ ){0,3}(?:mess|tape|trash|"
    r"scratch\w*|stains?|dents?|damage|"
    r"marks?|holes?|residue|glue|garbage)|forgot|knocked|faded|leaning|crooked|flat|dirty|"
    r"half (?:empty|done|finished)|missing)(?! (?:in|with|for) love)",
    rf"(?:wrong|not the) (?:colou?rs?|{_THING}|size|date|day|address|shade|pink|blue|gold)"
    r" (?:i|we|you|was|were|again|showed|arrived|came)",
    r"not what (?:i|we|was) (?:ordered|asked|paid|wanted|agreed|promised|booked)|"
    r"nothing like the "
    r"(?:picture|photo)|wrong colou?rs|colou?rs were wrong|half of what|who is (?:paying|"
    r"going to "
    r"pay)|more than (?:what )?(?:i|we) (?:was|were) quoted|than (?:what )?you quoted",
    r"where (?:are|were|was|is) (?:you|everyone|your (?:guy|crew|team|"
    r"driver))(?: guys)?(?=[?! ]*$)|"
    r"supposed to (?:be here|arrive|come|show|deliver)",
    r"exijo|menos (?:\w+ )?de l[oa]s? que|(?:entregaron|trajeron|llegaron) (?:\w+ ){0,2}(?:menos|"
    r"mal|"
    r"incomplet\w+|desinflad\w+|equivocad\w+)|falta(?:ron|ban)|(?:mitad|globos|todos|"
    r"todas) (?:\w+ )?"
    r"desinflad[oa]s|queja|quejar\w*|reclam\w+|reembols\w+|(?:quiero|devuelv\w+|regres\w+|"
    r"devolver|exijo) (?:que )?"
    r"(?:me |nos )?(?:devuelv\w+ |regres\w+ )?(?:mi |el |nuestro )?(?:dinero|lana|"
    r"deposito)(?!\?)|"
    r"dinero de (?:vuelta|regreso)",
    r"se (?:nos |me |les )?(?:\w+ )?(?:reventaron|desinflaron|reventaba\w*|cayo|cayeron|"
    r"poncharon|"
    r"desinflo|revento|rompieron|rompio|despego|despegaron|desbarato|desbarataron|vino abajo|"
    r"doblo|ladeo)",
    r"decepcion\w*|nunca (?:llega\w+|llego|vino|vinieron|contest\w+|me |nos )|no llega(?:ron|"
    r"ste)|"
    r"no llego|no (?:vinieron|aparecieron|contestan|contestaron|responden|me contest\w+)|"
    r"llegaron (?:\S+ ){0,3}tarde|llego (?:\S+ ){0,3}tarde|pesim[oa]|mal(?:isimo)? servicio|"
    r"mala experiencia|horrible|feisim[oa]|estaf\w+|(?:muy |bien |super )?(?:molest[oa]s?|"
    r"enojad[oa]s?)"
    r"|que verguenza|inaceptable|una grosería|groser\w+|colores equivocados|chuec[oa]s?|"
    r"nadie (?:me |nos )?(?:contest\w+|llego|respond\w+|vino|se presento)|no (?:es|era|eran|fue|"
    r"son) (?:el |la |los |lo )?(?:que|color que|colores que) (?:yo )?(?:ped\w+|quer\w+|"
    r"contrat\w+|"
    r"pag\w+|acord\w+)|ni eran los|(?:me |nos )?(?:cobraron|cobro) (?:de mas|doble|dos veces|mas "
    r"de lo)|(?:me|nos) (?:dejaron|quedaron) (?:plantad\w+|mal|sin)|(?:mancharon|rayaron|"
    r"rasparon|"
    r"ensuciaron|quebraron|danaron|arruinaron|maltrataron)|equivocad[oa]s? (?:los|el|la|"
    r"de color)",
    r"enttauscht|decu[es]?|deluso|decepcionad[oa]|erstattung|remboursement",
)
# Asked about in general, feared, or the fault of others.
COMPLAINT_ASKED = re.compile(
    r"refund(?:able)? (?:policy|if)|(?:is|deposit) (?:\w+ )?refundable|\b(?:what (?:if|happens)|"
    r"in "
    r"case|if|do (?:we|i) get|que pasa si|y si|si se|si llueve|por si)\b|"
    r"\b(?:do|does|can|could|would|will|do any|have) (?:they|balloons|the|it|any|your|these|"
    r"you)\b"
    r"[^.!?\n]{0,30}(?:pop|deflate|fall|burst|shrink|fell|late)|ever (?:pop|fall|had)|"
    r"\b(?:last|other|previous|another|my|our|first|original|old|that|a) (?:\w+ )?(?:decorator|"
    r"vendor|company|lady|florist|planner|balloon (?:person|lady|guy|company))\b|"
    r"\b(?:otr[oa]|anterior|primera?) (?:decorador\w*|persona|proveedor\w*|compania|senora|"
    r"muchacha)"
    r"|(?:decorador\w*|proveedor\w*|muchacha) (?:anterior|que tenia)|no quiero que se"
)
