"""What clusters are called at the bench."""

_NAMES = {
    "duplet": ("duplet", "duplets"),
    "quad": ("quad", "quads"),
    "mini_quad": ("mini quad", "mini quads"),
    "cluster_of_six": ("cluster of six", "clusters of six"),
}


def named(kind: str, count: int = 1) -> str:
    """ "mini quad"; "mini quads" where there are several."""
    one, many = _NAMES.get(kind, (kind.replace("_", " "),) * 2)
    return one if count == 1 else many
