"""What clients say in Spanish. Patterns see folded text: lower case, no accents, plain quotes."""

from collections.abc import Mapping

SAID: Mapping[str, str] = {
    "start": r"(hola|holi|ola|que tal|buenas|buen dia|buenos dias|buenas (tardes|noches))"
    r"( que tal)?",
    "restart": r"(quiero |vamos a |podemos )?((empezar|comenzar) (de nuevo|otra vez|desde cero"
    r"|de cero)|reiniciar|volver a empezar)|empecemos (de nuevo|otra vez)|desde cero"
    r"|borron y cuenta nueva|(nueva|otra) cotizacion",
    "stop": r"(ya )?basta( ya)?|(quiero )?(dame |darme )?de baja"
    r"|(por favor )?(stop|alto)( por favor)?",
    "begin": r"(empezar|inicio|iniciar)",
    "remind": r"(recuerdame|avisame)( otra vez| de nuevo)?( por favor)?"
    r"|(quiero|quisiera|me gustaria) (que (me|nos) (recuerd|avis)[ae](s|n)?"
    r"|recibir (los )?(recordatorios|avisos))( otra vez| de nuevo)?( por favor)?"
    r"|(re)?activ(a|ar) (los )?(recordatorios|avisos)",
    "cancel": r"cancela(r|lo|la|do)?|olvida(lo|te)|dejalo( asi)?|ya no( gracias| hace falta"
    r"| lo necesito)?|no importa ya|parar?",
    "back": r"(ir |volver |vuelve |regresar |regresa |un paso )?(hacia )?atras|regresa(r)?|volver"
    r"|deshacer|deshaz(lo)?|(la )?anterior",
    "status": r"estado|(hay |alguna |tienes )?(novedad(es)?|noticias?)|ya (esta|salio)( el precio)?"
    r"|(esta|ya esta) list[oa]( ya)?|cuanto tarda|cuanto falta"
    r"|(como|en que) va( eso| todo)?",
    "book": r"(ok(ey)?|si|perfecto|genial|(me )?(gusta|encanta)|se ve bien)?[ ,.!¿]*"
    r"(como (lo )?(reservo|reservamos|aparto|apartamos"
    r"|confirmo)( la fecha)?|(quiero |quisiera |queremos )?(reserv|apart)(a|ar|arlo|alo|o|amos)"
    r"( la fecha| el dia)?|(lo|me lo) (tomo|quedo)|hagamoslo)( por favor)?",
    "onward": r"(ok(ey)?|perfecto|genial|bueno|y)?[ ,.!¿]*((y )?(que sigue|ahora que)|como"
    r" (seguimos|sigo|procedo|procedemos)"
    r"|cual(es)? (es|son) (el|los) (siguientes?|proximos?) pasos?"
    r"|(puedo|podemos|se puede) (reservar|apartar)(lo|la)?( la fecha| el dia| ya| ahora| aqui)?)",
    "beginning": r"(?:(?:quiero|quisiera|queremos|necesito|necesitamos|busco|me gustarian?) )?"
    r"(?:(?:unos|unas|una?|los|las|pedir|ordenar|cotizar|hacer) )*"
    r"(?:globos?|guirnaldas?|decoracion(?:es)?|cotizacion|presupuesto|precios?)"
    r"(?: (?:por favor|(?:con|de|en) globos|para (?:una fiesta|un evento|mi fiesta|mi evento)))*",
    "help": r"ayuda|ayudame|que puedes hacer|como funciona( esto)?",
    "language.en": r"(en )?ingles(,? por favor)?|(podemos |puedes )?(hablar|escribir|escribes)"
    r"( en)? ingles",
    "language.es": r"(en )?espanol(,? por favor)?|(podemos |puedes )?(hablar|escribir|escribes)"
    r"( en)? espanol|hablas espanol|se habla espanol",
    "changes": r"(quiero |quisiera |puedo |me gustaria )?cambiar (algo|cosas)|cambios|editar",
    "thanks": r"(ok|okey|perfecto|genial|super|excelente|listo|bueno|vale)?[ ,]*"
    r"((muchas |mil )?gracias|te lo agradezco)( de nuevo| por todo| igual)?",
    "pleased": r"(me )?(suena|parece) (muy )?bien"
    r"|okey|perfecto|genial|excelente|bueno|bien|muy bien|que bien|vale|listo"
    r"|de acuerdo|buenisimo|que lindo",
    "yes": r"(si+|claro( que si)?|correcto|asi es|exacto|exactamente|dale|adelante|de acuerdo"
    r"|esta bien|(me )?(suena|parece) bien|todo bien|todo (correcto|en orden)|va|sale|vale"
    r"|perfecto|listo|por supuesto"
    r"|hagale|cotiza(lo|r)?|ok|okey)"
    r"([ ,]+(por favor|gracias|dale|adelante|cotizalo|esta bien|asi es|perfecto))?",
    "no": r"no+|nop|no (es|esta) (asi|bien)|todavia no|aun no|esta mal|incorrecto|no,? gracias",
    "usual": r"(algo |uno? |una |el |la )?((tamano|altura|alto|ancho|largo) )?(median[oa]|normal"
    r"|estandar|regular|comun|usual|lo normal|lo usual|lo de siempre)",
    "skip": r"(todavia |aun )?no (lo )?se( todavia| aun| bien)?|no (estoy|estamos) segur[oa]s?"
    r"( todavia| aun)?|(todavia|aun) no (lo )?(se|sabemos|decidimos|hemos decidido)|ni idea"
    r"|no (lo )?(sabemos|tengo idea)( todavia| aun)?|despues|mas tarde|luego|lo que sea"
    r"|cualquiera|me da igual|nos da igual|da igual|no importa|lo que (tu |usted )?(digas"
    r"|recomiendes|sugieras|creas)|tu (elige|decide|escoge)|elige tu|saltar|omitir|paso"
    r"|sorprendeme|algo (bonito|lindo|alegre)|por definir|por decidir|sin decidir",
}

