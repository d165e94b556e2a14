"""Where the event is: the venue and the town, and whether it is indoors or outdoors."""

import time
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.understanding import Slots, read


def slots_of(text: str) -> Slots:
    return read(text, reference_date=date(2027, 1, 10), locale="en-US")


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("the venue is Briar Hall in Tolland, 7ft hoop", "Briar Hall in Tolland"),
        ("Venue Old Mill Barn, Stowe VT. 2 columns", "Old Mill Barn, Stowe VT"),
        ("Where: Tanglewood Lodge. What: 8 ft arch", "Tanglewood Lodge"),
        ("Town is Brackley. 8 ft garland", "Brackley"),
        ("it'll be held at the grange hall in Ashford", "grange hall in Ashford"),
        ("my sister booked the community hall for it", "community hall"),
        ("we moved it to Castle Island Brewery", "Castle Island Brewery"),
        ("the restaurant is called Mesa Verde Grill", "Mesa Verde Grill"),
        ("dinner at Nonna's Table, 5ft garland", "Nonna's Table"),
        ("mom's 80th, Elks Lodge 214, Fresno, april 4", "Elks Lodge 214, Fresno"),
        ("celebrating at Bistro 22, 6 people", "Bistro 22"),
        ("our gala, Oct 2, St Brigid's parish center, Lowell", "St Brigid's parish center, Lowell"),
        ("lunch at St. Odile's parish hall, may 7", "St. Odile's parish hall"),
        ("arch at the Lindqvist farm near Otter Falls", "Lindqvist farm near Otter Falls"),
        ("nye, Grand Alder ballroom so its inside", "Grand Alder ballroom"),
        (
            "reunion, Sept 26, Shawnee State Park pavilion 2. 3 swags",
            "Shawnee State Park pavilion 2",
        ),
        ("fair at Petersham town common. 2 columns", "Petersham town common"),
        ("at our cafe Copper Kettle in Galena", "Copper Kettle in Galena"),
        ("at Castellano's, there's 45 of us", "Castellano's"),
        ("arch at westfield middle school, blue and gold", "westfield middle school"),
        ("2 columns at tioga lodge hall in oakdale", "tioga lodge hall in oakdale"),
        ("we're in Rome, GA. 8ft arch frame", "Rome, GA"),
    ],
)
def test_the_venue_and_its_town_stay_together(text: str, place: str) -> None:
    assert slots_of(text).place == place


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("garland at the dojo on Rt 9, Shrewsbury. june 20", "dojo on Rt 9, Shrewsbury"),
        ("sendoff, firehouse on Canal St, june 3", "firehouse on Canal St"),
        ("a party at the community center on Fulton", "community center on Fulton"),
        ("block party on Cedar Street, 3 columns", "Cedar Street"),
        ("posada vecinal, calle Hidalgo, guirnalda", "calle Hidalgo"),
        ("arch over the entry. Hwy 50 Salina 67401", "Hwy 50 Salina"),
        (
            "Elm Senior Living, 77 Orchard Lane, Keene NH",
            "Elm Senior Living, 77 Orchard Lane, Keene NH",
        ),
        ("my bakery's opening, 214 Pine Street, Gilroy", "214 Pine Street, Gilroy"),
        ("ceremony on Pier 9, june 8, 8ft arch", "Pier 9"),
    ],
)
def test_streets_and_roads_are_places(text: str, place: str) -> None:
    assert slots_of(text).place == place


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("columns at the gym at Corley High", "Corley High"),
        ("ballroom of the Carlyle Inn, Dayton", "Carlyle Inn, Dayton"),
        ("hoop for the lobby of the Palmer Building", "Palmer Building"),
        ("rooftop of the Alder Hotel, july 3", "Alder Hotel"),
        ("may 23. auditorium at Westbury Academy", "auditorium at Westbury Academy"),
        ("the social hall at Temple Beth Ami", "social hall at Temple Beth Ami"),
        ("the social hall at the Harmon Temple", "social hall at the Harmon Temple"),
        ("Club house at Linden Pool. 75 swimmers", "Club house at Linden Pool"),
    ],
)
def test_a_mere_room_gives_way_to_its_house_and_a_hall_does_not(text: str, place: str) -> None:
    assert slots_of(text).place == place


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("breakfast, april 22, Trinity Lutheran, 12 ft garland", "Trinity Lutheran"),
        ("anniversary, First Baptist, oct 4", "First Baptist"),
        ("a 6 ft ring. for 35 guests. Harlan. and how much", "Harlan"),
        ("our second location, Dunmore, arch 8 ft", "Dunmore"),
        ("first communion, Holy Family, Rutland, may 2", "Holy Family, Rutland"),
        ("reunion, Murphy's on Main, aug 8", "Murphy's on Main"),
        ("my boss, Tom Reilly, retires may 5. 8ft garland", None),
        ("8 ft garland, June 5. Thanks so much, Holly", None),
        ("Hi Priya, 2 columns 6 ft please. Best, Dan", None),
        ("Need 2 Columns. Silver. 6 ft. Thanks, Ana", None),
        ("Balloon Arch, 8 ft, Pink, White, Gold, June 5", None),
        ("what do you charge? Budget's 300 ish", None),
        ("10 ft garland, Frozen theme, Elsa foil", None),
    ],
)
def test_a_name_that_stands_alone_is_a_place_unless_it_is_a_persons(
    text: str, place: str | None
) -> None:
    assert slots_of(text).place == place


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("bautizo en la parroquia Santa Rosa, 3 de mayo", "parroquia Santa Rosa"),
        ("soy gerente del restaurante La Noria", "restaurante La Noria"),
        ("soy de la cafetería El Trébol, inauguramos", "cafetería El Trébol"),
        ("en el restaurante bar El Farol, 18 dic", "restaurante bar El Farol"),
        ("salón Versalles de Laredo, 4 de abril", "salón Versalles de Laredo"),
        ("la boda es en la catedral de Puebla", "catedral de Puebla"),
        ("en la plaza principal de Tequila", "plaza principal de Tequila"),
        ("para el gimnasio municipal, 4 columnas", "gimnasio municipal"),
        ("para la reapertura de la biblioteca el 15 de mayo", "biblioteca"),
        ("para la reapertura de mi tienda el 15 de mayo", None),
        ("el lugar es Terraza del Sol, en Oaxaca", "Terraza del Sol, en Oaxaca"),
        ("lo van a hacer en la Casa de la Cultura", "Casa de la Cultura"),
        ("en casa de mi suegra en Tlaquepaque", "Tlaquepaque"),
        ("boda en Rancho Las Ánimas, 5 de junio", "Rancho Las Ánimas"),
        ("en la quinta de mis tíos, arco 3 m", None),
        ("en la casa de mis papás, aro 2 m", None),
        ("me llamo Laura Ríos, quiero un aro de 2 m", None),
    ],
)
def test_spanish_names_begin_with_their_noun(text: str, place: str | None) -> None:
    assert slots_of(text).place == place


