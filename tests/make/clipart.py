"""Clip art as strangers draw it: a style, a habit of structure and a seed give one SVG file.

Paint, units, page, layers, transforms and precision are thrown at random, so no two files of a style agree in
anything but what they show. What they enclose is not known here: a renderer tells (see `enclosed`).
"""

import math
from random import Random

import numpy as np
import shapely
from shapely import affinity

from tests.make.clipart_forms import Form, jittered
from tests.make.clipart_styles import STYLES

BLACKS = ["#000", "#000000", "black", "rgb(0,0,0)", "#1a1a1a", "#231F20", "#010101", "rgb(4%,4%,5%)", "hsl(0,0%,8%)"]  # fmt: skip
WHITES = ["#fff", "#FEFEFE", "white", "rgb(255,255,255)", "#fffff0", "rgb(99%,99%,98%)", "#FFFFFF", "#fdfdfd", "url(#pale)"]  # fmt: skip
PAGES = [  # width, height and viewBox of a page of 104 x 104 mm, and user units in a mm
    ('width="104mm" height="104mm" viewBox="0 0 104 104"', 1.0),
    ('width="104mm" height="104mm" viewBox="0 0 10400 10400"', 100.0),
    ('width="10.4cm" height="10.4cm" viewBox="0 0 104 104"', 1.0),
    ('width="4.0945in" height="4.0945in" viewBox="0 0 294.8 294.8"', 294.8 / 104),
    ('width="294.8pt" height="294.8pt" viewBox="0 0 294.8 294.8"', 294.8 / 104),
    ('width="393px" height="393px"', 393 / 104),
    ('width="393" height="393"', 393 / 104),
    ('viewBox="0 0 393 393"', 393 / 104),
    ('width="100%" height="100%" viewBox="0 0 393 393"', 393 / 104),
    ('width="393" viewBox="0 0 786 786" preserveAspectRatio="xMinYMin"', 786 / 104),
]
HABITS = (
    "plain",
    "layers",
    "sheet",
    "traced",
    "turned",
    "symbols",
    "windowed",
    "faint",
    "outlined",
)