ANYWHERE: Mapping[str, str] = {
    "no_more": r"\bno (me|nos) (escriba[ns]?|escribas|mande[ns]?|mandes|envien?|contacten?) mas\b"
    r"|\bya no (me|nos) (escriba[ns]?|escribas|mande[ns]?|mandes|envien?|contacten?|molesten?)\b"
    r"|\b(deja|dejen|deje) de (escribir|mandar|enviar|contactar|molestar)(me|nos)\b"
    r"|\bno (quiero|queremos) (mas |recibir (mas )?)?(mensajes|recordatorios|avisos)\b"
    r"|\b(no mas|basta de) (mensajes|recordatorios|avisos)\b|\bdar(me|nos) de baja\b",
    "unsure": r"^(todavia |aun )?no (lo )?se\b|^no (estoy|estamos) segur|^(todavia|aun) no\b"
    r"|^ni idea\b|^no (lo )?sabemos\b",
    "in.english": r"\ben ingles\b",
    "in.spanish": r"\ben espanol\b",
    "do_you_have": r"\b(tiene[ns]?|manejan?|maneja[sn]|hay)\b",
    "wide": r"\b(ancho|ancha|anchura|largo|a lo ancho)\b",
    "tall": r"\b(alto|alta|altura|de alto)\b",
    "person": r"\b(hablar|platicar|chatear|escribir|comunicar\w*|conversar) con (una? |el |la )?"
    r"(persona|alguien|human[oa]|duen[oa]|encargad[oa]|asesor[a]?|agente)\b"
    r"|\b(una )?persona (real|de verdad)\b|\bllam(a|e)me\b|\bque me (llamen|llame)\b"
    r"|\b(numero de )?telefono\b",
    "latex": r"\b(alergi\w*|alergic\w*|latex|hospital(es)?|clinicas?|sanatorio|asilo"
    r"|hogar de ancianos|casa de reposo|cuidados intensivos|dialisis)\b",
    "helium": r"(?<!sin )(?<!no )\bhelio\b",
    "can_send": r"\b(puedo|podria|podemos|quieres que)\b[^.!?]{0,15}\b(mand|envi|compart|subi|ensen"
    r"|mostr|pas)\w*[^.!?]{0,25}\b(fotos?|imagen(es)?|capturas?)\b"
    r"|\b(te|les|le) (mando|envio|paso) (una |la |unas )?(fotos?|imagen)\b",
    "is_bot": r"\b(eres|es usted|es|estoy (hablando|chateando) con|hablo con) (un |una )?(bot|robot"
    r"|maquina|computadora|ia|human[oa]|persona( real)?)\b",
    "included": r"\bque (me |nos |todo )?(incluye|trae|viene incluido|esta incluido|va incluido)\b"
    r"|\bque entra en (el|ese) precio\b",
    "drop": r"\b(caida|lluvia|suelta desde el techo) de globos\b",
    "price": r"\b(precio|precios|cotiza\w*|presupuesto|cuesta[n]?|costaria[n]?|cuanto (me |nos )?"
    r"(es|sale|seria|cuesta|vale|cobran?|va a (costar|salir)|saldria)|costo)\b",
    "too_dear": r"\b(muy|demasiado|tan|bien) car[oa]s?\b|\b(es|sale) mucho\b|\bmas (barat[oa]s?"
    r"|economic[oa]s?)\b|\bno (me|nos) alcanza\b|\bfuera de (mi|nuestro) presupuesto\b"
    r"|\bbajar(le)? (el|al) precio\b|\b(me|nos) haces? un descuento\b",
    "offers": r"\b(puedes|podrias|pueden|podrian|se puede|podemos) (hacer(lo)?|dejar(lo)?|dar)\b"
    r"|\b(lo )?(dejas|haces) (en|por)\b|\bme lo (dejas|haces)\b",
    "fits_budget": r"\bque (me |nos )?(alcanza|puedo|podemos|se puede)\b.*\b(por|con|para)\b"
    r"|\botras opciones\b|^opciones$",
    "another_event": r"\b(otro|segundo|diferente|distinto) (evento|festejo)\b"
    r"|\botra (fiesta|celebracion|cotizacion)\b",
    "several_events": r"\b(dos|2|tres|3|ambos|ambas|vari[oa]s) (eventos|fiestas|celebraciones"
    r"|festejos)\b",
    "adding": r"\b(agreg\w+|anad\w+|tambien|ademas|suma\w*|mas otr[oa]s?|y (?:unos|unas|otr[oa]s?))"
    r"\b|^y\b",
    "removing": r"\b(quit\w+|sin|saca\w*|elimin\w+|borra\w*|menos)\b",
    "the_arch": r"\b(el|mi|nuestro|ese) (\w+ )?arco\b",
    "replacing": r"\b(prefiero|preferimos|volv(amos|er) a)\b"
    r"|\b(en vez|en lugar|mejor|cambi\w+|que sea|pon(lo|la|le)?|hazl[oa]"
    r"|en realidad)\b",
    "measure": r"\d\s*(pies?\b|pulgadas?\b|metros?\b|mts?\b)",
    "size_pair": r"\d\s*(pies?|m)?\s*(x|×|por)\s*\d",
    "bare_size": r"^[\d\s.,/x×*'\"-]+(por[\d\s.,/'\"-]+)?$",
    "square": r"\b(cuadrad[oa]s?|rectangul\w+)\b",
    "changing": r"\b(cambi\w+|modific\w+|corrig\w+|correg\w+|esta mal|equivocad[oa]|otr[oa]s?"
    r"|diferentes?|distint[oa]s?|ajust\w+)\b",
    "below_zero": r"(?:presupuesto|gastar|pagar)\D{0,15}?-\$?\d",
}

