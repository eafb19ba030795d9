"""Styles: what each element is painted with, after style sheets, attributes and inheritance."""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any
from xml.etree.ElementTree import Element

from filigree.drawing.numbers import length
from filigree.drawing.variables import VARIABLE, with_variables

INHERITED = frozenset(
    [
        "fill",
        "fill-opacity",
        "fill-rule",
        "stroke",
        "stroke-width",
        "stroke-opacity",
        "stroke-linecap",
        "stroke-linejoin",
        "stroke-miterlimit",
        "stroke-dasharray",
        "stroke-dashoffset",
        "clip-rule",
        "visibility",
        "color",
        "marker-start",
        "marker-mid",
        "marker-end",
        "paint-order",
        "font-size",
    ]
)
OWN = frozenset(
    [
        "display",
        "opacity",
        "clip-path",
        "mask",
        "overflow",
        "stop-color",
        "stop-opacity",
        "filter",
        "vector-effect",
        "mask-type",
        "transform",
        "transform-origin",
        "transform-box",
    ]
)
GEOMETRY = frozenset({"x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "d"})
WRITTEN = frozenset({*GEOMETRY, "translate", "rotate", "scale", "mix-blend-mode"})
"""Properties that style sheets set and attributes of the same name do not, or not in the same words."""
KNOWN = INHERITED | OWN
PASSED_OVER = OWN | WRITTEN  # what an element does not hand on to those in it
DARKENS = frozenset({"multiply", "darken", "color-burn"})  # blends in which white leaves no trace
BRACKETS = re.compile(r"[][(){}]")
DEEPEST_BRACKETS = 64  # a style that nests deeper is no style: its reader calls itself for each
LONGEST_SELECTOR = 200  # words; a longer one is no selector: its reader calls itself for each
MOST_TRIED = 3_000_000  # elements that rules are tried at; takes some two seconds
LONG_NUMBER = re.compile(
    r"(?<!\d)\d{400}"
)  # no style needs it, and its reader takes no integer so long
INITIAL: Mapping[str, str] = {"fill": "black", "stroke": "none", "font-size": "16"}

Style = Mapping[str, str]
Sheets = dict[Element, tuple[dict[str, str], dict[str, str]]]
"""For each element its plain and its `!important` declarations."""


@lru_cache(maxsize=4096)
def declarations(text: str) -> tuple[Mapping[str, str], Mapping[str, str]]:
    """Read a `style` attribute: plain and `!important` declarations of known properties."""
    if unreadable(text):
        return {}, {}
    if not set('"/\\!(').isdisjoint(text):
        import tinycss2  # only for what a plain split would get wrong

        return _sorted_out(tinycss2.parse_blocks_contents(text, skip_comments=True))
    plain: dict[str, str] = {}
    for part in text.split(";"):
        name, colon, value = part.partition(":")
        if colon:
            _put(plain, name.strip(), value.strip())
    return plain, {}


@lru_cache(maxsize=4096)
def unreadable(text: str) -> str:
    """Say why a style is not read, "" where it is; brackets and digits in strings count too."""
    depth = 0
    for bracket in BRACKETS.findall(text):
        depth = depth + 1 if bracket in "([{" else max(depth - 1, 0)
        if depth > DEEPEST_BRACKETS:
            return f"its brackets nest more than {DEEPEST_BRACKETS} deep"
    return "a number in it has 400 digits or more" if LONG_NUMBER.search(text) else ""


def _sorted_out(parsed: Iterable[Any]) -> tuple[dict[str, str], dict[str, str]]:
    import tinycss2

    plain: dict[str, str] = {}
    important: dict[str, str] = {}
    for item in parsed:
        if getattr(item, "type", "") == "declaration":
            value = tinycss2.serialize(item.value).strip()
            _put(important if item.important else plain, item.name, value)
    return plain, important


def _put(into: dict[str, str], name: str, value: str) -> None:
    if name.startswith(VARIABLE):
        into[name] = value
        return
    name = name.lower()
    if name == "marker":
        for part in ("marker-start", "marker-mid", "marker-end"):
            into[part] = value
    elif name in KNOWN or name in WRITTEN:
        into[name] = value


def read_sheets(root: Element, skip: Callable[[str, str], None]) -> Sheets:
    """Match the style sheets of a document with its elements; empty when it has none.

    Args:
        root: the document.
        skip: told what is left out, and why.
    """
    text = [
        style.text
        for style in root.iter("style")
        if style.text and style.get("type", "text/css").strip().lower() in {"", "text/css"}
    ]
    for sheet in text:
        if why := unreadable(sheet):
            skip("a style sheet", why)
    text = [sheet for sheet in text if not unreadable(sheet)]
    if not text:
        return {}
    import cssselect2
    import tinycss2

    matcher, there, tried = cssselect2.Matcher(), _subjects(root), 0
    parsed = tinycss2.parse_stylesheet("\n".join(text), skip_comments=True, skip_whitespace=True)
    if any(rule.type == "at-rule" and rule.lower_at_keyword == "import" for rule in parsed):
        skip("an imported style sheet", "external references are not opened")
    for rule in _rules(parsed):
        if _longest(rule.prelude) > LONGEST_SELECTOR:
            skip("a rule of a style sheet", f"its selector is over {LONGEST_SELECTOR} words long")
            continue
        declared = _sorted_out(tinycss2.parse_blocks_contents(rule.content, skip_comments=True))
        try:
            selectors = cssselect2.compile_selector_list(rule.prelude)
        except cssselect2.SelectorError:
            continue  # CSS drops a rule whose selector it does not know
        for selector in selectors:
            tried += there[_subject(selector)]
            if tried > MOST_TRIED:
                skip(
                    "a rule of a style sheet", f"rules are tried at {MOST_TRIED:,} elements at most"
                )
                break
            matcher.add_selector(selector, declared)
    if not matcher.order:
        return {}
    found: dict[Element, tuple[dict[str, str], dict[str, str]]] = {}
    for wrapper in cssselect2.ElementWrapper.from_xml_root(root).iter_subtree():
        for _, _, pseudo, declared in matcher.match(wrapper):
            if pseudo is None:
                plain, important = found.setdefault(wrapper.etree_element, ({}, {}))
                plain.update(declared[0])
                important.update(declared[1])
    return found


def _subjects(root: Element) -> Counter[str]:
    """How many elements have each id, class and name; all of them stand under "*"."""
    there: Counter[str] = Counter()
    for element in root.iter():
        there.update(("*", element.tag.lower(), f"#{element.get('id')}"))
        there.update(f".{name}" for name in element.get("class", "").split())
    return there


def _subject(selector: Any) -> str:
    """What an element must have, at least, to be tried with a selector."""
    if selector.id is not None:
        return f"#{selector.id}"
    if selector.class_name is not None:
        return f".{selector.class_name}"
    return selector.lower_local_name or "*"


def _longest(prelude: Iterable[Any]) -> int:
    """Words of the longest of the selectors that commas part."""
    longest = size = 0
    for token in prelude:
        size = 0 if token.type == "literal" and token.value == "," else size + 1
        longest = max(longest, size)
    return longest


def _rules(parsed: Iterable[Any]) -> Iterator[Any]:
    """Style rules, those in media blocks for screen and all included."""
    import tinycss2

    for rule in parsed:
        if rule.type == "qualified-rule":
            yield rule
        elif (
            rule.type == "at-rule"
            and rule.lower_at_keyword == "media"
            and rule.content
            and _on_screen(tinycss2.serialize(rule.prelude).lower())
        ):
            yield from _rules(
                tinycss2.parse_rule_list(rule.content, skip_comments=True, skip_whitespace=True)
            )


def _on_screen(media: str) -> bool:
    """Say whether one of the queries of a media rule is met by a wide, light screen."""
    return any(
        not re.search(r"\b(?:print|speech|not|dark|max-\w+|reduce|portrait)\b", query)
        for query in media.split(",")
    )


def styled(element: Element, above: Style, sheets: Sheets) -> Style:
    """Work out the style of an element whose parent (or user) has the style `above`."""
    attributes = element.attrib
    own = {key: value.strip() for key, value in attributes.items() if key in KNOWN}
    if sheets or "style" in attributes:
        plain, important = sheets.get(element, ({}, {}))
        written, urgent = declarations(attributes.get("style", ""))
        own = {**own, **plain, **written, **important, **urgent}
    passed_on = (
        above
        if PASSED_OVER.isdisjoint(above)
        else {k: v for k, v in above.items() if k not in PASSED_OVER}
    )
    if not own:
        return passed_on
    if "var(" in "".join(own.values()):
        own = with_variables(own, above)
    if "font-size" in own:
        own["font-size"] = _font_size(own["font-size"], above)
    for key, value in own.items():
        if value == "inherit":
            own[key] = above.get(key, "")
        elif value in {"initial", "unset", "revert"}:
            own[key] = (
                above.get(key, "")
                if value == "unset" and key in INHERITED
                else INITIAL.get(key, "")
            )
    return {**passed_on, **own}


def _font_size(text: str, above: Style) -> str:
    outer = float(above.get("font-size", "16") or 16)
    try:
        return repr(length(text, whole=outer, font=outer))
    except ValueError:
        return repr(outer)
