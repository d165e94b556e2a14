"""What clients say in English. Patterns see folded text: lower case, no accents, plain quotes."""

from collections.abc import Mapping

# A whole message must match. The order counts: the first that means something here is taken.
SAID: Mapping[str, str] = {
    "start": r"(hi|hiya|hello|hey|hey there|hi there|good (morning|afternoon|evening))",
    "restart": r"(let'?s )?(start (over|again|new|afresh)|restart|begin again|reset)"
    r"|new (quote|request)",
    # All of these mean our messages, and not the request.
    "stop": r"(please )?(stop|unsubscribe|opt(ing)? ?out|stopall)( me| all| it)?( now)?"
    r"( please)?",
    "begin": r"start",
    "remind": r"(please )?(remind me|(re)?start (the |my )?reminders|reminders on|unstop)( again)?"
    r"( please)?|i('d like| want) (to be reminded|reminders)( again)?( please)?",
    "cancel": r"cancel|never ?mind|forget (it|about it)|no longer needed",
    "back": r"(go |one step |step )?back|(undo|take) (that|it)( back)?|undo|previous( question)?",
    "status": r"status|any (news|update)s?|is (it|the price) (ready|done|there)( yet)?"
    r"|how long will it take",
    "book": r"(ok(ay)?|yes|great|perfect|(looks|sounds) (good|great)|love it)?[ ,.!]*"
    r"(how (do|can) (i|we) (book|reserve|confirm|hold)"
    r"( it| this| that| the date| my date)?|(please )?(book|reserve) (it|us|this|that|me)( in)?"
    r"|(i'?d|we'?d) (like|love) to book( it| this)?|let'?s (book|do) (it|this|that)"
    r"|(i|we)'?ll take it|hold (the|my|our|that) date)( please| then)?",
    "onward": r"(ok(ay)?|great|perfect|so|and)?[ ,.!]*(what'?s next|what (now|happens next"
    r"|do (i|we) do (now|next))|what are the next steps"
    r"|how do (i|we) (go ahead|proceed|move forward|go on)"
    r"|(can|could|may) (i|we) (book|reserve|hold)( it| this| that| the date| (a|my) (date|spot))?"
    r"( now| already| here| online)?)",
    "beginning": r"(?:(?:(?:i|we)(?:'d| would)? (?:want|need|like)|(?:i'?m "
    r"|we'?re )?looking for) )?"
    r"(?:(?:to (?:get|order|have)|some|a few|an?|my|our|the|your|help with|balloon) )*"
    r"(?:balloons?|garlands?|decorations?|decor|decorating|quote|estimate|price|prices|pricing)"
    r"(?: (?:please|decor|decorations?|garlands?|quote|price|prices|for (?:a|an|my|our) "
    r"(?:party|event)))*",
    "help": r"help|what can (you|i) do",
    "language.en": r"(in )?english(,? please)?|(can we |let'?s )?(speak|talk|write)( in)? english",
    "language.es": r"(in )?spanish(,? please)?|(can we |let'?s )?(speak|talk|write)( in)? spanish",
    "changes": r"(i want to |i'?d like to |can i )?change (something|things|it)|changes|edit",
    "thanks": r"(ok(ay)?|great|perfect|super|wonderful|lovely|awesome|cool)?[ ,]*"
    r"(thanks?( you)?|thx|ty|cheers|many thanks)( so much| a lot| very much)?|❤+|🙏+",
    "pleased": r"(that )?(looks?|sounds?) (good|great|nice|lovely|perfect)"
    r"|ok(ay)?|great|perfect|super|wonderful|lovely|awesome|cool|nice|good|👍+",
    "yes": r"(yes|yep|yeah|yup|sure|correct|right|exactly|y|all good"
    r"|(looks?|sounds?) (good|great|right)"
    r"|that'?s (right|correct|it)|go ahead|price it|do it|confirm|ok(ay)?|great|perfect|👍+)"
    r"([ ,]+(please|thanks|thank you|price it|go ahead|looks good|that'?s right))?",
    "no": r"no|nope|not (quite|right|yet)|wrong|that'?s (wrong|not right)|n|no thanks?( you)?",
    "usual": r"(something |an? |the )?(medium|average|normal|standard|regular|usual)"
    r"( sized?| one| height| width| length)?"
    r"|the usual",
    "skip": r"(i'?m |we'?re )?(still )?(not |un)sure( yet)?|(i |we )?(do not|don'?t) know( yet)?"
    r"|idk|(i )?dunno"
    r"|no (idea|clue)|whenever|wherever|not decided( yet)?|skip( it| this)?"
    r"|tbd|undecided|(any|whatever)|later|(we )?haven'?t decided( yet)?"
    r"|doesn'?t matter|no preference|you (choose|decide|pick)|up to you"
    r"|(whatever|what) (do )?you (think|like|suggest|recommend)( is best)?|surprise (me|us)"
    r"|something (nice|pretty|welcoming|festive|lovely)",
}

