"""New figures put into a price book's text, where all that is not touched stays as it was typed."""

import json
from collections.abc import Mapping, Sequence
from difflib import SequenceMatcher
from io import StringIO
from typing import Any

from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.error import YAMLError
from ruamel.yaml.scalarstring import LiteralScalarString, ScalarString

from service.storage.price_book.reading import NAME, parsed, round_trip


def say_the_same(old: Any, new: Any) -> bool:
    """Whether two parts of a book say the same, however their figures are written."""
    return _key(old) == _key(new)


def rewritten(text: str, section: str, data: Any) -> str:
    """The text with one section, a name at its left edge, written anew from plain data.

    All other lines stay as they are, and inside the section the comments of what stays. None
    takes the section out. Raises BookError where the text cannot be read at all.
    """
    tree = parsed(text, NAME)
    if tree.fa.flow_style():
        # All of it in one pair of braces: there are no lines to keep apart.
        whole = round_trip().load(text)
        return _dumped(_merged(whole, {**dict(whole.items()), section: data}))
    lines = text.splitlines(keepends=True)
    begin, end = _span(tree, lines, section)
    own = lines[begin:end]
    new = "" if data is None else _woven(own, section, data)
    if begin == end and lines and not lines[-1].endswith("\n"):
        new = f"\n{new}"
    return "".join((*lines[:begin], new, *lines[end:]))


def _span(tree: Any, lines: Sequence[str], section: str) -> tuple[int, int]:
    """Where the section's own lines begin and end; what is said before the next is that one's."""
    starts = sorted(tree.lc.data[key][0] for key in tree)
    if section not in tree:
        return len(lines), len(lines)
    begin = tree.lc.data[section][0]
    end = next((start for start in starts if start > begin), len(lines))
    while end > begin + 1 and (not lines[end - 1].strip() or lines[end - 1].startswith("#")):
        end -= 1
    return begin, end


def _woven(lines: Sequence[str], section: str, data: Any) -> str:
    """The section's new lines: as much as can be of how they were typed, but never a word else."""
    new = {section: data}
    woven = _dumped(_merged(round_trip().load("".join(lines)) or CommentedMap(), new))
    for candidate in (_aligned(woven, lines), woven):
        if _says(candidate, new):
            return candidate
    return _dumped(_fresh(new))


def _says(text: str, data: Any) -> bool:
    try:
        return say_the_same(round_trip().load(text), data)
    except YAMLError:
        return False


def _aligned(woven: str, lines: Sequence[str]) -> str:
    """Rows that say the same as before in their old columns."""
    before = {_squeezed(line): line for line in lines if "{" in line}
    return "".join(before.get(_squeezed(line), line) for line in woven.splitlines(keepends=True))


def _squeezed(line: str) -> str:
    return " ".join(line.split())


def _dumped(tree: Any) -> str:
    out = StringIO()
    round_trip().dump(tree, out)
    return out.getvalue()


def _merged(old: Any, new: Any) -> Any:
    """The old node with the new data in it, or a new node where they are of different kinds."""
    if isinstance(old, CommentedMap) and isinstance(new, Mapping):
        return _merged_map(old, new)
    if isinstance(old, CommentedSeq) and _is_list(new):
        return _merged_list(old, new)
    return old if _same(old, new) else _fresh(new, like=old)


def _merged_map(old: CommentedMap, new: Mapping[Any, Any]) -> CommentedMap:
    for key in [key for key in old if key not in new]:
        del old[key]
    for key, value in new.items():
        if key in old:
            old[key] = _merged(old[key], value)
            _keep_comment(old, key)
        else:
            beside = next(iter(old.values()), None)
            old[key] = _fresh(value, like=beside, flow=bool(old.fa.flow_style()))
    return old


def _keep_comment(old: CommentedMap, key: Any) -> None:
    """What was said in front of a list that is empty now is said behind its name."""
    comment = old.ca.items.get(key)
    if comment and comment[3] and _is_list(old[key]) and not old[key]:
        comment[2], comment[3] = comment[3][0], None


def _merged_list(old: CommentedSeq, new: Sequence[Any]) -> Any:
    """Rows that stay keep their comments, wherever they are now."""
    if not new:
        return _fresh(new)
    nodes: list[Any] = []
    comments: dict[int, Any] = {}
    matched = SequenceMatcher(None, [_key(each) for each in old], [_key(each) for each in new])
    for _, begin, end, first, last in matched.get_opcodes():
        for offset in range(last - first):
            if begin + offset < end:
                if begin + offset in old.ca.items:
                    comments[len(nodes)] = old.ca.items[begin + offset]
                nodes.append(_merged(old[begin + offset], new[first + offset]))
            else:
                beside = old[0] if old else None
                flow = bool(old.fa.flow_style())
                nodes.append(_fresh(new[first + offset], like=beside, flow=flow))
    old.clear()
    old.extend(nodes)
    old.ca.items.clear()
    old.ca.items.update(comments)
    return old


def _fresh(value: Any, *, like: Any = None, flow: bool = False) -> Any:
    """A new node in the style of the one beside it, within braces where that is."""
    if isinstance(value, Mapping):
        node = CommentedMap()
        flow = flow or (isinstance(like, CommentedMap) and bool(like.fa.flow_style()))
        node.update({key: _fresh(each, flow=flow) for key, each in value.items()})
        if flow:
            node.fa.set_flow_style()
        return node
    if _is_list(value):
        plain = all(not isinstance(each, Mapping) and not _is_list(each) for each in value)
        seq = CommentedSeq(_fresh(each, flow=flow or plain) for each in value)
        if flow or plain:
            seq.fa.set_flow_style()
        return seq
    if isinstance(value, str):
        return _fresh_text(value, like, flow=flow)
    if value is None or isinstance(value, bool):
        return value
    # As it is written: 8.90 stays 8.90.
    return round_trip().load(format(value, "f") if not isinstance(value, int) else str(value))


def _fresh_text(value: str, like: Any, *, flow: bool) -> Any:
    if "\n" in value and not flow:
        return LiteralScalarString(value)
    if isinstance(like, ScalarString) and not isinstance(like, LiteralScalarString):
        return type(like)(value)
    return value


def _is_list(value: Any) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str)


def _same(old: Any, new: Any) -> bool:
    if isinstance(old, bool) or isinstance(new, bool):
        return old is new
    if isinstance(old, str) or isinstance(new, str):
        return isinstance(old, str) and isinstance(new, str) and str(old) == str(new)
    return bool(old == new) or _key(old) == _key(new)


def _key(value: Any) -> str:
    """The same for what says the same: 4.5 and 4.50."""
    return json.dumps(_canonical(value), sort_keys=True)


def _canonical(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _canonical(each) for key, each in value.items()}
    if _is_list(value):
        return [_canonical(each) for each in value]
    if value is None or isinstance(value, bool):
        return value
    return str(value) if isinstance(value, str) else float(value)
