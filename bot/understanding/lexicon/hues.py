"""What colours look like that clients name: sRGB as hexadecimal, by plain English names.

The screen's and the survey's names are taken where a decorator means the same by them. Where they
do not ("sage" of the survey is a leaf green, "lavender" of the screen nearly white) the name stands
under `_DECOR`, and its value is our own judgement.
"""

from collections.abc import Mapping

from bot.understanding.lexicon.wordlist import listed


def _hues(text: str) -> dict[str, str]:
    pairs = (entry.rsplit(maxsplit=1) for entry in text.split(","))
    return {" ".join(name.split()): f"#{value}" for name, value in pairs}


# CSS Color Module Level 4, "Named colors" (W3C).
_SCREEN = _hues(
    """
    alice blue f0f8ff, antique white faebd7, azure f0ffff, cadet blue 5f9ea0, coral ff7f50,
    cornflower blue 6495ed, crimson dc143c, deep pink ff1493, deep sky blue 00bfff,
    dodger blue 1e90ff, firebrick b22222, floral white fffaf0, ghost white f8f8ff,
    goldenrod daa520, honeydew f0fff0, hot pink ff69b4, lemon chiffon fffacd, linen faf0e6,
    mint cream f5fffa, misty rose ffe4e1, old lace fdf5e6, olive 808000, olive drab 6b8e23,
    papaya whip ffefd5, peach puff ffdab9, rosy brown bc8f8f, royal blue 4169e1,
    saddle brown 8b4513, salmon fa8072, sea green 2e8b57, seashell fff5ee, sienna a0522d,
    sky blue 87ceeb, slate gray 708090, snow fffafa, spring green 00ff7f, steel blue 4682b4,
    tan d2b48c, thistle d8bfd8, tomato ff6347, wheat f5deb3
    """
)

# The colour survey of xkcd, 2010: the 954 commonest names (rgb.txt, CC0).
_SURVEY = _hues(
    """
    amber feb308, apple green 76cd26, apricot ffb16d, army green 4b5d16, aubergine 3d0734,
    avocado 90b134, azul 1d5dec, baby blue a2cffe, baby pink ffb7ce, baby purple ca9bf7,
    banana ffff7e, blood orange fe4b03, blood red 980002, blue 0343df, blueberry 464196,
    bottle green 044a05, brick a03623, brick red 8f1402, brown 653700, bubblegum pink fe83cc,
    burgundy 610023, burnt orange c04e01, burnt sienna b04e0f, burnt umber a0450e,
    camel c69f59, canary fdff63, caramel af6f09, carnation fd798f, carolina blue 8ab8fe,
    cerise de0c62, cerulean 0485d1, cherry cf0234, cinnamon ac4f06, clay b66a50,
    cobalt 1e488f, coral pink ff6163, cranberry 9e003a, dandelion fedf08,
    dusty lavender ac86a8, dusty orange f0833a, dusty pink d58a94, dusty purple 825f87,
    dusty red b9484e, dusty rose c0737a, dusty teal 4c9085, emerald 01a049, evergreen 05472a,
    fern 63a950, forest 0b5509, grape 6c3461, grass green 3f9b0b, green 15b01a,
    heather a484ac, hunter green 0b4008, jade 1fa774, kelly green 02ab2e, leaf green 5ca904,
    lemon fdff52, lilac cea2fd, lipstick d5174e, mahogany 4a0100, mango ffa62b,
    marigold fcc006, melon ff7855, merlot 730039, midnight 03012d, moss 769958, navy 01153e,
    ocean blue 03719c, ochre bf9005, old rose c87f89, olive green 677a04, orange f97306,
    peach ffb07c, peacock blue 016795, petrol 005f6a, pine green 0a481e, pink ff81c0,
    pumpkin e17701, purple 7e1e9c, red e50000, red wine 8c0034, rose cf6275, rose pink f7879a,
    rose red be013c, rouge ab1239, royal purple 4b006e, rust a83c09, saffron feb209,
    salmon pink fe7b7c, scarlet be0119, sea blue 047495, seafoam 80f9ad, shamrock 01b44c,
    slate 516572, slate blue 5b7c99, spruce 0a5f38, squash f2ab15, steel 738595,
    strawberry fb2943, sunflower ffc512, tangerine ff9408, terracotta ca6641,
    tomato red ec2d01, ultramarine 2000b1, vermillion f4320c, violet 9a0eea, wine 80013f,
    wisteria a87dc2, yellow ffff14
    """
)

