"""Everybody asks the served application for everything, by the table of its routes.

What a caller who was let in has changed is undone before the next one asks.
"""

import httpx

from service.leads.handling import QUOTE_LINK
from tests.service.access_table import ROUTES
from tests.service.building import PUBLIC_URL
from tests.service.placing import KEYS, SESSIONS, Caller, Outcome, Placement
from tests.service.served import ANOTHER, OWN, Route, Served


def address(served: Served, caller: Caller, path: str, place: Placement, whose: str) -> str:
    """The path as this caller can know it."""
    objects = served.objects[whose]
    values = dict(objects.named) | {"key": served.own_keys.get(caller, "made-up")}
    if place.purpose:
        right = objects.links[place.purpose]
        elsewhere = next(each for each in objects.links if each != place.purpose)
        shown = {Caller.OWN_LINK: right, Caller.OTHER_LINK: objects.links[elsewhere]}
        # Others have seen a link over somebody's shoulder, but for its last letter.
        values["token"] = shown.get(caller, right[:-1] + ("a" if right[-1] != "a" else "b"))
    values |= {name: said.format(**values) for name, said in place.names.items()}
    for name in parameters(path):
        path = path.replace("{" + name + "}", values.get(name, "made-up"))
    return f"{path}?{place.query}" if place.query else path


def parameters(path: str) -> list[str]:
    """What a path leaves open."""
    return [part.split("}")[0] for part in path.split("{")[1:]]


def shows(served: Served, caller: Caller) -> dict[str, str]:
    """The headers by which a caller is known."""
    if caller in KEYS:
        role = "owner" if caller is Caller.OWNER_KEY else caller.name.lower()
        return {"Authorization": f"Bearer {served.keys[role]}"}
    if caller in SESSIONS:
        return {"Cookie": f'__Host-desk="{served.sessions[caller]}"'}
    if caller in (Caller.OWN_LINK, Caller.OTHER_LINK):
        token = served.objects[OWN].links[QUOTE_LINK]
        return {"Authorization": f"Bearer {token}", "Cookie": f"__Host-desk={token}"}
    return {}


async def ask(
    served: Served, client: httpx.AsyncClient, caller: Caller, route: Route, whose: str
) -> httpx.Response:
    method, path = route
    headers = shows(served, caller)
    url = address(served, caller, path, ROUTES[route], whose)
    if method == "GET":
        return await client.get(url, headers=headers)
    if path.startswith("/v1"):
        return await client.request(method, url, headers=headers, json=dict(ROUTES[route].body))
    return await client.request(
        method, url, headers=headers, data={"csrf": served.csrf.get(caller, "made up")}
    )


def outcome_of(response: httpx.Response) -> Outcome:
    """What the answer means to whoever asked."""
    if response.status_code == 303 and response.headers["location"].startswith("/desk/sign-in?"):
        return Outcome.SIGN_IN
    by_status = {each.value: each for each in Outcome}
    return by_status.get(str(response.status_code), Outcome.IN)


def expected(place: Placement, caller: Caller, method: str, whose: str) -> Outcome:
    """What the table says; to read, no form is needed."""
    if caller is Caller.STALE and method == "GET":
        caller = Caller.OWNER
    said = place.outcomes[caller]
    if whose == ANOTHER and said is Outcome.IN and place.of_another:
        return place.of_another
    return said


def fault(
    place: Placement, caller: Caller, route: Route, whose: str, response: httpx.Response
) -> str | None:
    """How an answer differs from the table."""
    method, wanted = route[0], expected(place, caller, route[0], whose)
    got, status = outcome_of(response), response.status_code
    cell = f"{caller}, {whose} object: {status}, not {wanted}"
    if status >= 500 and status != 503:
        return cell
    if wanted is not Outcome.IN:
        return None if got is wanted else cell
    if place.answer is not None:
        return None if status == place.answer else f"{cell} by {place.answer}"
    if got is not Outcome.IN or (method == "GET" and status not in (200, 303)):
        return cell
    return None


async def ask_all(served: Served) -> None:
    """Every cell of the table; reading first, so that it can be seen to change nothing."""
    transport = httpx.ASGITransport(app=served.app, raise_app_exceptions=False)
    async with (
        served.app.router.lifespan_context(served.app),
        httpx.AsyncClient(transport=transport, base_url=PUBLIC_URL) as client,
    ):
        for route in sorted(ROUTES, key=lambda route: route[0] != "GET"):
            served.faults[route] = []
            for caller in Caller:
                for whose in (OWN, ANOTHER) if parameters(route[1]) else (OWN,):
                    await _ask_one(served, client, caller, route, whose)


async def _ask_one(
    served: Served, client: httpx.AsyncClient, caller: Caller, route: Route, whose: str
) -> None:
    method, _ = route
    before = served.writes()
    response = await ask(served, client, caller, route, whose)
    client.cookies.clear()
    served.asked += 1
    if method == "GET" and whose == OWN and outcome_of(response) is Outcome.IN:
        served.looked[route] = response
    wrong = fault(ROUTES[route], caller, route, whose, response)
    if wrong:
        served.faults[route].append(wrong)
    if method == "GET" and served.writes() != before and served.changed():
        tables = ", ".join(sorted(served.changed()))
        served.faults[route].append(f"{caller}, {whose} object: looking has changed {tables}")
    if caller is Caller.OWN_LINK and _shows_another(served, response, whose):
        served.faults[route].append(f"{whose} link shows the other's object")
    if served.writes() != before:
        served.undo()


def _shows_another(served: Served, response: httpx.Response, whose: str) -> bool:
    other = served.objects[ANOTHER if whose == OWN else OWN]
    return any(mark in response.text for mark in other.marks)
