"""Any briefs that can be estimated, for properties of what is made from them."""

from hypothesis import strategies as st

from service.estimating import (
    Brief,
    ColourShare,
    Fullness,
    Pattern,
    Piece,
    Placement,
    Setting,
    Site,
    Support,
)

_PIECES = st.builds(
    Piece,
    support=st.sampled_from(Support),
    count=st.integers(1, 3),
    fullness=st.sampled_from(Fullness),
    pattern=st.sampled_from(Pattern),
    placement=st.sampled_from(Placement),
    coverage=st.none() | st.floats(0.1, 1),
    width_m=st.floats(0.5, 4),
    height_m=st.floats(2, 4),
    length_m=st.floats(0.5, 8),
    sag_m=st.floats(0.01, 2),
    rise_m=st.floats(0.5, 4),
    run_m=st.floats(0.5, 5),
)
_COLOURS = st.sampled_from(["sage", "cream", "gold", "navy", "white", "dusty rose", "moonlit teal"])
BRIEFS = st.builds(
    Brief,
    pieces=st.lists(_PIECES, min_size=1, max_size=3).map(tuple),
    palette=st.lists(st.builds(ColourShare, colour=_COLOURS), max_size=6, unique=True).map(tuple),
    site=st.sampled_from([Site(), Site(setting=Setting.OUTDOOR, temperature_c=33)]),
)
