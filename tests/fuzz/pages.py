"""Every form of every page, with anything in its fields, as everybody who may send it."""

from urllib.parse import quote

from hypothesis import strategies as st

from tests.fuzz.asking import Asker
from tests.fuzz.cases import ANY_TEXT, run
from tests.fuzz.shop import Full
from tests.fuzz.tally import Tally
from tests.service.access_table import ROUTES
from tests.service.asking import parameters, shows
from tests.service.pages.filled import form_in
from tests.service.placing import Caller

_FORMS = sorted(route for route in ROUTES if route[0] == "POST" and not route[1].startswith("/v1"))
# Whoever ends their session has nothing more to try.
_LEAVING = ("sign-out", "/sessions/", "/password")
_LOOKED_AT = sorted(
    path
    for method, path in ROUTES
    if method == "GET" and path.startswith(("/desk", "/form", "/quotes", "/bookings", "/stop"))
)

# What fields of these pages may hold, and what they may not.
_VALUES = st.one_of(
    ANY_TEXT,
    st.sampled_from(
        [
            *("", "0", "-1", "1e400", "NaN", "Infinity", "99999999999999999999", "½", "١٢", "1,5"),
            *("2027-01-24", "0001-01-01", "9999-12-31", "2027-02-30", "2027-01-24T12:00:00-05:00"),
            *("9999-12-31T23:59:59-23:59", "0001-01-01T00:00:00+14:00", "24:00", "15:00", "on"),
            *("=1+1", "<b>", "{0}", "{price}", "%s", "../..", "\x00", "\ud800", "\u202e"),
        ]
    ),
    st.integers(-(2**70), 2**70).map(str),
    st.decimals(allow_nan=False, allow_infinity=False, places=2).map(str),
    st.just("x" * 5_000),
)
_TYPES = st.sampled_from(
    [
        *(None, None, None, None, None, None),
        *("application/json", "text/plain", "multipart/form-data", "multipart/form-data; boundary"),
        *("application/x-www-form-urlencoded; charset=utf-16", "x"),
        "multipart/form-data; boundary=b",
    ]
)


def sent(shop: Full, *, seed: int, most: int) -> Tally:
    """No page breaks, whatever is sent to it."""
    with Asker(shop) as asker:
        fields = _fields_of_all_pages(shop, asker)

        def act(case: tuple[tuple[str, str], Caller, dict[str, str], str | None, int]) -> None:
            (method, path), caller, values, kind, pick = case
            address = _address(shop, path, pick)
            if any(word in path for word in _LEAVING):
                caller = Caller.STRANGER
            headers = shows(shop.served, caller)
            body = _encoded(values | {"csrf": shop.served.csrf.get(caller, "made up")})
            headers["Content-Type"] = kind or "application/x-www-form-urlencoded"
            answer = asker.ask(method, address, headers, content=body)
            assert answer.status_code < 500, f"{path}: {answer.status_code}"

        names = st.one_of(st.sampled_from(sorted(fields)), st.text(max_size=8))
        callers = st.sampled_from([Caller.OWNER, Caller.OWNER, Caller.HELPER, Caller.STRANGER])
        cases = st.tuples(
            st.sampled_from(_FORMS),
            callers,
            st.dictionaries(names, _VALUES, max_size=12),
            _TYPES,
            st.integers(0, 9),
        )
        return run("forms of pages", cases, act, seed=seed, most=most)


def filled(shop: Full, *, seed: int, most: int) -> Tally:
    """Each page's own form as it stands, but for a field or two."""
    with Asker(shop) as asker:
        forms = _forms_of_all_pages(shop, asker)

        def act(case: tuple[tuple[str, dict[str, list[str]]], dict[int, str]]) -> None:
            (action, standing), changes = case
            values = {name: held[-1] if held else "" for name, held in standing.items()}
            for at, value in changes.items():
                values[sorted(values)[at % len(values)]] = value
            values["csrf"] = standing.get("csrf", ["made up"])[-1]
            headers = shows(shop.served, Caller.OWNER)
            headers["Content-Type"] = "application/x-www-form-urlencoded"
            answer = asker.ask("POST", action, headers, content=_encoded(values))
            assert answer.status_code < 500, f"{action}: {answer.status_code}"

        changes = st.dictionaries(st.integers(0, 60), _VALUES, max_size=2)
        cases = st.tuples(st.sampled_from(forms), changes)
        return run("forms as filled in", cases, act, seed=seed, most=most)


def _encoded(values: dict[str, str]) -> bytes:
    pairs = ((name.encode("utf-8", "replace"), value) for name, value in values.items())
    return b"&".join(
        quote(name).encode() + b"=" + quote(value.encode("utf-8", "surrogatepass")).encode()
        for name, value in pairs
    )


def _address(shop: Full, path: str, pick: int) -> str:
    for name in parameters(path):
        known = shop.names.get(name, ("made-up",))
        path = path.replace("{" + name + "}", quote(known[pick % len(known)], safe=""), 1)
    return path


def _forms_of_all_pages(shop: Full, asker: Asker) -> list[tuple[str, dict[str, list[str]]]]:
    """Where the owner's pages' forms go, and what stands in them."""
    found: dict[str, dict[str, list[str]]] = {}
    headers = shows(shop.served, Caller.OWNER)
    for path in _LOOKED_AT:
        for pick in range(2):
            page = asker.ask("GET", _address(shop, path, pick), headers).text
            for part in page.split('action="')[1:]:
                action = part.partition('"')[0]
                if action not in found and (fields := form_in(page, action)):
                    found[action] = fields
    staying = (each for each in found if not any(word in each for word in _LEAVING))
    return sorted((action, found[action]) for action in staying)


def _fields_of_all_pages(shop: Full, asker: Asker) -> set[str]:
    return {name for _, fields in _forms_of_all_pages(shop, asker) for name in fields}
