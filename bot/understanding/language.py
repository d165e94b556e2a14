"""Which language a message is in, by its commonest words and its script."""

import re

from bot.understanding.passage import Passage

_MARKS = {
    "en": """
        the a an and i im is it for of on in to my we our you u your need want how much
        what do does can with please hi hello hey at would like looking are was were be
        this that have has price quote cost pls thanks from not no any make change
        cancel order wide tall garland arch hoop feet foot ft white gold blue black pink
        red green silver party birthday wedding me them they there call tell let know more
        too also just so if or by when where who which about see send yes yeah
    """,
    "es": """
        el la los las un una unos y o de del para por con que en mi su es son hola
        buenos buenas dias tardes noches quiero necesito quisiera cuanto cuesta precio
        cotizar puede pueden tienen hacen gracias favor fiesta globos guirnalda arco
        columnas boda cumpleanos como donde cual este esta sin color colores se me nos
        al si mas menos personas metros metro ancho alto pies rosa blanco dorado azul
        verde rojo negro plateado sabado viernes domingo adentro afuera tonos neutros
        numero numeros metalico letras tengo no ya otra otro nada muy ser somos soy estoy
        queremos persona son tiene cuantos tambien pero porque gusta gustaria encanta parece
        interesa avisame llamame llamo llama dime te lo les llamen
    """,
    "fr": """
        le les des une un et pour je nous vous bonjour combien est avec ballons ballon
        mariage merci prix devis coute dans sur anniversaire arche du au voudrais salut
        lacher fete
    """,
    "pt": """
        um uma e para com nao ola quanto custa baloes balao voce voces os as do da no na
        festa casamento aniversario obrigado preciso quero eu meu minha orcamento
    """,
    "de": """
        der die das ein eine und fur ich wir mit ist nicht kostet was hochzeit
        geburtstag hallo bitte mochten mochte wieviel viel den zum einen luftballons
        danke guten
    """,
    "it": """
        il lo gli una un e per con ciao quanto costa palloncini matrimonio compleanno
        ciao anche la domenica fate consegne vorrei grazie di che sono nostro nostra buongiorno arco
    """,
    "nl": """
        de het een en voor ik wij met is niet kost wat bruiloft verjaardag hoeveel
        ballonnen graag dank hallo
    """,
    "pl": """
        i na dla z nie jest ile kosztuje balony balonow wesele urodziny dzien dobry
        prosze girlanda
    """,
    "vi": """
        toi ban la cho bao nhieu va cam xin chao bong bay cua muon sinh nhat
    """,
    "tl": """
        ang ng sa mga po ako magkano kaarawan lobo para salamat kami
    """,
    "ht": """
        mwen ou pou ak nan konbyen bonjou balon yon mesi fet
    """,
}
_OF_WORD: dict[str, list[str]] = {}
for _lang, _words in _MARKS.items():
    for _word in _words.split():
        _OF_WORD.setdefault(_word, []).append(_lang)

_SCRIPTS = (
    (re.compile(r"[\u3040-\u30ff]"), "ja"),
    (re.compile(r"[\uac00-\ud7af\u1100-\u11ff]"), "ko"),
    (re.compile(r"[\u4e00-\u9fff]"), "zh"),
    (re.compile(r"[іїєґІЇЄҐ]"), "uk"),
    (re.compile(r"[\u0400-\u04ff]"), "ru"),
    (re.compile(r"[\u0600-\u06ff]"), "ar"),
    (re.compile(r"[\u0590-\u05ff]"), "he"),
    (re.compile(r"[\u0900-\u097f]"), "hi"),
    (re.compile(r"[\u0e00-\u0e7f]"), "th"),
    (re.compile(r"[\u0370-\u03ff]"), "el"),
)
_LATIN = re.compile(r"[a-zA-Z\u00c0-\u024f]")
_SPANISH_SIGN = re.compile(r"[¿¡ñÑ]")
_PORTUGUESE_SIGN = re.compile(r"[ãõÃÕ]")


def language_of(passage: Passage, locale: str | None) -> str | None:
    """ISO 639-1 code of the language seen, None where there is no letter at all.

    A message without telling words ("7x4 sage") is taken to be in the locale's language.
    """
    script = _script_of(passage.original)
    if script != "latin":
        return script
    scores = _scores(passage)
    home = (locale or "en")[:2].lower()
    best = max(scores, key=lambda lang: (scores[lang], lang == home, lang == "en", lang == "es"))
    if best not in ("en", "es", home) and scores[best] < 2:
        best = "en" if scores["en"] >= scores["es"] else "es"
    return best if scores[best] else home


def _script_of(text: str) -> str | None:
    latin = len(_LATIN.findall(text))
    for pattern, lang in _SCRIPTS:
        if len(pattern.findall(text)) > latin:
            return lang
    return "latin" if latin or any(char.isalnum() for char in text) else None


def _scores(passage: Passage) -> dict[str, float]:
    scores = dict.fromkeys(_MARKS, 0.0)
    for word in passage.words():
        for lang in _OF_WORD.get(word.text, ()):
            scores[lang] += 1
    scores["es"] += 2 * len(_SPANISH_SIGN.findall(passage.original))
    scores["pt"] += 2 * len(_PORTUGUESE_SIGN.findall(passage.original))
    return scores
