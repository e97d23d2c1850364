"""Visible part of an SVG document: groups and shapes only, with `use` expanded and hidden elements left out.

Source: SVG 2 (display, visibility, switch, defs, symbol, use) and CSS Cascading (precedence of rules).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from math import isfinite
from typing import TypeAlias
from xml.etree.ElementTree import Element

from geometry.errors import FaultError
from geometry.files import limits
from geometry.frozen import frozen
from geometry.message import Message, message

SVG_NAMESPACE = "{http://www.w3.org/2000/svg}"
LAYER = "data-group-names"
"""Attribute with the names of all groups around a shape, which svgelements passes on to children."""

TEXT, TEXT_HEIGHT = "data-text", 16.0
"""Attribute of the short vertical line that represents a text: from the insertion point up by the letter height, which
is 16 px by default (CSS Fonts, medium)."""

SHAPES = frozenset(["path", "rect", "circle", "ellipse", "line", "polyline", "polygon"])
CONTAINERS = frozenset(["svg", "g", "a", "switch", "use", "symbol"])
PAINT = {"fill": "black", "stroke": "none", "fill-rule": "nonzero", "fill-opacity": "1", "stroke-opacity": "1"}
"""Inherited properties of paint, and what they are initially."""

FILL = "data-fill"
"""Attribute with the rule by which a shape is filled, or "none" if only its lines show."""

SILENT = frozenset(["text", "image", "foreignObject"])
"""Visible elements that are not outlines; mentioned only if a drawing has nothing else."""

PIXELS = {"in": 96.0, "cm": 96.0 / 2.54, "mm": 96.0 / 25.4, "pt": 96.0 / 72.0, "pc": 16.0}
"""User units in each unit of length. Source: CSS Values and Units."""

_LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
_HREFS = ("href", "{http://www.w3.org/1999/xlink}href")
_HIDING = re.compile(r"(?:^|;)\s*(?:display|visibility)\s*:[^;]*", re.IGNORECASE)
_CLEAR = re.compile(r"none|transparent|#[0-9a-f]{3}0|#[0-9a-f]{6}00|(?:rgb|hsl)a?\(.*[,/]\s*0*\.?0*%?\s*\)")
_NUMBER = re.compile(r"[0-9.]+(?:[eE][-+]?[0-9]+)?")
_SIGNED = r"[-+]?(?:[0-9]++(?:\.[0-9]*+)?|\.[0-9]++)(?:[eE][-+]?[0-9]++)?"
_LENGTH = re.compile(rf"{_SIGNED}(?:px|mm|cm|q|in|pt|pc)?", re.IGNORECASE)
_SHARE = re.compile(rf"{_SIGNED}%")
_PATH = re.compile(rf"(?:[MZLHVCSQTA\s,]|{_SIGNED})*+", re.IGNORECASE)
"""What path data and points may hold. Source: SVG 2, the grammar of path data."""

_STEP = re.compile(rf"(matrix|translate|scale|rotate|skewX|skewY)\s*\(((?:\s*+,?\s*+{_SIGNED})++)\s*\)[\s,]*")
_STEP_NUMBERS = {"matrix": (6,), "translate": (1, 2), "scale": (1, 2), "rotate": (1, 3), "skewX": (1,), "skewY": (1,)}
"""Numbers in each step of a transform. Source: CSS Transforms 1, the syntax of the SVG attribute."""

SIZES = frozenset(["width", "height", "r", "rx", "ry"])
"""Lengths that are never negative."""

PLACES = SIZES | {"x", "y", "cx", "cy", "x1", "y1", "x2", "y2"}
SHAPING = re.compile(rf"(?:^|;)\s*(transform|translate|rotate|scale|d|{'|'.join(sorted(PLACES))})\s*:", re.I)
MOVING = re.compile(r"(?:^|;)\s*(?:transform(?:-origin|-box)?|translate|rotate|scale)\s*:(?!\s*none)[^;]*", re.I)
KEPT = re.compile(
    r"(?:^|;)\s*(?:display|visibility|clip-path|mask|overflow|fill|stroke|fill-rule|(?:fill-|stroke-)?opacity)\s*:",
    re.I,
)
_HIDES = re.compile(r"(?:^|;)\s*(?:display|visibility|fill-rule)\s*:", re.I)
_PLAIN_BLOCKS = re.compile(r"@(?:font-face|page)\b[^{}]*\{[^{}]*\}|@(?:import|charset|namespace)[^;{}]*;", re.I)
_SIMPLE = re.compile(r"(\*|[\w-]*)(?:#([\w-]+))?((?:\.[\w-]+)*)")

Rule: TypeAlias = tuple[tuple[int, int, int, int], str, str, frozenset[str], str]
"""Style rule: specificity and order, tag, id, classes, and properties."""


@frozen
class DrawnTree:
    """A document reduced to its visible elements.

    problems  what was left out
    others    number of visible elements that are not shapes, by kind
    """

    root: Element
    problems: tuple[Message, ...]
    others: Counter[str]


def drawn_tree(root: Element) -> DrawnTree:
    """Visible part of an SVG document. Raises FaultError if it expands too far or its styles are ambiguous."""
    walk = _Walk(root)
    number = walk.size(root, ())
    if number > limits().parts:
        raise limits().over("file-unfolds", "parts", number, kind="SVG")
    drawn = walk.drawn(root, (), visible=True, paint=PAINT)
    problems = [message("note-shapes-hidden", count=n, why=why) for why, n in sorted(walk.left_out.items())]
    if walk.clipped:
        problems.insert(0, message("note-clips-ignored"))
    if walk.unpainted:
        problems.append(message("note-shapes-unpainted", count=walk.unpainted))
    if walk.styled_elsewhere:
        problems.append(message("note-styles-elsewhere"))
    return DrawnTree(Element(SVG_NAMESPACE + "svg") if drawn is None else drawn, tuple(problems), walk.others)


class _Walk:
    """Tree walk that copies visible elements and counts the others."""

    def __init__(self, root: Element) -> None:
        self.left_out: Counter[str] = Counter()
        self.others: Counter[str] = Counter()
        self.clipped = False
        self.unpainted = 0
        self._root = root
        self._clear = 0  # groups around an element that have opacity 0
        elements = list(root.iter())
        self._by_id = {name: element for element in reversed(elements) if (name := element.get("id"))}
        self._sizes: dict[Element, int] = {}
        styles = [element for element in elements if bare_tag(element.tag) == "style"]
        styles = [style for style in styles if style.get("type", "text/css").strip().lower() in ("text/css", "")]
        sheet = "".join(text for style in styles for text in style.itertext())
        depends = any(style.get("media", "all").strip().lower() not in ("all", "screen", "") for style in styles)
        self.styled_elsewhere = "@import" in sheet
        self._rules: dict[str, list[Rule]] = {}  # by what an element must have: "#id", ".class", a tag, or "*"
        for rule in _rules(sheet, depends):
            key = f"#{rule[2]}" if rule[2] else f".{min(rule[3])}" if rule[3] else rule[1] or "*"
            self._rules.setdefault(key, []).append(rule)

    def size(self, element: Element, within: tuple[Element, ...]) -> int:
        """Number of path segments that an element expands to, counting the element itself as one."""
        if element not in self._sizes:
            if element in within:
                raise FaultError("", message("svg-use-recursive", name=element.get("id", bare_tag(element.tag))))
            if len(within) > limits().levels:
                raise limits().over("file-nested", "levels", limits().levels + 1, kind="SVG")
            drawn = element.get("d") or element.get("points") or ""
            parts = [part for part in self._inside(element) if bare_tag(part.tag) in CONTAINERS | SHAPES | {"text"}]
            own = 1 + len(_NUMBER.findall(drawn)) // 2
            self._sizes[element] = own + sum(self.size(part, (*within, element)) for part in parts)
        return self._sizes[element]

    def drawn(
        self, element: Element, names: tuple[str, ...], visible: bool, paint: Mapping[str, str]
    ) -> Element | None:
        """Copy of the visible part of an element; None if nothing is visible.

        paint  values of the properties in PAINT of the element's parent
        """
        tag = bare_tag(element.tag)
        visibility = self._property(element, "visibility")
        visible = visible if visibility in ("", "inherit") else visibility not in ("hidden", "collapse")
        if self._property(element, "display") == "none":
            self._leave_out(element, "display")
            return None
        if element.get("requiredExtensions") is not None or not _is_english(element):
            self._leave_out(element, "extension" if _is_english(element) else "language")
            return None
        within = tag == "svg" and element is not self._root
        if within and any(_is_zero(element.get(key)) for key in ("width", "height")):
            return None
        _check_transform(element)
        if tag in SILENT:
            self.others[tag.lower()] += visible
            return _text_point(element) if tag == "text" and visible else None
        if tag in SHAPES and not visible:
            self.left_out["visibility"] += 1
            return None
        self.clipped |= any(self._property(element, name) not in ("", "none") for name in ("clip-path", "mask"))
        copy = Element(element.tag, {k: v for k, v in element.attrib.items() if k not in ("display", "visibility")})
        copy.set("style", _HIDING.sub("", element.get("style", "")))
        paint = {name: self._inherited(element, name, above) for name, above in paint.items()}
        clear = _is_zero(self._property(element, "opacity"))
        if tag in SHAPES:
            _check_shape(element, tag)
            seen = [
                not (_CLEAR.fullmatch(paint[name]) or _is_zero(paint[f"{name}-opacity"])) for name in ("fill", "stroke")
            ]
            self.unpainted += bool(self._clear) or clear or not any(seen)
            copy.set(FILL, paint["fill-rule"] if seen[0] else "none")
            return copy
        self.clipped |= within and self._property(element, "overflow") != "visible"
        if tag in ("use", "symbol", "switch"):
            copy.tag = SVG_NAMESPACE + "g"
        if tag == "use":
            _place(copy, element)
        if tag == "symbol" and element.get("viewBox"):
            raise FaultError("", message("svg-symbol"))
        own = [name for name in (element.get(_LABEL), element.get("id")) if name] if tag == "g" else []
        inside = (*names, *own)
        if own:
            copy.set(LAYER, "\n".join(inside))
        parts = [part for part in self._inside(element) if bare_tag(part.tag) in CONTAINERS | SHAPES | SILENT]
        if tag != "use":
            parts = [part for part in parts if bare_tag(part.tag) != "symbol"]
        self._clear += clear
        for part in parts:
            child = self.drawn(part, inside, visible, paint)
            if child is not None:
                copy.append(child)
        self._clear -= clear
        return copy

    def _inside(self, element: Element) -> list[Element]:
        """Contents of an element: the target of a `use`, the first match of a `switch`, otherwise its children."""
        tag = bare_tag(element.tag)
        if tag == "use":
            name = next((element.get(key, "") for key in _HREFS if element.get(key)), "")
            target = self._by_id.get(name.removeprefix("#")) if name.startswith("#") else None
            if target is None:
                raise FaultError("", message("svg-use-missing", name=name[:60]))
            if bare_tag(target.tag) == "svg" and not {"width", "height"}.isdisjoint(element.keys()):
                raise FaultError("", message("svg-symbol"))
            return [target]
        if tag == "switch":
            fitting = [part for part in element if part.get("requiredExtensions") is None and _is_english(part)]
            return fitting[:1]
        return list(element) if tag in CONTAINERS else []

    def _leave_out(self, element: Element, why: str) -> None:
        """Count the shapes of a hidden element."""
        self.left_out[why] += self._shapes(element)
        self.left_out += Counter()

    def _shapes(self, element: Element) -> int:
        tag = bare_tag(element.tag)
        return (tag in SHAPES) + sum(self._shapes(part) for part in self._inside(element) if tag in CONTAINERS)

    def _property(self, element: Element, name: str) -> str:
        """Value of a property: from the element's style, the rule of highest precedence, or its attribute."""
        styles = [element.get("style", "")]
        classes = frozenset(element.get("class", "").split())
        keys = [f"#{element.get('id')}", *(f".{name}" for name in classes), bare_tag(element.tag), "*"]
        fitting = [
            rule
            for key in keys
            for rule in self._rules.get(key, ())
            if rule[1] in ("", "*", bare_tag(element.tag)) and rule[2] in ("", element.get("id")) and rule[3] <= classes
        ]
        styles += [rule[4] for rule in sorted(fitting, key=lambda rule: rule[0], reverse=True)]
        given = [value for style in styles if (value := _value_in(style, name))]
        urgent = [value for value in given if value.endswith("!important")]
        for value in (*urgent, *given):
            return value.partition("!")[0].strip()
        return element.get(name, "").strip().lower()

    def _inherited(self, element: Element, name: str, above: str) -> str:
        value = self._property(element, name)
        return PAINT[name] if value == "initial" else above if value in ("", "inherit", "unset") else value


