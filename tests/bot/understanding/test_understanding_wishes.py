"""Colours, foils, budget, guests, occasion, place and setting."""

from datetime import date
from decimal import Decimal

import pytest

from bot.understanding import Slots, read


def slots_of(text: str, locale: str | None = "en-US") -> Slots:
    return read(text, reference_date=date(2027, 1, 10), locale=locale)


@pytest.mark.parametrize(
    ("text", "colours"),
    [
        ("sage cream and gold", ["sage", "cream", "gold"]),
        ("dusty rose + ivory", ["dusty rose", "ivory"]),
        ("ivory/champagne/gold", ["ivory", "champagne", "gold"]),
        ("light pink and dark green", ["light pink", "dark green"]),
        ("pastel yellow, mint", ["pastel yellow", "mint"]),
        ("burgandy, fuschia and lavander", ["burgundy", "fuchsia", "lavender"]),
        ("no pink or red, just black", ["black"]),
        ("white, no gold", ["white"]),
        ("letters in gold, balloons in pink and white", ["pink", "white"]),
        ("a gold hoop, white and sage balloons", ["white", "sage"]),
        ("my name is Rose Green and I like silver", ["silver"]),
        ("rose garden wedding, ice cream bar", []),
        ("rose, gold, ivory", ["rose", "gold", "ivory"]),
        ("beach party, brush up, peach pie", ["peach"]),
        ("rosa palo y dorado", ["dusty rose", "gold"]),
        ("rosa claro y verde oscuro", ["light pink", "dark green"]),
        ("azul marino con plateado", ["navy", "silver"]),
        ("no me gusta el rosa, mejor lila", ["lilac"]),
        ("light and dark blue", ["light blue", "dark blue"]),
        ("rosa claro y oscuro", ["dark pink", "light pink"]),
        ("strawberry pink, mint, vanilla", ["strawberry pink", "mint", "vanilla"]),
        ("black + chrome gold... ok just gold is fine", ["black", "gold"]),
        ("letras doradas y globos blancos", ["white"]),
        ("white and gold tablecloths, balloons in sage", ["sage"]),
        ("for my daughter Violet, pink and white", ["pink", "white"]),
        ("at the Red Lion Inn, navy", ["navy"]),
        ("the walls are beige, balloons in cream", ["cream"]),
        ("white roses on a gold arch frame, balloons pink", ["pink"]),
        ("hoop, blue gold foil 1", ["blue", "gold"]),
    ],
)
def test_colours_are_the_balloons_and_the_clients_words(text: str, colours: list[str]) -> None:
    assert list(slots_of(text).colours) == colours


def test_switching_a_colour_leaves_only_the_new_one() -> None:
    assert slots_of("can we switch the pink to sage green instead").colours == ("sage green",)
    assert slots_of("en vez de rosa, azul").colours == ("blue",)


@pytest.mark.parametrize(
    ("text", "colours"),
    [
        ("garland 12 ft, gold or silver? silver", ["silver"]),
        ("was thinking pink at first but now blue and white", ["blue", "white"]),
        ("All neutrals: oatmeal, sand, white", ["oatmeal", "sand", "white"]),
        ("blue bone theme, arch 4 ft wide", ["blue"]),
        ("boho rainbow vibe so terracotta and cream", ["terracotta", "cream"]),
        ("a purple/black wall 8ft wide", ["purple", "black"]),
        ("a wall navy and white, gold DR KIM in letters", ["navy", "white"]),
        ("cream where it says pink", ["cream"]),
        ("wht size hoop do you recommend", []),
    ],
)
def test_which_colours_are_meant_in_the_end(text: str, colours: list[str]) -> None:
    assert list(slots_of(text).colours) == colours


@pytest.mark.parametrize(
    ("text", "colours"),
    [
        ("dos aros, blanco y verde menta, no me ponga rosa por favor", ["white", "mint green"]),
        ("globos cromados dorado y negro", ["chrome gold", "black"]),
        ("blanco con perla", ["white", "pearl"]),
        ("rosa pastel, marfil y rosa gold", ["pastel pink", "ivory", "rose gold"]),
    ],
)
def test_colours_told_in_spanish(text: str, colours: list[str]) -> None:
    assert list(slots_of(text, "es-US").colours) == colours


