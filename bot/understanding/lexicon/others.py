"""The commonest words of Portuguese, French, German and Italian, which clash with no other.

Enough to see which day, for what and what kind of piece; the talk goes on in English or Spanish.
"""

MONTHS = {
    "janvier": 1,
    "fevrier": 2,
    "mars": 3,
    "avril": 4,
    "mai": 5,
    "juin": 6,
    "juillet": 7,
    "aout": 8,
    "septembre": 9,
    "octobre": 10,
    "novembre": 11,
    "decembre": 12,
    "janeiro": 1,
    "fevereiro": 2,
    "maio": 5,
    "junho": 6,
    "julho": 7,
    "setembro": 9,
    "outubro": 10,
    "novembro": 11,
    "dezembro": 12,
    "januar": 1,
    "februar": 2,
    "marz": 3,
    "juni": 6,
    "juli": 7,
    "oktober": 10,
    "dezember": 12,
    "gennaio": 1,
    "febbraio": 2,
    "aprile": 4,
    "maggio": 5,
    "giugno": 6,
    "luglio": 7,
    "settembre": 9,
    "ottobre": 10,
    "dicembre": 12,
    **dict.fromkeys(("stycznia", "января"), 1),
    **dict.fromkeys(("lutego", "февраля"), 2),
    **dict.fromkeys(("marca", "марта"), 3),
    **dict.fromkeys(("kwietnia", "апреля"), 4),
    **dict.fromkeys(("maja", "мая"), 5),
    **dict.fromkeys(("czerwca", "июня", "hunyo"), 6),
    **dict.fromkeys(("lipca", "июля", "jiye", "hulyo"), 7),
    **dict.fromkeys(("sierpnia", "августа"), 8),
    **dict.fromkeys(("wrzesnia", "сентября", "septanm", "setyembre"), 9),
    **dict.fromkeys(("pazdziernika", "октября", "oktob", "oktubre"), 10),
    **dict.fromkeys(("listopada", "ноября", "novanm", "nobyembre"), 11),
    **dict.fromkeys(("grudnia", "декабря", "desanm", "disyembre"), 12),
}

OCCASIONS = {
    "mariage": "wedding",
    "casamento": "wedding",
    "hochzeit": "wedding",
    "anniversaire": "birthday",
    "geburtstag": "birthday",
    "compleanno": "birthday",
    "bapteme": "religious",
    "batizado": "religious",
    "taufe": "religious",
    "formatura": "graduation",
}
# The same word means another thing than in Spanish.
OCCASIONS_IN = {"pt": {"aniversario": "birthday"}}

SUPPORTS = {
    "arche": ("freestanding_arch", "product"),
    "ballonbogen": ("freestanding_arch", "product"),
    "guirlande": ("other", "generic"),
    "girlande": ("other", "generic"),
    "ballongirlande": ("other", "generic"),
    "ghirlanda": ("other", "generic"),
}

COLOURS = {
    **dict.fromkeys(("branco", "branca", "blanc", "blanche", "weiss", "bianco"), "white"),
    **dict.fromkeys(("preto", "preta", "noir", "noire", "schwarz", "nero"), "black"),
    **dict.fromkeys(("vermelho", "rouge", "rosso"), "red"),
    **dict.fromkeys(("amarelo", "jaune", "gelb", "giallo"), "yellow"),
    **dict.fromkeys(("dourado", "dore", "doree", "dorato"), "gold"),
    **dict.fromkeys(("prateado", "argente", "silber"), "silver"),
    **dict.fromkeys(("bleu", "bleue", "blau"), "blue"),
    **dict.fromkeys(("vert", "verte", "grun"), "green"),
    "roxo": "purple",
}
