"""The shop's wording in English. A new language is a new module with the same names.

Texts are templates for `str.format`; what a client typed is only ever a value in them.
"""

from collections.abc import Mapping

TEXTS: Mapping[str, str] = {
    # Beginnings and ends
    "welcome": "Hi, this is {shop} in {town}! Tell me about your event and I'll work out a"
    " ballpark price for the balloons.",
    "happy_to_help": "Happy to help!",
    "celebrating": "{celebrated}, lovely!",
    "your": "Your {value}",
    "a": "A {value}",
    "an": "An {value}",
    "again_from_start": "All right, fresh start.",
    "another_event": "Lovely, another one. Let's take it from the top.",
    "cancelled": "No problem, I've set that aside. Just write when you'd like a price again.",
    "cancelled_after_sending": "No problem, I've noted that you'd rather not go on. {owner} sees"
    " it here. If a date is already held or paid for, please also tell {owner} directly:"
    " {contact}.",
    "working": "Working it out now, usually a few seconds.",
    # Questions
    "ask.support": "What would you like the balloons on?",
    "ask.support.length": "What will carry the {length} garland: a wall, a doorway, a table?",
    "ask.support.edit": "What should I build? Pick one, or tell me what to add or leave out, such"
    " as “add a pair of columns”.",
    "ask.size": "How big should the {piece} be?",
    "ask.size.length": "How long should the garland on the {piece} be?",
    "ask.size.rest.height_m": "The {piece} is {known} so far. How tall should it be?",
    "ask.size.rest.width_m": "The {piece} is {known} so far. How wide should it be?",
    "ask.count": "How many {piece} would you like?",
    "ask.date": "What day is the event?",
    "ask.date.month": "Which day in {month}?",
    "ask.place": "Where will it be? A postal code or a town is enough.",
    "ask.setting": "Is that indoors or outdoors?",
    "ask.colours": "Which colors would you like? For example {colours}.",
    "ask.start_time": "What time does it start?",
    "ask.again": "Sorry, I didn't quite get that.",
    "hint.support": "One of these, or a few words such as “a hoop and two columns”.",
    "hint.size": "Something like “{example}” is perfect.",
    "hint.which_way": "Just “wide” or “tall” is perfect.",
    "hint.count": "Just a number is perfect.",
    "hint.date": "Something like “June 6” or “next Saturday” is perfect.",
    "hint.place": "Something like “02139” or the town's name is perfect.",
    "hint.setting": "Just “indoors” or “outdoors” is perfect.",
    "hint.colours": "Something like “{colours}” is perfect.",
    "hint.start_time": "Something like “3 pm” is perfect.",
    "third_miss": "I'm sorry, I keep missing your meaning. {owner} sees this conversation and can"
    " help; you can also reach {owner} directly: {contact}. Or pick a button.",
    "third_miss.again": "I'm sorry, I still don't get it. {owner} sees this conversation and can"
    " help. Or pick a button.",
    # What was taken for an unknown
    "took_usual_support": "Then I'll go with a round-top frame, {size}: a usual choice, and easy to"
    " change later.",
    "took_wall": "Then I'll price it along a wall for now: {piece}.",
    "took_pair": "Then I'll plan a pair for now.",
    "took_usual_size": "No problem, I'll take a usual size for now: {size}.",
    "left_open.date": "No problem, the day can come later.",
    "left_open.place": "No problem, the place can come later.",
    "left_open.setting": "No problem, we can see about that later.",
    "left_open.colours": "No problem, the colors can wait.",
    "left_open.start_time": "No problem, the time can come later.",
    "nothing_to_skip": "No hurry at all.",
    # Faults, kindly
    "past_date": "That day has already gone by, I'm afraid.",
    "date_passed_meanwhile": "The day we had written down has gone by in the meantime.",
    "unclear_date": "I want to be sure of the day.",
    "odd_size": "I may have misread that size. Most pieces are between 2 and 40 ft, such as"
    " {example}.",
    "negative_budget": "I'll leave the budget open: that figure came out below zero on my side.",
    "which_way": "Is the {size} the width or the height?",
    "refused": "Before I can price this, one thing needs another look: {field}. {detail}",
    "refused_unknown": "Something in there I can't price as it stands. {detail}",
    # Safety
    "unsafe_release": "We don't do balloon releases: what goes up comes down as litter that harms"
    " animals and can foul power lines, and many places forbid it. An air-filled arch to gather"
    " under, or bubbles, makes as good a moment.",
    "hydrogen": "We never fill with hydrogen: it can catch fire from a spark. Our garlands are"
    " filled with plain air and need no gas at all.",
    "latex": "Before anything else: latex can set off a serious allergic reaction, and many places"
    " of care don't allow it. {owner} will look at this before any price; please also ask the venue"
    " whether latex balloons are allowed.",
    "latex.again": "Yes, that is in the notes for {owner}.",
    "helium": "Our garlands are filled with air, so no helium is needed; they stand on their own"
    " frame.",
    "balloon_drop": "A balloon drop is its own kind of job, not a garland, so I'd rather not guess"
    " a price. {owner} sees this conversation and answers here. You can also ask directly:"
    " {contact}.",
    "balloon_drop.again": "{owner} answers that here.",
    # Talk
    "thanks": "You're welcome!",
    "person": "Of course. {owner} sees this conversation and answers here. You can also reach"
    " {owner} directly: {contact}.",
    "person.again": "Of course. {owner} sees this conversation and answers here.",
    "for_owner": "Thank you. That's for {owner}, who sees this conversation.",
    "complaint": "I'm sorry to hear that. {owner} sees this conversation and will want to put it"
    " right. You can also reach {owner} directly: {contact}.",
    "complaint.again": "I'm sorry. {owner} sees this conversation and answers here.",
    "in_care": "{owner} has your message and answers here.",
    "question.again": "{owner} answers that here.",
    "out_of_scope.again": "We build air-filled balloon garlands; {owner} answers the rest here.",
    "question": "That's one for {owner}, who sees this conversation. You can also ask directly:"
    " {contact}.",
    "other_language": "I only write English so far. {owner} sees this conversation and can help"
    " too; or get in touch directly: {contact}.",
    "other_language.es": "Por ahora solo escribo en inglés; {owner} ve esta conversación y te puede"
    " ayudar, aquí o directamente: {contact}.",
    "out_of_scope": "We build air-filled balloon garlands. For anything else, {owner} sees this"
    " conversation and can tell you more; or ask directly: {contact}.",
    "help": "Tell me what you have in mind in your own words and I'll send a ballpark price. You"
    " can say “start over” or “cancel” any time, or “talk to a person”.",
    "status.asking": "I'm still collecting the details. I'll price it as soon as you've said yes.",
    "status.readback": "It's ready to price. I only need your yes.",
    "status.sent": "Usually it is here within seconds; if you see a price above, that is it. If"
    " {owner} wanted to look first, the answer comes right here.",
    "dear": "I understand. A shorter garland or an airier look brings the price down. What would"
    " you like to try?",
    "dear.smaller": "I understand. A smaller size brings the price down. Would you like to try"
    " one?",
    "already_sent": "I have that already, no need to press twice.",
    "sent_offer": "You can tell me what to change, or start another event.",
    "stale": "That button was for an earlier question.",
    "outdated_yes": "Some details have changed since, so please check once more.",
    "no_photo": "I can only read text here, sorry. Just tell me in a few words.",
    "nothing_changed": "That's how I have it.",
    "changed": "Changed.",
    "noted": "Noted: {news}.",
    "removed": "Without the {piece}, then.",
    "no_such_colour": "There's no {colour} in it.",
    "what_to_change": "Of course. What should I change?",
    # Readback
    "readback.head": "Here's what I have:",
    "readback.tail": "Shall I price it?",
    "open": "not sure yet",
    "month_open": "a day in {month} {year}",
    "guests": "{value} guests",
    "readback.date": "Date: {value}",
    "readback.time": "Starts: {value}",
    "readback.colours": "Colors: {value}",
    "readback.where": "Where: {value}",
    "readback.occasion": "For: {value}",
    "readback.foils": "Foil balloons: {value}",
    "readback.guests": "Guests: {value}",
    "readback.budget": "Budget: {value}",
    "readback.fullness": "Fullness: {value}",
    "assumed": "a usual size",
    "usual_slope": "at a usual slope",
    "usual_dip": "with a usual dip of {value}",
    "budget.max": "up to {max}",
    "budget.min": "from {min}",
    "budget.range": "{min} to {max}",
    "wide": "{value} wide",
    "tall": "{value} tall",
    "long": "{value} long",
    "across": "{value} across",
    "along": "{value} along",
    "high": "{value} high",
    "time_range": "{start} to {end}",
    # Buttons
    "button.skip": "Not sure yet",
    "button.confirm": "Yes, price it",
    "button.person": "Talk to {owner}",
    "button.restart": "Start another event",
    "button.airy": "Make it airy",
    "button.smaller": "Make it shorter",
    "button.edit.support": "Change pieces",
    "button.edit.size": "Change size",
    "button.edit.size.of": "Size: {piece}",
    "button.edit.date": "Change date",
    "button.edit.start_time": "Change time",
    "button.edit.place": "Change place",
    "button.edit.setting": "Indoors or outdoors",
    "button.edit.colours": "Change colors",
    "indoor": "Indoors",
    "outdoor": "Outdoors",
    "column_pair": "Column pair",
    "pair": "2 (a pair)",
}