# These may stand anywhere in a message.
ANYWHERE: Mapping[str, str] = {
    "no_more": r"\bunsubscribe\b|\b(stop|quit) (sending|writing|texting|messaging|contacting"
    r"|reminding|bothering|spamming) (me|us)\b"
    r"|\bstop (the|these|those|all|your)? ?(messages|texts|reminders)\b"
    r"|\bno more (messages|texts|reminders)\b"
    r"|\b(do not|don'?t) (send|write|text|message|contact|remind) (to )?(me|us)"
    r" (any ?more|again|any (more )?(messages|texts|reminders))\b"
    r"|\b(do not|don'?t) want (any |any more |more )?(messages|texts|reminders)\b",
    # What begins so, and says nothing of use, is "not sure yet".
    "unsure": r"^(i'?m |we'?re )?(still )?(not |un)sure\b|^(i |we )?(do not|don'?t) know\b"
    r"|^no idea\b",
    "in.english": r"\b(in|to) english\b",
    "in.spanish": r"\b(in|to) spanish\b",
    "do_you_have": r"\b(do|would) (you|u|y'?all) (also )?(have|carry|offer|keep)\b"
    r"|\b(have you got|is there|are there)\b",
    "wide": r"\b(wide|width|wider|across)\b",
    "tall": r"\b(tall|taller|high|height|higher)\b",
    "person": r"\b(talk|speak|chat|write)\w* (to|with) (a |an |the |some|your )?"
    r"(real |actual |live )?(person|human|someone|somebody|owner|manager|agent)\b"
    r"|\b(real|actual) (person|human)\b|\bcall me\b|\bphone number\b",
    # The service's own rule sends a brief with such words to the owner first.
    "latex": r"\b(allerg\w*|latex|hospitals?|clinics?|wards?|hospice|nicu"
    r"|icu|nursing home|care home|rehab\w*|infirmary|dialysis)\b",
    "helium": r"(?<!no )(?<!without )(?<!not )\bhelium\b(?! tanks?)",
    "can_send": r"\b(can|could|may|should|want me to) (i |we )?(also )?(send|share|show|upload"
    r"|text|attach)\b"
    r"[^.!?]{0,30}\b(pics?|pictures?|photos?|images?|screenshots?)\b"
    r"|\bwhere (do|can) i (send|upload|attach) (a |the |my )?(pics?|pictures?|photos?|images?)\b",
    "is_bot": r"\b(are you|is this|am i (talking|speaking|chatting|writing) (to|with)|r u) "
    r"(just |really |actually )?(an? )?(bot|robot|machine|computer|ai|real|human|(real )?person"
    r"|automat\w+|chatbot)\b",
    "included": r"\bwhat('?s| is| all is| all comes| comes)( all)? (included|in (it|that|the price)"
    r"|with (it|that))\b|\bwhat (does|do) (it|that|the price|they|you)( all)? (include|cover)\b"
    r"|\bwhat do (i|we) get\b",
    "drop": r"\b(balloon|ceiling) drop\b",
    "price": r"\b(price|prices|quote|cost|costs|how much|estimate|ballpark)\b",
    "too_dear": r"\btoo (expensive|much|high|pricey|dear|costly)\b|\bcan'?t afford\b|\bcheaper\b"
    r"|\bover (my|our|the) budget\b|\b(lower|reduce|bring down) the price\b|\bless expensive\b",
    "offers": r"\b(can|could|would) (you|u|we) (do|make|get|go|take)\b|\bdo it for\b",
    "fits_budget": r"\bwhat (would|could|can|do) (i|we|you) (get|have|do|offer)? ?(for|within)\b"
    r"|\bwhat (would )?fits?\b.*\bbudget\b|\bother options\b|^options$",
    "another_event": r"\b(another|second|different|separate|other) "
    r"(event|party|occasion|quote|job)\b",
    "several_events": r"\b(two|2|three|3|both|several|a couple of) (\w+ )?(events|parties|occasions"
    r"|celebrations)\b",
    "adding": r"\b(add|also|plus|as well|too|and (?:some|a few|another)|extra|additional)\b|^and\b",
    "removing": r"\b(remove|without|drop|leave out|take out|take off|leave off|lose|get rid of"
    r"|minus)\b",
    "the_arch": r"\b(the|my|our|that) (\w+ )?arch\b",
    "replacing": r"\b((was|were|is) (better|nicer)|prefer|(go|let'?s go) back to)\b"
    r"|\b(instead|actually|rather|change|switch|swap|make it|make that)\b|^on\b",
    # A figure that can only be a length; "6 in the hall" is none.
    "measure": r"\d\s*(ft|foot|feet|'|\"|inch|cm\b|m\b|met(er|re)s?\b)",
    "size_pair": r"\d\s*(ft|')?\s*(x|×|by)\s*\d",
    "bare_size": r"^[\d\s.,/x×*'\"-]+(by[\d\s.,/'\"-]+)?$",
    "square": r"\b(square|rectang\w+)\b",
    "changing": r"\b(change|edit|correct|fix|wrong|different|adjust)\b",
    "below_zero": r"(?:budget|spend|pay)\D{0,15}?-\$?\d|(?:^|[^\d\s]\s)-\$\d|\$-\d|^-\d",
}