@pytest.mark.parametrize(
    "text",
    [
        "party at grandma's, june 5, 8ft garland",
        "garland at aunt Linda's, 6 ft",
        "garland for the Petersons, 10ft",
        "8 ft hoop at my yoga studio",
        "two columns by the door of our bakery",
        "a tea at church, 8ft garland",
        "Arch in Carolina blue for Emma, 9 ft",
        "2 columns at the head table",
        "columns in Navy and Gold, Go Tigers",
        "the venue is asking about parking",
    ],
)
def test_homes_shops_persons_and_colours_are_no_places(text: str) -> None:
    assert slots_of(text).place is None


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("jump zone in peabody on march 6, 6ft arch", "jump zone in peabody"),
        ("its pine lanes in dedham, 2 columns", "pine lanes in dedham"),
        ("the museum of printing in haverhill hosts our gala", "museum of printing in haverhill"),
        ("the Y in Medway, swim banquet, feb 20", "Y in Medway"),
        ("she runs the senior center in Calloway", "senior center in Calloway"),
        ("columns for the picnic shelter at Kessler Park", "picnic shelter at Kessler Park"),
        ("two arches. The Old Cannery in Port Ames.", "Old Cannery in Port Ames"),
        ("hoop at the red barn in groton", "red barn in groton"),
        ("10 ft garland, the Hilliard hotel, may 3", "Hilliard hotel"),
        ("for the stage of the Alder Mills opera house, may 1", "Alder Mills opera house"),
        ("prom at Bellham High School gym, may 15", "Bellham High School gym"),
        ("columns in the gym at east side middle, 7ft", "east side middle"),
        (
            "confirmation at st. john the evangelist in townsend, may 2",
            "st. john the evangelist in townsend",
        ),
        (
            "dinner at Tidewater Yacht Club, Mattapoisett on Aug 20",
            "Tidewater Yacht Club, Mattapoisett",
        ),
        (
            "salón de usos múltiples del condominio Los Olivos, aro",
            "salón de usos múltiples del condominio Los Olivos",
        ),
        ("mass at sacred heart in lynn, white 6 ft garland", "sacred heart in lynn"),
        ("misa en la parroquia de Guadalupe y comida, aro 2 m", "parroquia de Guadalupe"),
        ("arch behind wexford elementary, may 22", "wexford elementary"),
        ("for Dunmore Public Library's reading club, 6ft", "Dunmore Public Library"),
        ("our nursing home (Maple Glen) has 80 guests", "Maple Glen"),
        (
            "5 ft hoop at Cedar Ridge Assisted Living in Holden",
            "Cedar Ridge Assisted Living in Holden",
        ),
        ("reception: Pell Mansion, Newton. stairs at the mansion", "Pell Mansion, Newton"),
        ("lunch at Ostra in the North End, 4ft garland", "Ostra in the North End"),
        ("hoop 6ft for photos on Plum Island", "Plum Island"),
        ("bautizo en san miguel de allende, aro 2 m", "san miguel de allende"),
        ("boda, quinta los arcos en juriquilla, 2 columnas", "quinta los arcos en juriquilla"),
        ("es en el aeropuerto de Guadalajara, 2 columnas", "aeropuerto de Guadalajara"),
        ("dinner in peabody, 6 ft garland", "peabody"),
        ("small gathering in peabody, 6 ft garland", "peabody"),
        ("ribbon cutting at our new yoga studio in Ashby", "Ashby"),
        ("globos en la entrada de la oficina", None),
        ("at waist high it blocks the view, 8ft", None),
        ("outdoors in the orchard, 7 ft arch", None),
    ],
)
def test_the_clients_own_words_are_kept_whole(text: str, place: str | None) -> None:
    assert slots_of(text).place == place


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("Our Lady of Lourdes, Taunton. Communion may 8", "Our Lady of Lourdes, Taunton"),
        ("Sts. Peter and Paul church hall, feb 27, 8ft arch", "Sts. Peter and Paul church hall"),
        ("in the church basement (St Ann's, Marlboro)", "St Ann's, Marlboro"),
        ("Linda Torres, baptism may 8, 8 ft arch", None),
    ],
)
def test_a_saints_name_is_a_place_and_a_persons_is_none(text: str, place: str | None) -> None:
    assert slots_of(text).place == place


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("1420 Commerce Way, Suite 4, Dayton OH 45402", "1420 Commerce Way, Suite 4, Dayton OH"),
        ("to 88 Lakeshore Blvd, unit 12, Wareham. hoop", "88 Lakeshore Blvd, unit 12, Wareham"),
        ("station 6 on Harmon Ave, june 25", "station 6 on Harmon Ave"),
        ("its at Tavolo on Main St, feb 28", "Tavolo on Main St"),
        ("my place (barre studio on 3rd street), 8 ft", "barre studio on 3rd street"),
        ("Plaza Norte local 14, arco de 3 m", "Plaza Norte local 14"),
        (
            "Salón de eventos Quetzal, Av. Reforma 120, Toluca",
            "Salón de eventos Quetzal, Av. Reforma 120, Toluca",
        ),
        ("en la calle Allende, colonia Centro, guirnalda", "calle Allende, colonia Centro"),
    ],
)
def test_addresses_keep_their_units_and_houses(text: str, place: str) -> None:
    assert slots_of(text).place == place


