"""What the client did, in the light of where the conversation stands."""

import re
from dataclasses import dataclass, replace
from datetime import date

from bot.dialogue import sayings
from bot.dialogue.asides import topics_answered
from bot.dialogue.heard import Heard
from bot.dialogue.introducing import Introduction, introduction
from bot.dialogue.merging import left_of, looks_beside
from bot.dialogue.messages import Found, Incoming, ShopCard
from bot.dialogue.phrases import Phrases
from bot.dialogue.pressing import pressed
from bot.dialogue.questions import BY_NAME
from bot.dialogue.reading import Reader, is_useful
from bot.dialogue.several import on_two_days, told_apart
from bot.dialogue.shortly import SHORT, heard_shortly, skip_in_words
from bot.dialogue.speaking import wished
from bot.dialogue.state import Act, State
from bot.dialogue.worries import ANSWERED_AT_ONCE, beside_quick_questions, worries
from bot.understanding import Slots

_LONGEST_PLACE = 200
# A longer text tells of an event, whatever else it says.
_LONGEST_NO_MORE = 200
_ANSWERED = frozenset({"helium", *ANSWERED_AT_ONCE})


@dataclass(frozen=True, kw_only=True)
class Ear:
    """Listens to one client at one shop, `today` being the shop's date."""

    state: State
    shop: ShopCard
    phrases: Phrases
    today: date
    locale: str | None = None
    stopped: bool = False  # nothing is written to the client unasked

    def hear(self, incoming: Incoming, found: Found) -> Heard:
        """What `incoming` means now; `found` is what was looked up for it."""
        match incoming.kind:
            case "start":
                return Heard(act="start")
            case "button":
                heard = pressed(self.state, incoming.text, today=self.today, shop=self.shop)
                return self._resumed() if heard.act == "other" else heard
            case "photo":
                return self._picture(incoming)
            case "location":
                return self._located(found)
            case "contact":
                sent = self.state.stage == "sent"
                return Heard(act="again", says=("phone.sent" if sent else "phone.noted",))
            case "other":
                return self._other(incoming.text.strip())
        heard = self._typed(incoming.text.strip())
        return self._resumed() if heard.act == "other" else heard

    def _resumed(self) -> Heard:
        """The words that were kept of another event, read as the first of its brief."""
        beginning = State(number=self.state.number + 1)
        told = replace(self, state=beginning)._typed(self.state.another)
        says = tuple(key for key in told.says if key != "one_at_a_time")
        return replace(told, act="other", text=self.state.another, says=says, another="")

    def _picture(self, incoming: Incoming) -> Heard:
        caption = incoming.text.strip()
        if incoming.photo is None:
            return Heard(act="unclear", text=caption, says=("photo.too_large",))
        heard = self._typed(caption) if caption else Heard(act="picture")
        if heard.act not in ("facts", "picture", "unclear", "question"):
            return heard  # a complaint with its picture is a complaint
        return replace(heard, act="picture")

    def _located(self, found: Found) -> Heard:
        if found.postal_code is None and found.town is None:
            return Heard(act="again", says=("no_such_place",))
        place = found.town[:_LONGEST_PLACE] if found.town else None
        return Heard(act="facts", slots=Slots(postal_code=found.postal_code, place=place))

    def _other(self, caption: str) -> Heard:
        if not caption:
            return Heard(act="unclear", says=("no_photo",))
        heard = self._typed(caption)
        return replace(heard, says=("no_photo", *heard.says))

    @property
    def _reader(self) -> Reader:
        return Reader(state=self.state, locale=self.locale, today=self.today)

    def _typed(self, text: str) -> Heard:
        if len(text) <= _LONGEST_NO_MORE and sayings.says("no_more", text):
            return Heard(act="stop", text=text)
        told = introduction(text)
        if told.name or told.phone:
            return self._introduced(told)
        said = heard_shortly(
            text,
            self.state,
            shop=self.shop,
            phrases=self.phrases,
            today=self.today,
            stopped=self.stopped,
        )
        if said is not None:
            return said
        # "Are you a real person?" wants to know, and not to talk to one.
        if sayings.says("person", sayings.without("is_bot", text)):
            return Heard(act="person", text=text, says=("person",))
        way = self._which_way(text)
        if way is not None:
            return way
        slots = self._reader.read(beside_quick_questions(text))
        asking = self.state.stage == "asking"
        if asking and not is_useful(slots) and sayings.says("unsure", text):
            return skip_in_words(self.state)
        return self._meant(text, slots)

    def _introduced(self, told: Introduction) -> Heard:
        """What is said beside a name or a number, which `take_turn` keeps."""
        number = "phone.sent" if self.state.stage == "sent" else "phone.noted"
        says = ("name.noted",) * bool(told.name) + (number,) * bool(told.phone)
        beside = self._typed(told.rest) if told.rest else Heard(act="again")
        if beside.act == "unclear":
            beside = Heard(act="again", text=told.rest)
        return replace(beside, says=(*says, *beside.says))

    def _which_way(self, text: str) -> Heard | None:
        """ "Tall", after "is the 8 ft the width or the height?"."""
        if self.state.unsure is None or len(text) > SHORT or re.search(r"\d", text):
            return None
        wide, tall = (sayings.says(way, text) for way in ("wide", "tall"))
        if wide == tall:
            return None
        choice = ("way", str(self.state.piece), "width_m" if wide else "height_m")
        return Heard(act="facts", text=text, choice=choice)

    def _meant(self, text: str, slots: Slots) -> Heard:
        says = worries(text, slots, self.today)
        if slots.intent == "complaint":
            return Heard(act="complaint", text=text, says=("complaint",))
        if slots.intent == "cancel" and not slots.structures and not slots.colours:
            return Heard(act="cancel", text=text)
        if sayings.says("drop", text):
            return _dropped(text, slots, says)
        price = self._about_price(text, slots)
        if price is not None:
            late = self.state.stage == "sent" or sayings.says("fits_budget", text)
            return Heard(act="dear" if late else "facts", text=text, slots=price)
        another = self._another_event(text, slots, says)
        if another is not None:
            return another
        return self._told(text, slots, says)

    def _told(self, text: str, slots: Slots, says: tuple[str, ...]) -> Heard:
        refused = self._reader.colours_refused(text, slots)
        if sayings.accents_refused(text) & {one.kind for one in self.state.draft.accents}:
            # "No eucalyptus" is no word on a color, though there is one of that name.
            refused, slots = (), replace(slots, unwanted=())
        if self._asks_for_colour(text):
            slots = replace(slots, colours=(), intent="question")
        topics = topics_answered(text, slots, self.shop)
        slots = self._without_asked_place(text, slots, topics)
        heard = Heard(act="facts", text=text, slots=slots, colours=refused, topics=topics)
        if "event_date" in slots.ambiguous and not slots.event_month:
            heard, says = self._unsure_of_day(heard, says)
            slots = heard.slots
        reopens = "unclear_date" in says
        changes = self._takes_away(text, refused) or self._dresses(text)
        if is_useful(slots) or reopens or "latex" in says or changes:
            asks = self._asks_beside(text, slots, says) and not topics
            return replace(heard, says=(*says, "question") if asks else says)
        if topics:
            return replace(heard, act="question", says=says)
        language = wished(text)
        if language is not None:
            return Heard(act="language", language=language)
        if self.state.stage == "sent" and sayings.says("price", text):
            return Heard(act="status", text=text, says=says)
        topic = self._topic_to_change(text)
        if topic is not None:
            return Heard(act="edit", text=text, question=topic, says=says)
        if slots.intent == "question" and re.search(r"\w", text):
            answered = not _ANSWERED.isdisjoint(says)
            return replace(heard, act="question", says=says if answered else (*says, "question"))
        understood = set(says) - {"other_language"}
        return replace(heard, act="question" if understood else "unclear", says=says)

    def _without_asked_place(self, text: str, slots: Slots, topics: tuple[str, ...]) -> Slots:
        """In "do you deliver to Springfield?" the town is no other place for the event."""
        draft = self.state.draft
        if "delivery" not in topics or not (draft.place or draft.postal_code):
            return slots
        told = self._reader.without_questions(text)
        return replace(slots, place=told.place, postal_code=told.postal_code)

    def _unsure_of_day(self, heard: Heard, says: tuple[str, ...]) -> tuple[Heard, tuple[str, ...]]:
        """`heard` with the days that may be meant: where there are two, none is taken."""
        days = self._reader.days(heard.text)
        if heard.slots.event_date is None:
            return replace(heard, days=days), says
        if len(days) < 2:
            return heard, says
        open_day = replace(heard.slots, event_date=None)
        return replace(heard, days=days, slots=open_day), (*says, "unclear_date")

    def _takes_away(self, text: str, refused: tuple[str, ...]) -> bool:
        """Whether a colour, a piece or an extra is not wanted (any more)."""
        if self.state.stage == "new" or len(text) > 2 * SHORT:
            return False
        draft = self.state.draft
        had = {accent.kind for accent in draft.accents}
        extras = had & sayings.accents_named(text)
        fewer = left_of(draft.pieces, text) != draft.pieces
        undressed = had & sayings.accents_refused(text)
        undressed |= extras if sayings.says("removing", text) else set()
        return bool(refused) or fewer or bool(undressed)

    def _asks_for_colour(self, text: str) -> bool:
        """In "do you have darker greens?" nothing is chosen yet, where colours stand already."""
        asks = "?" in text and sayings.says("do_you_have", text)
        return asks and bool(self.state.draft.colours) and self.state.asked != "colours"

    def _dresses(self, text: str) -> bool:
        """Whether it is said how what there is should look: "only half of it"."""
        return bool(self.state.draft.pieces) and bool(looks_beside(text))

    def _asks_beside(self, text: str, slots: Slots, says: tuple[str, ...]) -> bool:
        """Whether a question stands beside the facts: in "is June 6 free?" the fact is the
        question."""
        aside = slots.intent == "question" and not slots.structures and _ANSWERED.isdisjoint(says)
        if not aside or "?" not in text:
            return False
        asked = re.findall(r"[^.!?;,\n]*\?", text)
        read = self._reader.plain
        return self.state.stage == "sent" or any(not is_useful(read(one)) for one in asked)

    def _about_price(self, text: str, slots: Slots) -> Slots | None:
        """What was said, budget and all, where the ballpark is found too high, or where it is
        asked what fits a budget; None elsewhere."""
        if slots.structures:
            return None
        if slots.budget_max is None and len(text) <= SHORT and not is_useful(slots):
            # In "can you do 300?" the figure can only be money.
            told = self._reader.answer("budget", text)
            slots = told if told.budget_max is not None else slots
        if sayings.says("fits_budget", text):
            return slots
        offers = slots.budget_max is not None and sayings.says("offers", text)
        dear = self.state.stage == "sent" and sayings.says("too_dear", text)
        return slots if dear or (offers and self.state.stage != "new") else None

    def _another_event(self, text: str, slots: Slots, says: tuple[str, ...]) -> Heard | None:
        """Two events told at once, or a second one while the first is open."""
        named = slots.several_events or sayings.says("several_events", text)
        if named or on_two_days(text, slots, self._reader):
            return self._first_of(text, slots)
        if not sayings.says("another_event", text) and not self._is_other_event(slots):
            return None
        if self.state.stage == "sent":
            said = ("another_event", *says)
            return Heard(act="restart", text=text, slots=slots, says=said)
        if self.state.stage == "new" or not (slots.structures or slots.occasion):
            return None
        return Heard(act="again", another=text, says=("one_at_a_time",))

    def _is_other_event(self, slots: Slots) -> bool:
        """Whether occasion and day are both other than those that are known."""
        draft = self.state.draft
        if None in (slots.occasion, draft.occasion, slots.event_date, draft.event_date):
            return False
        other = slots.occasion != draft.occasion and slots.event_date != draft.event_date
        return other and slots.intent != "change"

    def _first_of(self, text: str, slots: Slots) -> Heard:
        """The first of several events; the words about the other are kept."""
        if self.state.stage not in ("new", "sent") and self.state.draft.pieces:
            return Heard(act="again", another=text, says=("one_at_a_time",))
        events = told_apart(text, self._reader)
        first, words = (events.first, events.words) if events else (slots, text)
        heard = self._told(words, first, worries(words, first, self.today))
        says = tuple(key for key in heard.says if events or key != "unclear_date")
        kept = replace(
            heard,
            act="facts",
            says=(*says, "one_at_a_time"),
            another=events.rest if events else text,
        )
        if self.state.stage == "sent":
            return replace(kept, act="restart", says=("another_event", *kept.says))
        return kept

    def _topic_to_change(self, text: str) -> str | None:
        """The question that "change the time" is about, where it was answered before."""
        if not sayings.says("changing", text):
            return None
        named = sayings.topics_to_change(text)
        return next((name for name in named if self._is_settled(name)), None)

    def _is_settled(self, question: str) -> bool:
        late = self.state.stage in ("readback", "sent")
        return late or not BY_NAME[question].missing(self.state.draft)


def _dropped(text: str, slots: Slots, says: tuple[str, ...]) -> Heard:
    """A balloon drop is no garland: its pieces are left out, and the owner takes it."""
    others = tuple(one for one in slots.structures if one.kind not in ("ceiling", "other"))
    rest = replace(slots, structures=others)
    act: Act = "facts" if others else "person"
    return Heard(act=act, text=text, slots=rest, says=(*says, "balloon_drop"))