TOPICS: Mapping[str, str] = {
    "date": r"\b(date|day)\b",
    "end_time": r"\b(end|ends|ending|finish)\b",
    "start_time": r"\b(time|hour|start)\b",
    "place": r"\b(place|address|venue|location|where|town)\b",
    "colours": r"\b(colou?rs?|palette)\b",
    "size": r"\b(size|height|width|length|measure\w*)\b",
    "setting": r"\b(indoors?|outdoors?|inside|outside)\b",
    "guests": r"\b(guests?|people)\b",
    "budget": r"\bbudget\b",
    "support": r"\b(pieces?|frame|arch|hoop|columns?|wall|structure)\b",
}

# The word for each support.
NOUNS: Mapping[str, str] = {
    "round_top_frame": "frames?",
    "square_frame": "frames?",
    "hoop": "hoops?",
    "wall": "walls?",
    "doorway": "doorways?|doors?",
    "staircase": "staircases?|stairs",
    "mantel": "mantels?|fireplaces?",
    "table": "tables?",
    "ceiling": "ceilings?",
    "freestanding_arch": "arch(?:es)?",
    "swag": "swags?",
    "column": "columns?",
}
# A piece that is taken away, all of it or a number of it.
TAKEN_AWAY = (
    r"\b(?:remove|without|drop|leave out|take out|take off|take away|leave off|lose|get rid of"
    r"|minus|skip|no more|no)\s(?:(?:(?P<count>one|two|three|four|\d{{1,2}})|of|the|my|our|those"
    r"|these|all|both|round|square|round-top|other)\s){{0,4}}(?:{noun})\b"
)
NUMBERS: Mapping[str, int] = {"one": 1, "two": 2, "three": 3, "four": 4}

ACCENTS: Mapping[str, str] = {
    "flowers": r"\b(flowers?|florals?|roses|blooms?)\b",
    "greenery": r"\b(greenery|eucalyptus|leaves|foliage|ivy)\b",
    "sign": r"\bsigns?\b",
    "ribbon": r"\b(ribbons?|streamers?)\b",
    "fabric_cover": r"\b(fabric|covers?)\b",
}

# A colour that is taken away.
COLOUR_TAKEN_AWAY: tuple[str, ...] = (
    r"\b(?:no|not|without|remove|drop|minus|lose|skip|instead of|take out|leave out)"
    r" (?:more |any |the )?(?P<colour>[a-z]+(?: [a-z]+)?)",
    r"\b(?:swap|change|replace|switch)(?: out)? (?:the )?(?P<colour>[a-z]+(?: [a-z]+)?)"
    r" (?:for|to|with|by)\b",
)

CELEBRATED = (
    r"\b(?:our|my) (?P<what>(?:[a-z]+ ){0,2}[a-z]+'s \d{1,3}(?:st|nd|rd|th)"
    r"(?: birthday| anniversary)?)\b"
)
# What is ours in the client's words is yours in the answer.
YOURS: Mapping[str, str] = {}

# Which of several in a row; the last is the one before the first.
_TAKEN = (
    r"(?:i'?ll (?:take|have) |i (?:want|like|choose|pick) |let'?s (?:do|go with|take) |give me )?"
)
PLACES_IN_ROW: Mapping[str, int] = {
    rf"{_TAKEN}(?:the )?(?:{name})(?: (?:one|option|choice))?(?:,? please)?": place
    for name, place in (
        (r"first|1st|(?:option|number|choice|no\.?|#) ?(?:1|one)", 0),
        (r"second|2nd|(?:option|number|choice|no\.?|#) ?(?:2|two)", 1),
        (r"third|3rd|(?:option|number|choice|no\.?|#) ?(?:3|three)", 2),
        (r"fourth|4th|(?:option|number|choice|no\.?|#) ?(?:4|four)", 3),
        (r"last", -1),
    )
}

# How clients say who they are; these see the text as it was typed.
PHONE_ANNOUNCED = (
    r"(?:(?:please |you can |can you |could you )*(?:call|text|phone|reach|ring) me"
    r"(?: back)?(?: (?:at|on))?"
    r"|(?:here(?:'s| is) )?(?:my|the) (?:\w+ )?(?:number|phone|cell|mobile)(?: number)?"
    r"(?: is|'s)?|(?:phone|tel|cell|mobile)(?: number)?)"
)
NAME_TOLD = r"my name(?:'s| is)|(?:i am|i'm) (?:called|named)"
NAME_AFTER_GREETING = (
    r"(?:(?:hi|hiya|hello|hey|good (?:morning|afternoon|evening))(?: there)?[\s,!.]*this is"
    r"|(?:(?:hi|hello|hey)[\s,!.]*)?(?:i'm|i am|call me))"
)
# "My name is on the list" tells no name.
NO_NAME = (
    r"on|in|not|the|a|an|at|for|to|going|what|spelled|written|supposed|here|back|when|tomorrow"
    r"|(?:mon|tues|wednes|thurs|fri|satur|sun)day"
)
COURTESY = r"(?:hi|hello|hey)(?: there)?|please|thanks?(?: you)?|by the way|btw|here|oh"
