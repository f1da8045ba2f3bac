"""The figure as a reader of SVG sees it: valid, to scale, arcs exact, harmless whatever the title says."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drawing.demo import PART, demo
from tests.drawing.readers import SVG, by_id, parse, samples, texts
from tests.drawing.test_dxf import FOUR_WAYS, HOSTILE, arcs
from toolpath.drawing.figure import svg
from toolpath.drawing.legend import APART, spread
from toolpath.drawing.page import LEFT, PLOT_WIDTH, WIDTH, page_for
from toolpath.drawing.scene import LAYERS, WORDS, Mark, scene
from toolpath.drawing.strokes import FLAT, path
from toolpath.drawing.styles import STYLES
from toolpath.geometry.elements import Arc, Line, polyline

WRITTEN = 2e-4  # page mm: coordinates carry four decimals, an arc's centre follows from three of them


def block(size: float):
    """A plain half-section `size` long and a quarter as thick."""
    return polyline([(-size, 0.0), (0.0, 0.0), (0.0, size / 4.0), (-size, size / 4.0)], close=True)


@pytest.mark.parametrize(("name", "arc"), FOUR_WAYS)
def test_arcs_run_the_right_way_round(name, arc):
    page = page_for(scene("", {"FINISH": [(arc,)]}), 0.0)
    (points,) = samples(path([(arc,)], page), per_piece=8)
    off = [math.dist(points[round(t * (len(points) - 1))], page.at(arc.point_at(t))) for t in (0.0, 0.5, 1.0)]
    assert max(off) < WRITTEN
    assert "A" in path([(arc,)], page)


@settings(max_examples=150, deadline=None)
@given(arcs())
def test_any_arc_lies_where_it_should_on_the_page(arc):
    """Sampled by the arithmetic of the SVG standard, every point lies on the arc and the middle is in the middle."""
    page = page_for(scene("", {"FINISH": [(arc,)]}), 0.0)
    ((first, *rest),) = samples(path([(arc,)], page))
    near = WRITTEN + FLAT
    for p in (first, *rest):
        z, x = page.frame[0] + (p[0] - LEFT) / page.scale, page.frame[3] - (p[1] - page.top) / page.scale
        assert arc.distance((z, x)) * page.scale < near
    spacing = arc.length * page.scale / max(1, len(rest)) + near
    for t in (0.25, 0.5, 0.75):
        assert min(math.dist(page.at(arc.point_at(t)), p) for p in (first, *rest)) <= spacing


@settings(max_examples=60, deadline=None)
@given(st.floats(-3.0, 3.0), st.floats(0.02, 40.0))
def test_page_is_true_to_its_scale_at_any_size(power, slender):
    size = 10.0**power
    s = scene(
        "", {"PART": [polyline([(-size, 0.0), (0.0, 0.0), (0.0, size * slender), (-size, size * slender)], close=True)]}
    )
    page = page_for(s, 20.0)
    a, b = page.at((0.0, 0.0)), page.at((-size, size * slender))
    assert a[0] - b[0] == pytest.approx(size * page.scale) and a[1] - b[1] == pytest.approx(size * slender * page.scale)
    assert LEFT <= b[0] < a[0] <= LEFT + PLOT_WIDTH and page.top <= b[1] < a[1] <= page.top + page.height
    most = max(size * page.scale / PLOT_WIDTH, size * slender * page.scale / 122.0)
    assert 0.4 < most <= 1.0  # neither lost on the page nor beyond it
    assert page.height <= 122.001


def test_is_one_accessible_document():
    root = parse(svg(demo()))
    assert root.tag == f"{SVG}svg" and root.get("role") == "img"
    assert by_id(root, root.get("aria-labelledby").split()[0]).text == "Plumb-bob body, set-up 1 of 2"
    told = by_id(root, "halfsection-desc").text
    assert "z -38.000 mm to z 0.000 mm" in told and "greatest diameter is 24.000 mm" in told
    assert "Finding 1: Left standing" in told and "roughing cut (6)" in told
    assert root.get("viewBox") == f"0 0 297 {root.get('height').removesuffix('mm')}"


def test_ids_are_unique_and_begin_with_the_name():
    root = parse(svg(demo(), name="set-up-2"))
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids)) and all(i.startswith("set-up-2-") for i in ids)
    used = set(re.findall(r"url\(#([^)]*)\)", svg(demo(), name="set-up-2")))
    assert used and used <= set(ids)


def test_says_that_the_upright_figures_are_diameters():
    """The part of 24 mm diameter reaches the height of the figure 24 on the upright rule, not of 12."""
    s = demo()
    root, words = parse(svg(s)), texts(parse(svg(s)))
    assert (
        "diameter, mm" in words
        and "z, mm from zero" in words
        and "Paths show the point that the program moves." in words
    )
    page = page_for(s, 9.0 + 7.0 + 9.0)
    upright = {t.text: float(t.get("y")) for t in root.iter(f"{SVG}text") if t.get("x") == "20.4"}
    assert upright["20"] - 1.0 == pytest.approx(page.at((0.0, 10.0))[1], abs=1e-3)


def test_rule_figures_stand_at_their_z():
    root = parse(svg(demo()))
    page = page_for(demo(), 25.0)
    along = {t.text: float(t.get("x")) for t in root.iter(f"{SVG}text") if t.get("text-anchor") == "middle"}
    for z in (-55, -30, 0, 5):
        assert along[str(z).replace("-", "\N{MINUS SIGN}")] == pytest.approx(page.at((float(z), 0.0))[0], abs=1e-3)


def test_legend_names_what_is_drawn_and_nothing_else():
    words = set(texts(parse(svg(demo()))))
    assert set(WORDS.values()) <= words
    bare = set(texts(parse(svg(scene("bare", {"PART": [PART]})))))
    assert bare & set(WORDS.values()) == {WORDS["PART"], WORDS["AXIS"]}


@pytest.mark.parametrize("title", HOSTILE)
def test_a_title_is_text_and_never_markup(title):
    markup = svg(scene(title, {"PART": [PART]}, marks=[Mark((0.0, 0.0), title)]))
    root = parse(markup)
    assert {e.tag.removeprefix(SVG) for e in root.iter()} <= {
        "svg", "title", "desc", "defs", "clipPath", "pattern", "rect", "path", "g", "text", "circle",
    }  # fmt: skip
    assert not re.search("on[a-z]+=|href|<script", markup)
    shown = root.find(f"{SVG}title").text
    printable = "".join(c for c in title if c.isprintable())
    assert printable.replace(" ", "") in shown.replace(" ", "").replace("\N{REPLACEMENT CHARACTER}", "")


@pytest.mark.parametrize("title", ["W" * 200, "下げ振り" * 50, "plumb " * 34, "x" * 200])
def test_long_titles_take_up_to_three_lines(title):
    root = parse(svg(scene(title, {"PART": [PART]})))
    lines = [t.text for t in root.iter(f"{SVG}text") if t.get("font-weight") == "600"]
    assert 1 < len(lines) <= 3
    assert "".join(lines).replace(" ", "").startswith(title.replace(" ", "")[:90])


@pytest.mark.parametrize("size", [0.5, 5.0, 500.0])
def test_lines_and_letters_do_not_grow_with_the_part(size):
    root = parse(
        svg(scene("size", {"PART": [block(size)], "FINISH": [(Line((0.0, size / 4.0), (-size, size / 4.0)),)]}))
    )
    weights = {float(e.get("stroke-width")) for e in root.iter() if e.get("stroke-width")}
    assert {STYLES["PART"].weight, STYLES["FINISH"].weight} < weights and max(weights) <= 1.1
    assert {float(e.get("font-size")) for e in root.iter() if e.get("font-size")} == {2.8, 3.0, 3.6, 5.6}
    figures = [t for t in root.iter(f"{SVG}text") if t.get("text-anchor") == "middle"]
    assert 5 <= len(figures) <= 16
    assert len({t.text for t in figures}) == len(figures)


@pytest.mark.parametrize(
    ("size", "words"),
    [(0.5, "scale 400 : 1"), (50.0, "scale 4 : 1"), (240.0, "scale 1 : 1.5"), (500.0, "scale 1 : 2.5")],
)
def test_scale_is_round_and_said(size, words):
    assert words in texts(parse(svg(scene("scale", {"PART": [block(size)]}))))


def test_everything_lettered_lies_on_the_page():
    marks = [Mark((-float(k), 2.0), f"finding {k} " + "of many words " * (k % 20)) for k in range(60)]
    for s in (demo(), demo("t " * 150), scene("many", {"PART": [PART]}, marks=marks), scene("", {})):
        root = parse(svg(s))
        height = float(root.get("viewBox").split()[3])
        for t in root.iter(f"{SVG}text"):
            assert 0.0 < float(t.get("x")) < WIDTH and 0.0 < float(t.get("y")) < height - 1.0


def test_change_point_far_away_does_not_shrink_the_part():
    near, far = demo(), page_for(demo(), 0.0)
    assert far.scale == 4.0
    assert far.frame[2] < 20.0 and near.bounds()[2] == 60.0
    clipped = [e for e in parse(svg(near)).iter(f"{SVG}g") if e.get("clip-path")]
    assert len(clipped) == 1


def test_a_long_bar_and_a_wide_chuck_are_cut_off_at_the_frame():
    bar = polyline([(-900.0, 0.0), (1.0, 0.0), (1.0, 12.5), (-900.0, 12.5)], close=True)
    chuck = polyline([(-900.0, 12.5), (-50.0, 12.5), (-50.0, 100.0), (-900.0, 100.0)], close=True)
    page = page_for(scene("", {"PART": [PART], "STOCK": [bar], "HOLDING": [chuck]}), 0.0)
    assert page.scale >= 3.0 and page.frame[0] > -90.0


def test_marks_are_numbered_ringed_and_listed():
    root = parse(svg(demo()))
    rings = [c for c in root.iter(f"{SVG}circle") if float(c.get("r")) > 2.0]
    dots = [c for c in root.iter(f"{SVG}circle") if float(c.get("r")) < 1.0]
    page = page_for(demo(), 25.0)
    assert len(rings) == len(dots) == 2
    assert (float(dots[0].get("cx")), float(dots[0].get("cy"))) == pytest.approx(page.at((-30.0, 10.5)), abs=1e-3)
    assert "Look: line 84, the nose of 0.4 mm fits the hollow of 2 mm." in texts(root)


@settings(deadline=None)
@given(st.lists(st.floats(-100.0, 400.0), max_size=80))
def test_rings_never_touch_and_stay_over_the_plot(wanted):
    placed = spread(wanted)
    xs = [x for x, _ in placed]
    assert all(b - a >= APART - 1e-9 for a, b in pairwise(xs))
    assert all(LEFT <= x <= LEFT + PLOT_WIDTH for x in xs)
    assert sorted(k for _, k in placed) == list(range(min(len(wanted), int(PLOT_WIDTH // APART))))
    if len(wanted) == 1 and LEFT + 5.0 < wanted[0] < LEFT + PLOT_WIDTH - 5.0:
        assert xs == wanted


def test_axis_edges_of_a_section_are_not_drawn_as_edges():
    """A half-section's outline runs back along the axis; there is no edge of the part there."""
    root = parse(svg(scene("", {"PART": [PART]})))
    heavy = [e for e in root.iter(f"{SVG}path") if e.get("stroke-width") == "0.7"]
    (points,) = samples(heavy[0].get("d"))
    axis = page_for(scene("", {"PART": [PART]}), 20.0).at((0.0, 0.0))[1]
    assert sum(abs(y - axis) < 1e-3 for _, y in points) == 2  # where it starts and where it ends


