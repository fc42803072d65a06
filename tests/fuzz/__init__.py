"""Coverage-guided fuzzing: `python -m tests.fuzz.lines`, `.importers`, `.inputs`, each with `--seconds N`.

A target is a module with `SEEDS`, `LONGEST` (bytes of an input), `ready()`, which opens what is slow to open, and
`check(data)`, which raises where a law is broken or something else than an error of the project comes out. Its words
stand in a file `.dict` beside it.
"""