# Common practice, no source: what balloons, paper, cloth and flowers so called look like.
_DECOR = _hues(
    """
    adobe b8704e, almond e9d8bf, amethyst 9966cc, antique gold b08d4a, aqua 5fcfcf,
    aquamarine 86dcc8, ash b2b3b0, ballet pink f3d0d0, basil 55703f, beige dbc9ad,
    berry 8e2550, biscuit dfc49e, black 17171a, bluebell 7f86d0, blush f1cfc8, bone e6dcc8,
    bordeaux 611a2e, boysenberry 6f2147, bronze 9a6b3c, butter f9e48c, buttercream f8edc9,
    butterscotch dfa14e, candy apple red c8102e, cantaloupe f7b27a, canyon b5694a,
    caribbean 1fb2b4, carrot ee7f2d, cashew d9b98f, cayenne 98301f, celadon b5d3b3,
    celery c4d08f, chambray 6a86ab, champagne dcc7a1, champagne gold d6bc8a, charcoal 464748,
    charcoal grey 464748, chartreuse b5d334, cherry blossom pink f7c4d0, cherry red c4122f,
    chestnut 7f4a35, chili 9a2a1f, chocolate 5b3a29, chrome b9bdc2, citron c9c02e,
    cloud e3e6e8, cocoa 7a5444, coffee 6b4c3b, cognac 9a5b34, concrete a5a5a2, copper b2683f,
    corn f2cf63, cornflower 6f8fd9, cotton candy pink f8b6d4, cream f4e9d3, custard f3dfa2,
    cyan 2fd0e0, daffodil fbe04b, dark pink c2407a, denim 4a6a94, desert d7b08a,
    dove grey bfc0bf, dune cdb893, dusty blue 8fa6b8, dusty mauve b08f97, ebony 211f1f,
    eggplant 4a2545, eggshell f2ead8, elderflower eef0cf, electric blue 1f6bff,
    espresso 402d25, eucalyptus 93a893, fire engine red ce2029, flamingo f58a9c, fog b8bec4,
    french blue 6d90b5, fuchsia d62b84, garnet 73182c, gold c9a24b, graphite 45474a,
    greige bdb3a5, grey 9c9fa3, gunmetal 4a4f55, honey d9a441, honey gold cf9b3e,
    hydrangea 93a5d8, ice blue c9e4f2, icy blue c9e4f2, indigo 3f3a8a, ink 1e2638,
    iris 6a5acd, ivory faf3e0, jungle green 1c6f4e, juniper 3d5a4c, khaki bdae83,
    lagoon 2a9aa4, latte cfb08c, laurel 7d9474, lavender c3b1dc, lavender grey b9b3c4,
    lemonade f7ef9e, light brown c2a07a, light yellow fce57e, lime a6d93b, lime green 5fc53b,
    magenta c9247f, maroon 701c2e, marsala 8c4a4a, matcha a3b566, mauve b48a9b, mint a8dcc5,
    mocha 8a6a55, mulberry 86305e, mushroom b9a99a, mustard d19a2a, natural e0d3b8,
    nectarine f5895a, neon green 5bf23c, neon orange ff6a2b, neon pink ff3f9f,
    neon yellow f3f315, nude e3c5ae, oatmeal ddd0bb, off white f6f1e6, onyx 1b1b1d,
    orchid c583c2, oxblood 571a1f, pale yellow fbeea6, papaya f59a63, paprika a63a24,
    pastel yellow fbe88f, peacock 0f6b78, pear cbd65c, pearl f3f1ec, periwinkle 9aa3e3,
    persimmon e2602c, pewter 8a8d8f, pineapple f4cf45, pistachio bfd49a, platinum dcdddc,
    plum 6b2f5f, powder blue b4cde0, powder pink f0d2d0, raspberry b3225a,
    robin egg blue 8fd6de, rose gold c98f7b, rose quartz edc6cb, rosemary 6f8267, ruby b01d3f,
    ruby red 9f1239, sage a9b79a, sand d9c3a0, sandstone c8a27a, sapphire 1d4fa3,
    sea glass b5d8cc, silver b9bdc2, snow white fbfcfd, space blue 1b2440, spearmint 7fcdb0,
    stone b8b0a2, storm 6b7785, sunset f08a5d, sunshine fbd33c, taupe b09f8e,
    tea green cfe0b4, tea rose f1b9b0, teal 0f7c82, titanium 8d8b88, toffee a9703f,
    tropical green 1f9d6b, turmeric d7981f, turquoise 3fbfc0, vanilla f5e6c0, walnut 6b4f3c,
    watermelon f2596b, white fdfdfb, willow a3b18a, winter white f4f4f0
    """
)

HUES: Mapping[str, str] = {**_SCREEN, **_SURVEY, **_DECOR}

# The plainest names: of two of these said together neither rules.
PLAIN_HUES = listed("white black grey red orange yellow green blue purple pink brown")

# Other spellings, and forms that mean the colour itself.
SPELLINGS: Mapping[str, str] = {
    "gray": "grey",
    "silvery": "silver",
    "golden": "gold",
    "violette": "violet",
    "whitish": "white",
    "blackish": "black",
    "greyish": "grey",
    "grayish": "grey",
    "reddish": "red",
    "orangey": "orange",
    "yellowish": "yellow",
    "greenish": "green",
    "bluish": "blue",
    "blueish": "blue",
    "purplish": "purple",
    "pinkish": "pink",
    "brownish": "brown",
    "peachy": "peach",
    "minty": "mint",
    "creamy": "cream",
    "creme": "cream",
    "fuschia": "fuchsia",
    "multicolour": "multicolor",
    "multicolored": "multicolor",
    "multicoloured": "multicolor",
    "colorful": "multicolor",
    "colourful": "multicolor",
}

# Plain English, one slip away from a colour.
NOT_HUES = listed(
    """
    battle better bullet burnet butler butner canton cannon carmel carney carter cashed classical
    colton cooper coronation couper darken dessert dodger electrical electronic fier forrest garner
    garret gary juggle kelley latter lighten linden marion matter matteo naturally neural oliver
    pasted patrol petrel ponder primarily rogue solver spaced sprint sprung squish steele string
    subset whisker whiten wien winder winner
    """
)

# Names of many colours at once, in the order in which to offer them.
FAMILIES: Mapping[str, tuple[str, ...]] = {
    "earth tone": ("terracotta", "sand", "olive", "mustard", "chocolate", "cream"),
    "jewel tone": ("emerald", "sapphire", "ruby", "amethyst", "teal", "amber"),
    "neutral": ("white", "cream", "sand", "taupe", "dove grey"),
    "pastel": ("ballet pink", "mint", "powder blue", "lavender", "butter", "peach"),
    "rainbow": ("red", "orange", "yellow", "green", "blue", "purple"),
    "multicolor": ("red", "orange", "yellow", "green", "blue", "purple"),
    "primary": ("red", "yellow", "blue"),
    "black and white": ("black", "white"),
}
