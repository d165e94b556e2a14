"""What people write when they ask, want something built, greet or talk of something else."""

import re

from bot.understanding.spellings import any_of

OF_A_BOOKING = any_of(
    r"(?:quote|estimate|price|info) (?:that )?(?:i|we) (?:asked|requested)|bumping (?:this|it|"
    r"my)|still waiting (?:on|for)|follow(?:ing)? up|status of|any (?:update|news)|"
    r"no me (?:ha )?lleg(?:o|ado)|"
    r"just checking|checking (?:in|what|if|when|on|whether)|what time (?:will|are|do) (?:you|"
    r"they)|"
    r"did (?:you|they) (?:get|receive|see)|confirm (?:my|our|the|that)|confirmar (?:mi|la|el)|"
    r"(?:is|are) (?:my|our|we) (?:order|booking|date|event|all set|confirmed|still on)|"
    r"(?:recibieron|les llego|vieron) (?:mi|el)|(?:my|our) (?:booking|reservation)",
)

PRICE = any_of(
    r"(?:how|hw) (?:much|mch|cheap)|price[sd]?|pricing|costs?|quotes?|quotation|estimate|"
    r"ballpark|"
    r"rates?|run me|run us|set me back|damage|charges?|fee for|what would|going rate|cheapest|"
    r"(?:a|your|rough) figure|what (?:do|would|will) (?:you|it|that|this) (?:\w+ )?(?:be|charge|"
    r"cost)|"
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
    r"whats? (?:is )?included|what is included|(?:cuesta|es|cobran por) (?:el |la |"
    r"un )?(?:anticipo|"
    r"deposito|envio|entrega|traslado)|is the price|the (?:quote|price|estimate) (?:look|is|was|"
    r"include|valid|expire|seems|you)|quote (?:good|valid|expire|look)|deposit|delivery (?:fee|"
    r"charge|"
    r"cost)|cuanto (?:tiempo|dura\w*|aguant\w*|antes|espacio|es el (?:deposito|envio|anticipo)|"
    r"se tarda\w*|tarda\w*|anticipo)|cobran (?:extra|por (?:el |la )?(?:env|"
    r"entreg|instal|desmont|mont|traslad|llev|ir|quit)\w*)|"
    r"extra (?:charge|cost|fee)|do (?:you|they) (?:charge|cost) (?:extra|tax|sales|more)|"
    r"cost more|costs? extra|(?:less|lower|cheaper)$|hourly rate|minimum|minimo|descuento|"
    r"discount|"
    r"is there an? (?:\w+ ){0,2}(?:fee|charge|cost)|"
    r"(?:price|cost|fee|charge)s? (?:for|of|to) (?:the |your |do )?(?:delivery|deliver|shipping|"
    r"set ?-?up|take ?-?down|travel|install\w*|rent)|charge extra|rates? (?:for|of) (?:travel|"
    r"delivery)|price range|starting price|precios? (?:inclu|base|minimo)"
)
WANT = any_of(
    r"(?<!do i )(?<!do we )(?<!would i )(?<!would we )need|needs|needed|want|wants|wanted|"
    r"looking (?:for|to|into|at)|look(?:in)? for|would (?:love|"
    r"like)|id (?:love|like)|wed (?:love|like)|interested|im thinking|thinking|hoping|"
    r"something for|"
    r"book|order|reserve|having|planning|hire|require|pick(?:ing)? up|requests?|"
    r"we should require|fancy|"
    r"can (?:you|we|i) (?:do|make|build|create|quote|get)|could (?:you|we|i) (?:do|make|build|"
    r"create|"
    r"have|get)|are you (?:able|free)|please quote|get",
    r"necesit\w+|quier\w+|quisier\w+|busc\w+|me (?:interesa|gustaria)|nos (?:interesa|gustaria)|"
    r"pueden? (?:hacer|cotizar)|puedes (?:hacer|cotizar)|queremos|ocup(?:o|amos)|cotiza\w*|deseo|"
    r"deseamos|ando buscando|se me antoja",
    r"quero|preciso|gostaria|voudrai(?:s|t)|mochte\w*|brauche\w*|vorrei|potrzebuj\w+|хочу|"
    r"нужн\w+|"
    r"mwen (?:bezwen|vle)|muon|can toi",
)
QUESTION_WORD = re.compile(
    r"^[^\w]*(?:(?:hi|hiya|hello|hey|yo|hola|ok|also|so|and|buenas?|bna|bnas|buenos|tardes|dias|"
    r"noches?|there|quick (?:q|question)|question|just (?:curious|wondering)|curious|wondering|"
    r"btw|"
    r"oh|pregunta|una pregunta|disculp[ae]n?|oye|oiga|sorry|thanks|gracias|y|pero|but|um|well|"
    r"good (?:morning|afternoon|evening|day))\b[^\w]*){0,8}"
    r"(?:id like to (?:know|ask)|i (?:would like|want|need|wanted) to (?:know|ask)|"
    r"(?:quisiera|quiero|queria|me gustaria) (?:saber|preguntar)|"
    r"do|does|did|is|are|i?m? ?wondering (?:if|whether|how)|anyone know|can(?!t)|could|will|"
    r"would|how|hows|what|whats|when|where|wheres|who|whos|"
    r"which|why|any|may(?! \d)|should|have you|has|am i|"
    r"hacen|hace|tienen|tiene|pueden|puede|puedo|podrian?|como|cual|cuales|cuando|donde|quien|"
    r"que|"
    r"cuanto|cuantos|cuantas|(?:con|de|a|en|por|hasta|para) (?:que|cual|cuant[oa]s?|cuando|"
    r"donde)|entregan|se puede|incluye\w*|aceptan|trabajan|hay|dan|ofrecen|"
    r"me puede\w*|necesito (?:pagar|dejar)|rentan|venden|llevan|cobran|usan|manejan|atienden)\b"
)
# About the work, its rules and its people, whatever piece is named.
SIDE_QUESTION = re.compile(
    r"\b(?:how (?:long|big|many|far|wide|tall|does|do|soon|often|heavy|early|late|hot|windy)\b|"
    r"what (?:size|kind|type|colou?rs?|is your|are your|does|time|happens|if|areas|payment|"
    r"is the|"
    r"forms?|do (?:you|we) (?:need|use|do))|whats (?:the|your) (?!price|pricing|cost|damage|"
    r"cheapest|rate|going|charge|total|quote|best)\w+|"
    r"whats (?:your|included|"
    r"the (?:difference|biggest|deposit|usual|longest|smallest))|(?:is|are|isnt|arent) (?:it|"
    r"there|"
    r"that|this|a|the|an|they|your|these|you|balloons)\b|do (?:you|they|we|i|the|balloons|"
    r"your)\b|"
    r"does (?:the|it|a|your|someone|anyone)|did you|can (?:i|we|the|it|they|kids|someone|"
    r"you (?:come|"
    r"deliver|travel|ship|match|reuse|recycle|work|send|show|help|tell|fit|hang|attach|"
    r"guarantee))|"
    r"will (?:the|it|they|you)|would (?:the|it|they|you)|(?:is|be|are) (?:\w+ ){0,4}(?:enough|"
    r"too (?:big|small|much|little|late|long|short))|who |where |when |why |which |whether|"
    r"wondering (?:if|whether|how|what)|(?:let (?:me|us) know|tell me|asks?|ask) (?:if|whether|"
    r"how)|"
    r"cuanto (?:tiempo|dura\w*|aguant\w*)|cuant[oa]s (?:horas|dias)|"
    r"que (?:tamano|colores (?:tienen|manejan)|incluye|pasa|tan|tipo|zonas?|dias|horario|formas|"
    r"metodos|necesit\w+ para)|como (?:se|funciona|puedo|pago|le hago|aparto|reservo|son|es)|"
    r"cual "
    r"(?:es|son)|biodegradables?|es seguro|aguantan?|duran?|se puede|puedo|podemos|(?:me|nos) "
    r"(?:pueden?|podrian?) (?:mandar|ensenar|mostrar|decir|enviar|pasar)|tienen|"
    r"hacen|aceptan|entregan|trabajan|cobran (?:por|extra)|reciben|dan|ofrecen|usan|llevan|van "
    r"hasta|llegan (?:a|hasta)|si (?:llueve|hay|hace)|regresan|donde|cuando|quien(?:es)?|hay)\b"
)
AVAILABLE = any_of(
    r"availability|available|free on|openings?|still open|do you have (?:\w+ )?(?:january|"
    r"february|"
    r"march|april|may|june|july|august|september|october|november|december)|disponib\w+|libres?|"
    r"booked|(?:tienen|hay) (?:chance|espacio|lugar|fecha|cupo)",
)
COURTESY = re.compile(
    r"^(?:ok|okay|k|yes|yep|sure|thanks|thank you|thx|great|perfect|sounds good|(?:muchas |"
    r"muchisimas |mil )?gracias|si|"
    r"perfecto|"
    r"vale|listo|cool|awesome|sale)\b"
)
GREETING = re.compile(
    r"^(?:hi|hello|hey|hola|yo)?[\s,!]*(?:is )?any(?:one|body) (?:there|here|home)\b|"
    r"^(?:hay alguien|alguien ahi)\b|\b(?:wrong (?:person|number|chat|text|place|thread|convo|"
    r"conversation|window|contact|group)|"
    r"numero equivocado|"
    r"me equivoque de (?:numero|chat|persona|grupo)|just (?:trying|testing)|testing|test message|"
    r"probando)\b"
)
INFORMATION = any_of(
    r"info|information|more details|price list|catalog(?:ue)?|informes|informacion|catalogo|"
    r"lista de precios|portfolio|portafolio|brochure|menu",
)
PRODUCT = any_of(r"balloons?|ballons?|baloons?|globos?|decor\w*|quote|garlands?")
# Talk that is about nothing of ours, and praise of work done.
IDLE = re.compile(
    r"\b(?:lovely|great|beautiful|amazing|awesome|fantastic|wonderful|excellent|perfect) (?:job|"
    r"work)\b|"
    r"\b(?:buen|excelente|gran|lindo|bonito|hermoso) trabajo\b|\bwho (?:won|is winning)|"
    r"tell me a (?:joke|story)|what time is it|how are you|whats up|"
    r"hows it "
    r"going[?! ]*$|whats the weather|what do you think (?:about|abt|of) the|the game last night|"
    r"unclog|toilet|que tal[?! ]*$|como (?:estas?|te va|andas?)|meaning of life|"
    r"\b(?:poem|homework|essay|recipe|receta|math problem|translate this|capital (?:of|de)|"
    r"stock tips|"
    r"weather (?:forecast|tomorrow|today)|bitcoin|crypto|napalm|python (?:code|script)|"
    r"seo services|seo|"
    r"backlinks|your website ranking|loan offer|guest post|job openings?|(?:are you|"
    r"we are) hiring|"
    r"send resume|business loan|merchant cash|web design services)\b|"
    r"\b(?:was|were|is|are|turned out|looked|look|came out|quedo|quedaron|estuvo|estaba|"
    r"estuvieron)"
    r" (?:\w+ ){0,3}(?:beautiful|gorgeous|amazing|perfect|lovely|stunning|wonderful|fantastic|"
    r"incredible|awesome|the best|hermos[oa]s?|bonit[oa]s?|precios[oa]s?|padrisim[oa]s?|"
    r"divin[oa]s?|"
    r"increibles?|bellisim[oa]s?|lindisim[oa]s?)\b"
)
# A question said as a statement: "free delivery over 200, is that still right".
TAG_QUESTION = re.compile(
    r"\b(?:is (?:that|this|it) (?:still )?(?:right|true|correct|possible)|(?:is it )?right|"
    r"verdad)[\s.!]*$"
)
CLAUSES = re.compile(r"[.!?;:\n]+\s*|,\s|\s-\s|\b(?:and|but|so|or|over|y|pero|o)\s")
