"""Styles: what each element is painted with, after style sheets, attributes and inheritance."""

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any
from xml.etree.ElementTree import Element

from filigree.drawing.numbers import length

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
    ]
)
KNOWN = INHERITED | OWN
BRACKETS = re.compile(r"[][(){}]")
DEEPEST_BRACKETS = 64  # a style that nests deeper is no style: its reader calls itself for each
INITIAL: Mapping[str, str] = {"fill": "black", "stroke": "none", "font-size": "16"}

Style = Mapping[str, str]
Sheets = dict[Element, tuple[dict[str, str], dict[str, str]]]
"""For each element its plain and its `!important` declarations."""


@lru_cache(maxsize=4096)
def declarations(text: str) -> tuple[Mapping[str, str], Mapping[str, str]]:
    """Read a `style` attribute: plain and `!important` declarations of known properties."""
    if too_deep(text):
        return {}, {}
    if not set('"/\\!(').isdisjoint(text):
        import tinycss2  # only for what a plain split would get wrong

        return _sorted_out(tinycss2.parse_blocks_contents(text, skip_comments=True))
    plain: dict[str, str] = {}
    for part in text.split(";"):
        name, colon, value = part.partition(":")
        if colon:
            _put(plain, name.strip().lower(), value.strip())
    return plain, {}


def too_deep(text: str) -> bool:
    """Whether brackets of a style nest deeper than any style needs; those in strings count too."""
    depth = 0
    for bracket in BRACKETS.findall(text):
        depth = depth + 1 if bracket in "([{" else max(depth - 1, 0)
        if depth > DEEPEST_BRACKETS:
            return True
    return False


def _sorted_out(parsed: Iterable[Any]) -> tuple[dict[str, str], dict[str, str]]:
    import tinycss2

    plain: dict[str, str] = {}
    important: dict[str, str] = {}
    for item in parsed:
        if getattr(item, "type", "") == "declaration":
            value = tinycss2.serialize(item.value).strip()
            _put(important if item.important else plain, item.lower_name, value)
    return plain, important


def _put(into: dict[str, str], name: str, value: str) -> None:
    if name == "marker":
        for part in ("marker-start", "marker-mid", "marker-end"):
            into[part] = value
    elif name in KNOWN:
        into[name] = value


def read_sheets(root: Element) -> Sheets:
    """Match the style sheets of a document with its elements; empty when it has none."""
    text = [
        style.text
        for style in root.iter("style")
        if style.text and style.get("type", "text/css").strip().lower() in {"", "text/css"}
    ]
    text = [sheet for sheet in text if not too_deep(sheet)]
    if not text:
        return {}
    import cssselect2
    import tinycss2

    matcher = cssselect2.Matcher()
    for rule in _rules(
        tinycss2.parse_stylesheet("\n".join(text), skip_comments=True, skip_whitespace=True)
    ):
        declared = _sorted_out(tinycss2.parse_blocks_contents(rule.content, skip_comments=True))
        try:
            selectors = cssselect2.compile_selector_list(rule.prelude)
        except cssselect2.SelectorError:
            continue  # CSS drops a rule whose selector it does not know
        for selector in selectors:
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


def _rules(parsed: Iterable[Any]) -> Iterator[Any]:
    """Style rules, those in media blocks for screen and all included."""
    import tinycss2

    for rule in parsed:
        if rule.type == "qualified-rule":
            yield rule
        elif rule.type == "at-rule" and rule.lower_at_keyword == "media" and rule.content:
            media = tinycss2.serialize(rule.prelude).lower()
            if "print" not in media and "not" not in media:
                yield from _rules(
                    tinycss2.parse_rule_list(rule.content, skip_comments=True, skip_whitespace=True)
                )


def styled(element: Element, above: Style, sheets: Sheets) -> Style:
    """Work out the style of an element whose parent (or user) has the style `above`."""
    attributes = element.attrib
    own = {key: value.strip() for key, value in attributes.items() if key in KNOWN}
    if sheets or "style" in attributes:
        plain, important = sheets.get(element, ({}, {}))
        written, urgent = declarations(attributes.get("style", ""))
        own = {**own, **plain, **written, **important, **urgent}
    passed_on = above if OWN.isdisjoint(above) else {k: v for k, v in above.items() if k not in OWN}
    if not own:
        return passed_on
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