@pytest.mark.parametrize(
    ("text", "foils"),
    [
        ("pls take the star foils off my order", []),
        ("hoop 6 ft and foil word BABY", ["BABY"]),
        ("need foil names MIA and LEO", ["MIA", "LEO"]),
        ("foil balloon letters: M & J", ["M", "J"]),
        ("foil soccer ball and 1 and 0.", ["soccer ball", "1", "0"]),
        ("a giant gold 4 and 0", ["4", "0"]),
        ("3 foil stars and 2 hearts", ["star"] * 3 + ["heart"] * 2),
        ("letras de foil que digan AMOR, no mas de 120", ["AMOR"]),
    ],
)
def test_foils_told_in_other_words(text: str, foils: list[str]) -> None:
    assert list(slots_of(text).foils) == foils


@pytest.mark.parametrize(
    ("text", "foils"),
    [
        ("a foil 5 and 0 and a boat, for our 50th", ["5", "0", "boat"]),
        ("foils: 5, 0, star, heart", ["5", "0", "star", "heart"]),
        ("foil 50 and star and heart", ["5", "0", "star", "heart"]),
        ("two foil stars and a foil heart", ["star", "star", "heart"]),
        ("foil balloons: 3 stars, 2 hearts and a 7", ["star"] * 3 + ["heart"] * 2 + ["7"]),
        ("letras metalizadas ABIERTO y un libro", ["ABIERTO", "book"]),
        ("dos estrellas metalizadas y un corazón metalizado", ["star", "star", "heart"]),
        ("a pair of foil hearts", ["heart", "heart"]),
        ("2 star foils", ["star", "star"]),
        ("foil 50 with a boat", ["5", "0", "boat"]),
        ("foil letters L O V E", ["LOVE"]),
        ("letras metalizadas A-B-I-E-R-T-O y una estrella", ["ABIERTO", "star"]),
    ],
)
def test_a_list_of_foils_is_heard_to_its_end_and_counted(text: str, foils: list[str]) -> None:
    assert list(slots_of(text).foils) == foils


@pytest.mark.parametrize(
    ("text", "foils"),
    [
        ("foil 50, star theme, 7 ft arch", ["5", "0"]),
        ("foil 50 and a hoop with stars", ["5", "0"]),
        ("a foil star and a rainbow garland 10 ft", ["star"]),
        ("foil 30 and 2 columns", ["3", "0"]),
        ("can I book foil balloons for june 6", []),
        ("foil 7, 12 guests", ["7"]),
        ("foil 50 and flowers", ["5", "0"]),
        ("un 50 metalizado y un anillo de globos", ["5", "0"]),
    ],
)
def test_what_comes_after_a_foil_need_not_be_one(text: str, foils: list[str]) -> None:
    assert list(slots_of(text).foils) == foils


@pytest.mark.parametrize(
    ("text", "foils"),
    [
        ("foil numbers 5 and 0", ["5", "0"]),
        ("a foil 4 and a foil 0", ["4", "0"]),
        ("foil 50", ["5", "0"]),
        ("number 3 on top", ["3"]),
        ("big silver numbers 2027", ["2", "0", "2", "7"]),
        ("LOVE letters", ["LOVE"]),
        ("letters that spell LOVE in gold foil", ["LOVE"]),
        ('foil letters spelling "oh baby"', ["OH BABY"]),
        ("initials J and M in foil", ["J", "M"]),
        ("star and heart foils", ["star", "heart"]),
        ("número 7 de foil", ["7"]),
        ("globo metálico en forma de estrella", ["star"]),
        ("my phone number 6175550134", []),
        ("order number 12", []),
        ("a 9 and a 0 foil", ["9", "0"]),
        ("the 3 and the 0 in foil", ["3", "0"]),
        ("el 5 y el 0 metálicos", ["5", "0"]),
        ("1 and 8 in gold", ["1", "8"]),
        ("a big 50", ["5", "0"]),
        ("foil eighty", ["8", "0"]),
        ("foil one zero zero", ["1", "0", "0"]),
        ("'GIRL' spelled out in foil letters", ["GIRL"]),
        ("letras metálicas q digan LOVE", ["LOVE"]),
        ("foil letters YES? no just foil hearts", ["heart"]),
        ("foil de hueso", ["bone"]),
        ("3 foil stars", ["star"] * 3),
        ("great grandson number one is on the way", []),
        ("bodas de oro, aniversario número 50", []),
        ("the letters look great", []),
        ("10 foil balloons", []),
    ],
)
def test_foils_are_digits_words_and_shapes(text: str, foils: list[str]) -> None:
    assert list(slots_of(text).foils) == foils


