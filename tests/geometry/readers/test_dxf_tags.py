"""Tags read all at once equal those of the library's own reader."""

from io import StringIO

import ezdxf
import pytest
from ezdxf.lldxf.tagger import ascii_tags_loader, tag_compiler

from geometry.readers.dxf_tags import tags_of


def drawing() -> str:
    """A drawing with many kinds of entities, as text."""
    document = ezdxf.new("R2010", units=4, setup=True)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0, 0.2), (10, 0, 0.0), (10, 5, -1.0)], format="xyb", close=True)
    space.add_polyline3d([(0, 0, 1), (1, 2, 3), (4, 5, 6)])
    space.add_circle((1, 2), 3)
    space.add_ellipse((0, 0), (3, 1), 0.5)
    space.add_spline([(0, 0), (1, 2), (3, 1), (4, 0)])
    space.add_mtext("two lines\\P of text")
    space.add_hatch().paths.add_polyline_path([(0, 0), (1, 0), (1, 1)])
    block = document.blocks.new("SINK")
    block.add_line((0, 0), (1, 1))
    space.add_blockref("SINK", (5, 5))
    text = StringIO()
    document.write(text)
    return text.getvalue()


def tag_values(tags: object) -> list[tuple[type, int, object]]:
    return [(type(tag), tag.code, tag.value) for tag in tags]  # type: ignore[attr-defined]


def by_the_library(text: str) -> list[tuple[type, int, object]]:
    return tag_values(tag_compiler(ascii_tags_loader(StringIO(text))))


def test_all_tags_equal_those_of_the_library() -> None:
    text = drawing()
    assert tag_values(tags_of(text)) == by_the_library(text)


def test_comments_and_what_follows_the_end_are_left_out() -> None:
    text = "999\nwritten by hand\n" + drawing().replace("ENDSEC\n", "ENDSEC\n999\nEOF\n", 1) + "0\nSECTION\n"
    assert tag_values(tags_of(text)) == by_the_library(text)


@pytest.mark.parametrize(
    "text",
    [
        "0\nSECTION\n2\nENTITIES\n",  # no end mark
        "0\nSECTION\nx\ny\n0\nEOF\n",  # no group code
        "0\nLINE\n10\n1.0\n30\n2.0\n0\nEOF\n",  # a point without y
        "0\nLINE\n10\n1.0\n20\n1oo.0\n30\n0.0\n0\nEOF\n",  # no number
        "0\nVERTEX\n70\n1.0\n0\nEOF\n",  # a whole number written as a decimal
        "",
    ],
)
def test_invalid_text_is_left_to_the_library(text: str) -> None:
    with pytest.raises((ValueError, IndexError)):
        list(tags_of(text))
