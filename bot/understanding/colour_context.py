"""What stands around a colour word, and tells whose colour it is and whether it is wanted."""

import re

from bot.understanding.lexicon.wordlist import listed

# What has colours of its own in a message about balloons.
THINGS = listed(
    """
    foil foils foiled mylar letter letters lettering number numbers numeral numerals digits sign
    signs banner tablecloth tablecloths cloth cloths linen linens dress dresses gown gowns tie ties
    carpet rug tent tents chairs chair ribbon ribbons streamers tassels lights lighting candles
    napkins plates shirt shirts suit suits tux tuxedo house door doors car truck ink text font
    sequin sequins backdrop backdrops curtain curtains drapes draping fabric letras numeros mantel
    manteles vestido flor flores luces cortina sillas roses flowers flower florals hydrangeas
    peonies daisies orchids tulips lilies carnations petals blooms leaves greenery branches stems
    sprigs
    street avenue ave road rd lane ln blvd drive hall library church park school room house inn
    hotel tavern pub lodge farm barn ranch creek lake river hill hills valley ridge springs county
    city heights acres lion dragon fox horse
    invitations invites invitation cake cupcakes wall walls floor brick bricks trim uniform
    uniforms jersey jerseys hair eyes eyed logo fence
    """
)
# Said of these, two colours joined are both theirs: "red and white roses".
CLOTHS = listed(
    """
    tablecloth tablecloths linen linens dress dresses gown gowns ties carpet chairs napkins plates
    suits lights roses flowers florals hydrangeas peonies daisies orchids tulips lilies carnations
    petals walls wall uniforms jerseys invitations cake
    """
)
SKIPPED = listed(
    """
    silk paper faux fake real fresh dried artificial big large giant jumbo huge small little mini
    tall shiny glitter wooden wood acrylic satin velvet plastic led light string table cloth
    painted colored coloured bridesmaid bridesmaids birthday fairy
    """
)
SHAPED = frozenset({"frame", "stand", "hoop", "ring", "metal", "circle", "aro", "marco"})
_THING_NOUNS = (
    r"letters?|lettering|numbers?|signs?|banner|dress(?:es)?|gowns?|linens?|napkins|foils?|mylar|"
    r"ribbons?|suits?|ties?|lights|flowers?|roses|uniforms|jerseys|hair|eyes|logo|car|house|door|"
    r"vestidos?|letras|numeros?|manteles|flores|rosas|luces|cortinas?|sillas|listones|cintas|"
    r"corbatas?|trajes?|letrero|cartel|mylar"
)
THING_IS = re.compile(
    rf"\b(?:(?:{_THING_NOUNS})\s(?:which\s|that\s)?(?:in|en|is|are|will be|es|son|de color|color|"
    rf"be|should be|must "
    rf"be|seran?)|"
    r"(?:table ?cloths?|frame|hoop|backdrop|walls?|stand|mantel|aro|marco)\s(?:is|are|es|son))"
    r"\s(?:all\s|going to be\s)?$"
)
# In Spanish the colour follows its thing: "letras doradas", "numero 5 plateado".
THING_BEFORE = re.compile(
    r"\b(?:vestidos?|letras|numeros?|manteles|mantel|flores|rosas|luces|cortinas?|sillas|listones|"
    r"cintas|corbatas?|trajes?|letrero|cartel|pared|paredes|foil|mylar|estrellas?|corazon(?:es)?|"
    r"corona|tela|fondo|carro|casa|puerta)(?:\s\d{1,4}|\smetalic[oa]s?|\sde foil|\sgrandes?)?\s$"
)
SHAPED_BEFORE = re.compile(r"\b(?:aro|marco|estructura|circulo|base)(?:\sde\smetal)?\s$")
_DET = (
    r"(?:any\s|the\s|all\s|that\s|el\s|la\s|los\s|las\s|lo\s|globos\s|colou?r\s|colores\s|"
    r"colou?rs\s|"
    r"like\s|de\s|en\s|out\s|too much\s|more\s|too\s|mas\s|balloons\s|a lot of\s|with\s|"
    r"use\s|usar\s|want\s|see\s|ver\s|to\s|anything\s|nada\s|"
    r"bright\s|a\s|an\s)"
)
NEGATES = re.compile(
    r"(?:\b(?:no|no more|scratch|kill|toss|get rid of|done with|que no (?:lleve|tenga|sea|haya|"
    r"vaya)|"
    r"(?:we|i) (?:did|had|used)|(?:we|i) don'?t do|not|without|nothing|hate|hates|hated|"
    r"dislikes?|except|avoid|minus|ditch|lose|"
    r"scrap|"
    r"skip|remove|nix|leave out|cut|drop|eliminate|sick of|tired of|allergic to|over the|"
    r"anything but|where (?:it|you|i|we) (?:says?|said|put|have|had|wrote)|"
    r"everything but|any colou?r but|besides|other than|"
    r"don'?t|dont|do not|never|can'?t stand|cannot stand|isn't|won't|take out|take off|less|"
    r"no\s(?:(?:me|le|nos|les|lo|la)\s)?(?:pong\w+|us\w+|met\w+|incluy\w+|quier\w+|gust\w+)|"
    r"sin|nada de|nada|excepto|menos|odio|odia|odiamos|evitar|evita|quit(?:a|ar|en|e|ale|arle|"
    r"emos)|"
    r"fuera|olvida|ya no|no quiero|no queremos|no quiere|no me gustan?|no le gustan?|no nos "
    r"gustan?|"
    r"cualquier color menos|instead of|rather than|en vez de|en lugar de)"
    rf"\s{_DET}{{0,4}})$"
)
# "Rainbow is too much", "rosa no", "silver is out".
REFUSED_AFTER = re.compile(
    r"(?:\s?\?+\s?|\s|,\s)(?:(?:no|nope|nah)\b(?=\s?(?:[,.;!\n]|$|wait|just|actually|sorry|scratch|"
    r"mejor|sino))|not\s(?:allowed|wanted|ok|okay|for|my|happening|please|really|working|her|his|"
    r"welcome)\b|"
    r"(?:is|are|would be|looks?|feels?|s)\s(?:just\s|way\s|"
    r"kinda\s|a bit\s|a little\s|really\s)?(?:too|out|not|ugly|tacky|a no|off|gross|awful|boring|"
    r"overdone|no longer|no good)\b|isn'?t\b|aren'?t\b|(?:won'?t|doesn'?t|don'?t)\s(?:work|fit|"
    r"match|go)|"
    r"(?:ya\s)?no\s(?:(?:me|le|nos|les)\s(?:gust|conv|agrad|qued|va|combin)\w*|va|van|quiero|"
    r"combina|queda|por favor)\b|ya "
    r"no\b(?=\s?(?:[,.;!]|$))|"
    r"(?:es|son|esta|se ve)\s(?:muy|demasiad|fe[oa]|horrible)\w*)"
)
LIST_JOIN = re.compile(r"[\s,/&+]*(?:and|or|nor|y|o|ni|n|et|und|e|i|ak|con|with|plus)?[\s,/&+]*")
ALTERNATIVE = re.compile(r"\s(?:or|nor|ni|o)\s|/")
_COLOUR_NOUNS = r"colou?rs?|color|colores|palette|paleta|tones?|tonos?|shades?|scheme|hues?"
_ARE = r"(?:\s(?:of|are|is|de|son|would be))?[\s:]{1,2}(?:\w+\s)?"
COLOUR_CUE = re.compile(rf"\b(?:{_COLOUR_NOUNS}){_ARE}$")
CUE = re.compile(
    rf"\0\s(?:por|to|with)\s$|\b(?:{_COLOUR_NOUNS}|in|en|balloons?|globos|ballons|baloes|palloncini){_ARE}$"
)
