"""The DXF as others read it: layers, units, audit, arithmetic of its entities, the same bytes every time."""

from __future__ import annotations

import hashlib
import io
import math
import os
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from ezdxf import bbox, edgeminer, edgesmith, recover
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drawing.demo import OUTSIDE, PART, STOCK, demo
from tests.drawing.readers import chain_on, read_dxf
from toolpath.drawing.dxf import one_line, write_dxf
from toolpath.drawing.entities import centre_between
from toolpath.drawing.scene import LAYERS, Label, Mark, scene
from toolpath.geometry.elements import Arc, Chain, Line, arc_about, polyline, signed_area

ROOT = Path(__file__).resolve().parents[2]
NEAR = 1e-9  # mm


@pytest.fixture(scope="module")
def drawing(tmp_path_factory):
    return read_dxf(write_dxf(demo()), tmp_path_factory.mktemp("dxf"))


def test_is_an_r2000_drawing_in_millimetres(drawing):
    # DXF reference: $ACADVER AC1015 is release 2000; $INSUNITS 4 is millimetres; $MEASUREMENT 1 is metric.
    assert drawing.dxfversion == "AC1015"
    assert drawing.header["$INSUNITS"] == 4
    assert drawing.header["$MEASUREMENT"] == 1


def test_audit_finds_nothing_and_mends_nothing(drawing):
    audit = drawing.audit()
    assert audit.errors == [] and audit.fixes == []


def test_layers_are_those_of_the_contract_in_their_order(drawing):
    names = [layer.dxf.name for layer in drawing.layers]
    assert [n for n in names if n in LAYERS] == list(LAYERS)
    # Layer 0 is in every DXF file; Defpoints is the library's, not plotted.
    assert set(names) - set(LAYERS) == {"0", "Defpoints"}


def test_every_layer_has_its_linetype_weight_and_colour(drawing):
    looks = {(v.dxf.linetype, v.dxf.lineweight) for v in map(drawing.layers.get, LAYERS)}
    assert len(looks) >= 9
    assert all(v.dxf.linetype in drawing.linetypes for v in drawing.layers)
    assert drawing.layers.get("PART").dxf.lineweight == 70
    assert drawing.header["$LWDISPLAY"] == 1


def test_entities_are_lines_arcs_and_lettering_alone(drawing):
    kinds = Counter((e.dxf.layer, e.dxftype()) for e in drawing.modelspace())
    assert {kind for layer, kind in kinds if layer in LAYERS} == {"LINE", "ARC", "TEXT"}
    assert kinds["PART", "ARC"] == 3 and kinds["PART", "LINE"] == 7
    assert kinds["STOCK", "LINE"] == 4
    assert kinds["AXIS", "LINE"] == 1


def test_lengths_on_every_layer_are_those_of_the_scene(drawing):
    for layer in demo().layers:
        entities = drawing.modelspace().query(f'LINE ARC[layer=="{layer.name}"]')
        found = sum(
            e.dxf.start.distance(e.dxf.end)
            if e.dxftype() == "LINE"
            else e.dxf.radius * math.radians((e.dxf.end_angle - e.dxf.start_angle) % 360.0)
            for e in entities
        )
        assert found == pytest.approx(sum(e.length for s in layer.strokes for e in s), abs=1e-9), layer.name


def test_part_and_stock_are_closed_loops_to_a_reader_that_knows_only_lines_and_arcs(drawing):
    """ezdxf's edge miner sorts and joins the entities by their ends, as any CAD system would."""
    for layer, outline in (("PART", PART), ("STOCK", STOCK)):
        edges = list(edgesmith.edges_from_entities_2d(drawing.modelspace().query(f'LINE ARC[layer=="{layer}"]')))
        (loop,) = edgeminer.find_all_loops(edgeminer.Deposit(edges, gap_tol=NEAR))
        assert len(loop) == len(outline)
        assert abs(area_of_bulges(edgesmith.lwpolyline_from_chain(loop).get_points("xyb"))) == pytest.approx(
            abs(signed_area(outline)), rel=1e-12
        )


