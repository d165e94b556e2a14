"""A talk in Spanish, from the first word to the price."""

import re
from dataclasses import replace

import pytest

from bot.dialogue import sayings
from bot.dialogue.sayings import en, es
from tests.bot.dialogue.talking import BOOK, SHOP, Talk
from tests.bot.dialogue.walking import STOCK

ENGLISH = re.compile(r"\b(the|you|your|what|how|which|where|is|are|colors?|date|not sure)\b", re.I)


def test_a_whole_talk_in_spanish_is_spanish_to_the_last_word() -> None:
    talk = Talk(shop=STOCK, locale="es-US").start()
    talk.say("Quiero dos columnas para los 15 de mi hija")
    assert talk.text.startswith("¡Los 15 de tu hija, qué lindo!")
    talk.say("no sé", "6 de junio", "en Cambridge", "al aire libre", "rosa y dorado", "a las 4 pm")
    assert talk.text == (
        "Esto es lo que tengo:\n"
        "• 2 columnas, 6 pies de alto (tamaño usual)\n"
        "• Colores: rosa y dorado\n"
        "• Fecha: domingo, 6 de junio de 2027\n"
        "• Empieza: 4:00 p.m.\n"
        "• Lugar: Cambridge, al aire libre\n"
        "• Motivo: quinceañera\n"
        "• Lo usual: colores mezclados\n"
        "¿Te lo cotizo?"
    )
    talk.say("mejor que sean de 7 pies", "cambia la fecha al 13 de junio", "dale")
    assert talk.text == "Lo estoy calculando; por lo general tarda unos segundos."
    assert talk.submissions[0].language == "es"
    assert talk.brief["event"]["date"] == "2027-06-13"
    assert talk.brief["pieces"][0]["height_m"] == pytest.approx(2.1336)
    talk.say("gracias", "está muy caro")
    shown = [message for outcome in talk.outcomes for message in outcome.messages]
    for message in shown:
        assert not ENGLISH.search(message.text.replace("Harbor Lane", ""))
        labels = {button.label for button in message.buttons} - {"English"}
        assert not any(ENGLISH.search(label) for label in labels)


def test_one_message_that_says_everything_is_read_back_at_once() -> None:
    talk = Talk().say(
        "hola, cuánto cuesta una guirnalda en un marco de 4 por 7 pies, salvia, crema y dorado,"
        " 6 de junio a las 3 de la tarde, en interior, 02139"
    )
    assert talk.last.kind == "readback"
    assert "• Marco de arco, 4 pies de ancho × 7 pies de alto" in talk.text
    assert "• Colores: verde salvia, crema y dorado" in talk.text


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("sí", "yes"), ("Si, por favor", "yes"), ("dale", "yes"), ("está bien", "yes"),
        ("¡Claro que sí!", "yes"), ("no", "no"), ("no, gracias", "no"), ("todavía no", "no"),
        ("gracias", "thanks"), ("muchas gracias por todo", "thanks"),
        ("empezar de nuevo", "restart"), ("quiero empezar desde cero", "restart"),
        ("cancelar", "cancel"), ("olvídalo", "cancel"),
        ("atrás", "back"), ("regresar", "back"), ("volver atrás", "back"), ("¿cómo va?", "status"),
        ("¿ya está?", "status"), ("ayuda", "help"), ("no sé", "skip"), ("aún no sé", "skip"),
        ("ni idea", "skip"), ("me da igual", "skip"), ("lo que tú recomiendes", "skip"),
        ("todavía no sabemos", "skip"), ("mediano", "usual"), ("cambiar algo", "changes"),
        ("en inglés, por favor", "language.en"), ("¿hablas español?", "language.es"),
        ("hola", "start"), ("buenas tardes", "start"),
    ],
)  # fmt: skip
def test_short_things_are_understood(words: str, name: str) -> None:
    assert name in sayings.short_things(words)


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("¿puedo hablar con una persona?", "person"), ("mi tía es alérgica al látex", "latex"),
        ("es en un hospital", "latex"), ("está muy caro para mí", "too_dear"),
        ("no nos alcanza", "too_dear"), ("¿puedes hacerlo por 300?", "offers"),
        ("para otra fiesta", "another_event"), ("agrega dos columnas", "adding"),
        ("quita el aro", "removing"), ("mejor un aro", "replacing"), ("cambia la hora", "changing"),
        ("una lluvia de globos", "drop"), ("de 6 pies", "measure"), ("4 por 7", "size_pair"),
    ],
)  # fmt: skip
def test_what_may_stand_anywhere_is_found(words: str, name: str) -> None:
    assert sayings.says(name, words)


@pytest.mark.parametrize("table", ["SAID", "ANYWHERE", "TOPICS", "NOUNS", "ACCENTS"])
def test_both_languages_listen_for_the_same_things(table: str) -> None:
    assert set(getattr(en, table)) == set(getattr(es, table))


@pytest.mark.parametrize(
    ("words", "left"),
    [("quita las columnas", ["hoop"]), ("sin el aro", ["column"]), ("saca una columna", None)],
)
def test_pieces_are_taken_away_in_words(words: str, left: list[str] | None) -> None:
    talk = Talk().say("un aro de 6 pies y dos columnas de 6 pies, por favor", words)
    pieces = talk.state.draft.pieces
    if left is not None:
        assert [piece.support for piece in pieces] == left
    else:
        assert [piece.count for piece in pieces] == [1, 1]


@pytest.mark.parametrize(
    ("words", "asks"),
    [("cambia la hora", "start_time"), ("quiero otros colores", "colours"),
     ("la fecha está mal", "date")],
)  # fmt: skip
def test_a_change_is_opened_in_words(words: str, asks: str) -> None:
    talk = Talk().say("un aro de 6 pies, 6 de junio a las 3pm, adentro en 02139, rosa", words)
    assert talk.asked == asks


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_button_that_a_phone_may_type_is_understood(language: str) -> None:
    phrases = BOOK.in_language(language)
    opening = {"en": "a 6 ft hoop please, june 6", "es": "un aro de 6 pies, 6 de junio"}
    for key, asks in (("button.skip", "setting"), ("button.back", "date")):
        talk = Talk().say(opening[language])
        if key == "button.back":
            talk = Talk().say("a 6 ft hoop please" if language == "en" else "un aro de 6 pies")
            talk.say("june 6")
        assert talk.asked == "place"
        assert talk.say(phrases.say(key)).asked == asks


def test_how_to_reach_the_owner_is_said_in_spanish() -> None:
    shop = replace(SHOP, contacts={"en": "phone 555-0142", "es": "tel. 555-0142"})
    talk = Talk(shop=shop).say("hola, quiero un aro de globos", "quiero hablar con una persona")
    assert "tel. 555-0142" in talk.text
    assert "phone" not in talk.text