class Writer:
    """Writes forms as elements of one file."""

    def __init__(self, rng: Random, scale: float):
        self.rng, self.scale = rng, scale
        self.places = 3 if scale < 3 else 2 if scale < 50 else 0
        self.relative, self.curved = rng.random() < 0.5, rng.random() < 0.5
        self.black = rng.choice(BLACKS)
        self.whites = rng.sample(WHITES, 3)

    def white(self):
        return self.rng.choice(self.whites)

    def number(self, value):
        text = f"{value:.{self.places}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text

    def pairs(self, xy):
        return " ".join(f"{self.number(x)},{self.number(y)}" for x, y in xy)

    def run(self, points, *, shut):
        """One subpath: straight, or smooth through every other point."""
        xy = np.round(np.asarray(points, dtype=float) * self.scale, self.places)
        if shut and (xy[0] == xy[-1]).all():
            xy = xy[:-1]
        end = "z" if shut else ""
        if self.curved and len(xy) > 24:
            return self._smooth(xy[::2], shut) + end
        if self.relative:
            return f"m{self.pairs(xy[:1])}l{self.pairs(np.diff(xy, axis=0))}{end}".replace("m", "M", 1)  # fmt: skip
        return f"M{self.pairs(xy[:1])} L{self.pairs(xy[1:])} {end.upper()}"

    def _smooth(self, xy, shut):
        """Cubics through the points (Catmull and Rom), straight at sharp corners."""
        around = np.concatenate([xy[-1:], xy, xy[:2]]) if shut else np.concatenate([xy[:1], xy, xy[-1:]])  # fmt: skip
        tangent = (around[2:] - around[:-2]) / 6
        a, b = around[1:-2], around[2:-1]
        before, after = tangent[: len(a)], tangent[1 : len(a) + 1]
        if len(after) < len(a):
            after = np.concatenate([after, before[:1]])
        step = np.hypot(*(b - a).T)[:, None] / 2.5
        before, after = (t * np.minimum(1, step / (np.hypot(*t.T)[:, None] + 1e-9)) for t in (before, after))  # fmt: skip
        cubics = np.stack([a + before, b - after, b], axis=1).reshape(-1, 2)
        return f"M{self.pairs(xy[:1])}C{self.pairs(cubics)}"

    def path(self, form: Form):
        if form.rings:
            return " ".join(self.run(ring, shut=True) for ring in form.rings)
        if form.width:
            points = np.asarray(form.shape.coords)
            return self.run(points, shut=bool((points[0] == points[-1]).all()))
        rings = [
            np.asarray(ring.coords)
            for part in shapely.get_parts(form.shape)
            if part.geom_type == "Polygon"
            for ring in (part.exterior, *part.interiors)
        ]
        return " ".join(self.run(ring, shut=True) for ring in rings if len(ring) > 3)

    def paint(self, form: Form):
        """Properties of one form."""
        colour = self.black if form.ink else self.white()
        rule = form.rule if form.rings else "evenodd"
        if form.width:
            props = {"fill": "none", "stroke": colour, "stroke-width": self.number(form.width * self.scale) if self.places else f"{form.width * self.scale:.1f}"}  # fmt: skip
            if self.rng.random() < 0.5:
                props["stroke-linejoin"] = self.rng.choice(["round", "miter", "bevel"])
                props["stroke-linecap"] = self.rng.choice(["round", "butt", "square"])
            return props
        props = {"fill": colour, "fill-rule": rule}
        if form.ink and self.rng.random() < 0.12:
            props |= {"stroke": colour, "stroke-width": f"{0.15 * self.scale:.3f}"}
        return props

    def element(self, form: Form, extra=""):
        d = self.path(form)
        if not d:
            return ""
        props = self.paint(form)
        if self.rng.random() < 0.5:
            look = f'style="{";".join(f"{k}:{v}" for k, v in props.items())}"'
        else:
            look = " ".join(f'{k}="{v}"' for k, v in props.items())
        return f'<path {look} {extra} d="{d}"/>'


def clipart(style: str, habit: str, seed: int) -> bytes:
    """Write one piece of clip art."""
    rng = Random(f"{style} {habit} {seed}")
    forms = [
        Form(affinity.translate(f.shape, 2, 2), f.ink, f.width, tuple(r + 2 for r in f.rings), f.rule)
        for f in STYLES[style](rng)
        if not f.shape.is_empty
    ]  # fmt: skip
    page, scale = rng.choice(PAGES)
    writer = Writer(rng, scale)
    side = 104 * scale
    defs = '<linearGradient id="pale"><stop offset="0" stop-color="#ffffff"/><stop offset="1" stop-color="#f2f2ee"/></linearGradient>'  # fmt: skip
    ground = ""
    if rng.random() < 0.35:
        ground = f'<rect width="{side:g}" height="{side:g}" fill="{writer.white()}"/>'
    head, more, body = HOW[habit](forms, writer, rng)
    names = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    return f"{head}<svg {names} {page}><defs>{defs}{more}</defs>{ground}{body}</svg>".encode()


def _plain(forms, writer, rng):
    return "", "", "\n".join(writer.element(form) for form in forms)


def _layers(forms, writer, rng):
    """An editor's file: notes in a namespace of its own, layers moved about, groups in groups."""
    x, y = rng.uniform(-300, 300), rng.uniform(-900, 900)
    body = [
        '<ed:view xmlns:ed="urn:editor" id="base" pagecolor="#ffffff" zoom="1.4"><ed:grid/></ed:view>',
        "<metadata><rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'/></metadata>",
        f'<g id="layer1" transform="translate({x:g},{y:g})"><g id="g10" transform="translate({-x:g},{-y:g})">',
    ]  # fmt: skip
    for k, form in enumerate(forms):
        if k and k % 9 == 0:
            body.append(f'</g><g id="g{k + 11}" transform="translate({-x:g} {-y:g})">')
        body.append(writer.element(form, f'id="path{k}"'))
    hidden = f'<g id="layer2" style="display:none"><rect width="{50 * writer.scale:g}" height="{50 * writer.scale:g}"/></g>'  # fmt: skip
    return '<?xml version="1.0" encoding="UTF-8"?>\n', "", "\n".join(body) + "</g></g>" + hidden


