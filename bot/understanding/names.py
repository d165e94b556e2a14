"""How far the name of a place reaches in a message, word by word."""

from dataclasses import dataclass

from rapidfuzz.distance import OSA

from bot.understanding.lexicon import PLAIN_VENUES, VENUES, es
from bot.understanding.lexicon import wheres as words_of
from bot.understanding.name_parts import COLOURS, COMMON, LONGEST_NAME, STOPS, Parts


def _is_slip(word: str) -> bool:
    """ "grean" and "lavendar" are colours misspelt and no towns."""
    return any(
        word[0] == colour[0] and len(colour) > 4 and OSA.distance(word, colour, score_cutoff=1) <= 1
        for colour in COLOURS
    )


@dataclass(frozen=True, slots=True)
class Names(Parts):
    """The words of a passage, read as parts of names."""

    def _past_articles(self, first: int) -> int:
        while first < len(self.words) and self.words[first].text in words_of.SKIPPED:
            first += 1
        return first

    def _reach(self, first: int) -> int | None:
        """The last word of a name that begins at `first`."""
        last = None
        for index in range(first, min(first + LONGEST_NAME, len(self.words))):
            word = self.words[index]
            if last is not None and not self._touch(index - 1):
                break
            own = last is not None and self._capital(index) and word.text in words_of.SKIPPED
            held = own or self._links(first, last, index) or self._of_town(index)
            if word.text in STOPS and not (held or self._is_y(index)):
                break
            if word.text.isdecimal() and not self._numbered(index):
                break
            if word.text in COLOURS and not (self._capital(index) or self._tints(index)):
                break
            if word.text in words_of.CONNECTORS and self._links(first, last, index):
                continue
            last = index
        return last

    def _links(self, first: int, last: int | None, index: int) -> bool:
        """Does a small word hold a name together: "Chapel of the Good Shepherd", "salon El Sol"?"""
        if last is None or self.words[index].text not in words_of.CONNECTORS:
            return False
        if self.words[index].text == "and":
            return self._pairs(first, last, index)
        if self.words[index].text in ("at", "on"):
            return self._is_house(last) and self._leads_to_name(index)
        following = index + 1
        while following < len(self.words) and self.words[following].text in words_of.CONNECTORS:
            following += 1
        if following < len(self.words) and self.words[following].text in words_of.MEALS:
            return False
        if following >= len(self.words) or not all(map(self._touch, range(index - 1, following))):
            return False
        opened = any(self.words[i].text in words_of.OPENS for i in range(first, last + 1))
        opened = opened or self.words[first].text in ("san", "santa", "santo")
        if self.words[first].text in ("st", "sts", "saint") and self.words[index].text == "the":
            return self.words[following].text not in COMMON | STOPS
        spanish = self.words[index].text in ("el", "la", "los", "las", "de", "del", "y")
        capital = self._capital(following) and not self.shouted
        nameable = self.words[following].text not in COMMON | STOPS | words_of.SKIPPED
        house = self.words[index].text == "of" and self._is_house(last)
        return (capital and (opened or house or self._capital(last))) or (
            opened and spanish and nameable
        )

    def _pairs(self, first: int, last: int, index: int) -> bool:
        """ "Sts. Peter and Paul", "the Fox and Hound", but "Elm Hall and Ana"."""
        saints = self.words[first].text in ("sts", "ss", "saints", "santos")
        article = first == last and first > 0 and self.words[first - 1].text == "the"
        if not (saints or article) or index + 1 >= len(self.words) or self.shouted:
            return False
        return self._capital(last) and self._capital(index + 1) and self._touch(index)

    def _trim(self, first: int, last: int, *, sure: bool, town: bool, loose: bool) -> int | None:
        """Where the name really ends, None where it is no name."""
        capital = self._capital_end(first, last)
        venues = [i for i in range(first, last + 1) if self._venue(i)]
        if venues:
            return self._venue_end(first, last, venues, capital)
        tinted = capital is not None and self._is_tinted(capital)
        if tinted or self.words[first].text in words_of.KIN:
            return None
        if capital is not None and not self._is_other(first, capital):
            return (
                self._without_state(first, capital) if self._is_no_state(first, capital) else None
            )
        if not loose or self.words[first].text in COMMON | PLAIN_VENUES:
            return None
        if self._is_low_school(first, last) or self._is_low_saint(first, last):
            return last
        if (town or sure) and self._state(last) and last > first:
            return last - 1
        if (
            last - first < 3 + (self.words[first].text in words_of.BEGIN_TOWNS)
            and (sure or town)
            and (self._followed_by_code(last) or self._lone_name(first, last))
        ):
            return self._without_state(first, last)
        return None

    def _is_low_school(self, first: int, last: int) -> bool:
        """ "at northbrook high", "at east side middle"."""
        texts = [self.words[index].text for index in range(first, last + 1)]
        named = len(texts) > 1 and texts[-1] in ("high", "middle") and self._closes(last)
        return named and texts[0].isalpha() and not set(texts) & words_of.HEIGHTS

    def _is_low_saint(self, first: int, last: int) -> bool:
        """ "at st. john the evangelist in townsend"."""
        texts = {self.words[index].text for index in range(first, last + 1)}
        saint = last > first and self.words[first].text in (
            *("st", "sts", "saint", "sacred", "holy"),
        )
        ends = self._closes(last) or self._next_text(last) in words_of.AFTER_NAMES
        return saint and ends and not (texts - words_of.CONNECTORS - words_of.IN_SAINTS) & COMMON

    def _venue_end(
        self, first: int, last: int, venues: list[int], capital: int | None
    ) -> int | None:
        """Where a name with a venue noun in it ends: "Hotel Miramonte", "elm street library"."""
        head, end = venues[0], venues[-1]
        if capital is not None and capital >= end:
            return None if self._is_home(first, capital) else capital
        for noun in (head, end):  # "explanada de la presidencia municipal de …"
            if self.words[noun].text in words_of.OPENS and last > noun:
                opened = self._opened_end(noun, last)
                if opened > noun:
                    return opened
        if (
            capital is not None
            and capital > first
            and capital < head
            and not self._near(capital, end)
        ):
            return capital
        return None if self._is_home(first, end) else self._capital_run(end, last)

    def _near(self, capital: int, end: int) -> bool:
        """ "Saint Alban's church": the noun belongs to the name before it."""
        return all(
            self._venue(index) or self.words[index].text in words_of.KINDS | words_of.PUBLIC_HOUSES
            for index in range(capital + 1, end + 1)
        )

    def _opened_end(self, head: int, last: int) -> int:
        """The end of a name that its noun opens: "salon los olivos", "parque Lincoln"."""
        end = head
        for index in range(head + 1, last + 1):
            text = self.words[index].text
            if text in words_of.CONNECTORS:
                continue
            if text in words_of.KINDS:
                end = index
                continue
            named = self._capital(index) and not self.shouted
            unnamed = text in COMMON | words_of.SKIPPED or text in VENUES or index - head > 5
            if text in VENUES | words_of.OPENS and index == head + 1 and not named:
                continue  # "restaurante bar El Farol"
            if text in words_of.NUMBERED and self._next_text(index).isdecimal():
                continue  # "Plaza Norte local 14"
            figures = any(map(str.isdecimal, text))
            if figures and self._numbered(index):
                end = index
                continue
            if figures or (unnamed and not named and not self._is_los(head, index)):
                break
            end = index
        spanish = self.words[head].text in es.VENUES or self.words[head].text in words_of.OPENS_LOW
        closes = self._closes(end) or self._next_text(end) in words_of.AFTER_NAMES
        named = any(self._capital(i) and not self.shouted for i in range(head + 1, end + 1))
        return end if named or (spanish and closes and end - head <= 4) else head

    def _is_los(self, head: int, index: int) -> bool:
        """ "quinta los arcos", "salon la escalera": a common word named by its article."""
        article = index == head + 2 and self.words[index - 1].text in ("los", "las", "el", "la")
        homely = words_of.HOME | words_of.PREMISES
        closed = self._closes(index) or self._next_text(index) in words_of.AFTER_NAMES
        return article and closed and self.words[head].text in es.VENUES - homely

    def _is_home(self, first: int, end: int) -> bool:
        """One's own house, grounds and rooms, which are no place, unless they bear a name."""
        ours = first > 0 and self.words[first - 1].text in words_of.OWNERS
        bare = self.words[end].text in words_of.PREMISES and (first == end or ours)
        bare = bare or (first == end and self._is_habit(first))
        renewed = any(self.words[i].text in words_of.NO_NAMES for i in range(first, end))
        if bare or renewed:
            return not self._capital(first) or self.shouted
        if self.words[end].text not in words_of.HOME or self._is_public(end):
            return False
        owned = first > 0 and self.words[first - 1].text in words_of.OWNERS
        named = end > first and self._capital(first) and not self.shouted
        belongs = "'s" in self.passage.folded[self.words[first].start : self.words[end].end]
        return owned or belongs or not named

    def _is_habit(self, index: int) -> bool:
        """ "at church", "at school", without an article."""
        before = self.words[index - 1].text if index else ""
        return self.words[index].text in ("church", "school", "college") and before in ("at", "in")

    def _capital_end(self, first: int, last: int) -> int | None:
        """The last word of the run of capitals that begins at `first`."""
        if self.shouted or not self._capital(first):
            return None
        end = first
        for index in range(first + 1, last + 1):
            if self._capital(index) or self.words[index].text.isdecimal():
                end = index
            elif self.words[index].text not in words_of.CONNECTORS:
                break
        return end

    def _is_tinted(self, index: int) -> bool:
        """ "Carolina blue" is a colour."""
        following = index + 1
        touches = following < len(self.words) and self._touch(index)
        return touches and self.words[following].text in COLOURS

    def _is_other(self, first: int, last: int) -> bool:
        """A person's day or an occasion in capitals is no town."""
        only = self.words[first].text
        return first == last and (only in COMMON or only in words_of.SKIPPED)

    def _is_no_state(self, first: int, last: int) -> bool:
        return first < last or not self._state(first) or self._followed_by_code(last)

    def _lone_name(self, first: int, last: int) -> bool:
        """A lower-case word after "in" that ends there: "in quincy", "en cicero on june 6"."""
        texts = [self.words[index].text for index in range(first, last + 1)]
        short = len(texts[0]) < 4 and not (len(texts) > 1 and texts[0] in words_of.BEGIN_TOWNS)
        if short or texts[0] in COMMON or not texts[0].isalpha():
            return False
        texts = [text for text in texts if text not in ("de", "del", "los", "las")]
        if any(text in COMMON or text.endswith("ing") or _is_slip(text) for text in texts):
            return False
        return self._closes(last) or self._next_text(last) in words_of.AFTER_NAMES

    def _capital_run(self, end: int, last: int) -> int:
        """ "town hall Annex", "community center on Fulton"."""
        while end < last and not self.shouted:
            linked = self.words[end + 1].text in words_of.CONNECTORS and end + 2 <= last
            if not self._capital(end + 1 + linked):
                break
            end += 1 + linked
        return end