def area_of_bulges(vertices) -> float:
    """Area inside a polyline with bulges. DXF reference: bulge = tan(turn / 4); chord c, r = c (1 + b²) / (4 |b|)."""
    total = 0.0
    for (x0, y0, b), (x1, y1, _) in zip(vertices, [*vertices[1:], vertices[0]], strict=True):
        total += (x0 * y1 - x1 * y0) / 2.0
        if b:
            r, turn = math.hypot(x1 - x0, y1 - y0) * (1.0 + b * b) / (4.0 * b), 4.0 * math.atan(b)
            total += r * r * (turn - math.sin(turn)) / 2.0
    return total


def test_box_of_the_part_is_that_of_the_scene(drawing):
    box = bbox.extents(drawing.modelspace().query('LINE ARC[layer=="PART"]'), fast=False)
    assert (box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y) == pytest.approx((-38.0, 0.0, 0.0, 12.0), abs=1e-6)


def test_part_comes_back_exactly(drawing):
    assert chain_on(drawing, "PART") == PART
    assert chain_on(drawing, "FINISH") == demo()["FINISH"].strokes[0]


def test_title_labels_and_marks_are_written(drawing):
    words = {(t.dxf.layer, t.plain_text()) for t in drawing.modelspace().query("TEXT")}
    assert ("0", "Plumb-bob body, set-up 1 of 2") in words
    assert ("FINISH", "finish T2") in words
    assert ("0", "2 Look: line 84, the nose of 0.4 mm fits the hollow of 2 mm.") in words
    rings = drawing.modelspace().query("CIRCLE")
    assert [tuple(c.dxf.center)[:2] for c in rings] == [(-30.0, 10.5), (-18.0, 8.0)]


