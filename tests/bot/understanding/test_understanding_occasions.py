"""What the event is for."""

from datetime import date

import pytest

from bot.understanding import read


def occasion_of(text: str) -> str | None:
    return read(text, reference_date=date(2027, 1, 10), locale="en-US").occasion


@pytest.mark.parametrize(
    ("text", "occasion"),
    [
        ("a golden jubilee, garland 7ft", "anniversary"),
        ("my parents' ruby wedding, 40 years", "anniversary"),
        ("mom and dad are hitting 50 years in august", "anniversary"),
        ("our library turns 100 this year", "anniversary"),
        ("bodas de plata de mis papás", "anniversary"),
        ("my bridge club is 40 yrs old, 6ft garland", "anniversary"),
        ("our shop Thread & Thimble turns five", "anniversary"),
        ("its my parents 50th!! 10 ft garland", "anniversary"),
        ("she's 70 on the 14th, foil 70", "birthday"),
        ("fiesta sorpresa para mi esposo, 40 años", "birthday"),
        ("my boyfriends 30th, 4ft hoop", "birthday"),
        ("little league opening day parade, 8 ft arch", "other"),
        ("reunion class of '97, 2 columns", "other"),
        ("my sis passed the bar exam, 4ft garland", "other"),
        ("regreso a clases, arco 3 m", "other"),
        ("back to school night, 8 ft arch", "other"),
        ("I'm planning my own 60th, thank you", "birthday"),
        ("los 3 años de mi niña, aro 2 m", "birthday"),
        ("sweet 16! rooftop, hot pink", "birthday"),
        ("dulces dieciséis en el salón", "birthday"),
        ("8th grade promotion on June 4", "graduation"),
        ("5th grade moving up ceremony june 10", "graduation"),
        ("nursing pinning ceremony, may 14", "graduation"),
        ("retirement sendoff for the chief", "retirement"),
        ("revelación de sexo, 5 de abril", "gender_reveal"),
        ("te de canastilla para mi hermana", "baby_shower"),
        ("hoop for a bridal tea, lilac", "bridal_shower"),
        ("ribbon cutting at our new studio", "grand_opening"),
        ("mi hermano abre su taller mecánico", "grand_opening"),
        ("our sales team's annual awards night", "corporate"),
        ("staff breakfast from us managers", "corporate"),
        ("lanzamiento de mi marca de ropa", "corporate"),
        ("father's day cookout", "holiday"),
        ("tornaboda en el jardín", "wedding"),
    ],
)
def test_every_kind_has_many_names(text: str, occasion: str) -> None:
    assert occasion_of(text) == occasion


@pytest.mark.parametrize(
    "text",
    [
        "our signing day is feb 3, 9 ft arch",
        "wife got promoted, surprise dinner",
        "a promotion party for my husband",
        "my cousin beat leukemia, a party jan 23",
        "my son got his black belt",
        "we just finalised our adoption",
        "mi papá por fin es ciudadano, fiesta sorpresa el 4 de julio",
        "llega mi hijo del ejército a las 6",
        "a memorial for my dad, white hoop",
        "Eagle Scout ceremony, two columns",
        "volunteer appreciation breakfast",
        "end of season banquet, two columns",
        "Turkey Trot finish line, two columns",
        "homecoming dance oct 9",
        "a cat adoption fair, column pair",
        "sip & see sunday, five foot hoop",
        "unveiling of the mural, june 4",
        "fiesta de fin de cursos, arco",
    ],
)
def test_named_events_without_a_kind_are_other(text: str) -> None:
    assert occasion_of(text) == "other"


@pytest.mark.parametrize(
    ("text", "occasion"),
    [
        ("garland for after christmas, silver", None),
        ("need it before thanksgiving, 6 ft hoop", None),
        ("necesito antes de navidad una guirnalda", None),
        ("something for the saturday before easter", "holiday"),
        ("is that a fair price for a 10ft arch?", None),
        ("need a formal quote for 2 columns 6 ft", None),
        ("Requesting a proposal for 2 columns", None),
        ("can i get confirmation of my order", None),
        ("confirmaron más y ya vamos en 72 invitados", None),
        ("soccer ball foil and a disco ball, 6 ft hoop", None),
        ("we have 5k to spend, 12 ft arch", None),
        ("kick-off at seven, ceremony at six", None),
    ],
)
def test_times_and_figures_of_speech_are_no_occasions(text: str, occasion: str | None) -> None:
    assert occasion_of(text) == occasion


@pytest.mark.parametrize(
    ("text", "occasion"),
    [
        ("a wedding on new year's eve", "wedding"),
        ("grandma's birthday falls on mother's day", "birthday"),
        ("a christmas potluck with my book club", "holiday"),
        ("renewing our vows for our 10th anniversary", "anniversary"),
        ("a quinceañera and a birthday lunch", "quinceanera"),
        ("company christmas party", "corporate"),
        ("annual sales kickoff, please send a proposal for the arch", "corporate"),
        ("a retirement party at the awards banquet", "retirement"),
    ],
)
def test_the_celebration_wins_over_the_day_and_the_kind_over_the_rest(
    text: str, occasion: str
) -> None:
    assert occasion_of(text) == occasion