def _value_in(style: str, name: str) -> str:
    """Last value of a property in a list of properties, in lower case; "" if it has none. One may be important."""
    values = re.findall(rf"(?:^|;)\s*{name}\s*:\s*([^;]+)", _COMMENT.sub("", style), re.IGNORECASE)
    spaceless = [re.sub(r"\s*!\s*important\s*$", "!important", str(value).strip().lower()) for value in values]
    return next((value for value in reversed(spaceless) if value.endswith("!important")), (spaceless or [""])[-1])


def _is_zero(value: str | None) -> bool:
    """Whether a number, length or share is zero.

    >>> _is_zero("0.0%"), _is_zero("0.5"), _is_zero(None)
    (True, False, False)
    """
    return re.fullmatch(r"\s*[-+]?(?:0+\.?0*|\.0+)(?:e[-+]?[0-9]+)?\s*(?:%|[a-z]+)?\s*", value or "", re.I) is not None


_COMMENT = re.compile(r"/\*.*?(?:\*/|$)", re.DOTALL)


def _rules(sheet: str, depends: bool) -> list[Rule]:
    """Rules of a style sheet that set display, visibility or paint. Raises FaultError for an unsupported selector.

    depends   whether the sheet holds only for some media
    """
    sheet = _PLAIN_BLOCKS.sub("", re.sub(r"<!--|-->", "", _COMMENT.sub("", sheet)))
    depends |= "@" in sheet or re.search(r"\{[^}]*\{", sheet) is not None  # rules within rules
    rules: list[Rule] = []
    for selectors, body in re.findall(r"([^{}]+)\{([^{}]*)\}", sheet):
        shaping = SHAPING.search(body)
        if not shaping and not KEPT.search(body):
            continue
        for selector in selectors.split(","):
            plain = _SIMPLE.fullmatch(selector.strip())
            if plain is not None and shaping and plain[1] not in ("svg", *SILENT):
                rule = " ".join(selector.split())[:60]
                raise FaultError("", message("svg-style-shape", rule=rule, property=shaping[1]))
            if plain is None or depends:
                if not _HIDES.search(body):
                    continue
                raise FaultError("", message("svg-style", rule=" ".join(selector.split())[:60]))
            tag, id, classes = plain[1], plain[2] or "", frozenset(filter(None, plain[3].split(".")))
            weight = (int(bool(id)), len(classes), int(tag not in ("", "*")), len(rules))
            rules.append((weight, tag, id, classes, body))
    return rules


