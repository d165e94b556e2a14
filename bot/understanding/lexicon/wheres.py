"""Small words around the names of places, English and Spanish together."""

from bot.understanding.lexicon.wordlist import listed

SKIPPED = listed(
    """
    a an the our my his her your their this some un una el la los las nuestro nuestra mi
    su sus local o downtown beautiful historic
    """
)
OWNERS = listed("our my his her your their mi mis tu tus su sus nuestro nuestra nuestros")
ENGLISH_OWNERS = listed("our my his her your their")
OWNED = OWNERS | listed("a an some this un una")
CONNECTORS = listed("of the de del la las los el y on by at and")
TOWN_CUES = ("in", "near", "en", "em", "cerca", "nan", "deliver", "come", "moved")
STATES = listed(
    """
    al ak az ar ca co ct dc de fl ga hi ia id il in ks ky la ma md me mi mn mo ms mt nc nd
    ne nh nj nm nv ny oh ok or pa ri sc sd tn tx ut va vt wa wi wv wy mass massachusetts
    maine florida texas california connecticut vermont jersey ohio michigan illinois indiana
    georgia arizona nevada oregon utah colorado alabama kentucky tennessee louisiana
    minnesota wisconsin missouri oklahoma kansas nebraska iowa idaho montana hampshire
    pennsylvania maryland delaware hawaii alaska arkansas mississippi virginia
    """
)
STATES_LIKE_WORDS = listed("al co de hi id in la me ok or pa oh mi")
STOPS = listed(
    """
    on for with at from by is are and we i but so to this next around starting n plus near
    which that in it its the a an if can could do does have has having want need will
    would be was were please thanks thank pls starts start party event para con por y el
    es son que mas me del al quiero necesito around about before after between until till
    colors colours color budget indoors indoor outdoors outdoor inside outside setup set w
    interior exterior adentro afuera
    you u or not no garland balloons balloon arch hoop column columns morning afternoon
    evening night noon town advance total person general stock gold silver today tomorrow
    tonight approx zip zips zipcode code cp codigo postal our my your
    her his their then also when where
    they she he there theres here just like doing opening opens hosting having maybe
    called named hosts hosted wants needs
    venue location address lugar esta estan queda sera seria va fue estara mi
    tu su nuestro nuestra pero porque pa q
    somos seran tengo tenemos vamos ocupo quisiera busco cuanto precio gracias favor
    en late early though thx ty and plis e o how much what who because since while
    """
)
# A name whose noun comes first: "Temple Beth Shalom", "salon Los Olivos".
OPENS = listed(
    """
    temple hotel restaurant church salon iglesia templo restaurante parque escuela plaza
    hacienda colegio quinta finca rancho capilla club park chapel casa villa jardin jardines
    centro teatro museo biblioteca parroquia catedral terraza cafe bar university cathedral
    instituto kinder primaria secundaria prepa preparatoria guarderia universidad auditorio
    bodega playa lienzo estadio gimnasio deportivo library museum school hospital inn mision
    convento granja vinedo huerto alberca colonia shrine synagogue monastery abbey vfw elks
    cafeteria taqueria pizzeria panaderia trattoria cantina ristorante registro aeropuerto
    presidencia explanada ayuntamiento malecon foro alcaldia congregation
    """
)
# These open a name even in lower case: "temple beth shalom".
OPENS_LOW = listed("temple hotel villa casa cafe bar chapel pizzeria trattoria cantina ristorante")
# One's own house, its rooms and grounds.
HOME = listed(
    """
    house home yard backyard garden gardens patio terrace lawn room ballroom lobby garage
    basement deck porch driveway apartment casa jardin patio terraza sala cochera playa
    beach park parque rooftop courtyard kitchen hospital departamento depa azotea traspatio
    """
)
# "waist high" is a height, "northbrook high" a school.
HEIGHTS = listed("waist knee chest shoulder head hip eye super really very about this that how")
# Rooms and premises that say nothing when nothing else is said: "at the gym", "en la oficina".
PREMISES = listed(
    """
    gym gymnasium auditorium cafeteria office store shop oficina tienda classroom studio
    hotel restaurant restaurante school escuela auditorio gimnasio room centro bar cafe cancha
    business negocio local kitchen orchard field
    """
)
# Nouns of venues only in capitals: "Belton High", "Court Square".
CAPITAL_VENUES = listed(
    "high middle square common commons pool house lounge building tower arms landing grove"
)
TOWN_GROUNDS = listed("common commons green square")
# Between a town's or a saint's name and the noun: "St. Odile's parish hall".
KINDS = listed(
    """
    town village city community parish public fellowship social senior civic
    municipal principal comunitario comunitaria cultural usos multiples civil civico parroquial
    ejidal
    """
)
# Capitals that stand alone and are no place.
NO_LONE_NAMES = listed(
    """
    hi hello hey hiya hola yo thanks thank thx gracias please pls quote price help ok okay yes
    yep sure sorry oops wow yay omg lol asap urgent balloons balloon budget kids guests adults
    people family mom dad dear sir madam ma'am good morning buenos buenas dias tardes best regards
    cheers sincerely love ps nb fyi also maybe anyway so and but well great perfect cool questions
    go team happy birthday nothing everything something no
    """
)
IN_LONE_NAMES = listed(
    """
    first second new old of the de la el los las del y and on at grace trinity family holy our
    court
    """
)
PERSONS = listed(
    """
    niece nephew daughter son wife husband mom mother dad father sister brother aunt uncle cousin
    girl boy baby kid friend boss coach teacher grandma grandpa grandmother grandfather neighbor
    fiance fiancee girlfriend boyfriend partner bestie goddaughter godson twins couple named name
    names called client hija hijo esposa esposo mama papa hermana hermano tia tio prima primo abuela
    abuelo sobrina sobrino nieta nieto amiga amigo comadre compadre ahijada ahijado novia novio
    llama nombre thanks thank thx gracias regards cheers hi hello hey hola dear im soy for para
    """
)
OF_PERSONS = listed("turns turning is was who has will wants here cumple va es quiere se speaking")
# Nouns of venues that a number follows: "VFW Post 118", "Pavilion 2".
NUMBERED = listed(
    "post studio pier lodge local pavilion shelter hall elks vfw rt rte route hwy highway station "
    "seccion"
)
# Words that begin the names of towns, whatever else they are.
BEGIN_TOWNS = listed("san santa saint st new fort los las el la mount lake spring")
# Rooms of a house that is better named itself.
ROOMS = listed(
    """
    gym gymnasium cafeteria cafetorium ballroom lobby room classroom courtyard patio garden
    terrace clubroom rooftop basement lawn office gimnasio jardin terraza sala
    """
)
# Parts of a building that belong to what they are part of: "la entrada de la oficina".
PARTS = listed(
    "entrance entry entryway front back side stage lot entrada puerta fachada recibidor escenario"
)
# Before a venue noun they say what it is for: "picnic shelter", "senior center".
PURPOSES = KINDS | listed(
    "picnic banquet function reception dance teen youth rec recreation event events wedding"
)
SAINTS = listed("st sts ss saint san santa santo holy our sacred")
IN_SAINTS = SAINTS | listed("heart cross family rosary spirit")
# What one comes together for: "la parroquia y comida en el salon" are two places.
MEALS = listed("comida cena misa fiesta brindis recepcion desayuno convivio")
# "opera house", "boat house".
PUBLIC_HOUSES = listed(
    "opera meeting boat fire club court school play custom field state coffee movie lake bath"
)
# Capitals that open a message and are a church's rather than a person's.
OPEN_MESSAGES = SAINTS | listed("first second trinity immaculate")
# Gatherings and people before "in": "small dinner in Medway", "the girls in Medway".
NO_HOUSES = listed(
    """
    bash dinner lunch brunch supper bbq barbecue cookout gathering thing get together reunion
    event small big little lil kids girls boys guys moms friends people folks client clients
    customer based located live lives living located stuck someone anyone everyone stationed we're
    arch arches garland balloon balloons setup decor delivery job venue place spot location near
    thinking something anything available everything all both back here over out down up
    apartment apt condo townhouse new moving bridal baby work works working wedding
    """
)
AFTER_VENUES = listed("in near at en on from this next for with con para el")
AFTER_NAMES = listed(
    """
    on at for around by next this please thanks thx from starting and with zip para con
    the near en in tomorrow today saturday sunday friday because but so we i its my our is area
    hosts has wants needs called named
    """
)
# Never part of a venue's name in lower case.
NO_NAMES = listed(
    """
    a an the our my his her your their this that some of opening new old 2nd second first
    whole entire big small theme themed party yo hey hi for ceiling wall decorate decorating
    do you we they i is are its from grand local next same nice pretty whole across
    """
)
# Lower-case words after "in" or "en" that are no town.
NO_TOWNS = listed(
    """
    advance total person stock mind general particular case front between town love memory
    honor honour cash english spanish foil letters letter color colors colour colours shade
    shades tone tones theme style addition time times need hand charge fact touch order
    school college church bed line question bulk season progress size height width length
    diameter feet foot inches inch meters metres balloons balloon paper writing return short
    full half pieces piece place common public private doors heaven hospital evening morning
    afternoon summer winter spring fall here there it them this that these those which what
    state city country area areas neighborhood middle center centre back corner background
    air sky sun rain wind minutes weeks week days day months month years year hours hour
    about around like mid late early mom dad budget dollars addition between above below each
    all any every other another different case dispatch trouble tears shock panic hurry rush
    bunch mix bag box pair row rows circle shape form front place person photos pictures
    pics video detail details advance writing spirit style bloom session attendance lieu
    contact use service exchange part whole store stores shop house home work least most
    once first last night noon midnight end ends same top bottom side sides door finish
    start beginning entrance exit dinner lunch brunch breakfast sunset sunrise dusk dawn
    church school work camp anytime some our your their sweetheart numbers number digits
    figures silk ribbon fabric greenery flowers flower roses leaves helium water vinyl
    lights lighting matte latex chrome plastic metal wood glass decor decoration setup
    installation delivery pricing prices price cost quote hope hoping having looking doing
    making planning adding seeing touch theory practice kindergarten preschool grade elementary
    total efectivo persona general particular caso frente cuanto casa linea globos letras
    letra tonos tono color colores forma blanco verano invierno otono primavera medio base
    mente cualquier ese este esta esa eso un una el la los las mi su que donde cuenta
    metalico metalica metalicos metalicas lugar vez ingles espanol pies metros metro
    pulgadas interior exterior interiores exteriores fin punto horas hora dias dia semanas
    semana meses mes vivo papel plata oro aluminio numero numeros total todo toda todos
    todas mano venta oferta mayo realidad serio otra otro otras otros cada algun alguna
    nada mucho poco forma foto fotos tela tul pared techo puerta entrada escalera mesa
    mesas columna columnas arco aro guirnalda juego ambos ambas lo le te se me nos de del
    al con por para sin y o si no ya ahi aca alla aqui cuando como tipo modo manera
    tarde noche manana madrugada mediodia gusto tema fiesta familia grupo
    ocho quince dado breve lista espera estos estas esos esas mis sus tus nuestro nuestra
    """
)
# Whose house it is, and no more: "at grandma's", "at Aunt Linda's".
KIN = listed(
    """
    grandma grandmas grandpas moms mom dads mums nanas aunt aunts auntie uncle uncles cousins
    sisters brothers parents friends boss bosss tia abuela abuelita suegra mama
    """
)
TITLES = listed(
    "mr mrs ms miss dr father fr sister coach chief captain sgt pastor rev rabbi padre don dona"
)