@pytest.mark.parametrize(
    ("text", "least", "most"),
    [
        ("under 300", None, 300),
        ("$250-400", 250, 400),
        ("around 300", None, 300),
        ("no more than 5 hundred", None, 500),
        ("budget is 2k", None, 2000),
        ("can't spend over $250", None, 250),
        ("at least $200 but no more than $400", 200, 400),
        ("budget is $1,200.50", None, Decimal("1200.50")),
        ("entre 200 y 350 dólares", 200, 350),
        ("is there a $50 deposit?", None, None),
        ("i paid $200 already", None, None),
        ("around 300 people", None, None),
        ("for our 5k", None, None),
        ("budget -50", None, None),
    ],
)
def test_a_budget_is_what_the_client_wants_to_spend(
    text: str, least: int | None, most: int | None
) -> None:
    slots = slots_of(text)
    assert (slots.budget_min, slots.budget_max) == (least, most)


@pytest.mark.parametrize(
    ("text", "guests"),
    [
        ("80 guests", 80),
        ("about 40 ppl", 40),
        ("150-200 guests", 200),
        ("40 adults and 20 kids", 60),
        ("guest count: 75", 75),
        ("100 balloons", None),
        ("4 year old party", None),
        ("50 personas", 50),
    ],
)
def test_guests_are_people(text: str, guests: int | None) -> None:
    assert slots_of(text).guests == guests


@pytest.mark.parametrize(
    ("text", "occasion"),
    [
        ("rowing club 50th anniversary", "anniversary"),
        ("my wife's 40th", "birthday"),
        ("our library turns 100", "anniversary"),
        ("sweet sixteen", "birthday"),
        ("bat mitzvah", "religious"),
        ("wedding on new year's eve", "wedding"),
        ("company holiday party", "corporate"),
        ("valentines dance", "valentines"),
        ("mis XV años", "quinceanera"),
        ("dentro de 15 días", None),
        ("two events: a birthday and a wedding", None),
        ("aniversário, quanto custa o balão?", "birthday"),
    ],
)
def test_the_occasion_is_what_is_celebrated(text: str, occasion: str | None) -> None:
    assert slots_of(text).occasion == occasion


@pytest.mark.parametrize(
    ("text", "place", "code", "setting"),
    [
        ("indoors at a hall in 02139", "hall", "02139", "indoor"),
        (
            "at the Elm Street Library in Quincy MA 02169",
            "Elm Street Library in Quincy MA",
            "02169",
            None,
        ),
        ("VFW hall, Quincy 02169", "VFW hall, Quincy", "02169", None),
        ("in our backyard", None, None, "outdoor"),
        ("in the living room", None, None, "indoor"),
        ("temple beth shalom", "temple beth shalom", None, None),
        ("somewhere in gold and pink", None, None, None),
        ("10000 balloons, order 12345", None, None, None),
        ("at 12345 Main St 02139", "12345 Main St", "02139", None),
        ("indoors or outdoors, not sure", None, None, None),
        ("against a wall", None, None, None),
        ("en el salón Las Palmas", "salón Las Palmas", None, None),
    ],
)
def test_where_it_is(text: str, place: str | None, code: str | None, setting: str | None) -> None:
    slots = slots_of(text)
    assert (slots.place, slots.postal_code, slots.setting) == (place, code, setting)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("hoop 6ft at 12 Mill Street, Quincy on june 6", "12 Mill Street, Quincy"),
        ("birthday at my moms house in Lowell, arch", "Lowell"),
        ("arch for aunt Carol, at Aunt Carol's house", None),
        ("wedding in quincy june 6, 7ft hoop", "quincy"),
        ("2 columns for the riverside community hall", "riverside community hall"),
        ("two columns inside the gym at Maple Hollow Elementary", "Maple Hollow Elementary"),
        ("ballroom of the Larkspur Inn, 2 columns", "Larkspur Inn"),
        ("at the Chapel of the Good Shepherd", "Chapel of the Good Shepherd"),
        ("graduation, 2 columns, Belton High", "Belton High"),
        ("salon los olivos en cicero, arco de 8 pies", "salon los olivos en cicero"),
        ("es en el parque Lincoln en Cicero", "parque Lincoln en Cicero"),
        ("mi abuelita esta en el hospital, un arco", None),
        ("arch in lavendar and white", None),
        ("do you deliver to peabody", "peabody"),
        ("we live in Ohio but the party is in Salem", "Salem"),
        ("i want it in gold foil, arch in white", None),
        ("quiero un arco en tonos rosa, en total somos 40", None),
    ],
)
def test_a_place_is_in_the_clients_own_words(text: str, place: str | None) -> None:
    assert slots_of(text).place == place


