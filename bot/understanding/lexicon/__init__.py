"""The words, as Python data: no file is read. Languages are merged wherever their words do not
clash; the few that clash are kept apart by name."""

from bot.understanding.lexicon import en, es, others

NUMBER_WORDS = {**es.NUMBER_WORDS, **en.NUMBER_WORDS}
ORDINALS = {**es.ORDINALS, **en.ORDINALS}
MONTHS = {**others.MONTHS, **es.MONTHS, **en.MONTHS}
WEEKDAYS = {**es.WEEKDAYS, **en.WEEKDAYS}
OCCASIONS = {**others.OCCASIONS, **es.OCCASIONS, **en.OCCASIONS}
VENUES = en.VENUES | es.VENUES
PLAIN_VENUES = en.PLAIN_VENUES | es.PLAIN_VENUES
INDOOR = (*en.INDOOR, *es.INDOOR)
OUTDOOR = (*en.OUTDOOR, *es.OUTDOOR)
GUEST_NOUNS = f"{en.GUEST_NOUNS}|{es.GUEST_NOUNS}"
FOIL_SHAPES = {**es.FOIL_SHAPES, **{shape: shape for shape in en.FOIL_SHAPES}}
FULLNESS = {**es.FULLNESS, **en.FULLNESS}
SUPPORTS = {**others.SUPPORTS, **es.SUPPORTS, **en.SUPPORTS}