def _check_shape(shape: Element, tag: str) -> None:
    """Raise FaultError for a length or path data that a viewer would not draw as written."""
    own = re.findall(r"(?:^|;)\s*([\w-]+)\s*:\s*([^;!]+)", shape.get("style", ""))
    for key, value in [*shape.attrib.items(), *own]:
        text = value.strip()
        if key in PLACES and text not in ("", "auto"):
            negative = key in SIZES and text.startswith("-") and text.strip("-0.") != ""
            # The library takes other shares of the wrong length.
            share = tag == "rect" and key in ("width", "height") and _SHARE.fullmatch(text)
            if negative or not (share or _LENGTH.fullmatch(text)):
                raise FaultError("", message("svg-length", tag=tag, key=key, text=text[:40]))
        if key in ("d", "points"):
            read = _PATH.match(text)
            end = read.end() if read else 0
            if key == "points" and len(re.findall(_SIGNED, text)) % 2:
                end = max(0, len(text) - 20)
            if end < len(text) and text != "none":
                raise FaultError("", message("svg-path", text=" ".join(text[max(0, end - 20) : end + 20].split())))


def _check_transform(element: Element) -> None:
    """Raise FaultError for a transform in another syntax: viewers, like the library, would leave it out."""
    styled = MOVING.search(element.get("style", ""))
    if styled or (element.get("transform") and element.get("transform-origin")):
        own = styled[0] if styled else f"transform-origin: {element.get('transform-origin')}"
        raise FaultError("", message("svg-transform", text=own.strip(" ;")[:40]))
    text = element.get("transform", "").strip()
    at = len(text) if text == "none" else 0
    while at < len(text):
        step = _STEP.match(text, at)
        if step is None or len(re.findall(_SIGNED, step[2])) not in _STEP_NUMBERS[step[1]]:
            raise FaultError("", message("svg-transform", text=" ".join(text[at : at + 40].split())))
        at = step.end()