# Singular and plural, as in a sentence.
SUPPORTS: Mapping[str, tuple[str, str]] = {
    "round_top_frame": ("round-top frame", "round-top frames"),
    "square_frame": ("square frame", "square frames"),
    "hoop": ("hoop", "hoops"),
    "wall": ("wall", "walls"),
    "doorway": ("doorway", "doorways"),
    "staircase": ("staircase", "staircases"),
    "mantel": ("mantel", "mantels"),
    "table": ("table", "tables"),
    "ceiling": ("ceiling", "ceilings"),
    "freestanding_arch": ("freestanding arch", "freestanding arches"),
    "swag": ("swag", "swags"),
    "column": ("column", "columns"),
    "": ("garland", "garlands"),
}

# What a refused field is called. The last part of the wire's field name decides.
FIELDS: Mapping[str, str] = {
    "support": "what carries the garland",
    "count": "how many pieces",
    "width_m": "the width",
    "height_m": "the height",
    "length_m": "the length",
    "sag_m": "the dip of the swag",
    "rise_m": "the stairs",
    "run_m": "the stairs",
    "date": "the date",
    "start_time": "the start time",
    "end_time": "the end time",
    "guests": "the number of guests",
    "occasion": "the occasion",
    "setting": "indoors or outdoors",
    "place": "the place",
    "postal_code": "the postal code",
    "palette": "the colors",
    "colour": "the colors",
    "foils": "the foil balloons",
    "min": "the budget",
    "max": "the budget",
    "pieces": "what to build",
}