TOPICS: Mapping[str, str] = {
    "date": r"\b(fecha|dia)\b",
    "end_time": r"\b(termina\w*|fin|final)\b",
    "start_time": r"\b(hora|horario|inicio|empieza)\b",
    "place": r"\b(lugar|direccion|local|sitio|ubicacion|donde|ciudad)\b",
    "colours": r"\b(color(es)?|paleta)\b",
    "size": r"\b(tamano|altura|alto|ancho|largo|medidas?)\b",
    "setting": r"\b(adentro|afuera|interior|exterior|aire libre)\b",
    "guests": r"\b(invitad[oa]s|personas)\b",
    "budget": r"\bpresupuesto\b",
    "support": r"\b(piezas?|marco|arco|aro|columnas?|pared|estructura)\b",
}

NOUNS: Mapping[str, str] = {
    "round_top_frame": "marcos?",
    "square_frame": "marcos?",
    "hoop": "aros?",
    "wall": "pared(?:es)?",
    "doorway": "puertas?|entradas?",
    "staircase": "escaleras?",
    "mantel": "chimeneas?|repisas?",
    "table": "mesas?",
    "ceiling": "techos?",
    "freestanding_arch": "arcos?",
    "swag": "festones|feston|ondas?",
    "column": "columnas?",
}
TAKEN_AWAY = (
    r"\b(?:quit\w+|sin|saca\w*|elimin\w+|borra\w*|menos|ya no)\s(?:(?:(?P<count>una?|dos|tres"
    r"|cuatro|\d{{1,2}})|de|el|la|los|las|mi|mis|esas?|esos?|todas|todos|otr[oa])\s){{0,4}}"
    r"(?:{noun})\b"
)
NUMBERS: Mapping[str, int] = {"un": 1, "una": 1, "dos": 2, "tres": 3, "cuatro": 4}