def _is_english(part: Element) -> bool:
    """Whether an element of a `switch` is for English or for any language."""
    languages = part.get("systemLanguage")
    return languages is None or any(name.strip().lower().startswith("en") for name in languages.split(","))


def _text_point(text: Element) -> Element | None:
    """Short line at the insertion point of a text, with its first line as an attribute; None for an empty text."""
    first, start = _first_line(text)
    if not first:
        return None
    x, y = (_coordinate(start.get(key) or text.get(key)) for key in ("x", "y"))
    size = re.search(r"font-size\s*:\s*([0-9.]+)(?:px)?\s*(?:;|$)", text.get("style", ""))
    height = _coordinate(size[1] if size else text.get("font-size")) or TEXT_HEIGHT
    line = Element(SVG_NAMESPACE + "path", {"d": f"M {x:.9g} {y:.9g} v {-height:.9g}", TEXT: first})
    if text.get("transform"):
        line.set("transform", text.get("transform", ""))
    return line


def _first_line(text: Element) -> tuple[str, Element]:
    """First nonblank line of a text, and the element that positions it."""
    line, start = text.text or "", text
    for span in text:
        moved = any(span.get(key) is not None for key in ("x", "y", "dy"))
        if moved and line.strip():
            break
        if moved:
            line, start = "", span
        line += "".join(span.itertext()) + (span.tail or "")
    return " ".join(line.split()), start


def _coordinate(text: str | None) -> float:
    """First number of a coordinate list, in user units; 0 for an empty list."""
    match = re.match(r"\s*([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?)\s*([a-z]*)", text or "")
    if match is None:
        return 0.0
    try:
        value = float(match[1]) * PIXELS.get(match[2], 1.0)
    except ValueError:
        return 0.0
    return value if isfinite(value) else 0.0


def _place(copy: Element, use: Element) -> None:
    """Give a group the position of a `use`."""
    for key in ("x", "y", "width", "height", *_HREFS):
        copy.attrib.pop(key, None)
    for key in ("x", "y"):
        text = use.get(key, "0").strip()
        if not _LENGTH.fullmatch(text) or not isfinite(float(text.lower().rstrip("pxmcintq%"))):
            raise FaultError("", message("svg-length", tag="use", key=key, text=text[:40]))
    x, y = (_coordinate(use.get(key)) for key in ("x", "y"))
    copy.set("transform", f"{use.get('transform', '')} translate({x!r},{y!r})")


def bare_tag(tag: object) -> str:
    """Tag of an element without its namespace."""
    return str(tag).rsplit("}", 1)[-1]
