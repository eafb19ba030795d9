"""Markup: the elements of an SVG document, read so that nothing outside it is opened.

Entities declared in the document are put in up to a limit; external ones are left out.
"""

from dataclasses import dataclass, field
from xml.etree.ElementTree import Element
from xml.parsers import expat

from filigree.errors import FiligreeError

SVG_SPACE = "http://www.w3.org/2000/svg"
LINK_SPACE = "http://www.w3.org/1999/xlink"
MOST_ENTITY_BYTES = 1_000_000  # of declared entities put in
FOREIGN = "foreign:"  # before the name of an element that is not SVG's own
HEAD = b" \t\r\n"


@dataclass(slots=True)
class _Reader:
    """State of one reading: the open elements, and the namespaces in force."""

    name: str
    depth: int
    open: list[Element] = field(default_factory=list)
    root: Element | None = None
    spaces: list[dict[str, str]] = field(default_factory=lambda: [{}])
    entities: dict[str, str] = field(default_factory=dict)
    put_in: int = 0

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if len(self.open) >= self.depth:
            raise FiligreeError(
                f"elements lie more than {self.depth} deep in one another",
                remedy="ungroup the drawing, or set [reading] depth",
                where=self.name,
            )
        spaces = self.spaces[-1]
        declared = {key[6:]: value for key, value in attributes.items() if key[:5] == "xmlns"}
        if declared:
            spaces = spaces | declared
        self.spaces.append(spaces)
        prefix, _, local = tag.rpartition(":")
        space = spaces.get(prefix, SVG_SPACE if prefix in {"", "svg"} else "")
        if not space.startswith(SVG_SPACE) and self.open:
            local = FOREIGN + local
        for key in [key for key in attributes if key[-5:] == ":href"]:
            if key == "xlink:href" or spaces.get(key[:-5]) == LINK_SPACE:
                attributes.setdefault("href", attributes[key])
        element = Element(local, attributes)
        if self.open:
            self.open[-1].append(element)
        elif self.root is None:
            self.root = element
        self.open.append(element)

    def end(self, _tag: str) -> None:
        self.open.pop()
        self.spaces.pop()

    def text(self, text: str) -> None:
        if self.open and self.open[-1].tag in {"style", "text", "tspan", "title"}:
            self.open[-1].text = (self.open[-1].text or "") + text

    def entity(self, name: str, parameter: int, value: str | None, *_: object) -> None:
        if value is None or parameter:
            return
        self.put_in += len(value)
        nested = value.count("&") > 0 and any(f"&{known};" in value for known in self.entities)
        if nested or self.put_in > MOST_ENTITY_BYTES:
            raise FiligreeError(
                "its entities are made of one another or larger than 1 MB",
                remedy="save it again as plain SVG",
                where=self.name,
            )
        self.entities[name] = value


def read_markup(data: bytes, name: str, *, depth: int) -> Element:
    """Read an SVG document.

    Args:
        data: the document, in any encoding XML knows.
        name: what to call it in messages.
        depth: how many elements may lie within one another.

    Returns:
        The `svg` element; SVG's own elements without namespace, others with `FOREIGN` before their name.

    Raises:
        FiligreeError: it is not XML or not SVG, too deep, or swollen by entities.
    """
    reader = _Reader(name=name, depth=depth)
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.CharacterDataHandler = reader.text
    parser.EntityDeclHandler = reader.entity
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
    try:
        parser.Parse(data.lstrip(HEAD), True)  # noqa: FBT003 (expat takes no keyword)
    except expat.ExpatError as error:
        raise _not_read(error, reader) from error
    except (LookupError, ValueError) as error:
        raise FiligreeError(
            "its character encoding is not known", remedy="save it again as UTF-8", where=name
        ) from error
    if reader.root is None or reader.root.tag != "svg":
        kind = reader.root.tag if reader.root is not None else "nothing"
        raise FiligreeError(
            f"this is not an SVG drawing (it holds {kind})",
            remedy="give a drawing in SVG",
            where=name,
        )
    return reader.root


def _not_read(error: expat.ExpatError, reader: _Reader) -> FiligreeError:
    """Say where the markup breaks, or that it is none."""
    if error.code == expat.errors.codes[expat.errors.XML_ERROR_AMPLIFICATION_LIMIT_BREACH]:
        return FiligreeError(
            "its entities swell beyond all measure",
            remedy="save it again as plain SVG",
            where=reader.name,
        )
    if reader.root is None:
        return FiligreeError(
            "this is not an SVG drawing", remedy="give a drawing in SVG", where=reader.name
        )
    reason = expat.ErrorString(error.code)
    return FiligreeError(
        f"the file is damaged in line {error.lineno}: {reason}",
        remedy="save it again from the drawing program",
        where=reader.name,
    )