ACCENTS: Mapping[str, str] = {
    "flowers": r"\b(flor(es)?|rosas naturales)\b",
    "greenery": r"\b(follaje|eucalipto|hojas|verde natural|hiedra)\b",
    "sign": r"\b(letreros?|carteles|cartel)\b",
    "ribbon": r"\b(cintas?|listones|liston|serpentinas?)\b",
    "fabric_cover": r"\b(telas?|fundas?)\b",
}

COLOUR_TAKEN_AWAY: tuple[str, ...] = (
    r"\b(?:sin|nada de|quita\w*|saca\w*|elimina\w*|no quiero|en vez de|en lugar de|menos)"
    r" (?:mas |el |la |los |las )?(?P<colour>[a-z]+(?: [a-z]+)?)",
    r"\bcambi\w+ (?:el |la |los |las )?(?P<colour>[a-z]+(?: [a-z]+)?) (?:por|a)\b",
)

CELEBRATED = (
    r"\b(?P<what>(?:el|la|los) (?:cumpleaños|cumple|boda|bautizo|graduación|aniversario|despedida"
    r"|quinceañera|comunión|jubilación|\d{1,2}(?: años)?) de (?:mi|mis|nuestr[oa]s?) [^\W\d_]+)\b"
)
YOURS: Mapping[str, str] = {
    "mi": "tu",
    "mis": "tus",
    "nuestro": "su",
    "nuestra": "su",
    "nuestros": "sus",
    "nuestras": "sus",
}

_TAKEN = r"(?:quiero |me quedo con |prefiero |mejor |dame |tomo |escojo |elijo )?"
PLACES_IN_ROW: Mapping[str, int] = {
    rf"{_TAKEN}(?:el |la )?(?:opcion )?(?:{name})(?: opcion)?(?:,? por favor)?": place
    for name, place in (
        (r"primer[oa]?|(?:opcion|numero|no\.?|#) ?(?:1|uno)", 0),
        (r"segund[oa]|(?:opcion|numero|no\.?|#) ?(?:2|dos)", 1),
        (r"tercer[oa]?|(?:opcion|numero|no\.?|#) ?(?:3|tres)", 2),
        (r"cuart[oa]|(?:opcion|numero|no\.?|#) ?(?:4|cuatro)", 3),
        (r"ultim[oa]", -1),
    )
}

PHONE_ANNOUNCED = (
    r"(?:(?:por favor )?(?:ll[aá]m[ea]nme|ll[aá]m[ea]me|me puede[ns]? llamar|escr[ií]b[ea]me"
    r"|m[aá]rc[ae]me)(?: (?:al|a el|en el))?"
    r"|(?:mi|el) (?:n[uú]mero(?: de (?:tel[eé]fono|celular))?|tel[eé]fono|celular|cel)"
    r"(?: es)?(?: el)?|(?:tel[eé]fono|celular|tel|cel))"
)
NAME_TOLD = r"me llamo|mi nombre es"
NAME_AFTER_GREETING = (
    r"(?:(?:hola|buenas|buenos d[ií]as|buenas (?:tardes|noches)|buen d[ií]a|qu[eé] tal)[\s,!.]*)?"
    r"(?:soy|habla|te habla|le habla|les habla|te escribe|le escribe|les escribe)"
)
NO_NAME = r"el|la|los|las|un|una|de|del|con|para|muy|quien|alguien"
COURTESY = r"hola|buenas|por favor|gracias|por cierto|ah"
