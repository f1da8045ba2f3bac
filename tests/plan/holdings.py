"""Holdings that several tests ask for, as a job file has them."""

PULLED_INTO_A_CENTRE = """\
[[holding]]
in = "collet"
[[holding]]
grip = "bar"
in = "collet"
centre = "running"
[[holding]]
in = "collet"
grip = "part"
end = "back"
"""
"""Faced and centred close to the collet, pulled out and turned in the centre, then its back."""

BETWEEN_CENTRES = """\
[[holding]]
in = "collet"
[[holding]]
in = "collet"
grip = "part"
[[holding]]
grip = "part"
in = "centres"
end = "front"
turn_to = 90
[[holding]]
grip = "part"
in = "centres"
end = "back"
"""
"""Both ends faced and centred, then turned between centres from either end."""

ON_A_FACEPLATE = """\
[[holding]]
in = "chuck"
end = "back"
turn_to = 30
[[holding]]
grip = "part"
in = "faceplate"
end = "front"
"""
"""A flange: its spigot from the bar, then its face, clamped by the shoulder."""
