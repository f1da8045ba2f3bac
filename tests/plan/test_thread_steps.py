"""A thread's legs as steps: in step with the spindle, at a fixed speed even on a control that can hold a surface's."""

from __future__ import annotations

import math
from pathlib import Path

from msgspec.structs import replace

from posts.dialect import load_dialect
from posts.reader import read
from posts.writer import write
from tests.plan.workshop import part, request
from toolpath.cutting.thread_form import ThreadForm
from toolpath.cutting.threading import plan_thread
from toolpath.motion import Program, ThreadCut
from toolpath.passes.thread import Threading, thread
from toolpath.plan.operations import Operation
from toolpath.plan.steps import operations
from toolpath.shop.machine import load_machine
from toolpath.shop.materials import material
from toolpath.shop.rack import load_rack

SAMPLES = Path(__file__).parents[2] / "samples"
HOME = (40.0, 30.0)


def test_a_thread_of_the_sample_drawer_is_written_and_read_back() -> None:
    """M10x1.5-6g on the sample lathe with an encoder, its figures from plan to text."""
    machine = replace(load_machine(SAMPLES / "machines" / "bench.toml"), spindle_encoder="index")
    assert machine.constant_surface_speed
    tool = next(t for t in load_rack(SAMPLES / "racks" / "drawer.toml") if t.number == 9)
    form = ThreadForm(crest=4.925, pitch=4.464, root=4.188, lead=1.5, half_angle=math.radians(30.0))
    data = plan_thread(material("brass"), tool, machine, form, room=2.0)
    job = Threading(
        crest=4.925, depth=data.whole.value, half_angle=form.half_angle, lead=form.lead, begins=-1.0, ends=-12.0,
        run_in=data.run_in.value, run_out=2.0, clear=7.0, most=data.depth.value, least=data.finest.value,
        springs=int(data.springs.value),
    )  # fmt: skip
    legs, passes = thread(job, HOME)
    planned = Operation("thread", tool, data, "the only point", legs, data.depth.value, passes)
    asked = request(part({"dia": 9.85, "to": 30}), machine=machine)
    steps = operations([planned], asked, change_point=HOME)
    text = write(Program("Thread", (), steps, home=HOME), load_dialect("g95")).text
    again = [s for s in read(text, load_dialect("g95")).steps if isinstance(s, ThreadCut)]
    assert len(again) == passes == text.count("G33")
    assert all(s.lead == 1.5 and s.state.spindle and s.state.spindle.rpm == math.floor(data.rpm.value) for s in again)
    assert "G96" not in text
    assert min(s.end[1] for s in again) == again[-1].end[1]
    assert abs(again[-1].end[1] - (4.925 - data.whole.value)) <= 0.00025 + 1e-9
    begins = again[0].start[0]
    assert begins - job.begins >= data.run_in.value - 0.0005