@pytest.mark.parametrize(
    ("text", "least", "most"),
    [
        ("between 500 and 700", 500, 700),
        ("two to three hundred", 200, 300),
        ("4 to 6 hundred", 400, 600),
        ("nothing over $300", None, 300),
        ("gave us 375 and not a penny more", None, 375),
        ("5k is NOT the budget, 150 is", None, 150),
        ("budget of a thousand", None, 1000),
        ("spend up to a hundred n fifty", None, 150),
        ("entre 250 y 400 dlls", 250, 400),
        ("no quiero gastar mas de 350", None, 350),
        ("mil quinientos dolares", None, 1500),
        ("we're about 50", None, None),
        ("somos como 40", None, None),
    ],
)
def test_a_budget_in_the_words_people_use(text: str, least: int | None, most: int | None) -> None:
    slots = slots_of(f"arch 8 ft, {text}")
    assert (slots.budget_min, slots.budget_max) == (least, most)


@pytest.mark.parametrize(
    ("text", "guests"),
    [
        ("we're about 50", 50),
        ("120ppl", 120),
        ("twenty five people", 25),
        ("one hundred and fifty guests", 150),
        ("two dozen guests", 24),
        ("guest count went from 40 to 65", 65),
        ("somos treinta", 30),
        ("van a ser 35", 35),
        ("cien personas", 100),
        ("turning 50", None),
        ("my two moms", None),
    ],
)
def test_guests_in_the_words_people_use(text: str, guests: int | None) -> None:
    assert slots_of(f"arch 8 ft, {text}").guests == guests


@pytest.mark.parametrize(
    ("text", "occasion"),
    [
        ("im proposing to my gf", "engagement"),
        ("le voy a pedir matrimonio", "engagement"),
        ("my son is being baptised", "religious"),
        ("anniversery dinner", "anniversary"),
        ("se gradua mi hijo", "graduation"),
        ("evento de la compañia", "corporate"),
        ("4 de julio", "holiday"),
        ("mi hija cumple 15, la quinceañera es el 23", "quinceanera"),
        ("at Bayview Community Center", None),
        ("confirmation number 4432", None),
    ],
)
def test_an_occasion_told_in_other_words(text: str, occasion: str | None) -> None:
    assert slots_of(f"arch 8 ft, {text}").occasion == occasion


@pytest.mark.parametrize(
    ("text", "most", "code"),
    [
        ("budget 400, 02139", 400, "02139"),
        ("budget $400, zip 02139", 400, "02139"),
        ("budget 400 02139", 400, "02139"),
        ("budget 400 and 02139", 400, "02139"),
        ("budget 400, 02139-4307", 400, "02139-4307"),
        ("spend 400, 60614", 400, "60614"),
        ("zip code 60614, budget 400", 400, "60614"),
        ("02139, budget 400", 400, "02139"),
        ("budget 12000", 12000, None),
        ("budget 10000 to 15000", 15000, None),
        ("budget 400, or 15000 dollars", 400, None),
    ],
)
def test_a_postal_code_beside_a_budget_is_no_money(text: str, most: int, code: str | None) -> None:
    slots = slots_of(text)
    assert (slots.budget_max, slots.postal_code) == (Decimal(most), code)


def test_postal_codes_follow_the_country() -> None:
    assert slots_of("hall in SW1A 1AA", "en-GB").postal_code == "SW1A 1AA"
    assert slots_of("hall in k1a 0b6", "en-CA").postal_code == "K1A 0B6"


def test_fullness_is_heard() -> None:
    assert slots_of("a lush garland").fullness == "lush"
    assert slots_of("something airy").fullness == "airy"
    assert slots_of("my full name").fullness is None


@pytest.mark.parametrize(
    ("text", "guests"),
    [
        ("one guest has a latex allergy", None),
        ("1 guest is allergic, we are 40 guests", 40),
        ("40 adults and 20 kids", 60),
    ],
)
def test_a_single_guest_is_no_head_count(text: str, guests: int | None) -> None:
    assert slots_of(text).guests == guests


def test_the_fiftieth_of_a_club_is_an_anniversary() -> None:
    assert slots_of("our rowing club's 50th").occasion == "anniversary"
    assert slots_of("my mom's 50th").occasion == "birthday"