def _sheet(forms, writer, rng):
    """Classes of a style sheet, entities in the head, a switch round all."""
    head = (
        '<?xml version="1.0"?>\n<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [\n'
        '<!ENTITY ns_ed "urn:editor">\n]>\n'
    )  # fmt: skip
    style = f"<style type='text/css'><![CDATA[.f0 {{fill:{writer.black}}} .f1 {{fill:{writer.white()};fill-rule:nonzero}} .s0{{fill:none;stroke:{writer.black}}} .s1{{fill:none;stroke:{writer.white()}}}]]></style>"  # fmt: skip
    body = []
    for form in forms:
        d, tone = writer.path(form), "0" if form.ink else "1"
        if form.width:
            body.append(f'<path class="s{tone}" stroke-width="{form.width * writer.scale:.3f}" d="{d}"/>')  # fmt: skip
        elif d:
            rule = form.rule if form.rings else "evenodd"
            body.append(f'<path class="f{tone}" style="fill-rule:{rule}" d="{d}"/>')
    whole = "<switch><foreignObject requiredExtensions='urn:editor' width='1' height='1'/><g>"
    return head, style, whole + "\n".join(body) + "</g></switch>"


def _traced(forms, writer, rng):
    """Resolved to dark shapes with holes and traced: jagged outlines of many nodes, the y axis turned over."""
    dark = shapely.Polygon()
    for form in forms:
        if form.rings:
            area = shapely.Polygon(form.rings[0]).buffer(0)
        else:
            area = form.shape.buffer(form.width / 2) if form.width else form.shape.buffer(0)
        dark = dark.union(area) if form.ink else dark.difference(area)
    if rng.random() < 0.6:
        dark = jittered(dark, rng, rng.uniform(0.005, 0.04), rng.uniform(0.3, 0.8))
    else:
        dark = dark.simplify(rng.uniform(0.01, 0.06))
    writer.curved = writer.curved and rng.random() < 0.5
    parts = [part for part in shapely.get_parts(dark) if part.geom_type == "Polygon" and part.area > 0.005]  # fmt: skip
    turned = [Form(affinity.scale(part, 1, -1, origin=(0, 52)), ink=True) for part in parts]
    flip = f'<g transform="translate(0,{104 * writer.scale:g}) scale(1,-1)" fill="{writer.black}" stroke="none">'
    if rng.random() < 0.5:
        d = " ".join(writer.path(form) for form in turned)
        return "", "", f'{flip}<path d="{d}" fill-rule="evenodd"/></g>'
    return "", "", flip + "\n".join(f'<path d="{writer.path(form)}"/>' for form in turned) + "</g>"


def _turned(forms, writer, rng):
    """Every group placed by turning, mirroring and skewing it, its points drawn elsewhere."""
    body = []
    for k in range(0, len(forms), 5):
        turn, skew, mirror = rng.uniform(-180, 180), rng.uniform(-20, 20), rng.choice([1, -1])
        stretch = rng.choice([1, 1, 0.5, 3])
        c, s, t = math.cos(math.radians(turn)), math.sin(math.radians(turn)), math.tan(math.radians(skew))  # fmt: skip
        # turn, then skew along x, then mirror and stretch: the inverse is drawn
        forward = np.array([[c, -s], [s, c]]) @ np.array([[1, t], [0, 1]]) @ np.diag([mirror * stretch, stretch])  # fmt: skip
        back = np.linalg.inv(forward)
        inner = []
        for form in forms[k : k + 5]:
            if form.width:  # a skewed stroke would show another width: left where it is
                continue
            moved = shapely.transform(form.shape, lambda xy, m=back: xy @ m.T)
            rings = tuple(ring @ back.T for ring in form.rings)
            inner.append(writer.element(Form(moved, form.ink, 0, rings, form.rule)))
        body.append(f'<g transform="rotate({turn:.6f}) skewX({skew:.6f})"><g transform="scale({mirror * stretch} {stretch})">{"".join(inner)}</g></g>')  # fmt: skip
        body += [writer.element(form) for form in forms[k : k + 5] if form.width]
    return "", "", "\n".join(body)


