"""Any token in the place of a signed link's, and links with one letter changed."""

from urllib.parse import quote

from hypothesis import strategies as st

from tests.fuzz.asking import Asker
from tests.fuzz.cases import ANY_TEXT, run
from tests.fuzz.shop import Full
from tests.fuzz.tally import Tally
from tests.service.access_table import ROUTES

_LINKED = sorted(route for route, place in ROUTES.items() if place.purpose and route[0] == "GET")
_SHUT = (404, 410)
# The API says of a token that is too long what is wrong with it.
_SAID = (*_SHUT, 422)


def opened(shop: Full, *, seed: int, most: int) -> Tally:
    """Nothing opens but what was signed, and nothing breaks."""
    tokens = shop.names["token"]
    flips = st.tuples(
        st.sampled_from(tokens), st.integers(0, 200), st.integers(1, 255), st.booleans()
    ).map(_flipped)
    made_up = st.one_of(
        # Browsers and servers take these for the folder above.
        ANY_TEXT.filter(lambda text: text not in {*tokens, "", ".", ".."}),
        st.text("ABCabc012-_=", min_size=1, max_size=220),
        st.sampled_from(tokens).map(lambda token: token.swapcase()),
        st.sampled_from(tokens).map(lambda token: token + "="),
    )
    with Asker(shop) as asker:

        def act(case: tuple[tuple[str, str], str]) -> None:
            (method, path), token = case
            address = path.replace("{token}", quote(token.encode("utf-8", "replace"), safe=""))
            status = asker.ask(method, address).status_code
            assert status in (_SAID if path.startswith("/v1") else _SHUT), f"{path}: {status}"

        cases = st.tuples(st.sampled_from(_LINKED), st.one_of(flips, made_up))
        return run("signed links", cases, act, seed=seed, most=most)


def _flipped(case: tuple[str, int, int, bool]) -> str:
    """The token with some bits of one letter turned over, or with a letter more."""
    token, at, bits, more = case
    at %= len(token)
    other = chr(ord(token[at]) ^ bits)
    return token[:at] + other + token[at + (not more) :]
