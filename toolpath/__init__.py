"""halfsection: from the half-section of a turned part to a proven lathe program.

Nothing heavy is imported here: every command imports what it needs, when it needs it.
"""

__version__ = "0.1.0"
