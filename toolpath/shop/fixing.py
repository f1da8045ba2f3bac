"""What turning the spindle, or stopping it hard, would unscrew: a chuck on a threaded nose, a part on its own thread.

The spindle drives and the cut holds back, so what is screwed on with a right-hand thread is tightened while the
spindle goes forward and loosened in reverse; so is a part on its own thread, inside or outside. A brake acts the other
way: the chuck runs on while the spindle stops. Common practice of screwed chucks, and plain mechanics.
"""

from __future__ import annotations

from toolpath.shop.machine import Machine, sense_for
from toolpath.shop.tools import Tool

LOOSENS = {"right": "reverse", "left": "forward"}
OTHER = {"forward": "reverse", "reverse": "forward"}


def unscrewed(sense: str, *, machine: Machine, on_thread: str = "") -> str:
    """What cutting with the spindle going `sense` would unscrew, in words, or "".

    on_thread: hand of the part's own thread where it is held by that, else ""
    """
    if machine.chuck_fixing == "screwed" and sense == LOOSENS["right"]:
        return "the chuck, which is screwed on the spindle's nose"
    if on_thread and sense == LOOSENS[on_thread]:
        return f"the part, which is held on its own {on_thread}-hand thread"
    return ""


def braked_off(sense: str, *, machine: Machine, on_thread: str = "") -> str:
    """What a brake would unscrew that stops a spindle going `sense`, in words, or ""."""
    return unscrewed(OTHER[sense], machine=machine, on_thread=on_thread) if machine.spindle_brake else ""


def sense_of(tool: Tool, machine: Machine) -> str:
    """Spindle sense under which a tool cuts: on the axis the way it is ground, else as post and face stand."""
    if tool.works == "hole":
        return "reverse" if tool.hand == "left" else "forward"
    return sense_for(machine.tool_post, tool.face or machine.tool_face)
