"""Any diameter, pitch and angle: `12 x 1.25 60deg`, `1/2 in x 20 tpi 55deg`, where no standard has it.

`12 x 1.25 60deg taper 1:16` is a taper on diameter; its diameter is that at a screw's small end and a hole's mouth.
"""

from __future__ import annotations

import math
import re

from toolpath.errors import BadInput
from toolpath.quantity import length
from toolpath.quantity.units import INCH
from toolpath.shop.threads.forms import FREE, form_of
from toolpath.shop.threads.metric import hole_limits, screw_limits
from toolpath.shop.threads.thread import Standard, Thread, ThreadLimits
from toolpath.shop.threads.words import BY, NUMBER, in_range, number

_UNIT = r' *(?:mm|inch|in\.?|"|thou)?'
_DIA = rf"(?:\d+[ -]+)?\d+ */ *\d+{_UNIT}|(?:{NUMBER}){_UNIT}"
PATTERN = (
    rf"(?i)(?P<dia>{_DIA}){BY}(?:(?P<tpi>{NUMBER}) *tpi|(?P<pitch>{_DIA})(?: *\( *P *(?P<of>{NUMBER}) *\))?)"
    rf"[ ,-]*(?P<angle>{NUMBER}) *(?:deg(?:rees)?|°)"
    rf"(?:[ ,]*taper *1 *(?::|in) *(?P<taper>{NUMBER}))?"
)
LEAST_TAPER, GREATEST_TAPER = 5.0, 200.0  # of length to 1 of diameter; steeper it is a scroll, flatter a cylinder
LEAST_ANGLE, GREATEST_ANGLE = 15.0, 100.0  # degrees; beyond it is no screw thread


def read(match: re.Match[str]) -> Thread:
    """The thread of these figures."""
    degrees = number(match["angle"])
    if not LEAST_ANGLE <= degrees <= GREATEST_ANGLE:
        right = f"The angle is that between both flanks, {LEAST_ANGLE:g} to {GREATEST_ANGLE:g}"
        raise BadInput(f"{degrees:g} degrees is no angle of a thread", right=right)
    diameter = _length(match["dia"])
    if match["tpi"] and not number(match["tpi"]):
        raise BadInput(f"'{match[0]}' has no threads to the inch")
    lead = INCH / number(match["tpi"]) if match["tpi"] else _length(match["pitch"])
    pitch = number(match["of"]) if match["of"] else lead
    starts = round(lead / pitch) if pitch else 0
    if starts < 1 or abs(lead - starts * pitch) > 1e-6:
        raise BadInput(
            f"a lead of {lead:g} is no whole number of pitches of {pitch:g}", right="Write 20 x 4 (P2) 60deg"
        )
    in_range(diameter, pitch, text=match[0])
    taper = _taper(match["taper"])
    angle = math.radians(degrees)
    form = form_of(angle)
    written = f"{match['tpi']} tpi" if match["tpi"] else f"{lead:g}" + (f"(P{pitch:g})" if starts > 1 else "")
    return Thread(
        designation=f"{diameter:g} x {written} {degrees:g}deg" + (f" taper 1:{match['taper']}" if taper else ""),
        standard="free",
        series="",
        form=FREE if form == "trapezoidal" else form,
        diameter=diameter,
        pitch=pitch,
        starts=starts,
        angle=angle,
        screw_class="6g",
        hole_class="6H",
        taper=taper,
    )


def _taper(text: str | None) -> float:
    """Change of diameter along the axis; BadInput for one that is no taper of a thread."""
    if text is None:
        return 0.0
    if not LEAST_TAPER <= number(text) <= GREATEST_TAPER:
        right = f"It goes from 1:{LEAST_TAPER:g} to 1:{GREATEST_TAPER:g} on diameter"
        raise BadInput(f"1:{text} is no taper of a thread", right=right)
    return 1.0 / number(text)


def limits(thread: Thread) -> ThreadLimits:
    """Tolerances of ISO 965-1 by its formulas, put to any form: no standard covers such a thread."""
    said = ["no standard has this thread: tolerances 6g and 6H by the formulas of ISO 965-1"]
    if thread.form != "iso":
        said.append("the formulas are meant for 60 degrees; here they are borrowed")
    return ThreadLimits(screw_limits(thread, table=False), hole_limits(thread, table=False), tuple(said))


def known() -> tuple[str, ...]:
    """Nothing is listed here."""
    return ()


def _length(text: str) -> float:
    """Length as written; a bare fraction is inches, any other bare figure mm."""
    bare = re.fullmatch(r"(\d+[ -]+)?\d+ */ *\d+", text.strip())
    return length(text.replace(",", ".").strip(), unit="inch" if bare else "mm", positive=True)


ANY = Standard(PATTERN, read, limits, known)
