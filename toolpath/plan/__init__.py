"""The plan: set-ups, operations and their order, the tool for each, and because of what."""