@pytest.mark.parametrize(
    ("text", "setting"),
    [
        ("arch for the deck, 7ft", "outdoor"),
        ("garland on the front porch railing", "outdoor"),
        ("father's day cookout at a farm", "outdoor"),
        ("summer kickoff, Memorial Field, 2 arches", "outdoor"),
        ("vamos a celebrar en el lago", "outdoor"),
        ("despedida en la terraza, guirnalda", "outdoor"),
        ("reunion at Dunham Park", "outdoor"),
        ("under the open sky, 3 arches", "outdoor"),
        ("inside the reading room", "indoor"),
        ("garland 9ft, conference room", "indoor"),
        ("its in the gymnasium not outside", "indoor"),
        ("adentro no, va a ser en el jardín", "outdoor"),
        ("carnival on the blacktop, 4 columns", "outdoor"),
        ("40th, deck in the back, 10ft", "outdoor"),
        ("doorway between kitchen and den, 4ft", "indoor"),
        ("mesa en el comedor, 2 m", "indoor"),
        ("fiesta en jardín Las Flores, aro 2 m", None),
        ("in case of rain we move inside but its outdoors in the yard", "outdoor"),
        ("in the yard, or inside if it rains", "outdoor"),
        ("outside if weather is nice, otherwise inside", None),
        ("indoor or outdoor not sure yet", None),
        ("at Pinewood Lodge, Estes Park", None),
        ("boda en Playa del Carmen", None),
        ("at the Basement Lounge, 9pm", None),
        ("6ft hoop in the garage", None),
    ],
)
def test_the_setting_is_said_only_where_sure(text: str, setting: str | None) -> None:
    assert slots_of(text).setting == setting


_PARTS = (
    *("at", "in", "Elm", "Hall", ",", ".", "on", "the", "of"),
    *("Main", "12", "St.", "en", "la", "calle", "de", "VFW"),
)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.sampled_from(_PARTS)))
def test_no_heap_of_names_breaks_the_reading(words: list[str]) -> None:
    text = " ".join(words)
    assert slots_of(text) == slots_of(text)


@pytest.mark.parametrize(
    "part", ["at the Elm Hall, ", "St. ", "Rt 9 ", "en la ", "A, ", "inside or "]
)
def test_a_very_long_run_of_names_is_read_in_a_second(part: str) -> None:
    begun = time.perf_counter()
    slots_of((part * 20_000)[:20_000])
    assert time.perf_counter() - begun < 1.0