def test_lower_half_is_the_mirror_image_in_the_axis():
    root = parse(svg(demo()))
    below = by_id(root, "halfsection-below")
    a, b, c, d, e, f = map(float, re.findall(r"-?[\d.]+", below.get("transform")))
    assert (a, b, c, d, e) == (1.0, 0.0, 0.0, -1.0, 0.0)
    assert f / 2.0 == pytest.approx(page_for(demo(), 25.0).at((0.0, 0.0))[1], abs=1e-3)


@pytest.mark.parametrize(
    ("end", "ahead"), [((-20.0, 5.0), (-1, 0)), ((20.0, 5.0), (1, 0)), ((0.0, 25.0), (0, -1)), ((0.0, -15.0), (0, 1))]
)
def test_arrow_heads_point_the_way_of_the_cut(end, ahead):
    """Towards the chuck is to the left on the page, away from the axis is up, which is against the page's y."""
    s = scene("", {"ROUGH": [(Line((0.0, 5.0), end),)], "PART": [block(20.0)]})
    (head,) = (e for e in parse(svg(s)).iter(f"{SVG}path") if e.get("fill") == STYLES["ROUGH"].colour)
    left, tip, right, _ = samples(head.get("d"), per_piece=1)[0]
    back = ((left[0] + right[0]) / 2.0, (left[1] + right[1]) / 2.0)
    assert (tip[0] - back[0], tip[1] - back[1]) == pytest.approx((1.8 * ahead[0], 1.8 * ahead[1]), abs=1e-3)


def test_nothing_is_written_that_is_not_a_number():
    for s in (demo(), scene("", {}), scene("dot", {"PART": [(Line((1.0, 1.0), (1.0, 1.0)),)]})):
        for e in parse(svg(s)).iter():
            assert not {"nan", "inf", "None"} & set(re.findall(r"[a-zA-Z]+", e.get("d") or ""))
            for key in ("x", "y", "cx", "cy", "width", "height"):
                assert e.get(key) is None or math.isfinite(float(e.get(key).removesuffix("mm")))


def test_same_scene_same_text():
    assert svg(demo()) == svg(demo())


@pytest.mark.parametrize("name", LAYERS)
def test_each_layer_alone_makes_a_figure(name):
    root = parse(
        svg(scene(name, {name: [block(10.0), (Arc((0.0, 2.0), (-2.0, 0.0), (-2.0, 2.0), 4.71238898038469),)]}))
    )
    colours = {e.get("stroke") for e in root.iter(f"{SVG}path")}
    assert STYLES[name].colour in colours


def test_the_reader_used_here_refuses_what_is_no_xml():
    with pytest.raises(ElementTree.ParseError):
        parse(svg(demo()).replace("</text>", "", 1))
