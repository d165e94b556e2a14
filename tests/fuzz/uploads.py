"""Any bytes, sent as a photo: a small JPEG comes of them, or a refusal."""

from collections.abc import Callable
from functools import cache
from io import BytesIO

from hypothesis import strategies as st
from PIL import Image

from bot import photos as clients
from service.rendering import photos as owners
from tests.fuzz.cases import run
from tests.fuzz.tally import Tally

_MOST_SIDE = 1600

Change = tuple[int, bytes, int]


@cache
def _pictures() -> tuple[bytes, ...]:
    """One of each kind, small, and one that says of itself that it is vast."""
    made = []
    image = Image.radial_gradient("L").resize((40, 30)).convert("RGB")
    for kind in ("JPEG", "PNG", "WEBP", "GIF", "BMP", "TIFF"):
        file = BytesIO()
        image.save(file, kind)
        made.append(file.getvalue())
    png = made[1]
    vast = png[:16] + (50_000).to_bytes(4, "big") * 2 + png[24:]
    return (*made, vast)


def _changed(case: tuple[int, list[Change], int]) -> bytes:
    which, changes, length = case
    data = _pictures()[which % len(_pictures())]
    for at, new, gone in changes:
        at %= len(data) + 1
        data = data[:at] + new + data[at + gone :]
    return data[: len(data) - length % (len(data) + 1)] if length else data


_CHANGE = st.tuples(st.integers(0, 4000), st.binary(max_size=6), st.integers(0, 6))
_CASES = st.one_of(
    st.binary(max_size=300),
    st.tuples(
        st.integers(0, 6), st.lists(_CHANGE, max_size=4), st.just(0) | st.integers(0, 4000)
    ).map(_changed),
)


def reduced(*, seed: int, most: int) -> Tally:
    """What clients send to the bot, and what the owner adds to a job."""

    def act(data: bytes) -> None:
        _is_small(lambda: clients.reduce(data).jpeg, clients.NotAPhoto)
        _is_small(lambda: owners.reduced(data), owners.NotAPhoto)

    return run("uploads", _CASES, act, seed=seed, most=most)


def _is_small(make: Callable[[], bytes], refusal: type[Exception]) -> None:
    try:
        jpeg = make()
    except refusal:
        return
    with Image.open(BytesIO(jpeg), formats=("JPEG",)) as image:
        image.load()
        assert max(image.size) <= _MOST_SIDE, "a photo is kept larger than it should be"
        assert not image.getexif(), "a photo is kept with what the camera wrote besides"