FULLNESS: Mapping[str, str] = {"airy": "airy", "full": "full", "lush": "extra lush"}

OCCASIONS: Mapping[str, str] = {
    "grand_opening": "opening",
    "gender_reveal": "gender reveal",
    "baby_shower": "baby shower",
    "bridal_shower": "bridal shower",
    "new_year": "New Year",
    "valentines": "Valentine's Day",
    "quinceanera": "quinceañera",
    "religious": "religious celebration",
    "corporate": "company event",
}
# An occasion that says nothing of what is celebrated, and may be a sad one.
NO_OCCASION = frozenset({"other"})
NOT_GREETED = NO_OCCASION | {"new_year", "valentines", "holiday"}

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
DATE = "{weekday}, {month} {day}, {year}"
AND = "and"
EXAMPLE_COLOURS = ("sage", "cream", "gold")


def clock(hour: int, minute: int) -> str:
    """A time of day as people say it, such as "3 pm" or "10:30 am"."""
    half = "am" if hour < 12 else "pm"
    shown = hour % 12 or 12
    return f"{shown}:{minute:02d} {half}" if minute else f"{shown} {half}"


# What a client says to the conversation itself. A whole message must match.
SAID: Mapping[str, str] = {
    "start": r"(hi|hiya|hello|hey|hey there|hi there|good (morning|afternoon|evening))",
    "restart": r"(let'?s )?(start (over|again|new|afresh)|restart|begin again|reset)"
    r"|new (quote|request)",
    "cancel": r"cancel|stop|never ?mind|forget (it|about it)|no longer needed",
    "status": r"status|any (news|update)s?|is (it|the price) (ready|done|there)( yet)?"
    r"|how long will it take",
    "help": r"help|what can (you|i) do",
    "thanks": r"(ok(ay)?|great|perfect|super|wonderful|lovely|awesome|cool)?[ ,]*"
    r"(thanks?( you)?|thx|ty|cheers|many thanks)( so much| a lot| very much)?|❤+|🙏+"
    r"|(muchas )?gracias",
    "pleased": r"ok(ay)?|great|perfect|super|wonderful|lovely|awesome|cool|nice|good|👍+",
    "yes": r"(yes|yep|yeah|yup|sure|correct|right|exactly|y|all good|looks? (good|great|right)"
    r"|that'?s (right|correct|it)|go ahead|price it|do it|confirm|ok(ay)?|great|perfect|👍+"
    r"|s[ií]|claro|correcto)"
    r"([ ,]+(please|thanks|thank you|price it|go ahead|looks good|that'?s right))?",
    "no": r"no|nope|not (quite|right|yet)|wrong|that'?s (wrong|not right)|n|change( something)?",
    "usual": r"(something )?(medium|average|normal|standard|regular|usual)( sized?| one)?"
    r"|the usual",
    "skip": r"(i'?m |we'?re )?(still )?(not |un)sure( yet)?|(i |we )?(do not|don'?t) know( yet)?"
    r"|idk|(i )?dunno"
    r"|no (idea|clue)|whenever|wherever|not decided( yet)?|skip( it| this)?"
    r"|tbd|undecided|(any|whatever)|later|(we )?haven'?t decided( yet)?"
    r"|doesn'?t matter|no preference|you (choose|decide|pick)|up to you"
    r"|(whatever|what) (do )?you (think|like|suggest|recommend)( is best)?|surprise (me|us)"
    r"|something (nice|pretty|welcoming|festive|lovely)",
}