def _symbols(forms, writer, rng):
    """Shapes kept in symbols and definitions, drawn through `use`, some coloured there."""
    kept, body = [], []
    for k, form in enumerate(forms):
        d = writer.path(form)
        look = writer.paint(form)
        attributes = " ".join(f'{name}="{value}"' for name, value in look.items())
        if k % 3 == 0:
            kept.append(f'<symbol id="s{k}" overflow="visible"><path d="{d}"/></symbol>')
        else:
            kept.append(f'<path id="s{k}" d="{d}"/>')
        dx = rng.choice([0.0, 7.0])
        move = f'x="{-dx:g}" transform="translate({dx:g} 0)"' if dx else ""
        body.append(f'<g {attributes}><use xlink:href="#s{k}" {move}/></g>')
    return "", "".join(kept), "\n".join(body)


def _windowed(forms, writer, rng):
    """All seen through a clip path, which is itself a use; the clip may cut through the art."""
    inset = rng.choice([0, 6, 18]) * writer.scale
    side = 104 * writer.scale - 2 * inset
    clip = f'<rect id="w" x="{inset:g}" y="{inset:g}" width="{side:g}" height="{side:g}"/><clipPath id="c"><use xlink:href="#w"/></clipPath>'  # fmt: skip
    body = "\n".join(writer.element(form) for form in forms)
    edge = f'<use xlink:href="#w" fill="none" stroke="{writer.black}" stroke-width="{0.8 * writer.scale:g}"/>'  # fmt: skip
    return "", clip, f'<g clip-path="url(#c)">{body}</g>' + (edge if rng.random() < 0.5 else "")


def _faint(forms, writer, rng):
    """Opacity of groups and paints, faint shades laid over all that change no tone."""
    body = []
    for form in forms:
        extra = rng.choice(["", "", 'opacity="0.97"', 'fill-opacity="0.95"'])
        body.append(writer.element(form, extra))
    half = 52 * writer.scale
    shade = f'<circle cx="{half:g}" cy="{half:g}" r="{half * 0.7:g}" fill="#000" fill-opacity="0.12"/>'  # fmt: skip
    return "", "", f'<g opacity="{rng.uniform(0.8, 1):.2f}">' + "\n".join(body) + "</g>" + shade


def _outlined(forms, writer, rng):
    """Every filled shape with a stroke round it: dark round light, light round dark, or its own colour."""
    width = rng.choice([0.15, 0.3, 0.6]) * writer.scale
    body = []
    for form in forms:
        if form.width or form.rings:
            body.append(writer.element(form))
            continue
        fill, line = (writer.black, rng.choice([writer.white(), writer.black])) if form.ink else (writer.white(), writer.black)  # fmt: skip
        body.append(f'<path fill="{fill}" stroke="{line}" stroke-width="{width:.3f}" stroke-linejoin="round" d="{writer.path(form)}"/>')  # fmt: skip
    return "", "", "\n".join(body)


HOW = {
    "plain": _plain,
    "layers": _layers,
    "sheet": _sheet,
    "traced": _traced,
    "turned": _turned,
    "symbols": _symbols,
    "windowed": _windowed,
    "faint": _faint,
    "outlined": _outlined,
}