def test_same_scene_same_bytes_in_two_processes_and_here():
    make = "import sys; from tests.drawing.demo import demo; from toolpath.drawing.dxf import write_dxf; "
    make += "sys.stdout.buffer.write(write_dxf(demo()))"
    runs = [
        subprocess.run(
            [sys.executable, "-c", make],
            cwd=ROOT,
            env=os.environ | {"PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    digests = {hashlib.sha256(data).hexdigest() for data in (*runs, write_dxf(demo()))}
    assert len(digests) == 1


def test_no_date_of_today_no_path_no_version_stamp_in_the_bytes():
    text = write_dxf(demo()).decode("cp1252")
    for date in ("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"):
        assert f"{date}\n 40\n2451545.0\n" in text  # 1 January 2000 in the library's Julian days
    assert ezdxf.__version__ + " @" not in text
    assert str(ROOT) not in text


def test_the_librarys_setting_is_put_back_even_when_writing_fails(monkeypatch):
    before = ezdxf.options.write_fixed_meta_data_for_testing
    write_dxf(demo())
    assert ezdxf.options.write_fixed_meta_data_for_testing is before
    monkeypatch.setattr("ezdxf.document.Drawing.write", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        write_dxf(demo())
    assert ezdxf.options.write_fixed_meta_data_for_testing is before


FOUR_WAYS = [
    ("counter-clockwise quarter", arc_about((0.0, 0.0), (5.0, 0.0), (0.0, 5.0), ccw=True)),
    ("clockwise quarter", arc_about((0.0, 0.0), (0.0, 5.0), (5.0, 0.0), ccw=False)),
    ("counter-clockwise, more than half", arc_about((0.0, 0.0), (0.0, 5.0), (5.0, 0.0), ccw=True)),
    ("clockwise, more than half", arc_about((0.0, 0.0), (5.0, 0.0), (0.0, 5.0), ccw=False)),
]


@pytest.mark.parametrize(("name", "arc"), FOUR_WAYS)
def test_arcs_turn_the_right_way(tmp_path, name, arc):
    (e,) = read_dxf(write_dxf(scene("", {"FINISH": [(arc,)]})), tmp_path).modelspace().query("ARC")
    first, last = (arc.a, arc.b) if arc.sweep > 0.0 else (arc.b, arc.a)
    assert tuple(e.start_point)[:2] == pytest.approx(first, abs=NEAR)
    assert tuple(e.end_point)[:2] == pytest.approx(last, abs=NEAR)
    middle = math.radians(e.dxf.start_angle + ((e.dxf.end_angle - e.dxf.start_angle) % 360.0) / 2.0)
    at = (e.dxf.center.x + e.dxf.radius * math.cos(middle), e.dxf.center.y + e.dxf.radius * math.sin(middle))
    assert at == pytest.approx(arc.point_at(0.5), abs=NEAR)


@st.composite
def arcs(draw):
    place = st.floats(-500.0, 500.0)
    centre = (draw(place), draw(place))
    r, start = 10.0 ** draw(st.floats(-3.0, 4.0)), draw(st.floats(-math.pi, math.pi))
    sweep = draw(st.sampled_from((1.0, -1.0))) * draw(
        st.one_of(st.floats(1e-6, 6.28), st.sampled_from((1e-9, math.pi)))
    )
    ends = [(centre[0] + r * math.cos(w), centre[1] + r * math.sin(w)) for w in (start, start + sweep)]
    return Arc(ends[0], ends[1], centre, sweep)


@settings(max_examples=20, deadline=None)
@given(st.lists(arcs(), min_size=1, max_size=15))
def test_any_arcs_keep_their_ends_and_come_back(chains):
    scene_ = scene("", {"PART": [(a,) for a in chains]})
    with tempfile.TemporaryDirectory() as folder:
        doc = read_dxf(write_dxf(scene_), Path(folder))
    assert doc.audit().errors == [] and doc.audit().fixes == []
    drawn = [a for a in chains if abs(a.sweep) >= 1e-8]
    for arc, e in zip(drawn, doc.modelspace().query("ARC"), strict=True):
        ends = (e.start_point, e.end_point) if arc.sweep > 0.0 else (e.end_point, e.start_point)
        size = max(1.0, arc.radius)
        assert (
            math.dist(tuple(ends[0])[:2], arc.a) <= NEAR * size and math.dist(tuple(ends[1])[:2], arc.b) <= NEAR * size
        )
    straight = {a: Line(a.a, a.b) for a in chains if abs(a.sweep) < 1e-8 and a.a != a.b}
    expected = [straight.get(a, a) for a in chains if a.a != a.b]
    assert list(chain_on(doc, "PART")) == expected


def test_an_arc_that_hardly_turns_is_a_line_and_never_a_full_circle(tmp_path):
    hardly = Arc((5.0, 0.0), (5.0 * math.cos(1e-9), 5.0 * math.sin(1e-9)), (0.0, 0.0), 1e-9)
    point = Arc((1.0, 1.0), (1.0, 1.0), (1.0, 1.0), 1.0)
    standing = Line((2.0, 2.0), (2.0, 2.0))
    doc = read_dxf(write_dxf(scene("", {"FINISH": [(hardly,), (point,), (standing,)]})), tmp_path)
    assert [e.dxftype() for e in doc.modelspace().query('*[layer=="FINISH"]')] == ["LINE"]


def test_an_arc_as_rounded_by_a_program_still_starts_and_ends_where_the_control_does(tmp_path):
    """Ends 2 micrometres apart in radius, the worst a program may say (design: two radii agree to 2 µm)."""
    arc = Arc((-6.0, 6.0), (-16.0, 16.002), (-16.0, 6.0), math.pi / 2.0)
    (e,) = read_dxf(write_dxf(scene("", {"FINISH": [(arc,)]})), tmp_path).modelspace().query("ARC")
    assert tuple(e.start_point)[:2] == pytest.approx(arc.a, abs=NEAR)
    assert tuple(e.end_point)[:2] == pytest.approx(arc.b, abs=NEAR)
    assert math.dist(centre_between(arc), arc.centre) <= 0.003


def test_a_centre_that_is_right_is_not_touched():
    for e in OUTSIDE:
        if isinstance(e, Arc):
            assert centre_between(e) == e.centre


HOSTILE = [
    "<script>alert('x')</script>",
    "quotes \" and ' and \\ backslash",
    "Lot à fil, Senklot, отвес, 下げ振り, خيط الشاقول",
    "100%% brass, %%c 12, ^J caret",
    r"\U+0041 is not an A, \M+1ABCD neither",
    "a plumb \U0001f529 bob",
    "two\nlines\tand\x00\x07 a bell",
    "\ud800 half a letter",
    "x" * 200,
    "\x85\x81 old control letters",
]


@pytest.mark.parametrize("title", HOSTILE)
def test_any_title_is_one_harmless_line(tmp_path, title):
    part = {"PART": [PART]}
    doc = read_dxf(write_dxf(scene(title, part, labels={"PART": [Label((0.0, 1.0), title)]})), tmp_path)
    audit = doc.audit()
    assert audit.errors == [] and audit.fixes == []
    title_text, label = doc.modelspace().query("TEXT")
    assert title_text.dxf.layer in ("0", "PART") and label.dxf.layer in ("0", "PART")
    assert "\n" not in title_text.dxf.text
    assert chain_on(doc, "PART") == PART


def shown(title: str) -> str:
    """The title as a reader shows it: ezdxf's recovery decodes \\U+XXXX and its like, its plain reader does not."""
    doc, audit = recover.read(io.BytesIO(write_dxf(scene(title, {"PART": [PART]}))))
    assert audit.errors == [] and audit.fixes == []
    (text,) = doc.modelspace().query("TEXT")
    return text.plain_text()


@pytest.mark.parametrize("title", [HOSTILE[0], HOSTILE[1], HOSTILE[2], HOSTILE[8]])
def test_what_a_reader_shows_is_what_was_said(title):
    assert shown(title) == title


def test_codes_in_a_title_are_not_obeyed():
    assert shown("%%c 12 ^J and ^ alone") == "% %c 12 ^J and ^ alone"  # no diameter sign, no line feed

    assert shown(r"\U+0041 is no A, \M+1ABCD neither") == r"\ U+0041 is no A, \ M+1ABCD neither"


def test_letters_beyond_the_code_are_told_as_missing():
    assert shown("a plumb \U0001f529 bob") == "a plumb \N{REPLACEMENT CHARACTER} bob"


def test_a_very_long_text_is_cut_with_a_sign_of_it():
    assert len(one_line("y" * 4000)) == 250
    assert one_line("y" * 4000).endswith("…")
    assert one_line("") == one_line(" \n ") == ""


def test_a_scene_without_a_stroke_is_still_a_drawing(tmp_path):
    doc = read_dxf(write_dxf(scene("", {})), tmp_path)
    assert doc.audit().errors == [] and len(doc.modelspace()) == 0
    assert {layer.dxf.name for layer in doc.layers} > set(LAYERS)


@pytest.mark.parametrize("size", [0.5, 500.0])
def test_dashes_and_letters_go_with_the_size_of_the_part(tmp_path, size):
    """On the page they stay the same: letters 3.5 mm and dashes as in the figure."""
    block = polyline([(-size, 0.0), (0.0, 0.0), (0.0, size / 4.0), (-size, size / 4.0)], close=True)
    doc = read_dxf(write_dxf(scene("size", {"PART": [block]}, marks=[Mark((0.0, 0.0), "here")])), tmp_path)
    heights = {t.dxf.height for t in doc.modelspace().query("TEXT")}
    assert len(heights) == 1 and 0.008 * size < heights.pop() < 0.03 * size
    assert doc.header["$LTSCALE"] == pytest.approx(size / 260.0, rel=0.5)
    assert doc.viewports.get("*Active")[0].dxf.height < 1.5 * size


def test_ten_thousand_elements_stay_exact(tmp_path):
    """A sine wave of chords; also a look at the growth: no entity is lost."""
    points = [(-k * 0.01, 10.0 + math.sin(k * 0.01)) for k in range(10_001)]
    wave: Chain = polyline(points)
    doc = read_dxf(write_dxf(scene("wave", {"FINISH": [wave]})), tmp_path)
    assert chain_on(doc, "FINISH") == wave


def test_floats_of_numpy_are_written_as_numbers(tmp_path):
    line = Line(tuple(np.float64([0.1, 1.0])), tuple(np.float64([-0.3, 1.0])))
    arc = Arc(tuple(np.float64([1.0, 0.0])), tuple(np.float64([0.0, 1.0])), (0, 0), np.float64(math.pi / 2.0))
    chain = (line, arc)
    assert chain_on(read_dxf(write_dxf(scene("", {"ROUGH": [chain]})), tmp_path), "ROUGH") == chain


def test_no_two_entities_share_a_handle_and_the_next_one_is_free():
    tags = write_dxf(demo()).decode("cp1252").split("\n")
    pairs = list(zip(tags[::2], tags[1::2], strict=False))
    handles = [int(value, 16) for code, value in pairs if code.strip() in ("5", "105")]
    seed = next(int(pairs[k + 1][1], 16) for k, (_, value) in enumerate(pairs) if value == "$HANDSEED")
    assert len(set(handles[1:])) == len(handles[1:]) and seed > max(handles[1:])