# What begins so, and says nothing of use, is "not sure yet".
UNSURE = r"(i'?m |we'?re )?(still )?(not |un)sure\b|(i |we )?(do not|don'?t) know\b|no idea\b"
WIDE = r"\b(wide|width|wider|across)\b"
TALL = r"\b(tall|taller|high|height|higher)\b"

# These may stand anywhere in a message.
PERSON = (
    r"\b(talk|speak|chat|write)\w* (to|with) (a |an |the |some|your )?"
    r"(real |actual |live )?(person|human|someone|somebody|owner|manager|agent)\b"
    r"|\b(real|actual) (person|human)\b|\bcall me\b|\bphone number\b"
)
# The service's own rule sends a brief with such words to the owner first.
LATEX = r"\b(allerg\w*|latex|alérgic\w*|alergia\w*|hospitals?|clinics?|clínica|wards?|hospice|nicu"
LATEX += r"|icu|nursing home|care home|rehab\w*|infirmary|dialysis)\b"
HELIUM = r"(?<!no )(?<!without )(?<!not )\bhelium\b(?! tanks?)"
DROP = r"\b(balloon|ceiling) drop\b|\b(caída|caida|lluvia) de globos\b"
PRICE = r"\b(price|prices|quote|cost|costs|how much|estimate|ballpark)\b"
TOO_DEAR = r"\btoo (expensive|much|high|pricey|dear|costly)\b|\bcan'?t afford\b|\bcheaper\b"
TOO_DEAR += (
    r"|\bover (my|our|the) budget\b|\b(lower|reduce|bring down) the price\b|\bless expensive\b"
)
OFFERS = r"\b(can|could|would) (you|u|we) (do|make|get|go|take)\b|\bdo it for\b"
CELEBRATED = r"\b(?:our|my) (?P<what>(?:[a-z]+ ){0,2}[a-z]+['’]s \d{1,3}(?:st|nd|rd|th)"
CELEBRATED += r"(?: birthday| anniversary)?)\b"
ANOTHER_EVENT = r"\b(another|second|different|separate) (event|party|occasion|quote|job)\b"
ADDING = r"\b(add|also|plus|as well|too|and (?:some|a few|another)|extra|additional)\b|^and\b"
REMOVING = r"\b(remove|without|drop|leave out|take out|take off|leave off|lose|get rid of|minus)\b"
NUMBERED = r"\b(one|two|three|four|\d+) (of )?((the|my|our) )?(\w+ )?{noun}"
THE_ARCH = r"\b(the|my|our|that) (\w+ )?arch\b"
REPLACING = r"\b(instead|actually|rather|change|switch|swap|make it|make that)\b|^on\b"
# A figure that can only be a length; "6 in the hall" is none.
MEASURE = r"\d\s*(ft|foot|feet|'|\"|inch|cm\b|m\b|met(er|re)s?\b)"
SIZE_PAIR = r"\d\s*(ft|')?\s*(x|×|by)\s*\d"
BARE_SIZE = r"[\d\s.,/x×*'\"-]+(by[\d\s.,/'\"-]+)?"
SQUARE = r"\b(square|rectang\w+)\b"
CHANGING = r"\b(change|edit|correct|fix|wrong|different|adjust)\b"
TOPICS: Mapping[str, str] = {
    "date": r"\b(date|day)\b",
    "start_time": r"\b(time|hour|start)\b",
    "place": r"\b(place|address|venue|location|where|town)\b",
    "colours": r"\b(colou?rs?|palette)\b",
    "size": r"\b(size|height|width|length|measure\w*)\b",
    "setting": r"\b(indoors?|outdoors?|inside|outside)\b",
    "support": r"\b(pieces?|frame|arch|hoop|columns?|wall|structure)\b",
}
# A colour that is taken away: {colour} stands for its name.
NO_COLOUR = r"\b(?:no|not|without|remove|drop|minus|lose|skip|instead of|take out|leave out)"
NO_COLOUR += r" (?:more |any |the )?{colour}\b"
SWAPPED_COLOUR = r"\b(?:swap|change|replace|switch)(?: out)? (?:the )?{colour} (?:for|to|with|by)\b"
NEGATIVE = r"(?:budget|spend|pay)\D{0,15}?-\$?\d|(?:^|[^\d\s]\s)-\$\d|\$-\d|^-\d"
