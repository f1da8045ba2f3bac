"""`python -m toolpath` is the same as `halfsection`."""

from toolpath.commands import main

main()
